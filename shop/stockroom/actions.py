"""What a person does with parts. Stock changes only here: a ledger entry and the level it adds up to, in one transaction."""

from __future__ import annotations

import datetime as dt
import uuid

from django.db.models import F

from shop.counter import stages
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.premises import once
from shop.premises.journal import Act, acting
from shop.premises.models import Staff
from shop.premises.refusal import Refusal
from shop.stockroom.models import LedgerEntry, Part, PartFitted, PartState, PartWanted, StockLevel
from shop.stockroom.pricing import price_of


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

    A part without a drawer (`part` is None) is described in words and priced by hand. Price and cost are ten-thousandths of
    the major unit, quantity is thousandths. Refuses when the drawer holds less than that.
    """
    if quantity_thousandths <= 0:
        raise Refusal("Fit at least some of it: the quantity is more than nothing.", field="quantity")
    if part is None and not description.strip():
        raise Refusal("Say what was fitted, or choose it from the drawers.", field="description")
    with acting(by=by, at=at) as act:
        claimed = once.claim(entry, "part.fitted")
        ledger, cost = None, 0
        if part is not None:
            ledger = _book(
                act,
                part=part,
                kind=LedgerEntry.Kind.FITTED,
                quantity_thousandths=-quantity_thousandths,
                job=job,
            )
            cost = ledger.unit_cost_ten_thousandths
        if unit_price_ten_thousandths is None:
            unit_price_ten_thousandths = price_of(part, cost, on=act.at.date()) if part is not None else 0
        fitted = PartFitted.objects.create(
            job=job,
            part=part,
            ledger_entry=ledger,
            description=description.strip() or (part.description if part is not None else ""),
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
        act.record("part.fitted", subject=fitted, jobs=[job.pk], quantity=quantity_thousandths, state=state)
        once.settle(claimed, fitted)
    return fitted


def strike_part(*, fitted: PartFitted, reason: str, by: Staff, at: dt.datetime | None = None) -> PartFitted:
    """Strike a fitted part out with a reason; one that came from a drawer goes back into it."""
    if not reason.strip():
        raise Refusal("Say why this part is struck out.", field="reason")
    with acting(by=by, at=at) as act:
        struck = PartFitted.objects.filter(pk=fitted.pk, struck_at__isnull=True)
        if not struck.update(struck_at=act.at, struck_reason=reason.strip()):
            raise Refusal("This part is struck out already.")
        if fitted.part is not None:
            _book(
                act,
                part=fitted.part,
                kind=LedgerEntry.Kind.RETURNED,
                quantity_thousandths=fitted.quantity_thousandths,
                unit_cost_ten_thousandths=fitted.unit_cost_ten_thousandths,
                job=fitted.job,
            )
        act.record("part.struck", subject=fitted, jobs=[fitted.job_id])
    fitted.refresh_from_db()
    return fitted


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
    """Put a part that a job needs on the order list."""
    if quantity_thousandths <= 0:
        raise Refusal("Want at least some of it: the quantity is more than nothing.", field="quantity")
    if part is None and not description.strip():
        raise Refusal("Say which part is wanted.", field="description")
    with acting(by=by, at=at) as act:
        claimed = once.claim(entry, "part.wanted")
        wanted = PartWanted.objects.create(
            job=job,
            part=part,
            description=description.strip() or (part.description if part is not None else ""),
            quantity_thousandths=quantity_thousandths,
            at=act.at,
            by=by,
        )
        Job.objects.filter(pk=job.pk, part_owed_since__isnull=True).update(part_owed_since=act.at)
        job.refresh_from_db(fields=["part_owed_since"])
        act.record("part.wanted", subject=wanted, jobs=[job.pk], quantity=quantity_thousandths)
        once.settle(claimed, wanted)
    return wanted


def await_parts(*, job: Job, by: Staff, at: dt.datetime | None = None) -> Job:
    """Set a job aside until the parts it wants have come."""
    with acting(by=by, at=at) as act:
        if job.part_owed_since is None:
            raise Refusal(f"{job.number} waits for no part yet; say first which one it wants.")
        stages.move(job, Stage.AWAITING_PARTS, act=act, asked_by="stockroom.await_parts")
    return job


def parts_arrived(*, job: Job, by: Staff, at: dt.datetime | None = None) -> Job:
    """What a job waited for is here: nothing is owed any more, and a job that stood aside for it is back on the bench."""
    with acting(by=by, at=at) as act:
        still = PartWanted.objects.filter(job=job, came_at__isnull=True, dropped_at__isnull=True)
        still.update(came_at=act.at)
        Job.objects.filter(pk=job.pk).update(part_owed_since=None)
        job.part_owed_since = None
        if job.stage == Stage.AWAITING_PARTS:
            stages.move(job, Stage.ON_THE_BENCH, act=act, asked_by="stockroom.parts_arrived")
        act.record("parts.arrived", subject=job, jobs=[job.pk])
    return job


def _book(
    act: Act,
    *,
    part: Part,
    kind: str,
    quantity_thousandths: int,
    unit_cost_ten_thousandths: int | None = None,
    job: Job | None = None,
    **more: object,
) -> LedgerEntry:
    """One ledger entry, and the level by compare-and-swap: two hands never take the last part twice.

    What comes in moves the average cost (`shop.handbook.counting`); what goes out takes the average of the day.
    """
    level, _ = StockLevel.objects.get_or_create(part=part)
    levels = StockLevel.objects.filter(pk=level.pk)
    if quantity_thousandths < 0:
        taken = levels.filter(quantity_thousandths__gte=-quantity_thousandths)
        if not taken.update(quantity_thousandths=F("quantity_thousandths") + quantity_thousandths):
            raise Refusal(
                f"There is not that much of {part.number} in the drawer: {level.quantity_thousandths / 1000:g} left.",
                field="quantity",
            )
        level.refresh_from_db()
        cost = level.average_cost_ten_thousandths
    else:
        level = StockLevel.objects.select_for_update().get(pk=level.pk)
        cost = (
            level.average_cost_ten_thousandths
            if unit_cost_ten_thousandths is None
            else unit_cost_ten_thousandths
        )
        levels.update(
            quantity_thousandths=F("quantity_thousandths") + quantity_thousandths,
            average_cost_ten_thousandths=moving_average(level, quantity_thousandths, cost),
        )
    return LedgerEntry.objects.create(
        part=part,
        kind=kind,
        quantity_thousandths=quantity_thousandths,
        unit_cost_ten_thousandths=cost,
        job=job,
        at=act.at,
        by=act.by,
        **more,
    )


def moving_average(level: StockLevel, quantity_thousandths: int, unit_cost_ten_thousandths: int) -> int:
    """The new average cost, in ten-thousandths, rounded half up, when that much comes in at that cost."""
    total = level.quantity_thousandths + quantity_thousandths
    if total <= 0:
        return unit_cost_ten_thousandths
    worth = (
        level.quantity_thousandths * level.average_cost_ten_thousandths
        + quantity_thousandths * unit_cost_ten_thousandths
    )
    return (2 * worth + total) // (2 * total)
