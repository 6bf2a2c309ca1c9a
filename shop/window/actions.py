"""What happens at the window: the shop opens it, the customer answers and says a word, the shop answers back."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection

from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office.actions import record_answer
from shop.office.models import Authorisation, Estimate
from shop.window.keys import digest_of, is_open, make_secret
from shop.window.models import WindowKey, Word

MOST_WORDS_A_DAY = 20
LONGEST_WORD = 2000


def open_window(
    *, job: Job, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> str:
    """Make a key to the customer's page of this job and return its secret. It is told once: only its digest is kept."""
    if not is_open(job):
        raise Refusal(f"{job.number} ended long ago, or its customer was forgotten: it has no page any more.")
    secret = make_secret()
    with acting(by=by, at=at, once=once_key) as act:
        key = WindowKey.objects.create(job=job, digest=digest_of(secret), made_at=act.at)
        act.record("window.opened", subject=key, jobs=[job.pk])
    return secret


def withdraw_keys(
    *, job: Job, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> int:
    """Make every link to this job's page open nothing; returns how many there were."""
    with acting(by=by, at=at, once=once_key) as act:
        count = WindowKey.objects.filter(job=job, withdrawn_at__isnull=True).update(withdrawn_at=act.at)
        if count:
            act.record("window.withdrawn", subject=job, jobs=[job.pk], keys=count)
    return count


def answer_estimate(
    *,
    job: Job,
    estimate: Estimate,
    answer: str,
    given_by: str,
    accepted_lines: Collection[int] = (),
    conditions: str = "",
    begins_early: bool | None = None,
    address_seen: str | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Authorisation:
    """The customer's yes, part of it or no, with the name typed under it."""
    with acting(by=None, at=at, once=once_key):
        current = Estimate.objects.select_for_update().get(pk=estimate.pk)
        if current.state != Estimate.State.GIVEN:
            raise Refusal("This estimate has been answered or replaced already. Load the page again.")
        return record_answer(
            job=job,
            estimate=current,
            answer=answer,
            how=Authorisation.How.WINDOW,
            given_by=given_by,
            by=None,
            accepted_lines=accepted_lines,
            conditions=conditions,
            begins_early=begins_early,
            address_seen=address_seen,
        )


def say_word(
    *, job: Job, text: str, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Word:
    """A word from the customer to the shop."""
    with acting(by=None, at=at, once=once_key) as act:
        since = act.at - dt.timedelta(days=1)
        if Word.objects.filter(job=job, from_customer=True, at__gt=since).count() >= MOST_WORDS_A_DAY:
            raise Refusal("That is a lot for one day. Please call the shop.", field="text")
        word = Word.objects.create(job=job, text=text.strip(), at=act.at)
        act.record("word.said", subject=word, jobs=[job.pk])
    return word


def answer_word(
    *, job: Job, text: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Word:
    """The shop answers; what the customer said so far counts as seen."""
    with acting(by=by, at=at, once=once_key) as act:
        _see(job, act.at)
        word = Word.objects.create(job=job, text=text.strip(), from_customer=False, at=act.at)
        act.record("word.answered", subject=word, jobs=[job.pk])
    return word


def see_words(
    *, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> int:
    """Note that what the customer said was read; returns how many words that were."""
    with acting(by=by, at=at, once=once_key) as act:
        count = _see(job, act.at)
        if count:
            act.record("word.seen", subject=job, jobs=[job.pk], words=count)
    return count


def _see(job: Job, at: dt.datetime) -> int:
    unread = Word.objects.filter(job=job, from_customer=True, seen_at__isnull=True)
    return unread.update(seen_at=at)
