"""Questions asked at the bench. Nothing here writes."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from functools import cache, cached_property
from typing import Any, TypeVar

from django.db import connection
from django.db.models import CharField, Exists, F, Model, OuterRef, Q, QuerySet, Value

from shop.bench.models import (
    CautionRead,
    Conclusion,
    Evidence,
    FailureMode,
    Finding,
    FittedList,
    Heard,
    LeftOff,
    Overruled,
    Reading,
    SafetyCheck,
    SafetyWaiver,
    Said,
    SoakTest,
    Stint,
    Taking,
    Temporary,
    Ticked,
)
from shop.bench.safety import lets_go
from shop.counter.models import Job, JobPicture, Unit
from shop.counter.queries import jobs_numbered, open_jobs
from shop.counter.stages import BENCH_LISTS, Stage
from shop.frame.models import Staff
from shop.handbook.in_words import listed
from shop.handbook.jobnumber import MOST_SEQUENCE_DIGITS, JobNumber, JobNumberError, WrongCheckCharacter

L = TypeVar("L", bound=Model)


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


def still_in(job: Job) -> list[Temporary]:
    """What is temporarily in the set and not put back yet, the oldest first."""
    standing = Temporary.objects.filter(job=job, back_at__isnull=True, struck_at__isnull=True)
    return list(standing.order_by("at", "id"))


def not_put_back(job: Job) -> str | None:
    """Why a job can't be ready while something is temporarily in its set."""
    left = still_in(job)
    if not left:
        return None
    return f"Still in the set of {job.number}: {listed([str(one) for one in left])}. Put it back first."


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
    shelves = []
    for title, stages in BENCH_LISTS.items():
        jobs = list(open_jobs().filter(stage__in=stages).order_by("stage_since")[: LONGEST_LIST + 1])
        shelves.append(Shelf(title, jobs[:LONGEST_LIST], more=len(jobs) > LONGEST_LIST))
    return shelves


_WITHOUT_CHECK = re.compile(r"\s*(\d{2})\s*[-–/ ]\s*(\d{1,9})\s*")


def _number_meant(typed: str) -> JobNumber:
    """The job number that was typed: whole, without its check character, or with the twin of that character."""
    bare = _WITHOUT_CHECK.fullmatch(typed)
    if bare is not None:
        return JobNumber(int(bare[1]), int(bare[2]))
    try:
        return JobNumber.parse(typed)
    except WrongCheckCharacter as error:
        if error.suggestion is None:
            raise
        return error.suggestion


def jobs_meant(typed: str) -> list[Job]:
    """The jobs that a typed number may mean: a whole job number, one without its last character, or its sequence alone.

    Open jobs first, all years. An O typed for a zero as the last character, or the other way round, means the job as well.
    """
    if typed.isascii() and typed.isdigit() and len(typed) <= MOST_SEQUENCE_DIGITS:
        return jobs_numbered(int(typed))
    try:
        number = str(_number_meant(typed))
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
    staff: Staff | None = None
    """Whose running clock is asked for along with the bench time, on whatever job it runs."""

    def _lines(self, model: type[L], *related: str) -> list[L]:
        written = model._default_manager.filter(job=self.job)
        return list(written.select_related("by", *related).order_by("at", "id"))

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
        """What had failed, and what fixed it."""
        return self._lines(Conclusion)

    @cached_property
    def stints(self) -> list[Stint]:
        """Bench time."""
        return [one for one in self._stints if one.job_id == self.job.pk]

    @property
    def running(self) -> Stint | None:
        """The stint that the clock of `staff` runs on, on whatever job."""
        mine = (one for one in self._stints if self.staff is not None and one.by_id == self.staff.pk)
        return next((one for one in mine if one.stopped_at is None and one.struck_at is None), None)

    @cached_property
    def _stints(self) -> list[Stint]:
        """Bench time on this job, and the running stint of `staff`: one query."""
        wanted = Q(job=self.job)
        if self.staff is not None:
            wanted |= Q(by=self.staff, stopped_at__isnull=True, struck_at__isnull=True)
        stints = Stint.objects.filter(wanted).select_related("by", "job__unit__model__maker")
        return list(stints.order_by("at", "id"))

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


