"""Parts that jobs wait for: wanted, kept for the job when they come, and the job brought back on the bench."""

from __future__ import annotations

import datetime as dt
import uuid

from django.db.models import QuerySet

from shop.counter.models import Job
from shop.counter.moving import move
from shop.counter.stages import ENDED, Stage
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.stockroom.actions.drawer import level_of
from shop.stockroom.models import Part, PartFitted, PartWanted


def want_part(
    *,
    job: Job,
    by: Staff,
    part: Part | None = None,
    description: str = "",
    quantity_thousandths: int = 1000,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartWanted:
    """Put a part that a job needs on the order list. Refused while the drawer holds it free: fit it, then."""
    if quantity_thousandths <= 0:
        raise Refusal("Want at least some of it: the quantity is more than nothing.", field="quantity")
    if part is None and not description.strip():
        raise Refusal("Say which part is wanted.", field="description")
    with acting(by=by, at=at, once=entry) as act:
        if part is not None:
            _refuse_what_is_there(part, quantity_thousandths)
        wanted = PartWanted.objects.create(
            job=job,
            part=part,
            description=description.strip() or (part.called if part is not None else ""),
            quantity_thousandths=quantity_thousandths,
            at=act.at,
            by=by,
        )
        Job.objects.filter(pk=job.pk, part_owed_since__isnull=True).update(part_owed_since=act.at)
        job.refresh_from_db(fields=["part_owed_since"])
        act.record("part.wanted", subject=wanted, jobs=[job.pk], quantity=quantity_thousandths)
    return wanted


@keyless("joined")
def await_parts(*, job: Job, by: Staff, at: dt.datetime | None = None) -> Job:
    """Set a job aside until the parts it wants have come."""
    with acting(by=by, at=at) as act:
        if job.part_owed_since is None:
            raise Refusal(f"{job.number} waits for no part yet; say first which one it wants.")
        move(job, Stage.AWAITING_PARTS, act=act)
    return job


@keyless("joined")
def parts_arrived(*, job: Job, by: Staff | None, at: dt.datetime | None = None) -> Job:
    """What a job waited for is here: nothing is owed any more, and a job that stood aside for it is back on the bench."""
    with acting(by=by, at=at) as act:
        open_wants(job).update(came_at=act.at)
        Job.objects.filter(pk=job.pk).update(part_owed_since=None)
        job.part_owed_since = None
        if job.stage == Stage.AWAITING_PARTS:
            move(job, Stage.ON_THE_BENCH, act=act)
        act.record("parts.arrived", subject=job, jobs=[job.pk])
    return job


def note_came(
    *, wanted: PartWanted, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """A wanted part that never lies in a drawer is here; the job goes on when it was the last one it waited for."""
    with acting(by=by, at=at, once=once_key) as act:
        if not PartWanted.objects.filter(pk=wanted.pk, came_at=None, dropped_at=None).update(came_at=act.at):
            raise Refusal("It has come already, or is no longer wanted.")
        job = Job.objects.get(pk=wanted.job_id)
        act.record("part.came", subject=wanted, jobs=[job.pk])
        settle_owed(act, job)
        act.made(job)
    return job


def drop_want(
    *, wanted: PartWanted, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """A part is no longer wanted; the job goes on when it was the last one it waited for."""
    with acting(by=by, at=at, once=once_key) as act:
        standing = PartWanted.objects.filter(pk=wanted.pk, fitted_at=None, dropped_at=None)
        if not standing.update(dropped_at=act.at):
            raise Refusal("It was fitted already, or is no longer wanted.")
        job = Job.objects.get(pk=wanted.job_id)
        act.record("part.no_longer_wanted", subject=wanted, jobs=[job.pk])
        settle_owed(act, job)
        if wanted.part is not None:
            serve_waiting(act, part=wanted.part)
        act.made(job)
    return job


def open_wants(job: Job) -> QuerySet[PartWanted]:
    """What a job still waits for."""
    return PartWanted.objects.filter(job=job, came_at=None, dropped_at=None)


def serve_waiting(act: Act, *, part: Part) -> tuple[tuple[Job, ...], tuple[Job, ...]]:
    """Keep what lies free in the drawer for the jobs that wait for it, the longest waiting first.

    Returns the jobs it is kept for, and those of them that are back on the bench.
    """
    free = level_of(part).quantity_thousandths
    standing = PartWanted.objects.filter(part=part, fitted_at=None, dropped_at=None).exclude(
        job__stage__in=ENDED
    )
    wants = list(standing.order_by("id"))
    free -= sum(want.quantity_thousandths for want in wants if want.came_at is not None)
    served = []
    for want in wants:
        if want.came_at is None and want.quantity_thousandths <= free:
            free -= want.quantity_thousandths
            served.append(want)
    if not served:
        return (), ()
    PartWanted.objects.filter(pk__in=[want.pk for want in served]).update(came_at=act.at)
    jobs = list(Job.objects.filter(pk__in={want.job_id for want in served}).order_by("pk"))
    act.record("part.kept", subject=part, jobs=[job.pk for job in jobs])
    return tuple(jobs), tuple(job for job in jobs if settle_owed(act, job))


def _refuse_what_is_there(part: Part, quantity_thousandths: int) -> None:
    free = level_of(part).quantity_thousandths - sum(
        PartWanted.objects.filter(part=part, fitted_at=None, dropped_at=None, came_at__isnull=False)
        .exclude(job__stage__in=ENDED)
        .values_list("quantity_thousandths", flat=True)
    )
    if free >= quantity_thousandths:
        where = f"in drawer {part.drawer}" if part.drawer else "in the stockroom"
        raise Refusal(f"{free / 1000:g} of {part.number} lie free {where}: fit it.", field="part")


def settle_owed(act: Act, job: Job) -> bool:
    """When a job waits for nothing any more, say so; true when that brought it back on the bench."""
    if job.part_owed_since is None or open_wants(job).exists():
        return False
    aside = job.stage == Stage.AWAITING_PARTS
    parts_arrived(job=job, by=act.by)
    return aside


def note_fitted(act: Act, *, job: Job, part: Part) -> None:
    """Tick off what the job wanted of a part, as far as what was fitted of it reaches."""
    wants = list(
        PartWanted.objects.filter(job=job, part=part, fitted_at=None, dropped_at=None).order_by("id")
    )
    if not wants:
        return
    fitted = PartFitted.objects.filter(job=job, part=part, struck_at=None, at__gte=wants[0].at)
    left = sum(fitted.values_list("quantity_thousandths", flat=True))
    for want in wants:
        left -= want.quantity_thousandths
        if left < 0:
            break
        came = want.came_at or act.at
        PartWanted.objects.filter(pk=want.pk).update(fitted_at=act.at, came_at=came)
    settle_owed(act, job)
