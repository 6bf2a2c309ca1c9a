"""Numbers as they are spoken, from a list of words: how much, how far, and whether another reading is as good.

"Six fifty" is 650 and "five oh two" 502, as part numbers and round values are said; "twelve six" may be 12.6 or 126
and is doubtful. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import NamedTuple

from shop.handbook.spoken.words import TENS, UNITS, Word

_TYPED = re.compile(r"\d+(?:,\d{3})*(?:\.\d+)?|\.\d+")
TEN, HUNDRED = 10, 100


class Number(NamedTuple):
    """A number and the index of the word behind it."""

    value: Decimal
    end: int
    doubtful: bool = False


class Atom(NamedTuple):
    """The smallest number that is said by itself: 0 to 99."""

    value: int
    end: int


def _text(words: Sequence[Word], at: int) -> str:
    return words[at].text if 0 <= at < len(words) else ""


def atom_at(words: Sequence[Word], at: int, *, inside: bool = False) -> Atom | None:
    """The number below a hundred that begins here; “oh” counts only inside of one."""
    text = _text(words, at)
    if text in TENS:
        unit = UNITS.get(_text(words, at + 1), 0)
        return Atom(TENS[text] + unit, at + 2) if 0 < unit < TEN else Atom(TENS[text], at + 1)
    if text in UNITS:
        return Atom(UNITS[text], at + 1)
    return Atom(0, at + 1) if inside and text in {"oh", "o"} else None


def _hundreds(words: Sequence[Word], at: int) -> Atom | None:
    """A number below ten thousand of which a part is “hundred”, or the bare atom."""
    if _text(words, at) == "a" and _text(words, at + 1) in {"hundred", "thousand"}:
        first: Atom | None = Atom(1, at + 1)
    else:
        first = atom_at(words, at)
    if not first or _text(words, first.end) != "hundred":
        return first
    end = first.end + 1
    joined = _text(words, end) == "and"
    rest = atom_at(words, end + 1 if joined else end)
    another = bool(rest and joined and atom_at(words, rest.end))
    if rest and rest.value and not another and _text(words, rest.end) not in {"hundred", "point"}:
        return Atom(first.value * HUNDRED + rest.value, rest.end)
    return Atom(first.value * HUNDRED, end)


def cardinal_at(words: Sequence[Word], at: int) -> Atom | None:
    """A whole number said in full: “three hundred thirty thousand”, “two thousand nine”."""
    first = _hundreds(words, at)
    if not first or _text(words, first.end) != "thousand":
        return first
    end = first.end + 1
    rest = _hundreds(words, end + 1 if _text(words, end) == "and" else end)
    if (
        rest
        and rest.value
        and _text(words, end) != "a"
        and _text(words, rest.end) not in {"thousand", "point"}
    ):
        return Atom(first.value * 1000 + rest.value, rest.end)
    return Atom(first.value * 1000, end)


def number_at(words: Sequence[Word], at: int) -> Number | None:
    """The number that begins at a word, spoken or typed; None if none does."""
    if _TYPED.fullmatch(_text(words, at)):
        return _typed(words, at)
    if _text(words, at) == "point":
        return _with_decimals(words, at, 0)
    first = cardinal_at(words, at)
    if not first:
        return None
    if _text(words, first.end) == "point":
        return _with_decimals(words, first.end, first.value)
    more = _fraction(words, first.end)
    if more:
        return Number(first.value + more.value, more.end)
    plain = first.value < HUNDRED and first == atom_at(words, at)
    return _run(words, first) if plain else Number(Decimal(first.value), first.end)


def _typed(words: Sequence[Word], at: int) -> Number:
    """Digits, with a spoken thousand or a half behind."""
    value = Decimal(words[at].text.replace(",", ""))
    if _text(words, at + 1) == "thousand":
        return Number(value * 1000, at + 2)
    more = _fraction(words, at + 1)
    return Number(value + more.value, more.end) if more else Number(value, at + 1)


def _fraction(words: Sequence[Word], at: int) -> Number | None:
    """“and a half”, “and a quarter”."""
    said = " ".join(_text(words, at + step) for step in range(3))
    part = {"and a half": Decimal("0.5"), "and a quarter": Decimal("0.25")}.get(said)
    return Number(part, at + 3) if part else None


def _with_decimals(words: Sequence[Word], at: int, whole: int) -> Number | None:
    """What stands behind “point”, digit by digit."""
    digits, end = "", at + 1
    while (one := atom_at(words, end, inside=True)) and _text(words, one.end) not in {
        "hundred",
        "thousand",
        "point",
    }:
        digits, end = digits + str(one.value), one.end
    return Number(Decimal(f"{whole}.{digits}"), end) if digits else None


def _run(words: Sequence[Word], first: Atom) -> Number:
    """Atoms said one behind the other: 6|50, 5|0|2, 10|15; doubtful where the joint may be a decimal point."""
    digits, end, last, doubtful = str(first.value), first.end, first.value, False
    while one := atom_at(words, end, inside=True):
        if _text(words, one.end) in {"hundred", "thousand", "point"} or _text(words, end) == "zero":
            break
        doubtful = doubtful or (last >= TEN and one.value < TEN)
        digits, end, last = digits + str(one.value), one.end, one.value
    return Number(Decimal(digits), end, doubtful)
