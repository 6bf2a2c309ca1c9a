"""Parts fitted in one go, and taken back in one go."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.bench.actions.lines import write
from shop.bench.listing import ListedPart
from shop.bench.models import FittedList
from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.stockroom.actions import fit_part, strike_part
from shop.stockroom.models import PartFitted

TAKEN_BACK = "taken back"


def fit_list(
    *,
    job: Job,
    text: str,
    parts: Sequence[ListedPart],
    by: Staff,
    under_warranty: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> FittedList:
    """Fit every part of a list, all of them or none: from stock where it lies there, else in words."""
    with acting(by=by, at=at, once=entry) as act:
        fitted = [_fit(one, job=job, by=by, under_warranty=under_warranty) for one in parts]
        line = write(
            act, FittedList(job=job, text=text.strip()), "parts.listed", entry=entry, parts=len(fitted)
        )
        line.parts.set(fitted)
        act.made(line)
    return line


def _fit(one: ListedPart, *, job: Job, by: Staff, under_warranty: bool) -> PartFitted:
    """One part of the list; what stops it is told with its position."""
    try:
        return fit_part(
            job=job,
            part=one.part,
            description=one.words,
            quantity_thousandths=one.listed.quantity * 1000,
            position=one.listed.position,
            unit_price_ten_thousandths=one.price,
            under_warranty=under_warranty,
            by=by,
        )
    except Refusal as refusal:
        raise Refusal(f"{one.listed.position or one.words}: {refusal.sentence}", field="text") from refusal


def take_list_back(
    *, fitted: FittedList, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> FittedList:
    """Strike every part of a list that still stands; those from stock go back into their drawers."""
    with acting(by=by, at=at, once=entry) as act:
        standing = FittedList.objects.filter(pk=fitted.pk, struck_at__isnull=True)
        if not standing.update(struck_at=act.at, struck_by=by, struck_reason=TAKEN_BACK):
            raise Refusal("This list is taken back already.")
        for part in fitted.parts.filter(struck_at__isnull=True).select_related("part", "ledger_entry", "job"):
            strike_part(fitted=part, reason=TAKEN_BACK, by=by)
        act.record("parts.taken_back", subject=fitted, jobs=[fitted.job_id])
    fitted.refresh_from_db()
    return fitted
