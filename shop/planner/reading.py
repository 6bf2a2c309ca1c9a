"""The book as the forecast asks for it: the past, the queue, and the weeks that were worked."""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from django.db.models import QuerySet

from shop.bench.models import Conclusion, SoakTest, Stint
from shop.counter.models import InboundParcel, Job, StageMove
from shop.counter.stages import IN_THE_QUEUE, KNOWN_AFTER, Outcome, Stage
from shop.frame import clock
from shop.handbook.dates.forecasting import History, Open, Owed, Past, Step
from shop.handbook.dates.waits import Wait
from shop.handbook.dates.work import Taken
from shop.handbook.dates.worked import LONGEST_PAST, Plan, Week
from shop.handbook.words.tokens import stored_tokens
from shop.planner.models import QueuePlace
from shop.premises.models import BenchWeek
from shop.premises.queries import bench_week_on, days_off
from shop.stockroom.models import PartWanted

NEWEST = 800
"""So many of the newest jobs are looked at: of a shop beside a day's work, some eight years."""
NEWEST_PARTS = 600
AHEAD = dt.timedelta(days=3653)
OFTEN = 5
"""A word of complaints that fewer jobs of a kind had tells nothing of their hours."""
FIRST_WAITS = tuple(stage for stage in KNOWN_AFTER if stage in IN_THE_QUEUE)
AT_THE_BENCH = tuple(stage for stage in IN_THE_QUEUE if stage.row.ahead == Step.TO_LOOK_AT)
Move = tuple[str, dt.datetime]


@dataclass
class Book:
    """Jobs with their stints, moves and words, each read once."""

    today: dt.date
    jobs: list[Job]
    moves: dict[int, list[Move]] = field(default_factory=lambda: defaultdict(list))
    stints: dict[int, list[tuple[dt.datetime, float]]] = field(default_factory=lambda: defaultdict(list))
    soaks: dict[int, float] = field(default_factory=dict)
    symptoms: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    words: dict[int, frozenset[str]] = field(default_factory=dict)

    @classmethod
    def read(cls, jobs: QuerySet[Job]) -> Book:
        """Read these jobs in five queries."""
        found = list(jobs.select_related("unit__model"))
        book, ids = cls(clock.today(), found), [job.pk for job in found]
        moves = StageMove.objects.filter(job__in=ids).order_by("job_id", "at", "id")
        for job, stage, at in moves.values_list("job_id", "to_stage", "at"):
            book.moves[job].append((stage, at))
        stints = Stint.objects.filter(job__in=ids, struck_at__isnull=True).order_by("started_at")
        for job, started, stopped in stints.values_list("job_id", "started_at", "stopped_at"):
            hours = ((stopped or clock.now()) - started).total_seconds() / 3600
            book.stints[job].append((started, max(hours, 0.0)))
        for job, planned in SoakTest.objects.filter(job__in=ids, struck_at__isnull=True).values_list(
            "job_id", "planned_seconds"
        ):
            book.soaks[job] = book.soaks.get(job, 0.0) + planned / 3600
        for one in found:
            book.words[one.pk] = frozenset(stored_tokens(one.complaint))
            book.symptoms[one.unit.model.kind].update(book.words[one.pk])
        return book

    def hours(self, job: Job) -> float:
        """Bench hours so far."""
        return sum(hours for _, hours in self.stints[job.pk])

    def groups(self, job: Job) -> tuple[str, ...]:
        """Kind, kind with the rarest word of the complaint that others had too, and model."""
        kind = job.unit.model.kind
        counts = self.symptoms[kind]
        known = [(counts[word], word) for word in self.words[job.pk] if counts[word] >= OFTEN]
        symptom = [f"symptom {kind} {min(known)[1]}"] if known else []
        return (f"kind {kind}", *symptom, f"model {job.unit.model_id}")

    def first_wait(self, job: Job) -> dt.datetime | None:
        """When it first had to wait for a word or a part."""
        return next((at for stage, at in self.moves[job.pk] if stage in FIRST_WAITS), None)

    def spans(self, job: Job, stages: Iterable[str]) -> list[tuple[dt.datetime, dt.datetime | None]]:
        """From when to when it stood at any of the stages; None where it still does."""
        moves, wanted = self.moves[job.pk], set(stages)
        ended = [(start, stop) for (stage, start), (_, stop) in pairwise(moves) if stage in wanted]
        still = [(moves[-1][1], None)] if moves and moves[-1][0] in wanted else []
        return [*ended, *still]


