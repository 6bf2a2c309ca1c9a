"""What is noted of a job while it is here: shelf, promise, and that it goes back or never came."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.models import Job
from shop.counter.moving import move
from shop.counter.stages import Stage
from shop.frame.journal import acting
from shop.frame.models import Staff


def call_off(*, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None) -> Job:
    """An announced unit never came."""
    with acting(by=by, at=at, once=once_key) as act:
        move(job, Stage.CALLED_OFF, act=act)
    return job


def set_ready_unopened(
    *, job: Job, outcome: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """The unit goes back without having been on the bench: the customer thought better of it."""
    with acting(by=by, at=at, once=once_key) as act:
        move(job, Stage.READY, act=act, outcome=outcome)
    return job


def put_on_shelf(
    *, job: Job, shelf: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Note where a unit stands now."""
    with acting(by=by, at=at, once=once_key) as act:
        job.shelf = shelf.strip()
        job.save(update_fields=["shelf"])
        act.record("job.shelved", subject=job, jobs=[job.pk])
    return job


def promise(
    *,
    job: Job,
    promised_for: dt.date | None,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Give the customer a date, or take it back."""
    with acting(by=by, at=at, once=once_key) as act:
        job.promised_for = promised_for
        job.save(update_fields=["promised_for"])
        act.record("job.promised", subject=job, jobs=[job.pk], day=promised_for)
    return job
