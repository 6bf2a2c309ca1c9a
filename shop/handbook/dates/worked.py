"""Hours really worked: of the weeks that were, the weeks to come are drawn, with what is known to be off taken out.

Sources
    Drawing runs of neighboring weeks, so that a slow month stays a slow month: D. N. Politis and J. P. Romano, "The
    stationary bootstrap", Journal of the American Statistical Association 89 (1994). The length of the runs, and how
    much the plan weighs against the past: common practice, no source.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from math import ceil

from shop.handbook.dates.refused import HOURS_OF_A_DAY, HOURS_OF_A_WEEK, Chance, DatesError

PLANNED_WEEKS = 4
"""The plan counts as so many weeks beside those that were worked."""
LONGEST_PAST = 52
RUN = 4
"""Weeks that are drawn together, on average."""
LONGEST_WEEKS = 520
SPARE_WEEKS = 60

PRIOR_WEEK = (2.0, 2.0, 0.0, 2.0, 0.0, 2.0, 0.0)
"""Monday to Sunday, of a shop beside a day's work that has said nothing and worked nothing yet."""

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


@dataclass(frozen=True, slots=True)
class Plan:
    """Hours meant for the bench on each weekday, Monday first, and the days on which nothing is done."""

    hours: tuple[float, ...] = PRIOR_WEEK
    off: frozenset[dt.date] = field(default_factory=frozenset)

    def __post_init__(self) -> None:
        if len(self.hours) != 7:
            raise DatesError("A week has seven days.")
        for day, hours in zip(DAYS, self.hours, strict=True):
            if not 0 <= hours <= HOURS_OF_A_DAY:
                raise DatesError(f"The hours of a {day} lie between 0 and {HOURS_OF_A_DAY}.")

    @property
    def week(self) -> float:
        """Hours of a full week."""
        return sum(self.hours)


@dataclass(frozen=True, slots=True)
class Week:
    """One past week: hours worked on each of its days, Monday first; None for a day that tells nothing.

    A day off by plan tells nothing, nor does one on which no job was waiting for the bench. `planned` is the plan's week
    as it was then, if another than today's.
    """

    hours: tuple[float | None, ...]
    planned: float | None = None


@dataclass(frozen=True, slots=True)
class Bench:
    """The bench's time from one day on: what a drawn run of weeks is made of."""

    start: dt.date
    plan: Plan
    weeks: tuple[tuple[float, ...], ...]
    past: int
    """How many worked weeks are among them."""

    @property
    def mean_week(self) -> float:
        """Hours to be expected of a week without days off."""
        return sum(map(sum, self.weeks)) / len(self.weeks)

    def horizon(self, work: float) -> int:
        """So many weeks that even a slow run of them gets through so many hours of work."""
        return min(ceil(1.6 * work / self.mean_week) + SPARE_WEEKS, LONGEST_WEEKS)

    def off_days(self, weeks: int) -> list[int]:
        """Which days, counted from the start, are off."""
        last = weeks * 7
        days = ((day - self.start).days for day in self.plan.off)
        return [day for day in days if 0 <= day < last]

    def drawn(
        self, chance: Chance, weeks: int, off: Sequence[int], today: float | None = None
    ) -> list[float]:
        """Bench hours reached by the end of each day from today on, over so many weeks. `today`: what is left of today."""
        pool, draw = self.weeks, chance.random
        count = len(pool)
        at = int(draw() * count)
        hours: list[float] = []
        for _ in range(weeks + 1):
            hours += pool[at]
            at = (at + 1) % count if draw() > 1 / RUN else int(draw() * count)
        hours = hours[self.start.weekday() : self.start.weekday() + weeks * 7]
        for day in off:
            hours[day] = 0.0
        if today is not None:
            hours[0] = today
        return list(accumulate(hours))


def bench_of(start: dt.date, plan: Plan, past: Iterable[Week] = ()) -> Bench:
    """The bench's time from `start` on: the worked weeks, the oldest first, and the plan as if it had been worked too.

    Raises DatesError for a week of no hours, by plan and past alike, or of more than a week has.
    """
    if plan.week > HOURS_OF_A_WEEK:
        raise DatesError(f"A week has {HOURS_OF_A_WEEK} hours.")
    known = [week for week in past if any(hours is not None for hours in week.hours)][-LONGEST_PAST:]
    share = _share_worked(plan, known)
    worked = [_filled(plan, week, share) for week in known]
    planned = tuple(hours * share for hours in plan.hours)
    weeks = (*worked, *[planned] * PLANNED_WEEKS)
    if not plan.week or not sum(map(sum, weeks)):
        raise DatesError("Without bench time in the week no queue ever ends.")
    return Bench(start, plan, weeks, len(worked))


def _share_worked(plan: Plan, weeks: Sequence[Week]) -> float:
    """Hours worked over hours planned, on days that tell; shrunk to 1 by the weeks that the plan counts as."""
    worked = meant = 0.0
    for week in weeks:
        scale = _scale(plan, week)
        for hours, planned in zip(week.hours, plan.hours, strict=True):
            if hours is not None:
                worked += hours * scale
                meant += planned
    weight = PLANNED_WEEKS * plan.week
    return (worked + weight) / (meant + weight) if meant + weight else 1.0


def _scale(plan: Plan, week: Week) -> float:
    """Today's plan over the plan of that week."""
    return plan.week / week.planned if week.planned else 1.0


def _filled(plan: Plan, week: Week, share: float) -> tuple[float, ...]:
    """A past week as it would be under today's plan; days that tell nothing are as usual."""
    scale = _scale(plan, week)
    return tuple(
        min(hours * scale, HOURS_OF_A_DAY) if hours is not None else planned * share
        for hours, planned in zip(week.hours, plan.hours, strict=True)
    )
