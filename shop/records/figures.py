"""The shop's figures for one year: how long things took and why, what waits, what came back, what was kept out of the waste."""

from __future__ import annotations

import datetime as dt
import random
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Count, Min, Q

from shop.bench.models import Conclusion, FailureMode, Stint
from shop.counter.models import Job, Kind, StageMove
from shop.counter.stages import ENDED, QUEUED, UNCOUNTED, Stage
from shop.frame import clock
from shop.frame.plots import Bar, ParetoRow, pareto
from shop.handbook.counting import CountingError, percentile, queue, utilisation, weeks
from shop.records.model_files import (
    REPAIRED,
    Rate,
    bench_seconds,
    earned_minor,
    finished,
    repaired_of,
    spread,
)
from shop.records.models import BroughtRow

DAY = 86_400
WEEKS_LOOKED_AT = 12
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


@dataclass(frozen=True, slots=True)
class Queue:
    """How long what waits for the bench will take; `weeks` are None where no bench time is known."""

    waiting: int
    past_jobs: int
    median_seconds: int
    p85_seconds: int
    bench_seconds_a_week: int
    weeks_median: float | None
    weeks_p85: float | None
    load_percent: int | None

    @property
    def grows(self) -> bool:
        """Whether more work comes in than the bench can do, so that no forecast holds."""
        return self.load_percent is not None and self.load_percent >= 100


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

    @cached_property
    def queue(self) -> Queue | None:
        """What waits for the bench now, measured by how long past jobs took; None where no past job tells."""
        past = [seconds for seconds in self._seconds.values() if seconds]
        waiting = Job.objects.filter(stage__in=QUEUED).count()
        if not past:
            return None
        # seeded by the day, so that the figure stands still while somebody looks at it
        told = queue(past, waiting, random.Random(clock.today().toordinal()))  # noqa: S311
        a_week = bench_seconds_a_week()
        return Queue(
            waiting=waiting,
            past_jobs=len(past),
            median_seconds=told.percentile(0.5),
            p85_seconds=told.percentile(0.85),
            bench_seconds_a_week=a_week,
            weeks_median=_weeks(told.percentile(0.5), a_week),
            weeks_p85=_weeks(told.percentile(0.85), a_week),
            load_percent=_load(past, a_week),
        )


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


def bench_seconds_a_week() -> int:
    """Bench time of the last twelve weeks, by week; of a younger shop, since its first stint."""
    standing = Stint.objects.filter(struck_at__isnull=True)
    recent = finished(standing.filter(started_at__gte=_looked_at_since()))
    first = standing.aggregate(first=Min("started_at"))["first"]
    return sum(seconds for _, seconds in recent) // _weeks_to_divide_by(first)


def _looked_at_since() -> dt.datetime:
    return clock.now() - dt.timedelta(weeks=WEEKS_LOOKED_AT)


def _weeks_to_divide_by(first: dt.datetime | None) -> int:
    """Twelve, or in a younger shop the weeks since its first, one at least."""
    days = (clock.now() - first).days if first is not None else 0
    return min(WEEKS_LOOKED_AT, max(1, -(-days // 7)))


def _weeks(work: int, a_week: int) -> float | None:
    try:
        return round(float(weeks(work, a_week)), 1)
    except CountingError:
        return None


def _load(past: Sequence[int], a_week: int) -> int | None:
    """Work that came in over the last twelve weeks against bench time, in per cent."""
    if not a_week:
        return None
    recent = Q(booked_in_at__gte=_looked_at_since())
    jobs = Job.objects.aggregate(came=Count("pk", filter=recent), first=Min("booked_in_at"))
    arriving = jobs["came"] / _weeks_to_divide_by(jobs["first"])
    mean = sum(past) / len(past)
    return int(utilisation(round(arriving, 6), round(mean, 3), a_week).share * 100)


def _days(start: dt.datetime, stop: dt.datetime) -> int:
    return max((stop - start).days, 0)


def _turnaround(label: str, days: Sequence[int]) -> Turnaround | None:
    if not days:
        return None
    return Turnaround(label, len(days), percentile(days, 0.5), percentile(days, 0.85))
