"""Questions asked at the bench. Nothing here writes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import QuerySet

from shop.bench.models import (
    Conclusion,
    Evidence,
    FailureMode,
    Finding,
    Reading,
    SafetyCheck,
    SafetyWaiver,
    SoakTest,
    Stint,
)
from shop.bench.safety import lets_go
from shop.counter.models import Job, JobPicture, Unit
from shop.counter.queries import jobs_numbered, open_jobs
from shop.counter.stages import Stage
from shop.frame.models import Staff
from shop.handbook.jobnumber import MOST_SEQUENCE_DIGITS, JobNumber, JobNumberError

AT_THE_BENCH = (Stage.ON_THE_BENCH, Stage.PROVING, Stage.BOOKED_IN, Stage.AWAITING_PARTS, Stage.AWAITING_WORD)


def running_stint(staff: Staff) -> Stint | None:
    """The stint that this person's clock runs on, with its job."""
    running = Stint.objects.filter(by=staff, stopped_at__isnull=True, struck_at__isnull=True)
    return running.select_related("job__unit__model__maker").first()


def conclusion_of(job: Job) -> Conclusion | None:
    """The last conclusion that stands."""
    return Conclusion.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id").first()


def conclusion_stands(record: BenchRecord) -> bool:
    """Whether any conclusion of this record stands."""
    return any(one.struck_at is None for one in record.conclusions)


def latest_safety_check(job: Job) -> SafetyCheck | None:
    """The last safety check that stands, with its tests."""
    checks = SafetyCheck.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id")
    return checks.select_related("by", "meter").prefetch_related("tests").first()


def running_soak(job: Job) -> SoakTest | None:
    """The soak test that a job is on."""
    return SoakTest.objects.filter(job=job, ended_at__isnull=True, struck_at__isnull=True).first()


def running_soaks() -> list[SoakTest]:
    """Every soak test that runs, with its looks and its job, the one to be looked at next first. Two queries."""
    running = SoakTest.objects.filter(job__stage=Stage.PROVING, ended_at__isnull=True, struck_at__isnull=True)
    whole = running.select_related("job__unit__model__maker").prefetch_related("checks").order_by("at")
    return sorted(whole, key=lambda soak: soak.seconds_to_check)


@dataclass(frozen=True, slots=True)
class Shelf:
    """Jobs that stand alike, as the bench lists them."""

    title: str
    jobs: list[Job]
    more: bool = False


LONGEST_LIST = 60


def bench_shelves() -> list[Shelf]:
    """The jobs of the bench by where they stand, the longest waiting first; one query for each."""
    kinds: list[tuple[str, tuple[Stage, ...]]] = [
        ("On the bench", (Stage.ON_THE_BENCH, Stage.PROVING)),
        ("Waiting for the bench", (Stage.BOOKED_IN,)),
        ("Waiting for somebody else", (Stage.AWAITING_WORD, Stage.AWAITING_PARTS)),
    ]
    shelves = []
    for title, stages in kinds:
        jobs = list(open_jobs().filter(stage__in=stages).order_by("stage_since")[: LONGEST_LIST + 1])
        shelves.append(Shelf(title, jobs[:LONGEST_LIST], more=len(jobs) > LONGEST_LIST))
    return shelves


def jobs_meant(typed: str) -> list[Job]:
    """The jobs that a typed number may mean: a whole job number, or its sequence alone; open jobs first, all years."""
    if typed.isascii() and typed.isdigit() and len(typed) <= MOST_SEQUENCE_DIGITS:
        return jobs_numbered(int(typed))
    try:
        number = str(JobNumber.parse(typed))
    except JobNumberError:
        return []
    return list(Job.objects.filter(number=number).select_related("customer", "unit__model__maker"))


@dataclass
class BenchRecord:
    """Everything the bench wrote on one job: each list in the order of writing, struck lines among them.

    Each list is one query, made when it is first asked for: an answer that shows one of them reads no others. If not
    `whole`, safety checks come without their tests and soak tests without the looks at them.
    """

    job: Job
    whole: bool = True

    def _lines(self, model: Any, *related: str) -> list[Any]:
        return list(model.objects.filter(job=self.job).select_related("by", *related).order_by("at", "id"))

    @cached_property
    def findings(self) -> list[Finding]:
        """What was seen."""
        return self._lines(Finding, "picture")

    @cached_property
    def readings(self) -> list[Reading]:
        """What was measured."""
        return self._lines(Reading, "meter")

    @cached_property
    def of_the_unit(self) -> list[Evidence]:
        """The traces of earlier work from all jobs of the same unit."""
        traces = Evidence.objects.filter(job__unit_id=self.job.unit_id).select_related("by", "picture")
        return list(traces.order_by("at", "id"))

    @property
    def evidence(self) -> list[Evidence]:
        """The traces of earlier work that this job found."""
        return [one for one in self.of_the_unit if one.job_id == self.job.pk]

    @cached_property
    def conclusions(self) -> list[Conclusion]:
        """What had failed, and what put it right."""
        return self._lines(Conclusion)

    @cached_property
    def stints(self) -> list[Stint]:
        """Bench time."""
        return self._lines(Stint)

    @cached_property
    def soaks(self) -> list[SoakTest]:
        """Soak tests; none before something was concluded."""
        if not self.conclusions:
            return []
        soaks = SoakTest.objects.filter(job=self.job).select_related("by").order_by("at")
        return list(soaks.prefetch_related("checks") if self.whole else soaks)

    @cached_property
    def safety_checks(self) -> list[SafetyCheck]:
        """Safety checks."""
        checks = SafetyCheck.objects.filter(job=self.job).select_related("by", "meter").order_by("at", "id")
        return list(checks.prefetch_related("tests") if self.whole else checks)

    @cached_property
    def waivers(self) -> list[SafetyWaiver]:
        """Written reasons in place of a safety check; not asked for where one was passed, if not `whole`."""
        passed = any(one.struck_at is None and lets_go(one, self.job.unit) for one in self.safety_checks[-1:])
        return self._lines(SafetyWaiver) if self.job.unit.mains and (self.whole or not passed) else []

    @cached_property
    def pictures(self) -> list[JobPicture]:
        """Photographs that were not set aside."""
        standing = JobPicture.objects.filter(job=self.job, struck_at__isnull=True)
        return list(standing.select_related("picture").order_by("id"))


def record_of(job: Job, *, whole: bool = True) -> BenchRecord:
    """The bench's record of one job, in a bounded number of queries; see `BenchRecord` for `whole`."""
    return BenchRecord(job, whole)


LATEST_UNITS = 100


def latest_units_of(model_id: int) -> QuerySet[Unit, int]:
    """The units of a model that the shop saw first most lately: enough to learn from, however many there are."""
    return Unit.objects.filter(model_id=model_id).order_by("-pk").values_list("pk", flat=True)[:LATEST_UNITS]


def failed_before(job: Job, *, limit: int) -> list[Conclusion]:
    """What failed in the same model on other jobs, the latest first."""
    others = Conclusion.objects.filter(
        job__unit_id__in=latest_units_of(job.unit.model_id), struck_at__isnull=True
    )
    others = others.exclude(job=job).exclude(mode=FailureMode.NONE_FOUND)
    return list(others.select_related("job").order_by("-at", "-id")[:limit])
