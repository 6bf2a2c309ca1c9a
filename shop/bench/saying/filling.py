"""What a proposal fills into the form of its kind: values in the units of the bench, places in the words of the model file."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from decimal import Decimal

from shop.bench.models import IN_WORDS, EvidenceKind, KnownBy
from shop.bench.page import BenchPage
from shop.bench.suggesting import point_of
from shop.counter.models import ChannelOf, TestPoint
from shop.handbook.quantities import Kind as Quantity
from shop.handbook.quantities import Unreadable, parse
from shop.handbook.spoken import Proposal, Said

Filled = dict[str, object]

OPEN, SHORT = "open", "short"
_SCALES: dict[str, tuple[tuple[int, str], ...]] = {
    "V": ((0, "V"), (-3, "mV")),
    "A": ((0, "A"), (-3, "mA"), (-6, "µA")),
    "ohm": ((6, "MΩ"), (3, "kΩ"), (0, "Ω"), (-3, "mΩ")),
    "F": ((-6, "µF"), (-9, "nF"), (-12, "pF")),
    "H": ((0, "H"), (-3, "mH"), (-6, "µH")),
    "Hz": ((6, "MHz"), (3, "kHz"), (0, "Hz")),
    "W": ((0, "W"), (-3, "mW")),
    "s": ((0, "s"), (-3, "ms"), (-6, "µs")),
    "m": ((0, "m"), (-2, "cm"), (-3, "mm")),
    "%": ((0, "%"),),
    "dB": ((0, "dB"),),
    "g": ((0, "g"),),
    "deg": ((0, "°"),),
    "degC": ((0, "°C"),),
    "rpm": ((0, "rpm"),),
    "min": ((0, "min"),),
    "h": ((0, "h"),),
    "N": ((0, "N"), (-3, "mN")),
}
"""The units in which a value is written, the largest first; one below the last is written in the last."""


def written(said: Said) -> str:
    """A value as one types it: 0.047 V as “47 mV”, 4700 ohm as “4.7 kΩ”; a bare number where no unit was said."""
    if said.number is None:
        return said.unit
    scales = _SCALES.get(said.unit)
    if scales is None:
        return f"{said.number:f} {said.unit}".strip()
    plain = min(scales, key=lambda one: abs(one[0]))
    power, unit = (
        next((one for one in scales if abs(said.number) >= Decimal(1).scaleb(one[0])), scales[-1])
        if said.number
        else plain
    )
    return f"{said.number.scaleb(-power):f} {unit}"


# --- readings -----------------------------------------------------------------------------------------------------

_AC = re.compile(r"\b(?:v?ac|rms)\b", re.IGNORECASE)
_FED_BY_THE_LINE = re.compile(
    r"\b(?:line|mains|wall|outlet|primary|secondary|heaters?|filaments?)\b", re.IGNORECASE
)
_PEAKS = re.compile(r"\bpeak\s+to\s+peak\b|\bv?pp\b", re.IGNORECASE)
_JUNCTION = re.compile(r"\b(?:diode|junction|rectifier|base\s+to\s+emitter)\b", re.IGNORECASE)
_MOST_OF_A_JUNCTION = 2
_WARMTH = re.compile(r"\b(?:temperature|heat\s*sink|hot|warm|case|transformer|degrees\s+c)\b", re.IGNORECASE)
_CELSIUS = re.compile(r"\b(?:c|celsius|centigrade)\b|°\s*c|\d\s*c\b", re.IGNORECASE)
_ONE_QUANTITY = {
    "F": Quantity.CAPACITANCE,
    "H": Quantity.INDUCTANCE,
    "Hz": Quantity.FREQUENCY,
    "W": Quantity.POWER,
    "s": Quantity.TIME,
    "%": Quantity.PERCENT,
    "dB": Quantity.LEVEL,
    "g": Quantity.FORCE,
    "N": Quantity.FORCE,
    "g·cm": Quantity.TORQUE,
    "degC": Quantity.TEMPERATURE,
    "rpm": Quantity.ROTATION,
}


def reading(page: BenchPage, proposal: Proposal) -> Filled:
    """A reading: at a test point of the model file where the words mean one."""
    facts, value = proposal.facts, proposal.value
    place, channel = facts.get("place", ""), _channel(facts.get("channel", ""))
    told = [facts.get("state", ""), "about" if value is not None and value.about else ""]
    filled: Filled = {
        "where": place,
        "against": facts.get("against", ""),
        "channel": channel,
        "condition": ", ".join(one for one in told if one),
        "expected": _expected(proposal),
    }
    if value is None:
        return filled
    typed, quantity = _typed(value, place, proposal.words)
    point = _point_meant(page.points, place, channel, typed, quantity, _sign_in(proposal.words))
    if point is not None:
        filled |= {"test_point": str(point.pk), "where": point.where or point.name}
        quantity = point.quantity
    if "unit" in proposal.asks:
        quantity = ""
    return filled | {"typed": typed, "quantity": quantity if _reads(typed, quantity) else ""}


def _expected(proposal: Proposal) -> str:
    """What the reading should be, as the bench types it: “650 Ω”, “12 V ± 5 %”, “at most 0.06 %”, “35 g·cm to 65 g·cm”."""
    off = _limit(proposal.facts.get("tolerance", ""))
    if proposal.expected is not None or off:
        wanted = written(_plain_nothing(proposal.expected)) if proposal.expected is not None else ""
        return f"{wanted} \u00b1 {off}".strip() if off else wanted
    least, most = (_limit(proposal.facts.get(key, "")) for key in ("least", "most"))
    if least and most:
        return f"{least} to {most}"
    return f"at most {most}" if most else f"at least {least}" if least else ""


def _plain_nothing(said: Said) -> Said:
    """Zero without the decimals that its prefix left: “zero millivolts” is 0 V."""
    return replace(said, number=Decimal()) if said.number == 0 else said


def _limit(kept: str) -> str:
    number, _, unit = kept.partition(" ")
    return written(Said(Decimal(number), unit, 0, 0)) if number else ""


def _channel(said: str) -> str:
    return {"left": ChannelOf.LEFT.value, "right": ChannelOf.RIGHT.value}.get(said, said)


def _typed(value: Said, place: str, words: str) -> tuple[str, str]:
    """What the meter showed, and which quantity that is."""
    if value.unit == OPEN:
        return "OL", Quantity.RESISTANCE.value
    if value.unit == SHORT:
        return SHORT, IN_WORDS
    if value.unit == "degC" and not _CELSIUS.search(words):
        # degrees alone may be Fahrenheit: asked
        return f"{value.number:f}", ""
    return written(value), _quantity(value, f"{place} {words}")


def _quantity(value: Said, told: str) -> str:
    """The quantity that a unit means there; empty where that has to be asked."""
    if (one := _ONE_QUANTITY.get(value.unit)) is not None:
        return one.value
    if value.unit == "V":
        return _of_volts(value.number or Decimal(), told).value
    if value.unit == "A":
        return (Quantity.CURRENT_AC if _AC.search(told) else Quantity.CURRENT_DC).value
    if value.unit == "ohm":
        return (Quantity.ESR if re.search(r"\besr\b", told, re.IGNORECASE) else Quantity.RESISTANCE).value
    if value.unit == "deg":
        return "" if _WARMTH.search(told) else Quantity.PHASE.value
    return IN_WORDS if value.unit == "m" else ""


def _of_volts(number: Decimal, told: str) -> Quantity:
    """Line, transformer and heater carry AC unless DC was said: common practice, no source."""
    if _PEAKS.search(told):
        return Quantity.VOLTAGE_PP
    if re.search(r"\bv?dc\b", told, re.IGNORECASE):
        return Quantity.VOLTAGE_DC
    if _AC.search(told) or _FED_BY_THE_LINE.search(told):
        return Quantity.VOLTAGE_AC
    if _JUNCTION.search(told) and 0 < number < _MOST_OF_A_JUNCTION:
        return Quantity.DIODE
    return Quantity.VOLTAGE_DC


def _point_meant(
    points: Sequence[TestPoint], place: str, channel: str, typed: str, quantity: str, sign: str = ""
) -> TestPoint | None:
    """The one test point of the model file that the words mean; of two that differ in their sign, the one of this sign."""
    if not place or quantity == IN_WORDS:
        return None
    meant = [
        one
        for one in points
        if one.channel in {"", channel}
        and _reads(typed, one.quantity)
        and any(
            point_of(name, one.quantity).key == point_of(place, one.quantity).key
            for name in (one.where, one.name)
            if name
        )
    ]
    if len(meant) > 1 and sign:
        meant = [one for one in meant if (one.where or one.name).replace("\u2212", "-").endswith(sign)]
    return meant[0] if len(meant) == 1 else None


_SIGNED = re.compile(r"\b(?:(plus|positive)|minus|negative)\s+[\d.]*\d", re.IGNORECASE)


def _sign_in(words: str) -> str:
    """“main filter minus 45 volts”: the sign that was said before the value may be the point's own."""
    found = _SIGNED.search(words)
    return "" if found is None else "+" if found[1] else "-"


