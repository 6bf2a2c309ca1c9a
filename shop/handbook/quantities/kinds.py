"""The quantities measured on a bench, with every way a technician spells their units.

Sources
    Unit symbols, and the siemens that was a mho: the SI brochure, 9th edition (from memory). IEC 60062 letters for a
    bare prefix (looked up in the public article on the RKM code). Sloppy and old spellings (mfd, mmfd, kc, cps, uf)
    and the keypad's choice of units: common practice, no source. The largest believable value of each quantity: our
    own choice, so that ``5 MV`` typed for ``5 mV`` is noticed.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from .si import PREFIXES


class Kind(StrEnum):
    """What is measured. The value is what a table of readings keeps."""

    VOLTAGE_DC = "voltage_dc"
    VOLTAGE_AC = "voltage_ac"
    VOLTAGE_PP = "voltage_pp"
    DIODE = "diode"
    CURRENT_DC = "current_dc"
    CURRENT_AC = "current_ac"
    RESISTANCE = "resistance"
    ESR = "esr"
    CAPACITANCE = "capacitance"
    INDUCTANCE = "inductance"
    FREQUENCY = "frequency"
    POWER = "power"
    TEMPERATURE = "temperature"
    TIME = "time"
    LEVEL = "level"
    GAIN = "gain"
    PERCENT = "percent"
    ROTATION = "rotation"
    TORQUE = "torque"
    FORCE = "force"
    PHASE = "phase"
    TRANSCONDUCTANCE = "transconductance"

    @property
    def facts(self) -> Facts:
        """Everything the handbook knows of this quantity."""
        return FACTS[self]

    @property
    def label(self) -> str:
        """The quantity's name on a screen or a card."""
        return FACTS[self].label

    @property
    def in_words(self) -> str:
        """The name as it stands inside a sentence: resistance, DC voltage, hFE."""
        label = FACTS[self].label
        return label if label[:2].isupper() else label[0].lower() + label[1:]

    @property
    def symbol(self) -> str:
        """The symbol of its base unit; empty for a bare number such as hFE."""
        return FACTS[self].symbol

    @property
    def keypad(self) -> tuple[str, ...]:
        """The units offered beside the digits, most used first; each can be typed behind the number."""
        return FACTS[self].keypad


class Spelled(NamedTuple):
    """What a tail behind a number means: ``mV`` is ``("E-3", "V", ...)``. A tuple, because it is looked up often."""

    exponent: str
    unit: str
    kind: Kind | None
    top: int
    signed: bool


@dataclass(frozen=True, slots=True)
class Facts:
    """One quantity: its unit, spellings and limits.

    ``top``: the value must stay under ten to this power of the base unit. ``bare``: prefixes that may stand without
    the unit. ``default``: whether a bare number is taken to be in the base unit. ``own``: spellings that belong to
    this quantity alone (VAC); ``shared``: spellings it has in common with others (V); both take ``prefixes``, and the
    proper symbol takes ``exact`` as well.
    """

    label: str
    symbol: str
    keypad: tuple[str, ...]
    top: int
    shared: tuple[str, ...] = ()
    own: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    bare: str = ""
    default: bool = True
    signed: bool = False
    prefixes: str = "pnuµμUmkKMGT"
    exact: str = ""


_VOLT = ("V", "v")
_VOLTS = ("volt", "volts", "Volt", "Volts")
_AMP = ("A", "a")
_AMPS = ("amp", "amps", "Amp", "Amps", "ampere", "amperes")
_OHM = ("Ω", "ohm", "ohms", "Ohm", "Ohms", "OHM", "OHMS")
_OHMS = ("ohm", "ohms", "Ohm", "Ohms")
_SI = "".join(PREFIXES)
_SMALL = "qryzaf"