def record_of(job: Job, *, whole: bool = True, staff: Staff | None = None) -> BenchRecord:
    """The bench's record of one job, in a bounded number of queries; see `BenchRecord` for `whole` and `staff`."""
    return BenchRecord(job, whole, staff)


@dataclass(frozen=True, slots=True)
class Note:
    """A line of the notebook, of whatever kind: its first, second and third words."""

    kind: str
    pk: int
    at: dt.datetime
    first: str
    second: str
    third: str

    def __str__(self) -> str:
        return f"{self.first}, {self.second}" if self.second else self.first


_STANDING = Q(struck_at__isnull=True)
_WAITS = Heard.objects.filter(said=OuterRef("pk"), taking__isnull=True, dropped_at__isnull=True)
"""What was heard in some words and waits for a person."""
_NOTES: tuple[tuple[str, type[Model], Q, tuple[str, str, str]], ...] = (
    ("temporary", Temporary, _STANDING & Q(back_at__isnull=True), ("what", "where", "")),
    ("left_off", LeftOff, _STANDING, ("text", "", "")),
    ("ticked", Ticked, _STANDING, ("checklist", "step", "left_out")),
    ("list", FittedList, _STANDING, ("text", "", "")),
    ("taking", Taking, _STANDING, ("said__text", "said__clip", "")),
    ("waits", Said, _STANDING & Q(Exists(_WAITS)), ("clip", "", "")),
    ("overruled", Overruled, _STANDING, ("rule", "reason", "")),
    ("caution", CautionRead, Q(), ("key", "", "")),
)
"""What it is called, its table, which of its lines stand, and the columns of its words."""


def notes_of(job: Job, staff: Staff) -> dict[str, list[Note]]:
    """The short lines of a job that stand, by their kind and in the order of writing, in one query.

    Of the cautions, those that `staff` has read.
    """
    statement, values = _asked_of_notes(connection.vendor)
    named: dict[Any, int] = {_THE_JOB: job.pk, _WHO_READS: staff.pk}
    found: dict[str, list[Note]] = {kind: [] for kind, *_ in _NOTES}
    with connection.cursor() as cursor:
        cursor.execute(statement, [named.get(one, one) for one in values])
        for kind, pk, at, *words in cursor.fetchall():
            found[kind].append(Note(kind, pk, as_moment(at), *words))
    return found


_THE_JOB, _WHO_READS = -1, -2
"""Stand in the statement for the job and for who reads."""


@cache
def _asked_of_notes(_vendor: str) -> tuple[str, tuple[Any, ...]]:
    # every note that is taken asks it, and Django needs some three milliseconds to put eight tables into words
    first, *rest = [_rows_of_notes(*one) for one in _NOTES]
    everything = first.union(*rest, all=True).order_by("at", "pk_of")
    statement, values = everything.query.get_compiler(connection=connection).as_sql()
    return statement, tuple(values)


def as_moment(kept: dt.datetime | str) -> dt.datetime:
    """A moment out of a statement of one's own: SQLite keeps text, in Greenwich's time, and its driver may have read it."""
    read = kept if isinstance(kept, dt.datetime) else dt.datetime.fromisoformat(kept)
    return read if read.tzinfo else read.replace(tzinfo=dt.UTC)


def _rows_of_notes(
    kind: str, table: type[Model], standing: Q, words: tuple[str, str, str]
) -> QuerySet[Any, Any]:
    blank = Value("", output_field=CharField())
    own = standing & Q(by=_WHO_READS) if table is CautionRead else standing
    lines = table._default_manager.filter(own, job=_THE_JOB).annotate(
        kind_of=Value(kind, output_field=CharField()),
        pk_of=F("id"),
        **{f"word_{at}": F(name) if name else blank for at, name in enumerate(words)},
    )
    rows: QuerySet[Any, Any] = lines.order_by().values_list(
        "kind_of", "pk_of", "at", "word_0", "word_1", "word_2"
    )
    return rows


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