def _reads(typed: str, quantity: str) -> bool:
    """Whether the handbook reads this as that quantity."""
    if quantity == IN_WORDS:
        return bool(typed)
    try:
        parse(typed, Quantity(quantity))
    except (ValueError, Unreadable):
        return False
    return True


# --- traces of earlier work ---------------------------------------------------------------------------------------

_TRACE_KINDS = {
    "date code": EvidenceKind.DATE_CODE,
    "flux": EvidenceKind.REWORK,
    "solder": EvidenceKind.REWORK,
}


def trace(_: BenchPage, proposal: Proposal) -> Filled:
    """What earlier hands left: the date in figures as it was said, the words beside it."""
    facts = proposal.facts
    what = facts.get("what", "")
    return {
        "kind": _TRACE_KINDS.get(what, EvidenceKind.DATE_STAMP).value,
        "where": facts.get("place", "") or what,
        "marking": _marking(facts.get("date", "")) or facts.get("marking", ""),
        "note": proposal.words,
    }


def _marking(candidates: str) -> str:
    """A date as a marking that reads the same: one day as ISO 8601 writes it, two as 4/11/88 in the order that was said."""
    first, *more = candidates.split("/")
    if not more:
        return first
    year, month, day = first.split("-")
    return f"{int(month)}/{int(day)}/{year[2:]}"


