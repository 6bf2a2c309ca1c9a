"""The shop's figures for one year: how long things took and why, what waits, what came back, what was kept out of the waste."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from shop.bench.models import Conclusion, FailureMode
from shop.counter.models import Job, Kind, StageMove
from shop.counter.stages import ENDED, UNCOUNTED, Stage
from shop.frame import clock
from shop.frame.plots import Bar, ParetoRow, pareto
from shop.handbook.counting import percentile
from shop.records.model_files import (
    REPAIRED,
    Rate,
    bench_seconds,
    earned_minor,
    repaired_of,
    spread,
)
from shop.records.models import BroughtRow

DAY = 86_400
MOST_JOBS = 20_000


@dataclass(frozen=True, slots=True)
class Turnaround:
    """Whole days: the middle one, and the one that 85 of a hundred did not exceed."""

    label: str
    jobs: int
    median: int
    p85: int


@dataclass(frozen=True, slots=True)
class Waste:
    """What was kept out of the waste: grams of repaired units, and how many of them have no weight in their model file."""

    grams: int
    weighed: int
    unweighed: int


@dataclass
class Figures:
    """The figures of one year's jobs, by the day they came."""

    year: int

    @cached_property
    def jobs(self) -> list[Job]:
        """The jobs of the year; at most twenty thousand."""
        here = Job.objects.filter(year=self.year).exclude(stage__in=UNCOUNTED)
        found = here.select_related("unit__model").order_by("-sequence")
        return list(found[:MOST_JOBS])

    @property
    def ended(self) -> list[Job]:
        """Those that were here and whose end is known: an old list without the day they went home says the day they came."""
        return [
            job
            for job in self.jobs
            if job.stage in ENDED and job.ended_at and job.booked_in_at and job.booked_in_at < job.ended_at
        ]

    @cached_property
    def _brought(self) -> set[int]:
        """The jobs that came in by a list, which does not say what they waited for."""
        return set(BroughtRow.objects.filter(job__year=self.year).values_list("job_id", flat=True))

    @cached_property
    def turnaround(self) -> Turnaround | None:
        """From booking in to the end, of all jobs that ended. Open jobs are left out, which makes it look quicker."""
        days = [
            _days(job.booked_in_at, job.ended_at) for job in self.ended if job.booked_in_at and job.ended_at
        ]
        return _turnaround("all", days)

    @cached_property
    def waits(self) -> list[Turnaround]:
        """Days spent waiting for each thing, over the jobs that waited for it at all."""
        spent = seconds_by_stage([job.pk for job in self.ended if job.pk not in self._brought])
        rows = []
        for stage in Stage:
            days = [seconds // DAY for seconds in spent.get(stage, {}).values()]
            if stage.row.waits_for and (one := _turnaround(stage.row.waits_for, days)):
                rows.append(one)
        return rows

    @property
    def wait_bars(self) -> list[Bar]:
        """The medians as bars."""
        return [Bar(row.label, row.median, f"{row.median} d") for row in self.waits]

    @property
    def repaired(self) -> Rate:
        """How many of the ended jobs were repaired, whole or in part."""
        return repaired_of(self.jobs)

    @property
    def comebacks(self) -> Rate:
        """How many of the year's jobs are comebacks."""
        return Rate(sum(job.comeback_of_id is not None for job in self.jobs), len(self.jobs))

    @property
    def waste(self) -> Waste:
        """Units repaired and gone home, each once, by the weight in their model file."""
        saved = {
            job.unit_id: job.unit.model.weight_grams
            for job in self.jobs
            if job.stage == Stage.GONE_HOME and job.outcome in REPAIRED
        }
        grams = list(saved.values())
        known = [one for one in grams if one]
        return Waste(sum(known), len(known), len(grams) - len(known))

    @property
    def kinds(self) -> list[Bar]:
        """What came, by kind."""
        counts = Counter(job.unit.model.kind for job in self.jobs)
        return [Bar(Kind(kind).label, count) for kind, count in counts.most_common(10)]

    @cached_property
    def failures(self) -> list[ParetoRow]:
        """How things failed, where it is said: old lists do not."""
        standing = Conclusion.objects.filter(job__year=self.year, struck_at__isnull=True)
        told = standing.values_list("job_id", "mode")[:MOST_JOBS]
        counts = Counter(mode for job, mode in told if mode != FailureMode.OTHER or job not in self._brought)
        return pareto([(FailureMode(mode).label, count) for mode, count in counts.items()])

    @cached_property
    def hours(self) -> tuple[int, int] | None:
        """Median and 85th percentile of bench time by job, in seconds."""
        return spread(list(self._seconds.values()))

    @cached_property
    def _seconds(self) -> Mapping[int, int]:
        return bench_seconds([job.pk for job in self.jobs])

    @cached_property
    def earned_minor(self) -> int:
        """What issued invoices charged for the year's jobs before tax, in minor units."""
        return earned_minor([job.pk for job in self.jobs])


def years() -> list[int]:
    """The years of which the shop has jobs, the newest first."""
    found = Job.objects.order_by("-year").values_list("year", flat=True).distinct()
    return list(found[:60]) or [clock.today().year]


def seconds_by_stage(jobs: Sequence[int]) -> dict[str, dict[int, int]]:
    """How long each job stood at each stage, in seconds, from its moves; the stage that it stands at now is left out."""
    spent: dict[str, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    before: tuple[int, str, dt.datetime] | None = None
    for some in _chunks(jobs):
        moves = StageMove.objects.filter(job__in=some).order_by("job_id", "at", "id")
        for job, to_stage, at in moves.values_list("job_id", "to_stage", "at"):
            if before is not None and before[0] == job:
                spent[before[1]][job] += int((at - before[2]).total_seconds())
            before = (job, to_stage, at)
    return spent


def _chunks(jobs: Sequence[int]) -> Iterable[Sequence[int]]:
    return (jobs[start : start + 5000] for start in range(0, len(jobs), 5000))


def _days(start: dt.datetime, stop: dt.datetime) -> int:
    return max((stop - start).days, 0)


def _turnaround(label: str, days: Sequence[int]) -> Turnaround | None:
    if not days:
        return None
    return Turnaround(label, len(days), percentile(days, 0.5), percentile(days, 0.85))