def past_book() -> Book:
    """The newest jobs of the book, whether they ended or not."""
    newest = Job.objects.order_by("-id").values_list("pk", flat=True)[:NEWEST]
    return Book.read(Job.objects.filter(pk__in=list(newest)).order_by("id"))


def history(book: Book) -> History:
    """What the forecast learns from."""
    ready = sorted((job for job in book.jobs if job.ready_at), key=lambda job: job.ready_at or clock.now())
    return History(
        past=[_past(book, job) for job in ready if book.hours(job)],
        words=[_wait(*span) for job in book.jobs for span in book.spans(job, [Stage.AWAITING_WORD])],
        parts=_parts(),
        coming=history_of_parcels().coming,
    )


def history_of_parcels() -> History:
    """How long announced parcels took, and nothing else."""
    newest = InboundParcel.objects.order_by("-id").values_list("announced_at", "arrived_at")[:100]
    return History(coming=[_wait(announced, arrived) for announced, arrived in newest])


def _past(book: Book, job: Job) -> Past:
    total, waited_at = book.hours(job), book.first_wait(job)
    before = sum(hours for at, hours in book.stints[job.pk] if waited_at and at < waited_at)
    stages = {stage for stage, _ in book.moves[job.pk]}
    told = bool(book.moves[job.pk])
    return Past(
        Taken(total, book.groups(job)),
        finding_share=before / total if waited_at and total and before else None,
        asked=Stage.AWAITING_WORD in stages if told else None,
        said_no=job.outcome == Outcome.DECLINED,
        parts=Stage.AWAITING_PARTS in stages if told else None,
        soak_hours=book.soaks.get(job.pk, 0.0),
    )


def _wait(start: dt.datetime, stop: dt.datetime | None) -> Wait:
    return Wait(((stop or clock.now()) - start).days, ended=stop is not None)


def _parts() -> dict[str, list[Wait]]:
    """Ordered parts by supplier, those that are still owed among them."""
    found: dict[str, list[Wait]] = defaultdict(list)
    sent = PartWanted.objects.filter(order_line__order__sent_at__isnull=False, dropped_at__isnull=True)
    rows = sent.order_by("-id").values_list(
        "order_line__order__supplier_id", "order_line__order__sent_at", "came_at"
    )
    for supplier, at, came in reversed(rows[:NEWEST_PARTS]):
        if at is not None:
            found[str(supplier)].append(_wait(at, came))
    return found


def queue_book() -> Book:
    """The open jobs that are not ready, in the order in which the bench takes them."""
    book = Book.read(Job.objects.filter(stage__in=IN_THE_QUEUE))
    places = dict(QueuePlace.objects.filter(job__stage__in=IN_THE_QUEUE).values_list("job_id", "place"))
    last = len(book.jobs) + max(places.values(), default=0)
    book.jobs.sort(
        key=lambda job: (
            job.stage != Stage.ON_THE_BENCH if not places else False,
            places.get(job.pk, last),
            job.booked_in_at or job.announced_at or clock.now(),
            job.pk,
        )
    )
    return book


def open_jobs(book: Book, past: Book) -> list[Open]:
    """The queue as the forecast asks for it."""
    ids = [job.pk for job in book.jobs]
    known = fault_known(book)
    owed = _owed(ids)
    soaking = {
        soak.job_id: soak for soak in SoakTest.objects.filter(job__in=ids, ended_at=None, struck_at=None)
    }
    return [_open(book, past, job, known, owed.get(job.pk, ()), soaking.get(job.pk)) for job in book.jobs]


