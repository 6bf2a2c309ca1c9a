"""What is written on a part, read into columns that can be searched: its value, its ratings, its tolerance, its keys."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.handbook.quantities import Kind, Quantity, Tolerance, Unreadable, parse, part_values
from shop.handbook.words import fold, fold_model

NO_VALUE = "none"
"""Said where a designation is a name, whatever it could be read as: 555, 6L6."""

MOST_WORDS = 8
LONGEST_TYPED = 120

KINDS = {
    Kind.RESISTANCE.value: "Resistance",
    Kind.CAPACITANCE.value: "Capacitance",
    Kind.INDUCTANCE.value: "Inductance",
    Kind.FREQUENCY.value: "Frequency",
    "voltage": "Voltage",
    "current": "Current",
}
_BY_UNIT = {"V": "voltage", "A": "current"}
_HINTS = {
    Kind.RESISTANCE: ("resist", "potentiom", "trimmer", "trimpot"),
    Kind.CAPACITANCE: ("capac", "electrolyt", "tantal"),
    Kind.INDUCTANCE: ("induct", "choke", "coil"),
}
_LEAST_BARE_OHMS = Decimal("0.01")


class Ambiguous(ValueError):
    """A marking that means two values; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class Marking:
    """A value with its kind as the column names it, and the quantity it was read from."""

    kind: str
    quantity: Quantity

    @property
    def value(self) -> Decimal:
        """The exact value in the base unit."""
        return self.quantity.value

    def rated(self, unit: str) -> float | None:
        """The rating in volts (V), watts (W) or amperes (A), where one is written."""
        return rated_in(self.quantity.ratings, unit)

    @property
    def tolerance_percent(self) -> float | None:
        """The wider side of the tolerance in percent."""
        return percent_of(self.quantity.tolerance)


def rated_in(ratings: Iterable[Quantity], unit: str) -> float | None:
    """The rating of that unit among several."""
    return next((float(rating.value) for rating in ratings if rating.unit == unit), None)


def percent_of(tolerance: Tolerance | None) -> float | None:
    """The wider side of a tolerance in percent; None where there is none, or it is in another unit."""
    if tolerance is None or tolerance.unit != "%":
        return None
    return float(max(tolerance.below, tolerance.above))


def markings(text: str) -> list[Marking]:
    """Every value that a marking may mean, without guessing; empty for a name.

    A bare code for less than 10 mΩ (6L6) is a name.
    """
    if not text.strip():
        return []
    try:
        readings = part_values(text)
    except Unreadable:
        return []
    found = []
    for quantity in readings:
        kind = quantity.kind.value if quantity.kind else _BY_UNIT.get(quantity.unit, "")
        bare = quantity.unit == "Ω" and quantity.value < _LEAST_BARE_OHMS and not set(text) & set("Ωom")
        if kind in KINDS and not bare and quantity.known is not None:
            found.append(Marking(kind, quantity))
    return found


def marking_of(designation: str, *, kind: str = "", description: str = "") -> Marking | None:
    """The one value that a part's designation says; None for a name.

    Words behind the value (`10k lin`) are left alone. Where two values are possible, `kind` or the description decides; else
    raises `Ambiguous`.
    """
    if kind == NO_VALUE:
        return None
    words = designation.split()
    for length in range(len(words), 0, -1):
        text = " ".join(words[:length])
        readings = [one for one in markings(text) if not kind or one.kind == kind]
        if not readings and kind in {Kind.RESISTANCE, Kind.CAPACITANCE, Kind.INDUCTANCE}:
            readings = _as_kind(text, Kind(kind))
        if len(readings) > 1:
            hinted = [one for one in readings if one.kind == hint_in(description)]
            readings = hinted or readings
        if len(readings) > 1:
            either = " or ".join(str(one.quantity) for one in readings)
            raise Ambiguous(f"“{text}” can be {either}: say what kind of value it is.")
        if readings:
            return readings[0]
    return None


def _as_kind(text: str, kind: Kind) -> list[Marking]:
    try:
        return [Marking(kind.value, parse(text, kind))]
    except Unreadable:
        return []


def hint_in(description: str) -> str:
    """The kind of value that a description speaks of, or nothing."""
    folded = fold(description)
    return next((kind.value for kind, words in _HINTS.items() if any(word in folded for word in words)), "")