FACTS: dict[Kind, Facts] = {
    Kind.VOLTAGE_DC: Facts("DC voltage", "V", ("V", "mV", "kV"), 5, shared=_VOLT, words=_VOLTS, exact=_SI,
        own=("VDC", "Vdc", "vdc", "DCV", "V=", "V⎓"), bare="nuµμUmkKM", signed=True),
    Kind.VOLTAGE_AC: Facts("AC voltage", "V", ("V", "mV", "kV"), 5, shared=_VOLT, words=_VOLTS, exact=_SI,
        own=("VAC", "Vac", "vac", "ACV", "V~", "Vrms", "VRMS", "vrms"), bare="nuµμUmkKM"),
    Kind.VOLTAGE_PP: Facts("Peak-to-peak voltage", "V", ("V", "mV"), 5, shared=_VOLT, words=_VOLTS, exact=_SI,
        own=("Vpp", "VPP", "vpp", "Vp-p", "vp-p"), bare="nuµμUmkKM"),
    Kind.DIODE: Facts("Diode test", "V", ("V", "mV"), 3, shared=_VOLT, words=_VOLTS, exact=_SI, bare="m",
        signed=True),
    Kind.CURRENT_DC: Facts("DC current", "A", ("mA", "A", "µA"), 4, shared=_AMP, words=_AMPS, exact=_SI,
        own=("ADC", "Adc", "adc", "DCA", "A="), bare="pnuµμUmkKM", signed=True),
    Kind.CURRENT_AC: Facts("AC current", "A", ("mA", "A", "µA"), 4, shared=_AMP, words=_AMPS, exact=_SI,
        own=("AAC", "Aac", "aac", "ACA", "A~", "Arms"), bare="pnuµμUmkKM"),
    Kind.RESISTANCE: Facts("Resistance", "Ω", ("Ω", "kΩ", "MΩ"), 16, shared=_OHM, words=_OHMS, exact=_SI,
        bare="mkKMGT", signed=True),
    Kind.ESR: Facts("ESR", "Ω", ("Ω", "mΩ"), 7, shared=_OHM, words=_OHMS, exact=_SI, bare="mkK"),
    Kind.CAPACITANCE: Facts("Capacitance", "F", ("µF", "nF", "pF", "mF"), 3, own=("F",), words=("farad", "farads"),
        bare="pnuµμUm", default=False, prefixes="pnuµμUm", exact=_SMALL),
    Kind.INDUCTANCE: Facts("Inductance", "H", ("mH", "µH", "H"), 4, own=("H",), words=("henry", "henries", "henrys"),
        bare="nuµμUm", default=False, prefixes="pnuµμUmk", exact=_SMALL),
    Kind.FREQUENCY: Facts("Frequency", "Hz", ("Hz", "kHz", "MHz"), 13, own=("Hz", "HZ"), words=("hertz",),
        bare="kKMG", exact=_SI),
    Kind.POWER: Facts("Power", "W", ("W", "mW"), 5, own=("W", "w"), words=("watt", "watts", "Watt", "Watts"),
        bare="pnuµμUmkKM", exact=_SI),
    Kind.TEMPERATURE: Facts("Temperature", "°C", ("°C", "°F"), 4, own=("°C", "ºC", "℃", "degC"), signed=True,
        prefixes=""),
    Kind.TIME: Facts("Time", "s", ("s", "ms", "µs", "min"), 8, own=("s", "sec", "secs"), words=("second", "seconds"),
        bare="pnuµμU", prefixes="pnuµμUm", exact=_SMALL),
    Kind.LEVEL: Facts("Level", "dB", ("dB", "dBV", "dBu", "dBm", "dBW"), 4, own=("dB", "db", "DB"), signed=True,
        prefixes=""),
    Kind.GAIN: Facts("hFE", "", ("",), 7, own=("hFE", "hfe", "HFE", "β"), bare="kK", prefixes=""),
    Kind.PERCENT: Facts("Percent", "%", ("%",), 6, own=("%", "percent", "pct"), signed=True, prefixes=""),
    Kind.ROTATION: Facts("Speed", "rpm", ("rpm",), 6, own=("rpm", "RPM", "r/min", "rev/min"), prefixes=""),
    Kind.TORQUE: Facts("Torque", "N·m", ("g·cm", "mN·m"), 3, own=("N·m", "Nm"), default=False, prefixes="µum",
        exact=_SI),
    Kind.FORCE: Facts("Force", "N", ("g", "mN"), 4, own=("N",), words=("newton", "newtons"), default=False,
        prefixes="µum", exact=_SI),
    Kind.PHASE: Facts("Phase or azimuth", "°", ("°",), 4, own=("°", "º", "deg"), words=("degree", "degrees"),
        signed=True, prefixes=""),
    Kind.TRANSCONDUCTANCE: Facts("Transconductance", "S", ("mA/V", "µS"), 3, own=("S",),
        words=("siemens",), default=False, prefixes="µumk", exact=_SI),
}  # fmt: skip

POWERS: dict[str, int] = {"": 0, "K": 3, "u": -6, "U": -6, "μ": -6, **PREFIXES}
"""Prefixes as they are typed: a capital K and the letter u are read too; M is mega and m is milli, always."""

_SPELLED_OUT = {
    "pico": -12, "nano": -9, "micro": -6, "milli": -3, "kilo": 3, "kil": 3, "mega": 6, "meg": 6, "Meg": 6, "MEG": 6,
}  # fmt: skip