def fault_known(book: Book) -> set[int]:
    """The jobs whose fault is known: concluded, asked about, waiting for parts, or on soak test at any time."""
    concluded = Conclusion.objects.filter(job__in=[job.pk for job in book.jobs], struck_at__isnull=True)
    asked = {job.pk for job in book.jobs if book.first_wait(job) is not None}
    return asked | set(concluded.values_list("job_id", flat=True))


def _owed(ids: Sequence[int]) -> dict[int, tuple[Owed, ...]]:
    found: dict[int, tuple[Owed, ...]] = {}
    wanted = PartWanted.objects.filter(job__in=ids, came_at=None, fitted_at=None, dropped_at=None)
    rows = wanted.values_list("job_id", "order_line__order__supplier_id", "order_line__order__sent_at")
    for job, supplier, sent in rows:
        one = Owed(str(supplier), (clock.now() - sent).days) if sent else Owed("", 0)
        found[job] = (*found.get(job, ()), one)
    return found


def _open(
    book: Book, past: Book, job: Job, known: set[int], owed: tuple[Owed, ...], soak: SoakTest | None
) -> Open:
    ahead = Stage(job.stage).row.ahead or Step.KNOWN
    if ahead == Step.TO_LOOK_AT and job.pk in known:
        ahead = Step.KNOWN
    past.words.setdefault(job.pk, book.words[job.pk])
    return Open(
        str(job.pk),
        ahead,
        past.groups(job),
        done=book.hours(job),
        waited=max((clock.now() - job.stage_since).days, 0),
        owed=owed,
        soak_left=max(soak.planned_seconds - soak.seconds, 0) / 3600 if soak else 0.0,
    )


def plan_on(day: dt.date) -> Plan:
    """The hours that hold on a day, with the days off of the years to come."""
    week = bench_week_on(day)
    off = frozenset(days_off(day, day + AHEAD))
    return Plan(week.hours, off) if week is not None else Plan(off=off)


def worked_weeks(book: Book) -> list[Week]:
    """The whole weeks of the last year since the first stint, hours by day. Days off, and those on which nothing waited, tell
    nothing."""
    this_monday = book.today - dt.timedelta(days=book.today.weekday())
    start = this_monday - dt.timedelta(weeks=LONGEST_PAST)
    hours: dict[dt.date, float] = defaultdict(float)
    stints = Stint.objects.filter(struck_at__isnull=True, started_at__gte=clock.moment_of(start))
    rows = stints.values_list("started_at", "stopped_at")
    for day, (begun, stopped) in zip(clock.days_of(at for at, _ in rows), rows, strict=True):
        hours[day] += max(((stopped or clock.now()) - begun).total_seconds() / 3600, 0.0)
    if not hours:
        return []
    first = min(hours)
    monday = max(start, first - dt.timedelta(days=first.weekday()))
    off, busy = days_off(monday, book.today), _busy_days(book, monday)
    plans = list(BenchWeek.objects.order_by("from_date"))
    weeks = []
    while monday < this_monday:
        days = [monday + dt.timedelta(days=at) for at in range(7)]
        told = tuple(
            hours.get(day, 0.0) if day not in off and (day in busy or day in hours) else None for day in days
        )
        planned = next((sum(one.hours) for one in reversed(plans) if one.from_date <= monday), None)
        weeks.append(Week(told, planned))
        monday += dt.timedelta(weeks=1)
    return weeks


def _busy_days(book: Book, first: dt.date) -> set[dt.date]:
    """The days on which some job stood at the bench or waited for it."""
    spans = [span for job in book.jobs for span in book.spans(job, AT_THE_BENCH)]
    begun = clock.days_of(start for start, _ in spans)
    ended = clock.days_of(stop or clock.now() for _, stop in spans)
    busy: set[dt.date] = set()
    for start, last in zip(begun, ended, strict=True):
        day = max(start, first)
        while day <= last:
            busy.add(day)
            day += clock.A_DAY
    return busy
