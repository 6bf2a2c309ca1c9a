"""What a reading takes from beside it in its sentence: the unit, the state it was measured in, what the other probe touched."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.handbook.spoken.cues import AT_LEAST, AT_MOST, CLOSE, ELECTRODES, JUMPS, MOST_OF_A_DIODE, SHOULD
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
    off: Said | None = None
    against: str = ""
    state: str = ""
    asks: tuple[str, ...] = ()
    start: int = 0
    end: int = 0
    loose: bool = False
    """Whether a number beside it wasn't understood: then its own is asked for."""


def said_of(item: Item, *, about: bool = False) -> Said:
    """A value as it stands in a sentence."""
    return Said(item.number, item.unit, item.start, item.end, about, item.doubtful, item.power)


def limits_of(
    words: Sequence[str], said: Said, after: Sequence[Item]
) -> tuple[Said | None, Said | None, int]:
    """“at most 0.2”, “35 to 65”, “between 35 and 65”: the least, the most, and how many things behind the value they take."""
    second = after[1] if len(after) > 1 and after[1].sort in {"value", "number"} else None
    if second and after[0].is_word("to" if "between" not in words else "and"):
        most = said_of(second)
        least = with_unit(said, most) if most.unit else said
        return least or said, (with_unit(most, said) or most) if said.unit else most, 2
    told = [list(words[-len(one) :]) for one in (*AT_MOST, *AT_LEAST)]
    if any(list(one) == tail for one, tail in zip(AT_MOST, told, strict=False)):
        return None, said, 0
    if any(list(one) == tail for one, tail in zip(AT_LEAST, told[len(AT_MOST) :], strict=False)):
        return said, None, 0
    return None, None, 0


_OFF_BY = frozenset({",", "with", "within", "to", "a", "an", "tolerance", "of", "about"})


def tolerance_at(items: Sequence[Item], at: int) -> tuple[Said | None, int]:
    """“± 5 percent”, “within half a volt”, “with a tolerance of 2 percent” behind what should be: how far off, and the end.

    Two sides that differ are passed over: the bench has no form for them.
    """
    end, texts = at, []
    while end < len(items) and (items[end].text == "\u00b1" or items[end].text in _OFF_BY):
        texts.append(items[end].text)
        end += 1
    if not texts:
        one, other = (*items[at : at + 2], None, None)[:2]
        uneven = one and other and one.number and other.number and one.number > 0 > other.number
        return None, at + 2 if uneven and other and other.unit == "%" else at
    if end >= len(items):
        return None, at
    width = items[end]
    behind = items[end + 1].text if end + 1 < len(items) else ""
    if not {"\u00b1", "within", "tolerance"} & {*texts, behind} and (
        texts[-1] != "with" or width.unit != "%"
    ):
        return None, at
    if width.number is None or width.unit in TIMES or width.number < 0 or width.doubtful:
        return None, at
    return said_of(width), end + 1


def is_bound(words: Sequence[str]) -> bool:
    """“more than 20 meg”, “no less than 5”: the value is a limit and not what was read."""
    return any(tuple(words[-len(one) :]) == one for one in (*AT_MOST, *AT_LEAST) if len(one) > 1)


def past_it(words: Sequence[str]) -> str:
    """“over 20 meg”: what the meter showed the value with, which belongs to how it was read."""
    return next((one for one in words[-1:] if one in {"over", "under", "above", "below"}), "")


def within_of(items: Sequence[Item], at: int) -> tuple[Said, Said] | None:
    """“within 5 percent of 6.3”: what should be, and how far off."""
    some = items[at : at + 3]
    if len(some) < 3 or not some[1].is_word("of") or some[0].number is None or some[2].number is None:
        return None
    return said_of(some[2]), said_of(some[0])


def kin(place: str, last: str) -> str:
    """A place that is told by what differs from the one before: “V1 pin 1 …, pin 6”, “collector of Q12 …, Q14”, “C22 …, esr”."""
    refs = re.findall(r"\bpin \d+|\b[A-Z]{1,2}\d+", last)
    if numbered := re.fullmatch(r"([a-z]+) \d+", place):
        return re.sub(rf"\b{numbered[1]} \d+", place, last)
    if place == "esr" and len(refs) == 1 and "esr" not in last.split():
        return f"{refs[0]} esr"
    letters = re.fullmatch(r"([A-Z]{1,2})\d+", place)
    if letters and len(refs) == 1 and re.fullmatch(rf"{letters[1]}\d+", refs[0]):
        return last.replace(refs[0], place)
    return place


def with_unit(said: Said, other: Said) -> Said | None:
    """The number in the unit of another value, with its prefix or with none; None where neither comes close to it.

    No other prefix is thought of: nobody said it.
    """
    if said.unit:
        return said
    if said.number is None or other.number is None or not other.unit:
        return replace(said, unit="ohm") if other.unit in {"open", "short"} else None
    if not other.number or not said.number or other.unit not in {"ohm", "F", "V", "A", "Hz"}:
        return replace(said, number=said.number.scaleb(other.power), unit=other.unit, power=other.power)
    powers = (other.power, 0) if other.power < 0 else dict.fromkeys((0, other.power))
    for power in powers:
        number = said.number.scaleb(power)
        near = KILO if power < 0 else CLOSE
        if Decimal(1) / near <= abs(number / other.number) <= near:
            return replace(said, number=number, unit=other.unit, power=power)
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
    if not last and (alike := _listed_behind(place, after)) and (as_there := with_unit(said, alike)):
        return as_there
    later = next((one for one in after if one.sort == "value" and one.unit not in TIMES), None)
    if later and {"should", "supposed"} & {one.text for one in after}:
        return with_unit(said, said_of(later)) or said
    return said


def _listed_behind(place: str, after: Sequence[Item]) -> Said | None:
    """“pin 4 -11.8, pin 8 11.9 volts”: the value right behind the next place of the same kind."""
    kind = re.match(r"(pin |[A-Z]{1,2})\d+$", place)
    for one, value in itertools.pairwise(after):
        if kind and one.sort == "ref" and value.sort == "value" and one.text.startswith(kind[1]):
            return said_of(value)
        if one.is_word("left", "right") and value.sort == "value":
            return said_of(value)  # “bias left 25, right 26 millivolts”
        if one.sort in {"value", "number"}:
            return None
    return None


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
    told = {text for at, text in enumerate(texts) if text != "between" or not SHOULD & set(texts[:at])}
    return either or bool(JUMPS & told)


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
