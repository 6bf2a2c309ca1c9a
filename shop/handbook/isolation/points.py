"""Where a reading was taken, read from what people type: ``relay: coil`` and ``coil of relay RL1`` are one place.

A point has a circuit (``relay rl1``, ``+35v``, ``q7``), a part or pin of it (``coil``, ``base``, ``b-e``), a channel and
a role. The role is a guess, for a person to change; two points with the same circuit, part and channel are the same.

Sources
    Letters of reference designations (Q, R, V, RL, ...): common practice as in IEEE 315 (from memory). Words of the
    trade for parts, pins, rails and roles: common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache

from ..quantities import Kind


class Role(StrEnum):
    """What a point is to its circuit."""

    RAIL = "rail"
    SUPPLY = "supply"
    COMMAND = "command"
    DRIVE = "drive"
    LOAD = "load"
    CONTACT = "contact"
    OUTPUT = "output"
    BIAS = "bias"
    SIGNAL = "signal"
    SENSE = "sense"
    NONE = "none"

    @property
    def label(self) -> str:
        """The role as it is offered on a screen."""
        return _ROLE_LABELS[self]


_ROLE_LABELS = {
    Role.RAIL: "Rail of the whole unit",
    Role.SUPPLY: "Supply of this circuit",
    Role.COMMAND: "Command to the driver",
    Role.DRIVE: "Drive across the load",
    Role.LOAD: "The load itself (winding, lamp, coil)",
    Role.CONTACT: "Contact of a switch or relay",
    Role.OUTPUT: "Output to a loudspeaker or a line",
    Role.BIAS: "Bias or idle current",
    Role.SIGNAL: "Signal on its way",
    Role.SENSE: "Sensor or feedback",
    Role.NONE: "Nothing of these",
}


@dataclass(frozen=True, slots=True)
class Point:
    """One place of a circuit.

    ``circuit``: its words, sorted, so that their order says nothing; ``part``: what of it; ``channel``: L, R or another
    letter; ``volt``: what a rail's own name promises, in volt with its sign; ``role``: the guess.
    """

    circuit: tuple[str, ...]
    part: str = ""
    channel: str = ""
    role: Role = Role.NONE
    volt: Decimal | None = None
    side: str = ""

    @property
    def key(self) -> tuple[tuple[str, ...], str, str, str]:
        """What makes two points the same one."""
        return self.circuit, self.part, self.side, self.channel

    @property
    def label(self) -> str:
        """The point on a chip: circuit, part, channel."""
        name = " ".join(_shown(word) for word in self.circuit)
        return " · ".join(filter(None, (name, " ".join(filter(None, (self.side, self.part))), self.channel)))


def _shown(word: str) -> str:
    return word.upper() if _DESIGNATOR(word) or _RAIL_WORD(word) else word


# --- words ------------------------------------------------------------------------------------------------------

_NAMED = {"rl": "relay", "ry": "relay", "k": "relay", "s": "switch", "sw": "switch", "m": "motor", "f": "fuse", "pl": "lamp",
          "la": "lamp", "sol": "solenoid"}  # fmt: skip
"""Reference letters that stand for a word, where the number alone would hide it."""

_LETTERS = (
    *_NAMED,
    "r",
    "vr",
    "rv",
    "c",
    "d",
    "zd",
    "q",
    "tr",
    "t",
    "v",
    "l",
    "ic",
    "u",
    "cn",
    "j",
    "p",
    "tp",
    "led",
    "x",
    "y",
)
_DESIGNATOR = re.compile(
    rf"(?P<letters>{'|'.join(sorted(_LETTERS, key=len, reverse=True))})(?P<number>\d{{1,4}}[a-z]?)"
).fullmatch
_RAIL_WORD = re.compile(r"[+-]?\d+(?:\.\d+)?v|[bv][+-]|[+-][bv]|vcc|vdd|vee|vss|ht\+?").fullmatch
_RAIL_VOLT = re.compile(r"(?<![\w.])([+-]?)\s*(\d+(?:\.\d+)?)\s*v(?:olts?|dc)?(?![a-z0-9])")
_FIVE_V_FIVE = re.compile(r"(?<![\w.])([+-]?)(\d)v(\d)(?![a-z0-9])")

_CHANNELS = {"left": "L", "right": "R", "l": "L", "r": "R", "lch": "L", "rch": "R", "lh": "L", "rh": "R"}

_PARTS = {
    "coil": "coil", "winding": "coil", "filament": "coil", "bobbin": "coil", "heater": "heater",
    "contact": "contact", "base": "base", "emitter": "emitter", "collector": "collector", "gate": "gate", "drain": "drain",
    "source": "source", "grid": "grid", "plate": "plate", "anode": "plate", "cathode": "cathode", "screen": "screen",
    "wiper": "wiper", "primary": "primary", "secondary": "secondary", "ripple": "ripple",
    "be": "b-e", "ce": "c-e", "bc": "b-c", "cb": "b-c", "eb": "b-e", "ec": "c-e", "gs": "g-s", "ds": "d-s",
}  # fmt: skip
_PAIRS = {frozenset(("base", "emitter")): "b-e", frozenset(("collector", "emitter")): "c-e",
          frozenset(("base", "collector")): "b-c", frozenset(("gate", "source")): "g-s",
          frozenset(("drain", "source")): "d-s"}  # fmt: skip

_SIDES = {"hot": "hot", "cold": "cold", "plus": "hot", "positive": "hot", "minus": "cold", "negative": "cold", "driver": "cold",
          "upper": "upper", "lower": "lower", "top": "upper", "bottom": "lower", "switched": "cold", "supply": "hot",
          "first": "first", "second": "second", "other": "other", "one": "first", "near": "near", "far": "far",
          "input": "input", "output": "output", "low": "cold", "high": "hot", "both": "both"}  # fmt: skip
_ENDS = {"end", "side", "leg", "lead", "terminal", "pin", "tag", "lug"}

LOADS = frozenset(
    {"relay", "motor", "solenoid", "lamp", "bulb", "led", "head", "cartridge", "coil", "fan", "buzzer", "actuator", "magnet",
     "clutch", "indicator", "plunger", "heater", "speaker", "headphone", "tweeter", "woofer", "brake"}
)  # fmt: skip
"""What takes a drive."""

_ROLES: tuple[tuple[Role, frozenset[str]], ...] = (
    (Role.BIAS, frozenset({"bias", "idle", "quiescent"})),
    (Role.COMMAND, frozenset({"command", "cmd", "control", "enable", "logic", "trigger"})),
    (Role.SENSE, frozenset({"sense", "sensor", "feedback", "tacho", "tachometer", "servo-sense"})),
    (Role.OUTPUT, frozenset({"offset", "midpoint", "output", "out", "center", "centre"})),
    (Role.DRIVE, frozenset({"drive", "driven"})),
    (Role.SUPPLY, frozenset({"supply", "feed"})),
    (Role.RAIL, frozenset({"rail", "bus"})),
    (Role.SIGNAL, frozenset({"signal", "level", "phono", "preamp", "tape"})),
)
_SAID_BY_ROLE = {
    Role.BIAS: {"bias", "idle", "quiescent", "current"},
    Role.COMMAND: {"command", "cmd", "control", "enable", "logic"},
    Role.OUTPUT: {"offset", "midpoint", "output", "out", "dc", "center", "centre", "level"},
    Role.DRIVE: {"drive", "driven"},
    Role.SUPPLY: {"supply", "feed"},
    Role.RAIL: {"rail", "bus", "supply", "regulated", "regulator", "output", "out", "feed", "main", "power"},
    Role.LOAD: {"resistance"},
}
"""Words that only say the role, so that ``relay drive`` and ``relay`` are one circuit."""

_NOISE = frozenset(
    {"of", "the", "at", "on", "in", "a", "an", "to", "from", "across", "for", "and", "voltage", "volt", "volts",
     "dc", "ac", "its", "channel", "ch", "chan", "measured", "between", "plug", "connector", "value", "reading",
     "own", "point", "over", "with"}
)  # fmt: skip
_SAME = {"loudspeaker": "speaker", "spkr": "speaker", "lsp": "speaker", "xstor": "transistor", "rly": "relay", "bulb": "lamp",
         "valve": "tube", "pre": "preamp", "preamplifier": "preamp", "amplifier": "amp", "standing": "idle", "earth": "ground",
         "center": "centre", "psu": "supply", "res": "resistor",
         "spk": "speaker", "phones": "headphone", "hp": "headphone", "mtr": "motor", "mot": "motor", "xfmr": "transformer",
         "cap": "capacitor", "wdg": "winding", "htr": "heater", "iq": "idle", "post": "terminal", "term": "terminal",
         "g1": "grid", "g2": "screen", "wafer": "contact", "leaf": "contact", "blade": "contact"}  # fmt: skip
_HEARD = frozenset({"output", "out", "speaker", "headphone", "line"})
"""Where hum is what is heard, not what lies on a supply."""

_PLURALS = {"contacts": "contact", "terminals": "terminal", "windings": "winding", "coils": "coil", "lamps": "lamp",
            "rails": "rail", "speakers": "speaker", "ends": "end", "outputs": "output", "relays": "relay",
            "heads": "head", "switches": "switch", "headphones": "headphone", "solenoids": "solenoid",
            "pins": "pin", "legs": "leg", "posts": "post", "wafers": "wafer", "caps": "cap", "motors": "motor"}  # fmt: skip


def _plain(text: str) -> str:
    plain = unicodedata.normalize("NFKC", text).casefold()
    plain = re.sub("['’]s\\b", "", re.sub("[‐‑‒–—−]", "-", plain))
    plain = re.sub(r"\bo/p\b", "output", re.sub(r"\bi/p\b", "input", plain))
    plain = re.sub(r"\bplus\s+(?=\d)", "+", plain)
    plain = re.sub(r"\b(?:minus|neg(?:ative)?)\s+(?=\d)", "-", plain)
    plain = re.sub(r"\b([bceg])\s*[-/]\s*([bces])\b", r"\1\2", plain)
    plain = re.sub(r"\b([bv])\s*(?:plus|\+)(?![\w])", r"\1+", plain)
    plain = re.sub(r"\b([bv])\s*minus\b", r"\1-", plain)
    plain = re.sub(r"(?<![\w])\+b\b", "b+", plain)
    return re.sub(r"\b(q|tr|r|c|d|v|ic|u|rl|k|tp)[\s-]+(\d{1,4})\b", r"\1\2", plain)


def _words(plain: str) -> list[str]:
    found = re.findall(r"[bv][+-](?!\w)|[a-z0-9]+(?:[.'][a-z0-9]+)*", plain)
    words = [_SAME.get(word, word) for word in (_PLURALS.get(word, word) for word in found)]
    if not _HEARD & set(words):
        words = ["ripple" if word == "hum" else word for word in words]
    named = [
        _NAMED[match["letters"]]
        for word in words
        if (match := _DESIGNATOR(word)) and match["letters"] in _NAMED
    ]
    return words + [word for word in dict.fromkeys(named) if word not in words]


# --- reading a place --------------------------------------------------------------------------------------------


@lru_cache(maxsize=2048)
def read_point(text: str, kind: Kind | None = None, channel: str = "") -> Point:
    """The point that `text` names; `kind`, what was measured there, tells a coil's drive from the coil itself.

    `channel` is the one that was chosen beside it, which wins over one in the words.
    """
    text, channel = _column(text, channel)
    plain = _plain(text)
    volt, plain, rail = _rail(plain)
    words = _words(plain)
    if rail and volt is not None and volt > 0 and {"minus", "negative"} & set(words):
        volt, rail = -volt, "-" + rail.lstrip("+")
    spoken, words = _channel(words, alone=channel)
    words, side = _side(words)
    words, part = _part(words)
    role = _role(words, part, side, rail)
    circuit = _circuit(words, role, part, rail)
    if role is Role.SUPPLY and "regulator" in words:
        volt = None  # its name tells what comes out
    if kind is not None:
        role = _by_kind(role, part, circuit, kind)
    return Point(
        circuit or _UNNAMED.get(role, tuple(sorted(_words(_plain(text))))),
        part,
        channel or spoken,
        role,
        volt,
        side,
    )


_LEADS = {"e": "emitter", "b": "base", "c": "collector", "g": "gate", "d": "drain", "s": "source"}
_TRANSISTOR = re.compile(r"\b(?:q|tr|t)\s?\d|transistor|fet\b", re.IGNORECASE).search


def _column(text: str, column: str) -> tuple[str, str]:
    """Place and channel of a reading in a column of the sheet: a pin, a lead or a tube of its own is a place, not a channel."""
    name = column.casefold()
    if name in {"before", "after"}:
        return text, ""
    if name in _LEADS and _TRANSISTOR(text):
        return f"{text} {_LEADS[name]}", ""
    if name.startswith("pin ") or _DESIGNATOR(name):
        return f"{text} {column}", ""
    return text, column


_UNNAMED = {Role.OUTPUT: ("output",), Role.BIAS: ("idle current",), Role.COMMAND: ("command",)}
"""What a place is called that says only its role: ``offset`` and ``right output DC`` are the output."""


def _rail(plain: str) -> tuple[Decimal | None, str, str]:
    """The rail that a place names by its voltage, the text without it, and the rail's own word."""
    plain = _FIVE_V_FIVE.sub(r"\1\2.\3v", plain)
    if match := _RAIL_VOLT.search(plain):
        volt = Decimal(match[2]) * (-1 if match[1] == "-" else 1)
        if volt:
            return volt, plain[: match.start()] + " " + plain[match.end() :], f"{volt.normalize():+f}v"
    return None, plain, next((word for word in _words(plain) if _RAIL_WORD(word)), "")


