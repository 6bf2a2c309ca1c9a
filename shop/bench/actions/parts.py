"""Parts as the bench asks for them: one that the job waits for."""

from __future__ import annotations

import datetime as dt
import uuid
from typing import Any

from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.stockroom import actions as stockroom
from shop.stockroom.models import PartWanted


def want_and_await(
    *, job: Job, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None, **part: Any
) -> PartWanted:
    """Put a part on the order list and set the job aside until it has come; `part` as in `want_part`."""
    with acting(by=by, at=at):
        wanted = stockroom.want_part(job=job, by=by, entry=entry, **part)
        stockroom.await_parts(job=job, by=by)
    return wanted


def set_aside(*, job: Job, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None) -> Job:
    """Set a job aside until the parts that it wants have come."""
    with acting(by=by, at=at, once=entry):
        stockroom.await_parts(job=job, by=by)
    return job
