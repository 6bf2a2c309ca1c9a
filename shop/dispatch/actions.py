"""How units leave. The last step home is one: `let_go`, after the safety check, the balance and the accessories."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.counter import stages
from shop.counter.actions import file_paper
from shop.counter.models import Accessory, Customer, Job
from shop.counter.stages import Outcome, Stage
from shop.dispatch.models import (
    Box,
    Carrier,
    Collection,
    CollectionJob,
    GoingBack,
    Parcel,
    ParcelJob,
)
from shop.dispatch.papers import issue_return_slip
from shop.dispatch.tracking import refuse_wrong_number
from shop.premises import once
from shop.premises.journal import Act, acting
from shop.premises.models import IssuedPaper, Staff
from shop.premises.profile import the_profile
from shop.premises.refusal import Refusal


def check_accessory(
    *, accessory: Accessory, included: bool, by: Staff, explanation: str = "", at: dt.datetime | None = None
) -> GoingBack:
    """Note that an accessory that came in goes back, or why it does not. Asking again corrects the answer."""
    if not included and not explanation.strip():
        raise Refusal(f"Say why “{accessory.name}” does not go back.", field="explanation")
    with acting(by=by, at=at) as act:
        answer, _ = GoingBack.objects.update_or_create(
            accessory=accessory,
            defaults={"included": included, "explanation": explanation.strip(), "at": act.at, "by": by},
        )
        act.record("accessory.checked", subject=accessory, jobs=[accessory.job_id], included=included)
    return answer


def pack(
    *,
    customer: Customer,
    jobs: Sequence[Job],
    length_mm: int,
    width_mm: int,
    height_mm: int,
    weight_grams: int,
    by: Staff,
    box: Box | None = None,
    double_boxed: bool = False,
    address: str = "",
    country: str = "",
    carrier: Carrier | None = None,
    declared_value_minor: int | None = None,
    lithium: str = "",
    customs_description: str = "",
    customs_origin: str = "",
    customs_hs_code: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Parcel:
    """Pack one or several ready jobs of one customer. Sizes in whole millimetres, weight in grams with the box.

    Refuses units that are not ready, another customer's units, and accessories that nobody has checked.
    """
    _refuse_unfit(customer, jobs)
    if min(length_mm, width_mm, height_mm, weight_grams) <= 0:
        raise Refusal("Length, width, height and weight are more than nothing.", field="weight")
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "parcel.packed")
        address = address.strip() or f"{customer.name}\n{customer.address}".strip()
        if len(address.splitlines()) < 2:
            raise Refusal("The label needs a name and an address.", field="address")
        already = ParcelJob.objects.filter(
            job__in=jobs, parcel__unpacked_at__isnull=True, parcel__lost_at__isnull=True
        )
        if taken := already.select_related("job").first():
            raise Refusal(f"{taken.job.number} is packed already; unpack that parcel first.")
        parcel = Parcel.objects.create(
            customer=customer,
            box=box,
            length_mm=length_mm,
            width_mm=width_mm,
            height_mm=height_mm,
            weight_grams=weight_grams,
            double_boxed=double_boxed,
            address=address,
            country=(country or customer.country or the_profile().country).upper(),
            carrier=carrier,
            declared_value_minor=declared_value_minor,
            currency=the_profile().currency,
            lithium=lithium.strip(),
            customs_description=customs_description.strip(),
            customs_origin=customs_origin.upper(),
            customs_hs_code=customs_hs_code.strip(),
            packed_at=act.at,
            by=by,
        )
        ParcelJob.objects.bulk_create(ParcelJob(parcel=parcel, job=job) for job in jobs)
        act.record("parcel.packed", subject=parcel, jobs=[job.pk for job in jobs], grams=weight_grams)
        once.settle(claimed, parcel)
    return parcel


def unpack(*, parcel: Parcel, by: Staff, at: dt.datetime | None = None) -> Parcel:
    """Open a parcel again before it leaves."""
    with acting(by=by, at=at) as act:
        if not Parcel.objects.filter(
            pk=parcel.pk, handed_over_at__isnull=True, unpacked_at__isnull=True
        ).update(unpacked_at=act.at):
            raise Refusal("This parcel has left, or was opened already.")
        parcel.refresh_from_db()
        act.record("parcel.unpacked", subject=parcel, jobs=jobs_in(parcel))
    return parcel


def issue_slip(*, parcel: Parcel, by: Staff, at: dt.datetime | None = None) -> IssuedPaper:
    """Issue the return slip that lies in the parcel; one that exists is not drawn again."""
    if parcel.slip is not None:
        return parcel.slip
    with acting(by=by, at=at) as act:
        jobs = list(
            Job.objects.filter(pk__in=jobs_in(parcel)).select_related("unit__model__maker", "customer")
        )
        paper = issue_return_slip(parcel=parcel, jobs=jobs, by=by)
        Parcel.objects.filter(pk=parcel.pk).update(slip=paper)
        parcel.slip = paper
        file_paper(act=act, paper=paper, jobs=jobs)
    return paper


def hand_over(
    *,
    parcel: Parcel,
    by: Staff,
    carrier: Carrier | None = None,
    tracking: str = "",
    at: dt.datetime | None = None,
) -> Parcel:
    """Give a packed parcel to the carrier: its jobs have gone home. Refused while anything holds one of them back."""
    with acting(by=by, at=at) as act:
        carrier = carrier or parcel.carrier
        number = tracking.strip() or parcel.tracking
        refuse_wrong_number(number, carrier)
        waiting = Parcel.objects.filter(pk=parcel.pk, handed_over_at__isnull=True, unpacked_at__isnull=True)
        if not waiting.update(handed_over_at=act.at, carrier=carrier, tracking=number):
            raise Refusal("This parcel has left, or was opened again.")
        parcel.refresh_from_db()
        jobs = list(Job.objects.filter(pk__in=jobs_in(parcel)).select_related("unit"))
        _let_go(act, jobs)
        act.record("parcel.handed_over", subject=parcel, jobs=[job.pk for job in jobs])
    return parcel


def note_delivered(*, parcel: Parcel, by: Staff, at: dt.datetime | None = None) -> Parcel:
    """The carrier says that the parcel was delivered."""
    with acting(by=by, at=at) as act:
        gone = Parcel.objects.filter(pk=parcel.pk, handed_over_at__isnull=False, delivered_at__isnull=True)
        if not gone.update(delivered_at=act.at, lost_at=None):
            raise Refusal("This parcel has not been handed over, or was delivered already.")
        parcel.refresh_from_db()
        act.record("parcel.delivered", subject=parcel, jobs=jobs_in(parcel))
    return parcel


def note_lost(*, parcel: Parcel, by: Staff, at: dt.datetime | None = None) -> Parcel:
    """The carrier has lost the parcel."""
    with acting(by=by, at=at) as act:
        gone = Parcel.objects.filter(pk=parcel.pk, handed_over_at__isnull=False, delivered_at__isnull=True)
        if not gone.update(lost_at=act.at):
            raise Refusal("This parcel has not been handed over, or was delivered.")
        parcel.refresh_from_db()
        act.record("parcel.lost", subject=parcel, jobs=jobs_in(parcel))
    return parcel


def collect(
    *,
    customer: Customer,
    jobs: Sequence[Job],
    collected_by: str,
    shown: str,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Collection:
    """Hand ready units over at the counter, signed off with a typed name."""
    if not collected_by.strip():
        raise Refusal("Type the name of whoever collects it.", field="collected_by")
    _refuse_unfit(customer, jobs)
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.collected")
        collection = Collection.objects.create(
            customer=customer, collected_by=collected_by.strip(), shown=shown, at=act.at, by=by
        )
        CollectionJob.objects.bulk_create(CollectionJob(collection=collection, job=job) for job in jobs)
        _let_go(act, jobs)
        act.record("job.collected", subject=collection, jobs=[job.pk for job in jobs], shown=shown)
        once.settle(claimed, collection)
    return collection


def keep_here(*, job: Job, outcome: str, by: Staff, at: dt.datetime | None = None) -> Job:
    """The unit stays: given up to the shop, scrapped, or disposed of as the law allows. The shop decides and answers for it."""
    with acting(by=by, at=at) as act:
        stages.move(job, Stage.KEPT_HERE, act=act, asked_by="dispatch.keep_here", outcome=Outcome(outcome))
    return job


def jobs_in(parcel: Parcel) -> list[int]:
    """The ids of the jobs in a parcel, in order."""
    return list(ParcelJob.objects.filter(parcel=parcel).order_by("job_id").values_list("job_id", flat=True))


def _let_go(act: Act, jobs: Sequence[Job]) -> None:
    for job in jobs:
        stages.move(job, Stage.GONE_HOME, act=act, asked_by="dispatch.let_go")


def _refuse_unfit(customer: Customer, jobs: Sequence[Job]) -> None:
    if not jobs:
        raise Refusal("Choose at least one unit.")
    for job in jobs:
        if job.customer_id != customer.pk:
            raise Refusal(f"{job.number} is not {customer.name}’s.")
        if job.stage != Stage.READY:
            raise Refusal(f"{job.number} is “{job.get_stage_display()}”, not ready to go back.")