def _channel(words: list[str], *, alone: str) -> tuple[str, list[str]]:
    """The channel in the words; a single letter counts only at either end, or where a channel is spoken of."""
    for at, word in enumerate(words):
        named = word in {"left", "right", "lch", "rch", "lh", "rh"}
        edge = word in {"l", "r"} and (at in {0, len(words) - 1} or "channel" in words or "ch" in words)
        if named or edge:
            return _CHANNELS[word], words[:at] + words[at + 1 :]
        if word in {"channel", "ch"} and at + 1 < len(words) and words[at + 1] in {"a", "b", "1", "2"}:
            return words[at + 1].upper(), words[:at] + words[at + 2 :]
    if alone:
        words = [word for word in words if word != alone.casefold()]
    return "", words


def _side(words: list[str]) -> tuple[list[str], str]:
    """Which end of a part, or which of two: ``hot end``, ``upper``."""
    for at, word in enumerate(words[:-1]):
        if word in _SIDES and words[at + 1] in _ENDS:
            return words[:at] + words[at + 2 :], _SIDES[word]
    for at, word in enumerate(words):
        if word in {"upper", "lower", "top", "bottom"}:
            return words[:at] + words[at + 1 :], _SIDES[word]
        if word == "pin" and at + 1 < len(words):
            return words[:at] + words[at + 2 :], f"pin {words[at + 1]}"
    return [word for word in words if word not in _ENDS or word == "terminal"], ""