def ratings_of(rating: str) -> tuple[Quantity, ...]:
    """What a rating says: `0.25 W`, `250 V, 1 A`, `63V 105°C`; empty for what can't be read."""
    text = " ".join(rating.replace(",", " ").replace(";", " ").split())
    if not text:
        return ()
    try:
        return parse(f"1R {text}").ratings
    except Unreadable:
        return ()


def tolerance_of(tolerance: str) -> Tolerance | None:
    """A tolerance as typed: `5%`, `±1 %`; None for what can't be read."""
    bare = tolerance.strip().lstrip("±").removeprefix("+/-").rstrip("%").strip()
    if not bare:
        return None
    try:
        return parse(f"1R {bare}%").tolerance
    except Unreadable:
        return None


# --- words and keys ---------------------------------------------------------------------------------------------


def key_of(number: str) -> str:
    """A number however it is punctuated: 2SC1815-GR and `2sc 1815 gr` are one."""
    return fold_model(number)


def words_of(*texts: str) -> str:
    """The folded words of a part, each with its key where punctuation stands in it: what the search looks through."""
    words: dict[str, None] = {}
    for text in texts:
        folded = fold(text)
        for word in folded.split():
            words |= {word.strip(",;:()"): None, key_of(word): None}
        if len(text) <= 80:
            words[key_of(text)] = None
    return " ".join(word for word in words if word)


@dataclass(frozen=True, slots=True)
class Asked:
    """One way of understanding what was typed: a value, of how many words it was read, and the words around it."""

    marking: Marking
    run: int
    words: tuple[str, ...]

    @property
    def is_sure(self) -> bool:
        """Whether the words mean this and are no mere names.

        Words that make a value only together (22 k) say nothing one by one, and ohms with watts (4k7 film 1/4W) are ohms.
        """
        read = self.marking.quantity
        passive = read.kind in {Kind.RESISTANCE, Kind.CAPACITANCE, Kind.INDUCTANCE}
        return self.run > 1 or (passive and bool(read.ratings or read.tolerance))


def typed_words(typed: str) -> list[str]:
    """The words of what was typed into the search box, at most eight."""
    return typed[:LONGEST_TYPED].replace("\0", " ").split()[:MOST_WORDS]


def asked_values(typed: str) -> Iterator[Asked]:
    """The values in what was typed, by the longest run of words that can be read as one: `film 4k7 1/4W`.

    A rating or a tolerance that stands apart from the value (`1/4W film 4k7`) is asked for like one beside it; the other words
    must be met as words. Yields nothing where no run can be read.
    """
    words = typed_words(typed)
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length + 1):
            found = markings(" ".join(words[start : start + length]))
            if found:
                rest, ratings, tolerance = _set_apart([*words[:start], *words[start + length :]])
                yield from (Asked(_with(one, ratings, tolerance), length, rest) for one in found)
                return


def _set_apart(words: list[str]) -> tuple[tuple[str, ...], tuple[Quantity, ...], Tolerance | None]:
    """The words that are no rating and no tolerance, and those that are, read."""
    rest: list[str] = []
    ratings: list[Quantity] = []
    tolerance: Tolerance | None = None
    left = words.copy()
    while left:
        for length in (2, 1):
            text = " ".join(left[:length])
            if rated := ratings_of(text):
                ratings.extend(rated)
            elif text.endswith("%") and tolerance is None and (wide := tolerance_of(text)):
                tolerance = wide
            else:
                continue
            break
        else:
            rest.append(left[0])
            length = 1
        left = left[length:]
    return tuple(rest), tuple(ratings), tolerance


def _with(marking: Marking, ratings: tuple[Quantity, ...], tolerance: Tolerance | None) -> Marking:
    read = marking.quantity
    whole = replace(read, ratings=(*read.ratings, *ratings), tolerance=read.tolerance or tolerance)
    return Marking(marking.kind, whole)


def watts_in(word: str) -> float | None:
    """The watts that a word says by itself: `1/4W`, `0.25W`; None for every other."""
    try:
        read = parse(word, Kind.POWER)
    except Unreadable:
        return None
    return float(read.value) if word[-1:] in "Ww" and read.known is not None else None
