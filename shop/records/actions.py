"""What a person does in the records. Each function is one act: one transaction, its journal entry."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.records.models import SavedSearch, Synonym

MOST_SAVED = 40


def save_search(
    *, name: str, query: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> SavedSearch:
    """Keep a search under a name; a search of that name is replaced."""
    if not query:
        raise Refusal("There is nothing to keep: type something first.", field="name")
    with acting(by=by, at=at, once=once_key) as act:
        if SavedSearch.objects.filter(staff=by).exclude(name=name).count() >= MOST_SAVED:
            raise Refusal(f"{MOST_SAVED} searches are kept already; let one go first.", field="name")
        saved, _ = SavedSearch.objects.update_or_create(
            staff=by, name=name.strip(), defaults={"query": query, "saved_at": act.at}
        )
        act.record("search.saved", subject=saved)
    return saved


def forget_search(
    *, saved: SavedSearch, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Let a kept search go."""
    with acting(by=by, at=at, once=once_key) as act:
        act.record("search.forgotten", subject=saved)
        saved.delete()


def add_synonym(
    *, words: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Synonym:
    """Teach the search words that mean the same. They are applied when asking: nothing is built anew."""
    with acting(by=by, at=at, once=once_key) as act:
        row = Synonym.objects.create(words=words, by=by, added_at=act.at)
        act.record("synonym.added", subject=row)
    return row


def change_synonym(
    *, row: Synonym, words: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Synonym:
    """Put a row of words right."""
    with acting(by=by, at=at, once=once_key) as act:
        row.words = words
        row.save(update_fields=["words"])
        act.record("synonym.changed", subject=row)
    return row


def drop_synonym(
    *, row: Synonym, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Take a row of words back."""
    with acting(by=by, at=at, once=once_key) as act:
        act.record("synonym.dropped", subject=row)
        row.delete()


# --- comebacks ------------------------------------------------------------------------------------------------


def note_comeback(
    *, job: Job, earlier: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Note that a job is a comeback of an earlier one of the same unit: bench and parts then offer it under warranty."""
    if earlier.unit_id != job.unit_id or earlier.pk >= job.pk:
        raise Refusal(f"{earlier.number} is no earlier job of this unit.")
    with acting(by=by, at=at, once=once_key) as act:
        Job.objects.filter(pk=job.pk).update(comeback_of=earlier)
        job.comeback_of = earlier
        act.record("job.comeback_noted", subject=job, jobs=[job.pk, earlier.pk], of=earlier.pk)
    return job


def withdraw_comeback(
    *, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Note that a job is no comeback after all."""
    with acting(by=by, at=at, once=once_key) as act:
        if Job.objects.filter(pk=job.pk, comeback_of__isnull=False).update(comeback_of=None):
            act.record("job.comeback_withdrawn", subject=job, jobs=[job.pk])
        job.comeback_of = None
    return job
