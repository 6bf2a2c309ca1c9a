"""Bench time: taking a job to the bench, starting and stopping a stint, mending one that was forgotten."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.bench.actions.lines import refuse_away
from shop.bench.actions.notebook import leave_off
from shop.bench.forgotten import LONG, forgotten
from shop.bench.models import Stint, WorkKind
from shop.counter.models import Job
from shop.counter.moving import move
from shop.counter.stages import Stage
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal

LONGEST_STINT = dt.timedelta(hours=16)


def take_to_bench(
    *, job: Job, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Take a unit from its shelf, or one that was ready, to the bench."""
    with acting(by=by, at=at, once=entry) as act:
        move(job, Stage.ON_THE_BENCH, act=act)
    return job


def put_back_on_shelf(
    *, job: Job, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Put a unit back on the shelf with the work not done; a stint that still runs on it is stopped."""
    with acting(by=by, at=at, once=entry) as act:
        _stop_running(job, by)
        move(job, Stage.BOOKED_IN, act=act)
    return job


def start_stint(
    *,
    job: Job,
    by: Staff,
    kind: str = WorkKind.REPAIR,
    under_warranty: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Stint:
    """Start the clock on a job. One runs at a time for each person: another one of theirs is stopped first, and so is one on
    this job that was spent on something else.

    A job on its shelf is taken to the bench along with it.
    """
    with acting(by=by, at=at, once=entry) as act:
        refuse_away(job)
        running = Stint.objects.filter(by=by, stopped_at__isnull=True, struck_at__isnull=True).first()
        if running is not None:
            if running.job_id == job.pk and running.kind == kind:
                raise Refusal("Your stint on this job is running already.")
            stop_stint(stint=running, by=by)
        if job.stage in {Stage.BOOKED_IN, Stage.READY}:
            take_to_bench(job=job, by=by)
        stint = Stint.objects.create(
            job=job,
            entry=entry or uuid.uuid4(),
            kind=kind,
            started_at=act.at,
            under_warranty=under_warranty,
            at=act.at,
            by=by,
        )
        act.record("stint.started", subject=stint, jobs=[job.pk], kind=kind)
    return stint


@keyless("joined")
def stop_stint(
    *, stint: Stint, by: Staff | None, at: dt.datetime | None = None, stopped_at: dt.datetime | None = None
) -> Stint:
    """Stop the clock, now or at the moment the person says it really stopped."""
    with acting(by=by, at=at) as act:
        moment = stopped_at or act.at
        _refuse_odd_times(stint.started_at, moment, act.at)
        running = Stint.objects.filter(pk=stint.pk, stopped_at__isnull=True, struck_at__isnull=True)
        if not running.update(stopped_at=moment, mended=stopped_at is not None):
            raise Refusal("This stint is stopped already.")
        stint.refresh_from_db()
        act.record(
            "stint.stopped",
            subject=stint,
            jobs=[stint.job_id],
            seconds=int((moment - stint.started_at).total_seconds()),
        )
    return stint


def stop_running_stint(
    *, job: Job, by: Staff, text: str = "", entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Stint:
    """Stop this person's clock on that job. Refuses when it does not run there.

    `text` says where they stopped, for the next evening; a pause of a moment needs none.
    """
    with acting(by=by, at=at, once=entry) as act:
        if text.strip():
            leave_off(job=job, text=text, by=by)
        running = Stint.objects.filter(job=job, by=by, stopped_at__isnull=True, struck_at__isnull=True)
        stint = running.first()
        if stint is None:
            raise Refusal("Your clock does not run on this job.")
        stop_stint(stint=stint, by=by)
        act.made(stint)
    return stint


def add_stint(
    *,
    job: Job,
    started_at: dt.datetime,
    stopped_at: dt.datetime,
    by: Staff,
    kind: str = WorkKind.REPAIR,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Stint:
    """Note time that was spent and that no clock counted; it is marked as put right by hand.

    Refuses time of this person's that a stint has counted already, on whatever job: it would be billed twice.
    """
    with acting(by=by, at=at, once=entry) as act:
        refuse_away(job)
        _refuse_odd_times(started_at, stopped_at, act.at)
        counted = (
            Stint.objects.filter(by=by, struck_at__isnull=True, started_at__lt=stopped_at)
            .exclude(stopped_at__lte=started_at)
            .select_related("job")
            .first()
        )
        if counted is not None:
            raise Refusal(
                f"Your clock has counted some of that already, on {counted.job.number}: correct that stint.",
                field="minutes",
            )
        stint = Stint.objects.create(
            job=job,
            entry=entry or uuid.uuid4(),
            kind=kind,
            started_at=started_at,
            stopped_at=stopped_at,
            mended=True,
            at=act.at,
            by=by,
        )
        seconds = int((stopped_at - started_at).total_seconds())
        act.record("stint.added", subject=stint, jobs=[job.pk], seconds=seconds)
    return stint


def mend_stint(
    *,
    stint: Stint,
    started_at: dt.datetime,
    stopped_at: dt.datetime,
    by: Staff,
    kind: str | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Stint:
    """Put the times of a stint right by hand; it is marked as mended."""
    with acting(by=by, at=at, once=entry) as act:
        _refuse_odd_times(started_at, stopped_at, act.at)
        standing = Stint.objects.filter(pk=stint.pk, struck_at__isnull=True)
        if not standing.update(
            started_at=started_at, stopped_at=stopped_at, mended=True, kind=kind or stint.kind
        ):
            raise Refusal("This stint is struck out.")
        stint.refresh_from_db()
        act.record(
            "stint.mended",
            subject=stint,
            jobs=[stint.job_id],
            seconds=int((stopped_at - started_at).total_seconds()),
        )
    return stint


def stop_clocks(job: Job, act: Act) -> None:
    """Nobody works on a unit that has left: clocks that still run on its job stop with it, whoever started them.

    One that was forgotten stops when its work most likely ended. While a job is ready its clock may run on: the safety check
    is work, too, and its page asks.
    """
    for stint in Stint.objects.filter(job=job, stopped_at__isnull=True, struck_at__isnull=True):
        was = forgotten(stint) if act.at - stint.started_at >= LONG else None
        latest = min(act.at, stint.started_at + LONGEST_STINT)
        ended = min(was.stopped_at, latest) if was else latest
        stop_stint(stint=stint, by=act.by, stopped_at=None if ended == act.at else ended)


def _refuse_odd_times(started_at: dt.datetime, stopped_at: dt.datetime, now: dt.datetime) -> None:
    if stopped_at < started_at:
        raise Refusal("The stint stops before it starts.", field="stopped_at")
    if stopped_at > now + dt.timedelta(minutes=5):
        raise Refusal("The stint can't stop in the future.", field="stopped_at")
    if stopped_at - started_at > LONGEST_STINT:
        raise Refusal(
            "That is longer than sixteen hours: say when the work really stopped.", field="stopped_at"
        )


def _stop_running(job: Job, by: Staff) -> None:
    running = Stint.objects.filter(job=job, by=by, stopped_at__isnull=True, struck_at__isnull=True).first()
    if running is not None:
        stop_stint(stint=running, by=by)
