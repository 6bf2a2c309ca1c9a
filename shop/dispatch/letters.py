"""Letters about a parcel, through the outbox: it has left, it is lost."""

from __future__ import annotations

from collections.abc import Sequence

from shop.counter.models import Job
from shop.dispatch.models import Parcel
from shop.dispatch.tracking import tracking_link
from shop.frame.models import Staff
from shop.keeping import outbox
from shop.keeping.letter_texts import LetterKind, texts
from shop.keeping.models import Message

FIELDS = {
    "customer": "the customer’s name",
    "numbers": "the job numbers, one after another",
    "units": "job number and unit, a line each",
    "carrier": "the carrier",
    "tracking": "the tracking number",
    "link": "the carrier’s page on which it can be followed",
}
LEFT = LetterKind(
    key="parcel_left",
    title="A parcel has left",
    when="when a parcel leaves, if the customer is to be told",
    subject="{numbers} is on its way to you",
    body="""\
Dear {customer},

Your parcel left us today. In it:

{units}

Carrier: {carrier}
Tracking number: {tracking}
Follow it here: {link}

When it comes, look at the box before you open it. If it is damaged, photograph it and tell us at once; \
keep box and cushions until the unit has been tried.

{shop}
{shop_address}
{shop_phone}""",
    fields=FIELDS,
)
LOST = LetterKind(
    key="parcel_lost",
    title="A parcel is lost",
    when="when a parcel is noted as lost, if the customer is to be told",
    subject="About your parcel, {numbers}",
    body="""\
Dear {customer},

The carrier tells us that your parcel ({numbers}) is lost. We are sorry.

Carrier: {carrier}
Tracking number: {tracking}

We are having it searched for and will write again as soon as we know more. \
If it has come to you after all, please tell us.

{shop}
{shop_address}
{shop_phone}""",
    fields=FIELDS,
)


def tell_it_left(parcel: Parcel, jobs: Sequence[Job], *, by: Staff) -> Message | None:
    """Tell the customer that the parcel is on its way, and how to follow it; None without an e-mail address."""
    return _write(LEFT, parcel, jobs, by=by)


def tell_it_is_lost(parcel: Parcel, jobs: Sequence[Job], *, by: Staff) -> Message | None:
    """Tell the customer that the carrier has lost the parcel; None without an e-mail address."""
    return _write(LOST, parcel, jobs, by=by)


def _write(kind: LetterKind, parcel: Parcel, jobs: Sequence[Job], *, by: Staff) -> Message | None:
    customer = parcel.customer
    if not customer.email:
        return None
    subject, body = texts().write(
        kind,
        customer=customer.name,
        numbers=", ".join(job.number for job in jobs),
        units="\n".join(f"  {job.number}  {job.unit}" for job in jobs),
        carrier=str(parcel.carrier or ""),
        tracking=parcel.tracking,
        link=tracking_link(parcel.tracking, parcel.carrier) or "",
    )
    return outbox.write_message(to=customer.email, subject=subject, body=body, by=by)
