"""What a reading takes from beside it in its sentence: the unit, the state it was measured in, what the other probe touched."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.handbook.spoken.cues import CLOSE, ELECTRODES, JUMPS, MOST_OF_A_DIODE, POWERS
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.proposals import Said
from shop.handbook.spoken.units import TIMES


@dataclass(frozen=True, slots=True)
class Draft:
    """A reading as it comes together."""

    place: str
    channel: str
    value: Said
    expected: Said | None = None
    against: str = ""
    state: str = ""
    asks: tuple[str, ...] = ()
    start: int = 0
    end: int = 0


def with_unit(said: Said, other: Said) -> Said | None:
    """The number in the unit and the size of another value; None where none comes close to it."""
    if said.unit:
        return said
    if said.number is None or other.number is None or not other.unit:
        return replace(said, unit="ohm") if other.unit in {"open", "short"} else None
    if not other.number or not said.number or other.unit not in {"ohm", "F", "V", "A", "Hz"}:
        return replace(said, unit=other.unit)
    sizes = [0] if other.unit == "Hz" else POWERS
    for power in sizes:
        number = said.number.scaleb(power)
        if Decimal(1) / CLOSE <= abs(number / other.number) <= CLOSE:
            return replace(said, number=number, unit=other.unit)
    return None


def unit_beside(
    said: Said, place: str, nominal: Said | None, last: Draft | None, after: Sequence[Item]
) -> Said:
    """The value with the unit that its sentence gives it: what it should be, the place, the reading before, what comes after."""
    if nominal and nominal.unit:
        return with_unit(said, nominal) or said
    words = set(place.split())
    if last and last.place == place and (alike := with_unit(said, last.value)):
        return alike
    if _is_told_in_volts(words, said):
        return replace(said, unit="V")
    if last and last.value.unit and (last.place == place or set(last.place.split()) & words):
        told = last.expected if last.value.number is None and last.expected else last.value
        return with_unit(said, told) or said
    if "coil" in words or "winding" in words:
        return replace(said, unit="ohm") if last and last.value.unit in {"ohm", "open"} else said
    later = next((one for one in after if one.sort == "value" and one.unit not in TIMES), None)
    if later and {"should", "supposed"} & {one.text for one in after}:
        return with_unit(said, Said(later.number, later.unit, later.start, later.end)) or said
    return said


def _is_told_in_volts(words: set[str], said: Said) -> bool:
    """A rail, a heater, an electrode, or a junction's drop."""
    if words & ELECTRODES and "resistor" not in words:
        return True
    if words & {"voltage", "heater", "filament", "supply", "rail", "B+", "b+"}:
        return True
    return bool("diode" in words and said.number and said.number < MOST_OF_A_DIODE)


def counts_alone(place: str, items: Sequence[Item]) -> bool:
    """Speeds and gains are told without a unit."""
    words = set(place.split())
    return bool(words & {"speed", "motor", "hfe", "beta"}) or "runs" in {one.text for one in items}


def is_unsteady(items: Sequence[Item]) -> bool:
    """“between ten and twelve”, “one or two”, “drops to”."""
    texts = [one.text for one in items]
    values = [at for at, one in enumerate(items) if one.sort in {"value", "number"}]
    either = any("or" in texts[one:other] for one, other in itertools.pairwise(values))
    return either or bool(JUMPS & set(texts))


def against(items: Sequence[Item]) -> str:
    """What the other probe touched."""
    texts = [one.text for one in items]
    for word in ("chassis", "ground"):
        if any((cue, word) in itertools.pairwise(texts) for cue in ("to", "against")):
            return word
    return ""


def state_of(items: Sequence[Item]) -> str:
    """Cold, hot, or after so many minutes."""
    for at, one in enumerate(items):
        if one.unit in TIMES and at and items[at - 1].text == "after":
            return f"after {one.number:f} {one.unit}"
    texts = {one.text for one in items}
    return next((word for word in ("cold", "hot", "warm") if word in texts), "")