def _part(words: list[str]) -> tuple[list[str], str]:
    named = [word for word in words if word in _PARTS]
    if pair := _PAIRS.get(frozenset(named)):
        return [word for word in words if word not in named], pair
    voice = "voice" in words
    if not named or (named == ["coil"] and (voice or not set(words) - {"coil"} - _NOISE)):
        return words, ""
    part = _PARTS[named[0] if "ripple" not in named else "ripple"]
    if part == "coil" and not any(word in LOADS - {"coil", "led"} or _DESIGNATOR(word) for word in words):
        return words, "coil" if "winding" in named else ""
    return [word for word in words if word not in named or word == "ripple" != part], part


_STAGES = frozenset({"output", "stage", "level", "input", "out"})
_DEVICE_PINS = frozenset(
    {"grid", "plate", "cathode", "screen", "base", "emitter", "collector", "primary", "secondary"}
)


def _role(words: list[str], part: str, side: str, rail: str) -> Role:
    said = set(words)
    loads = said & LOADS
    if (sure := _by_pair(said, part)) is not None:
        return sure
    named = next(
        (role for role, names in _ROLES if said & names and not (role is Role.SIGNAL and loads)), None
    )
    if named is not None:
        return _named(named, said, part, rail=bool(rail) and not loads)
    return _unnamed(said, part, side, rail=bool(rail))


