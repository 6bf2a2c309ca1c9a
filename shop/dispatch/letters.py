"""Letters about a parcel, through the outbox: it has left, it is lost."""

from __future__ import annotations

from collections.abc import Sequence

from shop.counter.models import Job
from shop.dispatch.models import Parcel
from shop.dispatch.tracking import tracking_link
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.keeping import outbox
from shop.keeping.models import Message

LOOK_FIRST = (
    "When it comes, look at the box before you open it. If it is damaged, photograph it and tell us at once; "
    "keep box and cushions until the unit has been tried."
)
SEARCHED_FOR = (
    "We are having it searched for and will write again as soon as we know more. "
    "If it has come to you after all, please tell us."
)


def tell_it_left(parcel: Parcel, jobs: Sequence[Job], *, by: Staff) -> Message | None:
    """Tell the customer that the parcel is on its way, and how to follow it; None without an e-mail address."""
    names = "\n".join(f"  {job.number}  {job.unit}" for job in jobs)
    carrier = f" with {parcel.carrier}" if parcel.carrier else ""
    lines = [f"Your parcel left us today{carrier}. In it:", "", names, ""]
    if parcel.tracking:
        lines.append(f"Tracking number: {parcel.tracking}")
    if link := tracking_link(parcel.tracking, parcel.carrier):
        lines.append(f"Follow it here: {link}")
    lines += [
        "",
        LOOK_FIRST,
    ]
    return _write(parcel, f"{_numbers(jobs)} is on its way to you", lines, by=by)


def tell_it_is_lost(parcel: Parcel, jobs: Sequence[Job], *, by: Staff) -> Message | None:
    """Tell the customer that the carrier has lost the parcel; None without an e-mail address."""
    carrier = f"{parcel.carrier}" if parcel.carrier else "The carrier"
    lines = [
        f"{carrier} tells us that your parcel ({_numbers(jobs)}) is lost. We are sorry.",
        f"Tracking number: {parcel.tracking}" if parcel.tracking else "",
        "",
        SEARCHED_FOR,
    ]
    return _write(parcel, f"About your parcel, {_numbers(jobs)}", lines, by=by)


def _write(parcel: Parcel, subject: str, lines: Sequence[str], *, by: Staff) -> Message | None:
    customer, shop = parcel.customer, the_profile()
    if not customer.email:
        return None
    foot = "\n".join(filter(None, (shop.name, shop.address, shop.phone)))
    body = f"Dear {customer.name},\n\n" + "\n".join(lines).strip() + f"\n\n{foot}\n"
    return outbox.write_message(to=customer.email, subject=subject, body=body, by=by)


def _numbers(jobs: Sequence[Job]) -> str:
    return ", ".join(job.number for job in jobs)
