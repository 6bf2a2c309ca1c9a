"""What a person does at the planner: moves a job in the queue, gives and withdraws keys to the calendar, deals with reminders."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter import actions as counter
from shop.counter.models import Job, Promise
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.outbox import write_message
from shop.planner.keys import digest_of, make_secret
from shop.planner.models import FeedKey, QueuePlace, Reminded
from shop.planner.reading import queue_book


def move_in_queue(
    *, job: Job, place: int, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Put a job at a place of the queue, counted from 1; those behind it move on. A place past the end is the last."""
    with acting(by=by, at=at, once=once_key) as act:
        order = [one.pk for one in queue_book().jobs]
        if job.pk not in order:
            raise Refusal(f"{job.number} is not in the queue any more.", field="place")
        order.remove(job.pk)
        order.insert(max(place, 1) - 1, job.pk)
        QueuePlace.objects.all().delete()
        QueuePlace.objects.bulk_create(
            QueuePlace(job_id=pk, place=number) for number, pk in enumerate(order, start=1)
        )
        act.record("planner.moved", subject=job, jobs=[job.pk], place=order.index(job.pk) + 1)


def make_feed_key(
    *, label: str, names: bool, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> tuple[FeedKey, str]:
    """Make a key to the calendar; its secret is told once."""
    secret = make_secret()
    with acting(by=by, at=at, once=once_key) as act:
        key = FeedKey.objects.create(
            digest=digest_of(secret), label=label.strip(), names=names, made_at=act.at, by=by
        )
        act.record("planner.key_made", subject=key, names=names)
    return key, secret


def withdraw_feed_key(
    *, key: FeedKey, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Make a key open nothing from now on."""
    with acting(by=by, at=at, once=once_key) as act:
        if FeedKey.objects.filter(pk=key.pk, withdrawn_at__isnull=True).update(withdrawn_at=act.at):
            act.record("planner.key_withdrawn", subject=key)


def send_reminder(
    *,
    job: Job,
    kind: str,
    to: str,
    subject: str,
    body: str,
    new_day: dt.date | None = None,
    what: str = Promise.What.READY,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Reminded:
    """Put a letter that somebody looked at into the outbox. One that tells a new date gives that date as a promise."""
    with acting(by=by, at=at, once=once_key) as act:
        write_message(to=to, subject=subject, body=body, by=by, at=act.at)
        if new_day is not None:
            counter.promise(job=job, promised_for=new_day, what=what, by=by, at=act.at)
        reminded = Reminded.objects.create(kind=kind, job=job, at=act.at, sent=True)
        act.record("planner.reminded", subject=reminded, jobs=[job.pk], kind=kind)
    return reminded


def leave_reminder(
    *, job: Job, kind: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Reminded:
    """Leave a reminder aside for some days."""
    with acting(by=by, at=at, once=once_key) as act:
        left = Reminded.objects.create(kind=kind, job=job, at=act.at, sent=False)
        act.record("planner.left_aside", subject=left, jobs=[job.pk], kind=kind)
    return left