def _by_pair(said: set[str], part: str) -> Role | None:
    """The role that two words say together, whatever each says alone."""
    at_plug = {"terminal", "plug", "connector"} & said and "supply" in said and said & LOADS
    line = {"line", "mains"} & said and "voltage" in said and not _STAGES & said
    found = (
        (Role.CONTACT, part == "contact" or (not part and "contact" in said)),
        (Role.COMMAND, "driver" in said and part in {"base", "gate"}),
        (Role.NONE, line),
        (Role.RAIL, part == "ripple" or ("regulator" in said and "input" not in said)),
        (Role.SUPPLY, "regulator" in said),
        (Role.DRIVE, at_plug),
        (Role.OUTPUT, {"headphone", "jack"} <= said),
    )
    return next((role for role, holds in found if holds), None)


def _named(role: Role, said: set[str], part: str, *, rail: bool) -> Role:
    """The role that a word of the place says, unless the rest of it says better."""
    if role is Role.OUTPUT and part in _DEVICE_PINS:
        return Role.NONE
    if role in {Role.SUPPLY, Role.RAIL}:
        alone = not said - _NOISE - {"supply", "feed", "main", "power"}
        return Role.RAIL if rail or alone or role is Role.RAIL else Role.SUPPLY
    return role


def _unnamed(said: set[str], part: str, side: str, *, rail: bool) -> Role:
    """The role of a place that no word says."""
    loads = said & LOADS
    if "current" in said and part in {"cathode", "plate", "collector", "emitter"}:
        return Role.BIAS
    if "speaker" in said and "terminal" in said:
        return Role.OUTPUT
    if rail and not loads and not part:
        return Role.RAIL
    return Role.LOAD if loads and (not part or part == "coil" or side) else Role.NONE


