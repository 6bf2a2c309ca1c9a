"""What is written on a part, read into columns that can be searched: its value, its ratings, its tolerance, its keys."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
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
_FRACTION_ALONE = re.compile(r"\s*\d{1,2}/\d{1,2}\s*W\s*", re.IGNORECASE)
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

    A fraction of a watt alone is a rating, and a bare code for less than 10 mΩ (6L6) is a name.
    """
    if not text.strip() or _FRACTION_ALONE.fullmatch(text):
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


def typed_words(typed: str) -> list[str]:
    """The words of what was typed into the search box, at most eight."""
    return typed[:LONGEST_TYPED].split()[:MOST_WORDS]


def asked_values(typed: str) -> Iterator[Asked]:
    """The values in what was typed, by the longest run of words that can be read as one: `film 4k7 1/4W`.

    The other words must be met as words. Yields nothing where no run can be read.
    """
    words = typed_words(typed)
    for length in range(len(words), 0, -1):
        for start in range(len(words) - length + 1):
            found = markings(" ".join(words[start : start + length]))
            if found:
                rest = (*words[:start], *words[start + length :])
                yield from (Asked(marking, length, rest) for marking in found)
                return
