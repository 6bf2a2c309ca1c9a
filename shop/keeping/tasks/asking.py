"""What people and rooms do with tasks: ask for one, stop it, have it tried again, and note that it is done."""

from __future__ import annotations

import datetime as dt
import uuid

from django.db import IntegrityError, transaction

from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.keeping.tasks.kinds import kind_of


def ask(
    key: str,
    *,
    by: Staff | None,
    about: dict[str, object] | None = None,
    title: str = "",
    same: str = "",
    slot: str | None = None,
    due_at: dt.datetime | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Task:
    """Put a task on the table. Joins the caller's act, and is seen by the worker when that is done.

    Of tasks that are the `same` only one is open at a time, and one that is open already is the answer. A `slot` is taken once
    for good. `title` says what it is about, for whoever waits for it.
    """
    kind = kind_of(key)
    if kind is None:
        raise ValueError(f"Nobody knows how to do “{key}”.")
    with acting(by=by, at=at, once=once_key) as act:
        if open_one := _open(same, slot):
            act.made(open_one)
            return open_one
        try:
            with transaction.atomic():
                task = Task.objects.create(
                    kind=key,
                    title=title[:200],
                    about=about or {},
                    same=same,
                    slot=slot,
                    by=by,
                    asked_at=act.at,
                    due_at=due_at or act.at,
                )
        except IntegrityError:
            # somebody was a moment earlier
            if open_one := _open(same, slot):
                act.made(open_one)
                return open_one
            raise
        act.made(task)
        if by is not None:
            act.record("task.asked", subject=task, kind=key)
    return task


def _open(same: str, slot: str | None) -> Task | None:
    if slot is not None:
        return Task.objects.filter(slot=slot).first()
    return Task.objects.filter(same=same, state__in=Task.OPEN).first() if same else None


def stop(
    *, task: Task, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Stop a task: at once where it waits, else as soon as it looks up. What it has done stays done."""
    with acting(by=by, at=at, once=once_key) as act:
        one = Task.objects.filter(pk=task.pk)
        waiting = one.filter(state=Task.State.WAITING)
        if not waiting.update(state=Task.State.STOPPED, ended_at=act.at, line="") and not one.filter(
            state=Task.State.RUNNING
        ).update(stop_asked_at=act.at):
            raise Refusal("This task is over already.")
        act.record("task.stopped", subject=task)


def try_again(
    *, task: Task, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Have a task that failed or was stopped go on, from where it was."""
    with acting(by=by, at=at, once=once_key) as act:
        over = Task.objects.filter(pk=task.pk, state__in=[Task.State.FAILED, Task.State.STOPPED])
        if _open(task.same, None):
            raise Refusal("The same is being done already.")
        if not over.update(
            state=Task.State.WAITING,
            tries=0,
            due_at=act.at,
            ended_at=None,
            told_at=None,
            stop_asked_at=None,
            result={},
        ):
            raise Refusal("This task neither failed nor was it stopped.")
        act.record("task.tried_again", subject=task)


@keyless("read")
def note_told(*, staff: Staff, at: dt.datetime | None = None) -> None:
    """Note that somebody has read of the end of their tasks: the first screen says it no more."""
    with acting(by=staff, at=at) as act:
        Task.objects.filter(by=staff, told_at__isnull=True, state__in=Task.OVER).update(told_at=act.at)
