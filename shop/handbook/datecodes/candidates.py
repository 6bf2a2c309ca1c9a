"""What a reading answers: candidates, each an interval of days with the words it rests on.

Sources
    That a date read off a part is an interval with the reading it rests on, and the three degrees of certainty: common
    practice, no source. Each scheme names its own source where it is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import NamedTuple

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


class Kind(StrEnum):
    """What the person says the marking is; without a kind all but the one-letter code are tried."""

    WEEK_CODE = "week code"
    SOURCE_DATE = "source and date"
    LETTER_CODE = "letter code"
    ONE_LETTER = "one letter"
    LABEL = "label"
    LABEL_US = "label, American order"
    LABEL_EUROPE = "label, European order"
    LABEL_JAPAN = "label, Japanese order"


class System(StrEnum):
    """The scheme that a reading follows."""

    YYWW = "year and week"
    YWW = "last digit of the year and week"
    SOURCE_DATE = "source code, year and week"
    YEAR_MONTH = "year letter and month"
    MONTH_YEAR = "month and year letter, the order of 1969 to 1977"
    DIGIT_MONTH = "last digit of the year and a letter for the month"
    ONE_LETTER = "one letter for month and year"
    LABEL_US = "month-day-year"
    LABEL_EUROPE = "day-month-year"
    LABEL_JAPAN = "year-month-day"
    LABEL_ERA = "Japanese era year"
    LABEL_NAMED = "month by name"
    LABEL_MONTH = "month and year"
    LABEL_YEAR = "year alone"
    LABEL_WEEK = "week and year"


class Certainty(StrEnum):
    """How far the form of the marking alone carries a reading."""

    ONLY = "the only reading"
    BY_FORM = "the only reading as a date, by its form alone"
    SEVERAL = "one of several readings"
    DOUBTFUL = "doubtful"


class NotADate(ValueError):
    """The marking can't be read as a date up to today; the message is one sentence for the person."""

    def __init__(self, text: str, why: str) -> None:
        self.text = text
        shown = text if len(text) <= 24 else text[:23] + "…"
        super().__init__(f"“{shown}” can't be read as a date: {why}." if shown else "Nothing was typed.")


class NoSuchDate(ValueError):
    """Within this package: the form is one scheme's, but no day can be meant; the message says why."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One reading: the days from ``first`` to ``last``, both included and never after the day of reading.

    ``early`` and ``late`` are the days by which the true date may lie outside, because makers count weeks differently
    or date ahead; compare with ``earliest`` and ``latest``.
    """

    first: date
    last: date
    system: System
    certainty: Certainty
    reading: str
    early: int = 0
    late: int = 0

    @property
    def earliest(self) -> date:
        """The first day with the leeway taken off."""
        return self.first - timedelta(days=self.early)

    @property
    def latest(self) -> date:
        """The last day with the leeway added; it may lie after the day of reading."""
        return self.last + timedelta(days=self.late)


class Found(NamedTuple):
    """A reading before it is cut off at today and given its certainty; days as ordinals, for speed."""

    first: int
    last: int
    system: System
    reading: str
    doubtful: bool = False
    early: int = 0
    late: int = 0
    certain: bool = False
    """Whether a register, or the date written out, leaves no other reading of the form."""


def in_full(day: date) -> str:
    """A day in words: 4 March 1982."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"
