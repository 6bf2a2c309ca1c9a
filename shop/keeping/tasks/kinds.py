"""The kinds of task there are, and what one is handed that does a task."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from shop.frame import clock
from shop.frame.models import Staff
from shop.keeping.models import Task

GIGABYTE = 1 << 30
LEASE = dt.timedelta(seconds=60)
"""So long a claim holds without being renewed; the worker renews it six times as often."""
BETWEEN_WORDS = 0.5
"""Seconds between two lines of progress: each is a transaction, and others want to write as well."""
LONGEST_LINE = 300


class Stopped(Exception):
    """Somebody asked for this task to stop."""


class Lost(Exception):
    """The task is no longer this process's: its claim ran out, and somebody else may have it."""


@dataclass(frozen=True, slots=True)
class Result:
    """What came of a task: a sentence, and the page or file where it is to be seen."""

    sentence: str
    address: str = ""
    words: str = "See the result"


@dataclass(slots=True)
class Work:
    """A task as the function sees it that does it: what it is about, where to go on, and where to say how far it is."""

    task: Task
    _said_at: float = field(default=-BETWEEN_WORDS)

    @property
    def about(self) -> dict[str, Any]:
        """What was asked for."""
        return dict(self.task.about)

    @property
    def place(self) -> dict[str, Any]:
        """Where to go on, as `reached` kept it last; empty at the first try."""
        return dict(self.task.place)

    @property
    def by(self) -> Staff | None:
        """Who asked; nobody where the clock did."""
        return self.task.by

    def say(self, done: int, total: int, line: str = "") -> None:
        """Say how far it is, as often as one likes, outside any transaction. Raises Stopped and Lost."""
        now = time.monotonic()
        if now - self._said_at >= BETWEEN_WORDS or done >= total > 0:
            self._said_at = now
            self._write(done=done, total=total, line=line[:LONGEST_LINE])

    def reached(self, place: dict[str, object], *, done: int, total: int, line: str = "") -> None:
        """Keep where to go on. Called inside the transaction that did the step, so that either both are there or neither.

        Raises Lost where the claim is no longer ours, and Stopped, which both undo the step.
        """
        self.task.place = place
        self._write(done=done, total=total, line=line[:LONGEST_LINE], place=place, tries=1)

    def _write(self, **columns: Any) -> None:
        mine = Task.objects.filter(pk=self.task.pk, holder=self.task.holder, state=Task.State.RUNNING)
        if not mine.update(**columns, held_until=clock.now() + LEASE):
            raise Lost
        if mine.filter(stop_asked_at__isnull=False).exists():
            raise Stopped
        self.task.done, self.task.total = columns["done"], columns["total"]


Run = Callable[[Work], Result | None]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of task: how it is called, what does it, and what it may take.

    `of` names the things that are counted. `resumes` says that it goes on from `place`; another begins anew, so that it must do
    no harm to do it twice. `quick` kinds have a seat of their own at the worker, so that no letter waits for a list of a
    million rows.
    """

    key: str
    label: str
    run: Run
    of: str = ""
    resumes: bool = False
    quick: bool = False
    memory: int = GIGABYTE
    tries: int = 6
    told: bool = True
    """Whether the first screen says that it is done."""


_kinds: dict[str, Kind] = {}


def hang_up(kind: Kind) -> None:
    """Have tasks of this kind done; a room calls it in its `apps.py`."""
    _kinds[kind.key] = kind


def kind_of(key: str) -> Kind | None:
    """The kind that is called so; none where the room that knew it is gone."""
    return _kinds.get(key)


def kinds(*, quick_only: bool = False) -> list[str]:
    """The names of all kinds, or of those that are quick."""
    return [key for key, kind in _kinds.items() if kind.quick or not quick_only]
