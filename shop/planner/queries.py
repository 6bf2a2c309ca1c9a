"""What the planner's pages show: the queue with its dates, the evening, the record of promises. Nothing here writes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import BigIntegerField, OuterRef, Subquery, Value

from shop.bench.models import Stint
from shop.counter import promising
from shop.counter.models import Job, Kind, Promise, StageMove
from shop.counter.stages import ENDED, Stage
from shop.frame import clock
from shop.frame.models import Staff
from shop.handbook.dates.evening import Candidate, Pick, Why, evening
from shop.handbook.dates.kept import Record
from shop.planner.kept import came_true
from shop.planner.models import ForecastState, JobForecast
from shop.premises.queries import promise_rules

A_YEAR = dt.timedelta(days=365)
AN_EVENING, BEGINS = dt.timedelta(hours=2, minutes=30), dt.time(19)
"""The hours that an evening has where nobody says otherwise, and from when."""
LOUD = frozenset({Kind.AMPLIFIER, Kind.GUITAR_AMP, Kind.LOUDSPEAKER})
"""Kinds that are tried out loud."""

REASONS: dict[str, str] = {
    Why.AT_RISK: "its promise is at risk",
    Why.PART_CAME: "its part came",
    Why.YES_CAME: "the customer said yes",
    Why.QUICK: "quick to finish",
    Why.LEFT_OFF: "where you stopped",
    Why.SAME_KIND: "same kind as the one before",
    Why.LOUD: "loud, so before it gets late",
    Why.NEXT: "next in the queue",
}


@dataclass(frozen=True, slots=True)
class Row:
    """One job of the queue with its dates and what was promised."""

    told: JobForecast
    job: Job
    word: Promise | None
    ready: Promise | None
    came_from: str = ""
    """The stage that it came from to where it stands; empty for one that never moved."""
    left_off: bool = False
    """Whether the person asked for worked at it last."""

    @property
    def at_risk(self) -> bool:
        """Whether the forecast has gone past a date that the customer was given."""
        return self.slipped(0) is not None

    @property
    def at_risk_on(self) -> dt.date | None:
        """The day that was promised and that the forecast has gone past."""
        promise = self.slipped(0)
        return promise.day if promise else None

    def slipped(self, days: int) -> Promise | None:
        """The promise that the forecast has gone past by more than so many days; a date beyond telling has gone past any.

        A first word is waited for only while the fault isn't known.
        """
        given = [(self.ready, self.told.ready_safe)]
        if self.told.word_likely or self.told.word_safe:
            given.append((self.word, self.told.word_safe))
        for promise, safe in given:
            if promise and promise.day and (safe is None or (safe - promise.day).days > days):
                return promise
        return None


def state() -> ForecastState | None:
    """What was reckoned last."""
    return ForecastState.objects.first()


def rows(staff: Staff | None = None) -> list[Row]:
    """The queue with its dates and where each job came from, in two queries; jobs that left it since are left out.

    With `staff` each row also says whether it is the job at which they worked last.
    """
    moves = StageMove.objects.filter(job=OuterRef("job_id")).order_by("-at", "-id")
    told = JobForecast.objects.select_related("job__unit__model__maker", "job__customer").annotate(
        came_from=Subquery(moves.values("from_stage")[:1]),
        worked_last=_worked_last(staff),
    )
    found = [one for one in told if one.job.stage not in ENDED and one.job.stage != Stage.READY]
    given = promising.standing([one.job_id for one in found])
    return [
        Row(
            one,
            one.job,
            given.get(one.job_id, {}).get(Promise.What.WORD),
            given.get(one.job_id, {}).get(Promise.What.READY),
            one.came_from or "",
            one.worked_last == one.job_id,
        )
        for one in found
    ]


def _worked_last(staff: Staff | None) -> Subquery | Value:
    """At which job somebody worked last; nothing is looked for where nobody is asked about."""
    if staff is None:
        return Value(None, output_field=BigIntegerField())
    stints = Stint.objects.filter(by=staff, struck_at__isnull=True).order_by("-started_at")
    return Subquery(stints.values("job_id")[:1])


@dataclass(frozen=True, slots=True)
class Tonight:
    """One job of the evening: for how long, whether that ends it, and why."""

    job: Job
    minutes: int
    finishes: bool
    why: str


def tonight(queue: list[Row], *, hours: float, begins: float) -> list[Tonight]:
    """What fits into an evening, in order. Raises DatesError for hours that no evening has."""
    waiting = [row for row in queue if row.job.stage in {Stage.BOOKED_IN, Stage.ON_THE_BENCH}]
    candidates = [
        Candidate(
            row.job.number,
            row.told.hours_left,
            row.job.unit.model.kind,
            _why(row),
            loud=row.job.unit.model.kind in LOUD,
        )
        for row in waiting
    ]
    jobs = {row.job.number: row.job for row in waiting}
    picks = evening(candidates, hours, begins=begins, quiet_from=promise_rules().quiet_hour)
    return [_said(jobs[pick.key], pick) for pick in picks]


def _said(job: Job, pick: Pick) -> Tonight:
    return Tonight(job, round(pick.hours * 60), pick.finishes, ", ".join(REASONS[why] for why in pick.why))


def _why(row: Row) -> frozenset[Why]:
    told = {
        Why.AT_RISK: row.at_risk,
        Why.PART_CAME: row.came_from == Stage.AWAITING_PARTS,
        Why.YES_CAME: row.came_from == Stage.AWAITING_WORD,
        Why.LEFT_OFF: row.left_off,
    }
    return frozenset(why for why, is_so in told.items() if is_so)


def record() -> Record:
    """Promises kept over the last year, of all whose day has come or that came true; one that was bettered within its own
    day counts no more."""
    since = clock.now() - A_YEAR
    given = list(Promise.objects.filter(at__gte=since).select_related("job").order_by("id"))
    came, today = came_true(given), clock.today()
    of_a_day: dict[tuple[int, str, dt.date], Promise] = {}
    for one, day in zip(given, clock.days_of(one.at for one in given), strict=True):
        of_a_day[one.job_id, one.what, day] = one
    kept = told = 0
    for one in of_a_day.values():
        done = came(one)
        if one.day is None or (done is None and one.day >= today):
            continue
        told += 1
        kept += done is not None and done <= one.day
    return Record(kept, told)
