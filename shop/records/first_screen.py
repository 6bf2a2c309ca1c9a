"""What the first screen shows: all that is in the shop, by whose move it is, the longest waiting first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from django.db.models import Count, Min, Q, QuerySet, Window
from django.db.models.functions import RowNumber

from shop.bench.models import LeftOff
from shop.counter.models import Job
from shop.counter.queries import open_jobs
from shop.counter.stages import OPEN, Stage
from shop.frame import clock
from shop.frame.models import Role, Staff
from shop.frame.whose_move import WhoseMove
from shop.planner.queries import AN_EVENING, BEGINS, Row, Tonight, rows, tonight
from shop.records.next_step import Step, step_in_a_list, with_facts

MOST = 5
AT_WORK = (Stage.ON_THE_BENCH, Stage.AWAITING_PARTS, Stage.AWAITING_WORD, Stage.PROVING)
LONGEST_LIST = 25
"""Rows of one mover on the first screen; the rest stands a tap away."""


MOVERS = tuple(one for one in WhoseMove if one != WhoseMove.NOBODY)


@dataclass(frozen=True, slots=True)
class Waiting:
    """One job on the first screen."""

    job: Job
    today: dt.date
    staff: Staff
    step: Step

    @property
    def next_step(self) -> tuple[str, str] | None:
        """Address and words of the next step, if it is this person's to take."""
        can = self.step.address and self.staff.has_role(self.step.role)
        return (self.step.address, self.step.act) if can else None

    @property
    def late_days(self) -> int:
        """Days since the promise passed; 0 when it holds or none was given."""
        promised = self.job.promised_for
        return max((self.today - promised).days, 0) if promised else 0

    @property
    def owed(self) -> list[str]:
        """What is still owed besides what the stage says."""
        job, owed = self.job, []
        if job.answer_owed_since and job.stage != Stage.AWAITING_WORD:
            owed.append("an answer is owed")
        if job.part_owed_since and job.stage != Stage.AWAITING_PARTS:
            owed.append("a part is owed")
        return owed


@dataclass(frozen=True, slots=True)
class Group:
    """All jobs that are one mover's move: how many, since when the longest waits, and the first of them."""

    mover: WhoseMove
    count: int
    longest_since: dt.datetime | None
    rows: list[Waiting]
    late: int = 0

    @property
    def more(self) -> int:
        """How many are not shown."""
        return self.count - len(self.rows)


def of_mover(mover: WhoseMove) -> QuerySet[Job]:
    """Open jobs that are this mover's move, the longest waiting first."""
    return open_jobs().filter(whose_move=mover).order_by("stage_since", "id")


def groups(staff: Staff, *, limit: int = LONGEST_LIST) -> Iterator[Group]:
    """The groups of the first screen in the order of the shop's own work: their count, their rows, and what comes next."""
    today = clock.today()
    counted = {
        row["whose_move"]: row
        for row in Job.objects.filter(stage__among=OPEN)
        .values("whose_move")
        .annotate(
            count=Count("id"),
            since=Min("stage_since"),
            late=Count("id", filter=Q(promised_for__lt=today)),
        )
        .order_by()
    }
    place = Window(RowNumber(), partition_by="whose_move", order_by=["stage_since", "id"])
    shown: dict[str, list[Waiting]] = {mover: [] for mover in MOVERS}
    first = open_jobs().annotate(place=place).filter(place__lte=limit).order_by("stage_since", "id")
    for job in with_facts(first):
        shown.setdefault(job.whose_move, []).append(Waiting(job, today, staff, step_in_a_list(job)))
    for mover in MOVERS:
        row = counted.get(mover)
        yield Group(
            mover,
            row["count"] if row else 0,
            row["since"] if row else None,
            shown[mover],
            row["late"] if row else 0,
        )


@dataclass(frozen=True, slots=True)
class Evening:
    """What the evening holds: where this person stopped, what fits into it, and the promises that the forecast has gone past."""

    stopped: LeftOff | None
    tonight: list[Tonight]
    at_risk: list[Row]

    def __bool__(self) -> bool:
        """Whether there is anything to say."""
        return bool(self.stopped or self.tonight or self.at_risk)


def this_evening(staff: Staff, *, is_at_work: bool = False) -> Evening:
    """The evening of whoever works at the bench; nobody else has one. Five of each at most.

    Whose clock runs is at work again, and isn't told where they stopped: the job's own page says it.
    """
    if not staff.has_role(Role.BENCH):
        return Evening(None, [], [])
    stopped = (
        None
        if is_at_work
        else LeftOff.objects.filter(by=staff, struck_at__isnull=True, job__stage__in=AT_WORK)
        .select_related("job__unit__model__maker")
        .order_by("-at", "-id")
        .first()
    )
    queue = rows(staff)
    fits = tonight(queue, hours=AN_EVENING / dt.timedelta(hours=1), begins=BEGINS.hour)
    at_risk = sorted((row for row in queue if row.at_risk), key=lambda row: row.at_risk_on or dt.date.max)
    return Evening(stopped, fits[:MOST], at_risk[:MOST])


@dataclass(frozen=True, slots=True)
class FirstScreen:
    """The shop at a glance, for one member of staff."""

    groups: list[Group]
    staff: Staff

    @property
    def late(self) -> int:
        """How many are past their promise."""
        return sum(group.late for group in self.groups)

    @property
    def count(self) -> int:
        """How many units are in the shop or on their way."""
        return sum(group.count for group in self.groups)


def first_screen(staff: Staff) -> FirstScreen:
    """Everything the first screen says, in a number of queries that does not grow with the shop."""
    return FirstScreen(list(groups(staff)), staff)
