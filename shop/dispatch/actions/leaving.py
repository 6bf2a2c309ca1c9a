"""Leaving: handed to the carrier or over the counter. The last step home is one: `let_go`, after every guard was asked."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from django.core.files import File

from shop.counter.models import Customer, Job
from shop.counter.moving import move
from shop.counter.stages import Outcome, Stage
from shop.dispatch import letters
from shop.dispatch.actions.packing import jobs_in, refuse_unfit
from shop.dispatch.models import Carrier, Collection, CollectionJob, Parcel
from shop.dispatch.tracking import refuse_wrong_number
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.pictures import take_picture


def hand_over(
    *,
    parcel: Parcel,
    by: Staff,
    carrier: Carrier | None = None,
    tracking: str = "",
    tell: bool = False,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Parcel:
    """Give a packed parcel to the carrier: its jobs have gone home. Refused while anything holds one of them back.

    With `tell`, the customer gets a letter through the outbox, where there is an e-mail address.
    """
    with acting(by=by, at=at, once=once_key) as act:
        carrier = carrier or parcel.carrier
        number = tracking.strip() or parcel.tracking
        refuse_wrong_number(number, carrier)
        waiting = Parcel.objects.filter(pk=parcel.pk, handed_over_at__isnull=True, unpacked_at__isnull=True)
        if not waiting.update(handed_over_at=act.at, carrier=carrier, tracking=number):
            raise Refusal("This parcel has left, or was opened again.")
        jobs = _whole_jobs(parcel)
        let_go(act, jobs)
        # only now: a parcel that a guard held back must not look as if it had left
        parcel.refresh_from_db()
        if tell:
            letters.tell_it_left(parcel, jobs, by=by)
        act.record("parcel.handed_over", subject=parcel, jobs=[job.pk for job in jobs])
    return parcel


def note_delivered(
    *, parcel: Parcel, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Parcel:
    """The carrier says that the parcel was delivered."""
    with acting(by=by, at=at, once=once_key) as act:
        gone = Parcel.objects.filter(pk=parcel.pk, handed_over_at__isnull=False, delivered_at__isnull=True)
        if not gone.update(delivered_at=act.at, lost_at=None):
            raise Refusal("This parcel has not been handed over, or was delivered already.")
        parcel.refresh_from_db()
        act.record("parcel.delivered", subject=parcel, jobs=jobs_in(parcel))
    return parcel


def note_lost(
    *,
    parcel: Parcel,
    by: Staff,
    tell: bool = False,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Parcel:
    """The carrier has lost the parcel. With `tell`, the customer gets a letter through the outbox."""
    with acting(by=by, at=at, once=once_key) as act:
        gone = Parcel.objects.filter(pk=parcel.pk, handed_over_at__isnull=False, delivered_at__isnull=True)
        if not gone.update(lost_at=act.at):
            raise Refusal("This parcel has not been handed over, or was delivered.")
        parcel.refresh_from_db()
        if tell:
            letters.tell_it_is_lost(parcel, _whole_jobs(parcel), by=by)
        act.record("parcel.lost", subject=parcel, jobs=jobs_in(parcel))
    return parcel


def collect(
    *,
    customer: Customer,
    jobs: Sequence[Job],
    collected_by: str,
    shown: str,
    by: Staff,
    drawing: File[bytes] | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Collection:
    """Hand ready units over at the counter, signed off with a typed name, and with a drawn signature where there is one."""
    if not collected_by.strip():
        raise Refusal("Type the name of whoever collects it.", field="collected_by")
    refuse_unfit(customer, jobs)
    with acting(by=by, at=at, once=once_key) as act:
        collection = Collection.objects.create(
            customer=customer,
            collected_by=collected_by.strip(),
            shown=shown,
            drawing=take_picture(drawing, by=by, field="drawing") if drawing is not None else None,
            at=act.at,
            by=by,
        )
        CollectionJob.objects.bulk_create(CollectionJob(collection=collection, job=job) for job in jobs)
        let_go(act, jobs)
        act.record("job.collected", subject=collection, jobs=[job.pk for job in jobs], shown=shown)
    return collection


def keep_here(
    *, job: Job, outcome: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """The unit stays: given up to the shop, scrapped, or disposed of as the law allows. The shop decides and answers for it."""
    with acting(by=by, at=at, once=once_key) as act:
        move(job, Stage.KEPT_HERE, act=act, outcome=Outcome(outcome))
    return job


def let_go(act: Act, jobs: Sequence[Job]) -> None:
    """Have jobs gone home within the act by which their units left."""
    for job in jobs:
        move(job, Stage.GONE_HOME, act=act)


def _whole_jobs(parcel: Parcel) -> list[Job]:
    jobs = Job.objects.filter(pk__in=jobs_in(parcel)).select_related("customer", "unit__model__maker")
    return list(jobs.order_by("id"))