def _by_kind(role: Role, part: str, circuit: tuple[str, ...], kind: Kind) -> Role:
    """A load whose voltage or current is read is read for its drive; a drive in ohms is the load."""
    electric = kind in {Kind.VOLTAGE_DC, Kind.VOLTAGE_AC, Kind.VOLTAGE_PP, Kind.CURRENT_DC, Kind.CURRENT_AC}
    ohmic = kind in {Kind.RESISTANCE, Kind.INDUCTANCE}
    if role is Role.NONE and electric and part in {"emitter", "source", "cathode"} and "resistor" in circuit:
        return Role.BIAS
    if role is Role.LOAD and electric:
        return Role.DRIVE
    if role is Role.NONE and kind is Kind.RESISTANCE and "switch" in circuit and not part:
        return Role.CONTACT
    if ohmic and role in {Role.DRIVE, Role.OUTPUT, Role.SIGNAL} and (part == "coil" or set(circuit) & LOADS):
        return Role.LOAD
    return role


def _circuit(words: list[str], role: Role, part: str, rail: str) -> tuple[str, ...]:
    idle = _NOISE | _SAID_BY_ROLE.get(role, set())
    if role in {Role.COMMAND, Role.DRIVE, Role.LOAD, Role.SUPPLY}:
        idle = idle | {"driver", "terminal", "supply"}
    kept = {
        word
        for word in words
        if word not in idle and word != part and not (word == "terminal" and len(words) > 1)
    }
    if rail and not kept & LOADS:
        kept = (kept - {"plus", "minus", "rail", "supply", "regulated", "negative", "positive", "line"}) | {
            rail
        }
    return tuple(sorted(kept))


# --- one circuit in several words -------------------------------------------------------------------------------


def joined(circuits: Iterable[tuple[str, ...]]) -> Mapping[tuple[str, ...], tuple[str, ...]]:
    """Which circuits of one job are the same: ``relay`` is ``relay RL1`` as long as no other relay was named."""
    every = sorted(set(circuits), key=len)
    found: dict[tuple[str, ...], tuple[str, ...]] = {}
    for one in every:
        wider = [other for other in every if len(other) > len(one) and set(one) < set(other)]
        longest = max(wider, key=len, default=one)
        unique = all(set(other) <= set(longest) for other in wider)
        found[one] = longest if wider and unique and set(one) & (LOADS | {"resistor"}) else one
    return found
