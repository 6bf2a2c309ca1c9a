"""More in than out: whether the bench keeps up, since when it doesn't, and what would mend it.

Sources
    Work that arrives over the time there is: any text on queues; at 1 or more the backlog grows without bound. Since
    when: the week after the lowest point of the summed difference, as E. S. Page, "Continuous inspection schemes",
    Biometrika 41 (1954), finds a change. To load the bench to nine tenths at most: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from shop.handbook.dates.refused import DatesError

AIM = 0.9
"""A bench with more to do than this share of its time has queues that no customer waits for."""


@dataclass(frozen=True, slots=True)
class Load:
    """Hours of work that came, on a mean week, against the hours the bench has; `grows_since` counts weeks back."""

    came: float
    worked: float
    job_hours: float
    grows_since: int | None

    @property
    def share(self) -> float:
        """Work that arrives over the time there is."""
        return self.came / self.worked

    @property
    def more_hours(self) -> float:
        """Hours a week to add so that the bench keeps up with some room; none where it does."""
        return max(self.came / AIM - self.worked, 0.0)

    @property
    def jobs_it_bears(self) -> float:
        """Jobs a week that the present hours are enough for, with some room."""
        return AIM * self.worked / self.job_hours


def load_of(jobs_by_week: Sequence[int], job_hours: float, week_hours: float) -> Load:
    """Weigh the jobs that came in each week, the oldest first, against the hours of a mean week.

    Raises DatesError without weeks, and for a bench or a job of no hours.
    """
    if not jobs_by_week:
        raise DatesError("How much comes in takes at least one week to tell.")
    if week_hours <= 0 or job_hours <= 0:
        raise DatesError("Without bench time in the week no queue ever ends.")
    came = sum(jobs_by_week) / len(jobs_by_week) * job_hours
    backlog = [0.0, *accumulate(jobs * job_hours - week_hours for jobs in jobs_by_week)]
    least = min(backlog)
    lowest = max(at for at, level in enumerate(backlog) if level == least)
    return Load(came, week_hours, job_hours, len(jobs_by_week) - lowest if came >= week_hours else None)
