"""A wrong, fake or dead part goes back to its supplier for a credit; and what a donor unit still has inside."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.models import Job, Unit
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.money import UnitPrice
from shop.stockroom.actions.drawer import book, level_of
from shop.stockroom.actions.fitting import strike_part
from shop.stockroom.actions.waiting import keep_no_more, kept_of, want_part
from shop.stockroom.models import (
    LedgerEntry,
    OrderLine,
    Part,
    PartFitted,
    PartSentBack,
    StillInside,
    Supplier,
)


def send_back(
    *,
    part: Part,
    quantity_thousandths: int,
    fault: str,
    supplier: Supplier,
    by: Staff,
    order_line: OrderLine | None = None,
    fitted: PartFitted | None = None,
    job: Job | None = None,
    expected_minor: int | None = None,
    note: str = "",
    want_again: bool = False,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartSentBack:
    """Send parts back to the supplier. One that was `fitted` is struck out first, so that no invoice charges it.

    A `job` that the part was for waits for it again; `want_again` puts one that was fitted without having been wanted on the
    order list. `expected_minor` is the credit that is owed, by default what was paid.
    """
    if quantity_thousandths <= 0:
        raise Refusal("The quantity is more than nothing.", field="quantity")
    with acting(by=by, at=at, once=once_key) as act:
        job = fitted.job if fitted is not None else job
        if fitted is not None:
            said = PartSentBack.Fault(fault).label
            strike_part(fitted=fitted, reason=f"{said}: back to the supplier", by=by)
        entry = book(
            act,
            part=part,
            kind=LedgerEntry.Kind.SENT_BACK,
            quantity_thousandths=-quantity_thousandths,
            order_line=order_line,
            job=job,
            note=note,
        )
        waiting = keep_no_more(act, part=part, first=job)
        currency = the_profile().currency
        paid = (
            order_line.unit_cost_ten_thousandths
            if order_line is not None
            else entry.unit_cost_ten_thousandths
        )
        sent = PartSentBack.objects.create(
            part=part,
            supplier=supplier,
            order_line=order_line,
            ledger_entry=entry,
            job=job,
            quantity_thousandths=quantity_thousandths,
            fault=fault,
            note=note.strip(),
            currency=currency,
            expected_minor=UnitPrice(paid, currency).times(quantity_thousandths).minor
            if expected_minor is None
            else expected_minor,
            at=act.at,
            by=by,
        )
        act.record(
            "part.sent_back",
            subject=part,
            jobs=[job.pk] if job is not None else [],
            quantity_thousandths=quantity_thousandths,
            fault=fault,
        )
        if want_again and job is not None and job not in waiting and not _free(part, quantity_thousandths):
            want_part(job=job, part=part, quantity_thousandths=quantity_thousandths, by=by)
        act.made(sent)
    return sent


def settle_credit(
    *,
    sent: PartSentBack,
    credited_minor: int,
    by: Staff,
    reference: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartSentBack:
    """The credit for what went back has come; nothing where the supplier refused it."""
    if credited_minor < 0:
        raise Refusal("A credit can't be less than nothing.", field="credited")
    with acting(by=by, at=at, once=once_key) as act:
        owed = PartSentBack.objects.filter(pk=sent.pk, credited_at=None)
        if not owed.update(
            credited_minor=credited_minor, credited_at=act.at, credit_reference=reference.strip()[:60]
        ):
            raise Refusal("The credit for it is written down already.")
        act.record("part.credited", subject=sent.part, credited_minor=credited_minor)
    sent.refresh_from_db()
    return sent


def note_inside(
    *,
    donor: Unit,
    description: str,
    by: Staff,
    quantity_thousandths: int = 1000,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> StillInside:
    """Write down what can still be had from a donor unit."""
    if not description.strip():
        raise Refusal("Say what can be had from it.", field="description")
    if quantity_thousandths <= 0:
        raise Refusal("The quantity is more than nothing.", field="quantity")
    with acting(by=by, at=at, once=once_key) as act:
        inside = StillInside.objects.create(
            donor=donor,
            description=description.strip()[:200],
            quantity_thousandths=quantity_thousandths,
            at=act.at,
            by=by,
        )
        act.record("donor.noted", subject=donor)
        act.made(inside)
    return inside


def discard_inside(
    *, inside: StillInside, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Unit:
    """It can't be had from that unit any more: it was taken out, or is no good."""
    with acting(by=by, at=at, once=once_key) as act:
        if not StillInside.objects.filter(pk=inside.pk, gone_at=None).update(gone_at=act.at):
            raise Refusal("It is off the list already.")
        act.record("donor.struck", subject=inside.donor)
    return inside.donor


def _free(part: Part, quantity_thousandths: int) -> bool:
    return level_of(part).quantity_thousandths - kept_of(part) >= quantity_thousandths
