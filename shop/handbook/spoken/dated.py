"""A date as a sticker says it: every day it can be, as ISO dates or months.

Two figures of a year count from 1930, since what is repaired was made after that: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import suppress
from datetime import date
from typing import NamedTuple

from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.numbers import Atom, atom_at, number_at
from shop.handbook.spoken.words import Word

_MONTHS = listed(
    """
        january february march april may june july august september october november december
    """
)
_MONTH_OF = {name[:length]: at for at, name in enumerate(_MONTHS, 1) for length in (3, len(name))} | {
    "sept": 9
}
_ORDINALS = {
    word: day
    for day, word in enumerate(
        listed(
    """
        first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth
        fourteenth fifteenth sixteenth seventeenth eighteenth nineteenth twentieth
    """
),
        1,
    )
} | {f"{day}{end}": day for day in range(1, 32) for end in ("st", "nd", "rd", "th")}  # fmt: skip
_MONTH_SLASHED = re.compile(r"(\d{1,2})/((?:19|20)\d{2})")
_SLASHED = re.compile(r"(\d{1,2})[/.](\d{1,2})[/.](\d{2}|\d{4})")
_FIRST_YEAR, _LAST_YEAR, _PIVOT = 1930, 2060, 30


class Dated(NamedTuple):
    """Candidates in ISO form, joined by a slash, and where the words of the date stand."""

    candidates: str
    start: int
    end: int

    @property
    def doubtful(self) -> bool:
        """Whether it has more than one reading."""
        return "/" in self.candidates


def date_in(words: Sequence[Word]) -> Dated | None:
    """The first date that is said in full; a year alone is none."""
    for at in range(len(words)):
        found = _slashed(words, at) or _named(words, at) or _three(words, at)
        if found:
            return found
    return None


def _slashed(words: Sequence[Word], at: int) -> Dated | None:
    """4/11/88"""
    if (month := _MONTH_SLASHED.fullmatch(words[at].text)) and 1 <= int(month[1]) <= 12:
        return Dated(f"{month[2]}-{int(month[1]):02d}", words[at].start, words[at].end)
    found = _SLASHED.fullmatch(words[at].text)
    if not found:
        return None
    days = _days(int(found[1]), int(found[2]), _year_of(int(found[3])))
    return Dated(days, words[at].start, words[at].end) if days else None


def _days(first: int, second: int, year: int) -> str:
    """Both orders of day and month, those that are days."""
    days = []
    for month, day in ((first, second), (second, first)):
        with suppress(ValueError):
            days.append(date(year, month, day).isoformat())
    return "/".join(dict.fromkeys(days))


def _year_of(year: int) -> int:
    """A year of two figures in full."""
    return year if year > 99 else year + (2000 if year < _PIVOT else 1900)


def _year_at(words: Sequence[Word], at: int) -> Atom | None:
    """“nineteen ninety two”, “two thousand nine”, 1991, “ninety two” behind a month."""
    if at >= len(words):
        return None
    number = number_at(words, at)
    if not number or number.value != int(number.value):
        return None
    year = _year_of(int(number.value))
    return Atom(year, number.end) if _FIRST_YEAR <= year <= _LAST_YEAR else None


def _named(words: Sequence[Word], at: int) -> Dated | None:
    """“june nineteen ninety two”, 13 Nov 1991, Nov 13 1991."""
    month = _MONTH_OF.get(words[at].text)
    if not month:
        return None
    day_before = _day_before(words, at)
    year = _year_at(words, at + 1)
    if year and (year.value > 99 and _said_as_year(words, at + 1)):
        return _month_or_day(words, at, year, month, day_before)
    day = (
        _ordinal(words, at + 1)
        or atom_at(words, at + 1)
        or (Atom(int(words[at + 1].text), at + 2) if _is_day(words, at + 1) else None)
    )
    comma = (
        day.end + 1 if day and day.end < len(words) and words[day.end].text == "," else day.end if day else 0
    )
    year = _year_at(words, comma) if day else None
    return _month_or_day(words, at, year, month, day.value) if day and year else None


def _day_before(words: Sequence[Word], at: int) -> int:
    """13 Nov, “the eleventh of April”, “twenty first of May”; 0 where no day stands before the month."""
    before = at - 2 if at and words[at - 1].text == "of" else at - 1
    text = words[before].text if before >= 0 else ""
    day = int(text) if text.isdigit() else _ORDINALS.get(text, 0)
    tens = (
        {"twenty": 20, "thirty": 30}.get(words[before - 1].text, 0) if before > 0 and text in _ORDINALS else 0
    )
    return tens + day


def _ordinal(words: Sequence[Word], at: int) -> Atom | None:
    """“thirteenth”, “twenty first”"""
    text = words[at].text if at < len(words) else ""
    after = words[at + 1].text if at + 1 < len(words) else ""
    if text in {"twenty", "thirty"} and _ORDINALS.get(after, 99) < 10:
        return Atom({"twenty": 20, "thirty": 30}[text] + _ORDINALS[after], at + 2)
    return Atom(_ORDINALS[text], at + 1) if text in _ORDINALS else None


def _said_as_year(words: Sequence[Word], at: int) -> bool:
    """Not the day that stands between month and year."""
    number = number_at(words, at)
    return bool(number and number.value > 31)


def _is_day(words: Sequence[Word], at: int) -> bool:
    return at < len(words) and words[at].text.isdigit() and len(words[at].text) < 3


def _month_or_day(words: Sequence[Word], at: int, year: Atom, month: int, day: int) -> Dated | None:
    """A month of a year, or the day of it."""
    start = words[at - 1].start if day and at and words[at - 1].text.isdigit() else words[at].start
    end = words[year.end - 1].end
    if not day:
        return Dated(f"{year.value:04d}-{month:02d}", start, end)
    with suppress(ValueError):
        return Dated(date(year.value, month, day).isoformat(), start, end)
    return None


def _part(words: Sequence[Word], at: int) -> Atom | None:
    """One number of a date said as three; “of” before the year is passed over."""
    if at < len(words) and words[at].text == "of":
        at += 1
    if at < len(words) and words[at].text.isdigit():
        return Atom(int(words[at].text), at + 1)
    if at < len(words) and words[at].text in {"oh", "o"}:
        rest = atom_at(words, at + 1)
        return rest if rest and rest.value < 10 else None
    return atom_at(words, at)


def _three(words: Sequence[Word], at: int) -> Dated | None:
    """“four eleven eighty eight”, “oh four oh five oh six”, “4 11 of 88”."""
    first = _part(words, at)
    second = _part(words, first.end) if first else None
    third = _year_behind(words, second.end) if second else None
    if not first or not second or not third:
        return None
    days = _days(first.value, second.value, _year_of(third.value))
    return Dated(days, words[at].start, words[third.end - 1].end) if days else None


def _year_behind(words: Sequence[Word], at: int) -> Atom | None:
    """The year behind day and month: two figures, or in full."""
    full = _year_at(words, at)
    if full and _said_as_year(words, at) and words[at].text != "oh":
        return full
    return _part(words, at)
