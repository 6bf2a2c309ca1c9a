"""What is noted of a job while it is here: shelf, promise, and that it goes back or never came."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter import promising
from shop.counter.models import Job, Promise
from shop.counter.moving import move
from shop.counter.stages import Stage
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal


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
    what: str = Promise.What.READY,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Give the customer a date, or take it back: by when they hear of it, or when it is ready.

    Kept beside it: what it hangs on, and what the forecast of the moment said.
    """
    with acting(by=by, at=at, once=once_key) as act:
        finish = what == Promise.What.READY
        if finish and promised_for is not None and (why := promising.why_no_finish(job)):
            raise Refusal(why, field="promised_for")
        offer = promising.offered(job, what)
        Promise.objects.create(
            job=job,
            what=what,
            day=promised_for,
            because=Stage(job.stage).row.hangs_on or "",
            likely=offer.likely if offer else None,
            safe=offer.safe if offer else None,
            at=act.at,
            by=by,
        )
        if finish:
            job.promised_for = promised_for
            job.save(update_fields=["promised_for"])
        verb = "job.promised" if finish else "job.word_promised"
        act.record(verb, subject=job, jobs=[job.pk], day=promised_for)
    return job
