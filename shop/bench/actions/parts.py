"""Parts as the bench asks for them: one that the job waits for."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Part, PartWanted


def want_and_await(
    *,
    job: Job,
    by: Staff,
    part: Part | None = None,
    description: str = "",
    quantity_thousandths: int = 1000,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PartWanted:
    """Put a part on the order list, as `want_part` does, and set the job aside until it has come."""
    with acting(by=by, at=at):
        wanted = stockroom.want_part(
            job=job,
            by=by,
            part=part,
            description=description,
            quantity_thousandths=quantity_thousandths,
            entry=entry,
        )
        stockroom.await_parts(job=job, by=by)
    return wanted


def set_aside(*, job: Job, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None) -> Job:
    """Set a job aside until the parts that it wants have come."""
    with acting(by=by, at=at, once=entry):
        stockroom.await_parts(job=job, by=by)
    return job