_SPECIAL: dict[Kind, dict[str, int]] = {
    Kind.RESISTANCE: {"R": 0, "r": 0, "meg": 6, "Meg": 6, "MEG": 6},
    Kind.ESR: {"R": 0, "r": 0},
    Kind.CAPACITANCE: {
        "pf": -12, "PF": -12, "nf": -9, "NF": -9, "uf": -6, "µf": -6, "μf": -6, "Uf": -6,
        "mfd": -6, "Mfd": -6, "MFD": -6, "ufd": -6, "uFd": -6, "UFD": -6, "µFd": -6, "μFd": -6,
        "mmfd": -12, "MMFD": -12, "uuF": -12, "uuf": -12, "µµF": -12, "μμF": -12,
    },
    Kind.INDUCTANCE: {"mh": -3, "uh": -6, "µh": -6, "μh": -6, "nh": -9},
    Kind.FREQUENCY: {
        "hz": 0, "khz": 3, "Khz": 3, "Mhz": 6, "ghz": 9, "Ghz": 9, "c/s": 0, "cps": 0,
        "kc": 3, "Kc": 3, "KC": 3, "kc/s": 3, "Mc": 6, "MC": 6, "Mc/s": 6,
    },
    Kind.TRANSCONDUCTANCE: {
        "A/V": 0, "mA/V": -3, "ma/V": -3, "mA/v": -3, "mho": 0, "mmho": -3, "µmho": -6, "umho": -6, "micromho": -6,
        "micromhos": -6,
    },
}  # fmt: skip
"""Spellings that no rule gives. ``mf``, ``MF`` and ``mhz`` are missing on purpose: each could be two things."""

_LEVELS = {"dBV": "dBV", "dBu": "dBu", "dbu": "dBu", "dBm": "dBm", "dbm": "dBm", "dBW": "dBW", "dbw": "dBW"}
"""Level units by spelling. ``dBv`` and ``dbv`` are missing: the small v once stood for dBu."""


def _spelt(facts: Facts, symbols: Iterable[str]) -> dict[str, int]:
    """Each of these symbols with each prefix it takes, and the power of ten."""
    found: dict[str, int] = {}
    for symbol in symbols:
        exact = facts.exact if symbol == facts.symbol else ""
        found |= {prefix + symbol: POWERS[prefix] for prefix in ("", *facts.prefixes, *exact)}
    return found


def _worded(facts: Facts) -> dict[str, int]:
    """The unit's words, alone and behind a prefix written out: megohm, microfarads."""
    words = dict.fromkeys(facts.words, 0)
    return words | {prefix + word: power for word in facts.words for prefix, power in _SPELLED_OUT.items()}


def tail(exponent: int, kind: Kind, unit: str | None = None, *, told: Kind | None = None) -> Spelled:
    """The meaning of one spelling: power of ten, unit, and the quantity that it tells (None: not told)."""
    facts = FACTS[kind]
    suffix = f"E{exponent}" if exponent else ""
    return Spelled(suffix, facts.symbol if unit is None else unit, told, facts.top, facts.signed)


def _tails_of(kind: Kind) -> dict[str, Spelled]:
    """Every tail that may stand behind a number when this quantity was chosen."""
    facts = FACTS[kind]
    found = _spelt(facts, (*facts.shared, *facts.own)) | _worded(facts) | _SPECIAL.get(kind, {})
    found |= {prefix: POWERS[prefix] for prefix in facts.bare}
    if facts.default:
        found[""] = 0
    tails = {spelling: tail(power, kind, told=kind) for spelling, power in found.items()}
    if kind is Kind.CAPACITANCE:
        tails["F"] = tails["F"]._replace(top=2)  # from 100 on it needs a closer look: 104F may be a code
    if kind is Kind.LEVEL:
        tails |= {spelling: tail(0, kind, unit, told=kind) for spelling, unit in _LEVELS.items()}
    return tails


_TELLS_ITSELF = (
    Kind.RESISTANCE, Kind.CAPACITANCE, Kind.INDUCTANCE, Kind.FREQUENCY, Kind.POWER, Kind.TEMPERATURE, Kind.TIME,
    Kind.LEVEL, Kind.GAIN, Kind.PERCENT, Kind.ROTATION,
)  # fmt: skip
"""Quantities whose unit alone says what was measured; V and A leave DC or AC open."""


def _tails_without_kind() -> dict[str, Spelled]:
    """Every tail that may stand behind a number when no quantity was chosen: only those that carry a unit."""
    tails: dict[str, Spelled] = {}
    for kind in (Kind.VOLTAGE_DC, Kind.CURRENT_DC):
        tails |= {spelling: spelt._replace(kind=None) for spelling, spelt in TAILS[kind].items()}
    for kind in (Kind.VOLTAGE_DC, Kind.VOLTAGE_AC, Kind.VOLTAGE_PP, Kind.CURRENT_DC, Kind.CURRENT_AC):
        tails |= {spelling: TAILS[kind][spelling] for spelling in _spelt(FACTS[kind], FACTS[kind].own)}
    for kind in _TELLS_ITSELF:
        tails |= TAILS[kind]
    for bare in {"", *"".join(facts.bare for facts in FACTS.values())}:
        tails.pop(bare, None)
    return tails


TAILS: dict[Kind | None, dict[str, Spelled]] = {kind: _tails_of(kind) for kind in Kind}
TAILS[None] = _tails_without_kind()
"""For each chosen quantity, and for none, what the text behind the number means."""
