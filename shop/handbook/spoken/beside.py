"""What a reading takes from beside it in its sentence: the unit, the state it was measured in, what the other probe touched."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.handbook.spoken.cues import AT_LEAST, AT_MOST, CLOSE, ELECTRODES, JUMPS, MOST_OF_A_DIODE, POWERS
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.proposals import Said
from shop.handbook.spoken.units import TIMES

KILO = 1000


@dataclass(frozen=True, slots=True)
class Draft:
    """A reading as it comes together."""

    place: str
    channel: str
    value: Said
    expected: Said | None = None
    least: Said | None = None
    most: Said | None = None
    against: str = ""
    state: str = ""
    asks: tuple[str, ...] = ()
    start: int = 0
    end: int = 0


def limits_of(
    words: Sequence[str], said: Said, after: Sequence[Item]
) -> tuple[Said | None, Said | None, int]:
    """“at most 0.2”, “35 to 65”, “between 35 and 65”: the least, the most, and how many things behind the value they take."""
    second = after[1] if len(after) > 1 and after[1].sort in {"value", "number"} else None
    if second and after[0].is_word("to" if "between" not in words else "and"):
        most = Said(second.number, second.unit, second.start, second.end)
        least = with_unit(said, most) if most.unit else said
        return least or said, (with_unit(most, said) or most) if said.unit else most, 2
    told = [list(words[-len(one) :]) for one in (*AT_MOST, *AT_LEAST)]
    if any(list(one) == tail for one, tail in zip(AT_MOST, told, strict=False)):
        return None, said, 0
    if any(list(one) == tail for one, tail in zip(AT_LEAST, told[len(AT_MOST) :], strict=False)):
        return said, None, 0
    return None, None, 0


def kin(place: str, last: str) -> str:
    """A place that is told by what differs from the one before: “V1 pin 1 …, pin 6”, “collector of Q12 …, Q14”, “C22 …, esr”."""
    refs = re.findall(r"\bpin \d+|\b[A-Z]{1,2}\d+", last)
    if re.fullmatch(r"pin \d+", place):
        return re.sub(r"\bpin \d+", place, last) if "pin " in last else place
    if place == "esr" and len(refs) == 1 and "esr" not in last.split():
        return f"{refs[0]} esr"
    letters = re.fullmatch(r"([A-Z]{1,2})\d+", place)
    if letters and len(refs) == 1 and re.fullmatch(rf"{letters[1]}\d+", refs[0]):
        return last.replace(refs[0], place)
    return place


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


def told_short(item: Item) -> str:
    """A value as a state names it: 10 kHz, 45."""
    number = item.number or Decimal()
    if item.unit == "Hz" and number >= KILO:
        return f"{(number / KILO).normalize():f} kHz"
    return f"{number:f} {item.unit}".strip()


def after_what(items: Sequence[Item]) -> str:
    """“after cleaning”: behind which deed it was read."""
    texts = [one.text for one in items]
    found = next((at for at, one in enumerate(texts) if one == "after"), None)
    done = texts[found + 1] if found is not None and found + 1 < len(texts) else ""
    return f"after {done}" if done.endswith("ing") else ""


def state_of(items: Sequence[Item]) -> str:
    """Cold, hot, or after so many minutes."""
    for at, one in enumerate(items):
        if one.unit in TIMES and at and items[at - 1].text == "after":
            return f"after {one.number:f} {one.unit}"
    texts = {one.text for one in items}
    return next((word for word in ("cold", "hot", "warm") if word in texts), "")
