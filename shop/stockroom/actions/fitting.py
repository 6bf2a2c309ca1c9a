"""Fitting a part on a job, and taking that back."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.models import Job
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.stockroom.actions.drawer import book, level_of
from shop.stockroom.actions.waiting import keep_no_more, serve_waiting, tick_wants
from shop.stockroom.models import LedgerEntry, Part, PartFitted, PartState
from shop.stockroom.pricing import price_where_known


def fit_part(
    *,
    job: Job,
    by: Staff,
    part: Part | None = None,
    description: str = "",
    quantity_thousandths: int = 1000,
    state: str = PartState.NEW,
    position: str = "",
    unit_price_ten_thousandths: int | None = None,
    under_warranty: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartFitted:
    """Fit a part on a job: takes it out of the drawer, costs it and prices it in one act.

    A part without a drawer (`part` is None) is described in words and priced by hand; where nobody says a price, the
    invoice asks for it. Price and cost are ten-thousandths of the major unit, quantity is thousandths. Refuses when the
    drawer holds less than that, or fewer new ones.
    """
    if quantity_thousandths <= 0:
        raise Refusal("Fit at least some of it: the quantity is more than nothing.", field="quantity")
    if part is None and not description.strip():
        raise Refusal("Say what was fitted, or choose it from the drawers.", field="description")
    with acting(by=by, at=at, once=entry) as act:
        ledger, cost = None, 0
        if part is not None:
            ledger = _take_out(
                act, part=part, quantity_thousandths=quantity_thousandths, state=state, job=job
            )
            cost = ledger.unit_cost_ten_thousandths
        if unit_price_ten_thousandths is None:
            unit_price_ten_thousandths = price_where_known(part, cost, on=act.day)
        fitted = PartFitted.objects.create(
            job=job,
            part=part,
            ledger_entry=ledger,
            description=description.strip() or (part.called if part is not None else ""),
            position=position.strip(),
            state=state,
            quantity_thousandths=quantity_thousandths,
            unit_cost_ten_thousandths=cost,
            unit_price_ten_thousandths=unit_price_ten_thousandths,
            currency=job.currency,
            under_warranty=under_warranty,
            at=act.at,
            by=by,
        )
        if part is not None:
            tick_wants(act, job=job, part=part)
            keep_no_more(act, part=part)
        act.record("part.fitted", subject=fitted, jobs=[job.pk], quantity=quantity_thousandths, state=state)
    return fitted


def strike_part(
    *,
    fitted: PartFitted,
    reason: str,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartFitted:
    """Strike a fitted part out with a reason; one that came from a drawer goes back into it, for the job that wanted it."""
    if not reason.strip():
        raise Refusal("Say why this part is struck out.", field="reason")
    with acting(by=by, at=at, once=once_key) as act:
        struck = PartFitted.objects.filter(pk=fitted.pk, struck_at__isnull=True)
        if not struck.update(struck_at=act.at, struck_reason=reason.strip()):
            raise Refusal("This part is struck out already.")
        if fitted.part is not None and fitted.ledger_entry is not None:
            book(
                act,
                part=fitted.part,
                kind=LedgerEntry.Kind.RETURNED,
                quantity_thousandths=fitted.quantity_thousandths,
                unit_cost_ten_thousandths=fitted.unit_cost_ten_thousandths,
                second_hand_thousandths=-fitted.ledger_entry.second_hand_thousandths,
                job=fitted.job,
            )
            tick_wants(act, job=fitted.job, part=fitted.part)
            serve_waiting(act, part=fitted.part)
        act.record("part.struck", subject=fitted, jobs=[fitted.job_id])
    fitted.refresh_from_db()
    return fitted


def _take_out(act: Act, *, part: Part, quantity_thousandths: int, state: str, job: Job) -> LedgerEntry:
    """Take parts out of the drawer as new ones or as others: a used part never goes onto an invoice as a new one."""
    level = level_of(part)
    held, second_hand = level.quantity_thousandths, level.second_hand_thousandths
    new = held - second_hand
    if state == PartState.NEW and new < quantity_thousandths <= held:
        raise Refusal(
            f"Of {part.number} {new / 1000:g} in the drawer are new and {second_hand / 1000:g} are not: "
            "say “used” or “salvaged” for those.",
            field="state",
        )
    not_new = 0 if state == PartState.NEW else min(second_hand, quantity_thousandths)
    return book(
        act,
        part=part,
        kind=LedgerEntry.Kind.FITTED,
        quantity_thousandths=-quantity_thousandths,
        second_hand_thousandths=-not_new,
        job=job,
    )
