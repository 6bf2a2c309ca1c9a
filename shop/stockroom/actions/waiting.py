"""Parts that jobs wait for: wanted, kept for the job when they come, and the job brought back on the bench."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable

from django.db.models import F, QuerySet, Sum

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
        _owe(act, job)
        act.record("part.wanted", subject=wanted, jobs=[job.pk], quantity=quantity_thousandths)
        if part is not None:
            # too few lie free: those are kept for it, and the rest is ordered
            serve_waiting(act, part=part)
            wanted.refresh_from_db(fields=["kept_thousandths"])
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
        Job.objects.filter(pk=job.pk).update(part_owed_since=None)
        job.part_owed_since = None
        if job.stage == Stage.AWAITING_PARTS:
            move(job, Stage.ON_THE_BENCH, act=act)
        act.record("parts.arrived", subject=job, jobs=[job.pk])
    return job


def drop_want(
    *, wanted: PartWanted, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """A part is no longer wanted; the job goes on when it was the last one it waited for."""
    with acting(by=by, at=at, once=once_key) as act:
        if not standing_wants().filter(pk=wanted.pk).update(dropped_at=act.at, kept_thousandths=0):
            raise Refusal("It was fitted already, or is no longer wanted.")
        job = Job.objects.get(pk=wanted.job_id)
        act.record("part.no_longer_wanted", subject=wanted, jobs=[job.pk])
        settle_owed(act, job)
        if wanted.part is not None:
            serve_waiting(act, part=wanted.part)
        act.made(job)
    return job


def wants_no_more(job: Job, act: Act) -> None:
    """A job that is ready waits for nothing that has not begun to come; one that has ended keeps no part from others who wait."""
    wants = standing_wants().filter(job=job)
    if job.stage not in ENDED:
        wants = wants.filter(came_at=None, kept_thousandths=0)
    gone = list(wants.select_related("part"))
    if not gone:
        return
    PartWanted.objects.filter(pk__in=[one.pk for one in gone]).update(dropped_at=act.at, kept_thousandths=0)
    for want in gone:
        act.record("part.no_longer_wanted", subject=want, jobs=[job.pk])
    if not open_wants(job).exists():
        Job.objects.filter(pk=job.pk).update(part_owed_since=None)
        job.part_owed_since = None
    for part in {want.part for want in gone if want.part is not None}:
        serve_waiting(act, part=part)


def open_wants(job: Job) -> QuerySet[PartWanted]:
    """What a job still waits for."""
    return PartWanted.objects.filter(job=job, came_at=None, dropped_at=None)


def standing_wants() -> QuerySet[PartWanted]:
    """What was wanted and is neither fitted in full nor dropped, the longest waiting first."""
    return PartWanted.objects.filter(fitted_at=None, dropped_at=None).order_by("id")


def kept_of(part: Part) -> int:
    """How much of a part lies in the drawer for jobs, in thousandths."""
    wants = standing_wants().filter(part=part).exclude(job__stage__in=ENDED)
    return wants.aggregate(sum=Sum("kept_thousandths"))["sum"] or 0


def serve_waiting(act: Act, *, part: Part) -> tuple[tuple[Job, ...], tuple[Job, ...]]:
    """Keep what lies free in the drawer for the jobs that wait for it.

    The longest waiting goes first among those that get all they want; what is left over is kept for the longest waiting of
    the others. Returns the jobs it is kept for, and those of them that are back on the bench.
    """
    wants = [
        want
        for want in standing_wants().filter(part=part).exclude(job__stage__in=ENDED)
        if want.missing_thousandths
    ]
    if not wants:
        return (), ()
    free = level_of(part).quantity_thousandths - kept_of(part)
    served: list[PartWanted] = []
    for want in wants:
        if want.missing_thousandths <= free:
            free -= _keep(act, want, want.missing_thousandths)
            served.append(want)
    for want in wants:
        if free > 0 and want.missing_thousandths:
            free -= _keep(act, want, min(free, want.missing_thousandths))
            served.append(want)
    if not served:
        return (), ()
    jobs = list(Job.objects.filter(pk__in={want.job_id for want in served}).order_by("pk"))
    act.record("part.kept", subject=part, jobs=[job.pk for job in jobs])
    return tuple(jobs), tuple(job for job in jobs if settle_owed(act, job))


def keep_no_more(act: Act, *, part: Part, first: Job | None = None) -> tuple[Job, ...]:
    """Where less lies in the drawer than is kept for jobs, those wait again: `first`, then whoever asked last.

    What they wait for stands on the order list again, unless more of it is to come on the order that it stands on.
    """
    short = kept_of(part) - level_of(part).quantity_thousandths
    if short <= 0:
        return ()
    wants = standing_wants().filter(part=part, kept_thousandths__gt=0).exclude(job__stage__in=ENDED)
    at_loss = []
    for want in sorted(wants, key=lambda one: (first is None or one.job_id != first.pk, -one.pk)):
        if short <= 0:
            break
        lost = min(short, want.kept_thousandths)
        short -= lost
        PartWanted.objects.filter(pk=want.pk).update(
            kept_thousandths=F("kept_thousandths") - lost, came_at=None
        )
        at_loss.append(want)
    jobs = tuple(Job.objects.filter(pk__in={want.job_id for want in at_loss}).order_by("pk"))
    for job in jobs:
        _owe(act, job)
    back_on_the_list(want.pk for want in at_loss)
    act.record("part.kept_no_more", subject=part, jobs=[job.pk for job in jobs])
    return jobs


def back_on_the_list(wants: Iterable[int]) -> None:
    """Put wants that still miss something on the order list again where nothing more is to come on their line."""
    still = PartWanted.objects.filter(pk__in=list(wants), came_at=None, dropped_at=None)
    done = still.filter(order_line__isnull=False).exclude(
        order_line__given_up_at=None,
        order_line__order__closed_at=None,
        order_line__received_thousandths__lt=F("order_line__quantity_thousandths"),
    )
    PartWanted.objects.filter(pk__in=list(done.values_list("pk", flat=True))).update(order_line=None)


def settle_owed(act: Act, job: Job) -> bool:
    """When a job waits for nothing any more, say so; true when that brought it back on the bench."""
    if job.part_owed_since is None or open_wants(job).exists():
        return False
    aside = job.stage == Stage.AWAITING_PARTS
    parts_arrived(job=job, by=act.by)
    return aside


def tick_wants(act: Act, *, job: Job, part: Part) -> None:
    """Hold what a job wanted of a part against what is fitted of it: the first want is filled first.

    What is fitted was kept before; what was struck out again lies in the drawer for the job.
    """
    wants = list(PartWanted.objects.filter(job=job, part=part).order_by("id"))
    if not wants:
        return
    fitted = PartFitted.objects.filter(job=job, part=part, struck_at=None, at__gte=wants[0].at)
    left = sum(fitted.values_list("quantity_thousandths", flat=True))
    # what was fitted for a wish that was dropped afterwards fills no other
    left = max(left - sum(want.fitted_thousandths for want in wants if want.dropped_at), 0)
    for want in (one for one in wants if not one.dropped_at):
        now = min(left, want.quantity_thousandths)
        left -= now
        if now != want.fitted_thousandths:
            _tick(act, want, now)
    settle_owed(act, job)


def _tick(act: Act, want: PartWanted, fitted: int) -> None:
    more = fitted - want.fitted_thousandths
    want.kept_thousandths = max(want.kept_thousandths - more, 0) if more > 0 else want.kept_thousandths - more
    want.fitted_thousandths = fitted
    want.fitted_at = act.at if fitted == want.quantity_thousandths else None
    if not want.missing_thousandths:
        want.came_at = want.came_at or act.at
    want.save(update_fields=["kept_thousandths", "fitted_thousandths", "fitted_at", "came_at"])


def _keep(act: Act, want: PartWanted, quantity: int) -> int:
    want.kept_thousandths += quantity
    if not want.missing_thousandths:
        want.came_at = act.at
    want.save(update_fields=["kept_thousandths", "came_at"])
    return quantity


def _owe(act: Act, job: Job) -> None:
    Job.objects.filter(pk=job.pk, part_owed_since__isnull=True).update(part_owed_since=act.at)
    job.refresh_from_db(fields=["part_owed_since"])


def _refuse_what_is_there(part: Part, quantity_thousandths: int) -> None:
    free = level_of(part).quantity_thousandths - kept_of(part)
    if free >= quantity_thousandths:
        where = f"in drawer {part.drawer}" if part.drawer else "in the stockroom"
        raise Refusal(f"{free / 1000:g} of {part.number} lie free {where}: fit it.", field="part")