_SPOKEN_DEVICE = re.compile(
    r"\b(?:(left|right)\s+)?(?:channel\s+)?(drivers?|transistors?|outputs?|output\s+transistors?|chip|regulator"
    r"|op\s*amp|diode|tube|predriver|pair)\b",
    re.IGNORECASE,
)


def device(_: BenchPage, proposal: Proposal) -> Filled:
    """A device that is not, or is, the original: where it sits, and what stands on it."""
    facts = proposal.facts
    found = _SPOKEN_DEVICE.search(proposal.words)
    side, part = facts.get("channel", ""), found[2].lower() if found else ""
    return {
        "kind": EvidenceKind.DEVICE.value,
        "where": facts.get("place", "") or " ".join(one for one in (side, part) if one),
        "marking": facts.get("designation", ""),
        "note": proposal.words,
    }


# --- what was done ------------------------------------------------------------------------------------------------


def part_words(proposal: Proposal) -> str:
    """Under which words a part is looked for in the drawers: its designation, its value, or what it is."""
    value = written(proposal.value) if proposal.value is not None else ""
    return proposal.facts.get("designation", "") or value or proposal.facts.get("what", "")


def part(page: BenchPage, proposal: Proposal) -> Filled:
    """A part that went in: by its designation, its value or its words, to be found in the drawers."""
    facts = proposal.facts
    filled: Filled = {
        "drawer": part_words(proposal),
        "position": facts.get("place", "")[:60],
        "under_warranty": page.job.comeback_of_id is not None,
    }
    with suppress(ValueError):
        filled["quantity"] = str(max(1, int(facts.get("count", "1"))))
    found = page.drawers.like(part_words(proposal))
    if len(found) == 1:
        filled["part"] = str(found[0].pk)
    return filled


def temporary(_: BenchPage, proposal: Proposal) -> Filled:
    """What is in the set for a while."""
    what = proposal.facts.get("what", "")
    return {"what": what[:1].upper() + what[1:], "where": proposal.facts.get("place", "")}


_KNOWN_BY = {
    "measured": KnownBy.MEASURED,
    "swapped": KnownBy.SWAPPED,
    "cured by this alone": KnownBy.CURED_ALONE,
    "replaced with others": KnownBy.WITH_OTHERS,
}


def conclusion(_: BenchPage, proposal: Proposal) -> Filled:
    """What had failed and how that is known; how it failed and what put it right, a person says."""
    known = _KNOWN_BY.get(proposal.facts.get("how", ""))
    return {"failed": proposal.facts.get("what", "")[:200], "known_by": known.value if known else ""}


def time(page: BenchPage, proposal: Proposal) -> Filled:
    """How long it took."""
    return {"minutes": proposal.facts.get("minutes", ""), "kind": page.likely_kind}


def words(_: BenchPage, proposal: Proposal) -> Filled:
    """The words as they were said."""
    return {"text": proposal.words.strip()}
