"""Who does a task: one holder at a time, until a moment that is put off as long as the holder lives.

On PostgreSQL a claim takes the first due row that nobody else has locked (SELECT … FOR UPDATE SKIP LOCKED), on SQLite it is one
IMMEDIATE transaction, of which there is one at a time.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection
from dataclasses import asdict

from django.db import connection, transaction
from django.db.models import Q, QuerySet

from shop.frame import clock
from shop.keeping.models import Task
from shop.keeping.tasks.kinds import LEASE, LONGEST_LINE, Result, kind_of

BACK_OFF = tuple(dt.timedelta(seconds=seconds) for seconds in (5, 60, 300, 1800, 7200))
"""From one try to the next; the last repeats. Common practice, no source."""


def due(kinds: Collection[str], at: dt.datetime) -> QuerySet[Task]:
    """What waits to be done, or was being done by somebody whose claim has run out; the longest due first."""
    free = Q(state=Task.State.WAITING) | Q(held_until__lt=at)
    open_ones = Task.objects.filter(state__in=Task.OPEN, due_at__lte=at, kind__in=kinds)
    return open_ones.filter(free).order_by("due_at", "pk")


def claim(kinds: Collection[str], *, at: dt.datetime | None = None) -> Task | None:
    """Take the next task of these kinds; none where none is due."""
    now = at or clock.now()
    # looked for before the book is locked: mostly there is none
    if not due(kinds, now).exists():
        return None
    with transaction.atomic():
        found = due(kinds, now)
        if connection.vendor == "postgresql":
            found = found.select_for_update(skip_locked=True, of=("self",))
        task = found.first()
        if task is None:
            return None
        task.state, task.holder = Task.State.RUNNING, uuid.uuid4().hex
        task.held_until, task.began_at = now + LEASE, now
        task.tries, task.done_before = task.tries + 1, task.done
        task.save(update_fields=["state", "holder", "held_until", "began_at", "tries", "done_before", "done"])
    return task


def hold(task: Task) -> bool:
    """Put off the moment at which the claim runs out; whether it is still ours."""
    return bool(_mine(task).update(held_until=clock.now() + LEASE))


def finish(task: Task, result: Result | None) -> bool:
    """Write down that it is done, and what came of it."""
    return _end(task, Task.State.DONE, result or Result("Done."))


def stopped(task: Task) -> bool:
    """Write down that it stopped because somebody asked for it."""
    return _end(task, Task.State.STOPPED, Result("Stopped."))


def refused(task: Task, sentence: str) -> bool:
    """Write down why it can't be done; to try again would not help."""
    return _end(task, Task.State.FAILED, Result(sentence))


def broke(task: Task, why: str) -> bool:
    """Write down that a try failed: it is tried again later, until it was tried often enough."""
    kind = kind_of(task.kind)
    row = _mine(task).values_list("tries", "stop_asked_at").first()
    if row is None:
        return False
    tries, stop_asked_at = row
    if stop_asked_at is not None:
        return stopped(task)
    if tries >= (kind.tries if kind else 1):
        return refused(task, why)
    later = clock.now() + BACK_OFF[min(tries, len(BACK_OFF)) - 1]
    return bool(
        _mine(task).update(
            state=Task.State.WAITING, holder="", held_until=None, due_at=later, line=why[:LONGEST_LINE]
        )
    )


def give_back(task: Task) -> bool:
    """Let somebody else do it, at once: the worker is closing. It does not count as a try."""
    tries = max(0, task.tries - 1)
    return bool(_mine(task).update(state=Task.State.WAITING, holder="", held_until=None, tries=tries))


def _mine(task: Task) -> QuerySet[Task]:
    return Task.objects.filter(pk=task.pk, holder=task.holder, state=Task.State.RUNNING)


def _end(task: Task, state: Task.State, result: Result) -> bool:
    kind = kind_of(task.kind)
    now = clock.now()
    told_at = None if (kind is None or kind.told) and task.by_id is not None else now
    return bool(
        _mine(task).update(
            state=state, ended_at=now, holder="", held_until=None, told_at=told_at, result=asdict(result)
        )
    )
