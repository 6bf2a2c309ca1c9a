"""Packing: what came with a unit is checked, ready units go into a box, the slip is issued; and opening it again."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.counter.actions import file_paper
from shop.counter.models import Accessory, Customer, Job
from shop.counter.stages import Stage
from shop.dispatch.leaving import holds_back
from shop.dispatch.models import Box, Carrier, GoingBack, Parcel, ParcelJob
from shop.dispatch.papers import issue_return_slip
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper


def check_accessory(
    *,
    accessory: Accessory,
    included: bool,
    by: Staff,
    explanation: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> GoingBack:
    """Note that an accessory that came in goes back, or why it does not. Asking again corrects the answer.

    A slip that lies in a parcel that is still here says something else then: it is taken off, and issued anew when asked for.
    """
    if not included and not explanation.strip():
        raise Refusal(f"Say why “{accessory.name}” does not go back.", field="explanation")
    with acting(by=by, at=at, once=once_key) as act:
        answer, _ = GoingBack.objects.update_or_create(
            accessory=accessory,
            defaults={"included": included, "explanation": explanation.strip(), "at": act.at, "by": by},
        )
        Parcel.objects.filter(job_links__job=accessory.job_id, handed_over_at=None, unpacked_at=None).update(
            slip=None
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
    lithium_needs_mark: bool = False,
    customs_description: str = "",
    customs_origin: str = "",
    customs_hs_code: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Parcel:
    """Pack one or several ready jobs of one customer. Sizes in whole millimetres, weight in grams with the box.

    Refuses units that are not ready, another customer's units, a lithium cell of which nobody has said what it is, and a
    parcel abroad without what customs asks for.
    """
    refuse_unfit(customer, jobs)
    if min(length_mm, width_mm, height_mm, weight_grams) <= 0:
        raise Refusal("Length, width, height and weight are more than nothing.", field="weight")
    with acting(by=by, at=at, once=once_key) as act:
        address = address.strip() or f"{customer.name}\n{customer.address}".strip()
        if len(address.splitlines()) < 2:
            raise Refusal("The label needs a name and an address.", field="address")
        country = (country or customer.country or the_profile().country).upper()
        refuse_unsaid(
            jobs,
            country=country,
            lithium=lithium,
            declared_value_minor=declared_value_minor,
            customs=(customs_description, customs_origin, customs_hs_code),
        )
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
            country=country,
            carrier=carrier,
            declared_value_minor=declared_value_minor,
            currency=the_profile().currency,
            lithium=lithium.strip(),
            lithium_needs_mark=lithium_needs_mark,
            customs_description=customs_description.strip(),
            customs_origin=customs_origin.upper(),
            customs_hs_code=customs_hs_code.strip(),
            packed_at=act.at,
            by=by,
        )
        ParcelJob.objects.bulk_create(ParcelJob(parcel=parcel, job=job) for job in jobs)
        act.record("parcel.packed", subject=parcel, jobs=[job.pk for job in jobs], grams=weight_grams)
    return parcel


def unpack(
    *, parcel: Parcel, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Parcel:
    """Open a parcel again before it leaves."""
    with acting(by=by, at=at, once=once_key) as act:
        if not Parcel.objects.filter(
            pk=parcel.pk, handed_over_at__isnull=True, unpacked_at__isnull=True
        ).update(unpacked_at=act.at):
            raise Refusal("This parcel has left, or was opened already.")
        parcel.refresh_from_db()
        act.record("parcel.unpacked", subject=parcel, jobs=jobs_in(parcel))
    return parcel


def issue_slip(
    *, parcel: Parcel, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> IssuedPaper:
    """Issue the return slip that lies in the parcel; one that exists is not drawn again.

    Refused while something that came with a unit is not checked: the slip would say that it is in the parcel.
    """
    with acting(by=by, at=at, once=once_key) as act:
        if parcel.slip is not None:
            act.made(parcel.slip)
            return parcel.slip
        jobs = list(
            Job.objects.filter(pk__in=jobs_in(parcel)).select_related("unit__model__maker", "customer")
        )
        if sentences := [sentence for job in jobs if (sentence := holds_back(job))]:
            raise Refusal(" ".join(sentences))
        paper = issue_return_slip(parcel=parcel, jobs=jobs, by=by)
        Parcel.objects.filter(pk=parcel.pk).update(slip=paper)
        parcel.slip = paper
        file_paper(act=act, paper=paper, jobs=jobs)
    return paper


def jobs_in(parcel: Parcel) -> list[int]:
    """The ids of the jobs in a parcel, in order."""
    return list(ParcelJob.objects.filter(parcel=parcel).order_by("job_id").values_list("job_id", flat=True))


def refuse_unfit(customer: Customer, jobs: Sequence[Job]) -> None:
    """Refuse units that are not ready, or another customer's."""
    if not jobs:
        raise Refusal("Choose at least one unit.")
    for job in jobs:
        if job.customer_id != customer.pk:
            raise Refusal(f"{job.number} is not {customer.name}’s.")
        if job.stage != Stage.READY:
            raise Refusal(f"{job.number} is “{job.get_stage_display()}”, not ready to go back.")


def refuse_unsaid(
    jobs: Sequence[Job],
    *,
    country: str,
    lithium: str,
    declared_value_minor: int | None,
    customs: tuple[str, str, str],
) -> None:
    """Refuse a parcel of which something is not said that the carrier or customs asks for."""
    with_cell = next((job for job in jobs if "lithium" in job.unit.model.traits), None)
    if with_cell is not None and not lithium.strip():
        raise Refusal(
            f"A lithium cell is inside {with_cell.unit}: say which, or that it was taken out.",
            field="lithium_chemistry",
        )
    if country == the_profile().country.upper():
        return
    description, origin, hs_code = (text.strip() for text in customs)
    for given, field, sentence in (
        (description, "customs_description", "Customs asks what is inside."),
        (origin, "customs_origin", "Customs asks in which country it was made."),
        (hs_code, "customs_hs_code", "Customs asks for the HS code, six digits at least."),
        (declared_value_minor is not None, "declared_value", "Customs asks for its value."),
    ):
        if not given:
            raise Refusal(sentence, field=field)
