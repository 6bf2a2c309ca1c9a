"""What is known before judging: the days in which a unit may have been built, and the dated traces in it.

Sources
    The date on an untouched part is the earliest day on which the unit can have been built (guitardaterproject.org, looked
    up). How far a printed date may be off: the candidates of ``datecodes``.
"""

from __future__ import annotations

from calendar import monthrange
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..datecodes import Candidate
from ..datecodes.candidates import MONTHS, in_full


class WindowError(ValueError):
    """A build window that ends before it begins; the message is one sentence for the person."""


class Mark(StrEnum):
    """What a date was read off, and so what it can prove."""

    PART = "date code on a part"
    FACTORY_STAMP = "factory stamp"
    REPAIR_LABEL = "repair label"


@dataclass(frozen=True, slots=True)
class Window:
    """The days on which a unit may have been built, both included; None where that side is not known."""

    first: date | None = None
    last: date | None = None

    def __post_init__(self) -> None:
        if self.first and self.last and self.first > self.last:
            raise WindowError(
                "A unit can't have been built after the last day on which it may have been built."
            )

    @classmethod
    def years(cls, first: int, last: int | None = None) -> Window:
        """The whole of a year such as 1978, or of all years from the first to the last."""
        return cls(date(first, 1, 1), date(last or first, 12, 31))

    def gap_before(self, other: Window) -> tuple[date, date] | None:
        """This window's last day and the other's first, if this one is over before the other begins; else None."""
        if self.last and other.first and self.last < other.first:
            return self.last, other.first
        return None

    def meets(self, other: Window) -> bool:
        """Whether the two have a day in common."""
        return not (self.gap_before(other) or other.gap_before(self))

    def cut(self, other: Window) -> Window:
        """The days that the two have in common; they must meet."""
        firsts = [day for day in (self.first, other.first) if day]
        lasts = [day for day in (self.last, other.last) if day]
        return Window(max(firsts, default=None), min(lasts, default=None))

    def __str__(self) -> str:
        if self.first and self.last:
            words = span_in_words(self.first, self.last, "between {} and {}")
            if words.startswith("between"):
                return words
            return f"on {words}" if self.first == self.last else f"in {words}"
        if self.first:
            return f"on or after {in_full(self.first)}"
        return f"by {in_full(self.last)}" if self.last else "at an unknown time"


@dataclass(frozen=True, slots=True)
class Evidence:
    """One dated trace: where it is, what was read off it, and every reading of it.

    ``untouched`` says that the part sits in its factory solder, so that it was there when the unit was built.
    """

    where: str
    mark: Mark
    marking: str
    candidates: tuple[Candidate, ...]
    untouched: bool = False

    @property
    def name(self) -> str:
        """The trace in a sentence: ``Q703 “9148”``."""
        return f"{self.where} “{self.marking}”"

    def build_bound(self, candidate: Candidate) -> Window | None:
        """The days on which the unit can have been built if this reading is right; None: it says nothing of that.

        Leeway widens it: a stamp is the build itself, a repair comes after it, an untouched part was made before it.
        """
        if self.mark is Mark.FACTORY_STAMP:
            return Window(candidate.earliest, candidate.latest)
        if self.mark is Mark.REPAIR_LABEL:
            return Window(None, candidate.latest)
        return Window(candidate.earliest, None) if self.untouched else None


def span_in_words(first: date, last: date, between: str = "{} to {}") -> str:
    """Some days in words: a day, a week, a month, a year or years where they are whole, else the two ends."""
    if first == last:
        return in_full(first)
    if (first.month, first.day, last.month, last.day) == (1, 1, 12, 31):
        return str(first.year) if first.year == last.year else between.format(first.year, last.year)
    whole_month = first.day == 1 and last.day == monthrange(last.year, last.month)[1]
    if whole_month and (first.year, first.month) == (last.year, last.month):
        return f"{MONTHS[first.month - 1]} {first.year}"
    if (last - first).days == 6:
        return f"the week of {in_full(first)}"
    return between.format(in_full(first), in_full(last))


def in_words(candidate: Candidate) -> str:
    """The days of a reading in words, as they stand in a sentence."""
    return span_in_words(candidate.first, candidate.last)


def either(words: list[str]) -> str:
    """Alternatives in a sentence: ``a``, ``a or b``, ``a, b or c``."""
    return " or ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
