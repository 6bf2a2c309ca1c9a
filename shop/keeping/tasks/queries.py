"""What is asked of the table of tasks: what somebody sees of it, and whether anybody works."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Max, Q

from shop.frame import clock
from shop.frame.models import Staff
from shop.keeping.models import Task
from shop.keeping.tasks.kinds import Kind, kind_of
from shop.keeping.tasks.timing import clocks_own, timed_kinds

SHOWN = 50
MOST_TOLD = 10
NOBODY_WORKS = dt.timedelta(minutes=5)
"""A task that is due and waits so long, though nothing is being done, has no worker."""


@dataclass(frozen=True, slots=True)
class Shown:
    """One task as a page shows it."""

    task: Task
    kind: Kind | None
    now: dt.datetime

    @property
    def name(self) -> str:
        """What it is, and what it is about."""
        name = self.kind.label if self.kind else self.task.kind
        return f"{name}: {self.task.title}" if self.task.title else name

    @property
    def is_open(self) -> bool:
        """Whether it is not over."""
        return self.task.state in Task.OPEN

    @property
    def is_stopping(self) -> bool:
        """Whether somebody asked it to stop, and it has not looked up yet."""
        return self.task.state == Task.State.RUNNING and self.task.stop_asked_at is not None

    @property
    def can_be_tried(self) -> bool:
        """Whether it may be taken up again."""
        return self.task.state in {Task.State.FAILED, Task.State.STOPPED}

    @property
    def things(self) -> str:
        """What is counted."""
        return self.kind.of if self.kind else ""

    @property
    def later(self) -> bool:
        """Whether it waits for a moment that has not come."""
        return self.task.state == Task.State.WAITING and self.task.due_at > self.now

    @property
    def minutes_left(self) -> int | None:
        """About how many minutes it will take yet, as fast as this try went so far; none where nothing tells."""
        task = self.task
        done = task.done - task.done_before
        if task.state != Task.State.RUNNING or task.began_at is None or done <= 0 or task.total <= task.done:
            return None
        took = (self.now - task.began_at).total_seconds()
        return math.ceil(took / done * (task.total - task.done) / 60)

    @property
    def sentence(self) -> str:
        """What came of it."""
        return str(self.task.result.get("sentence", ""))

    @property
    def address(self) -> str:
        """Where it is to be seen."""
        return str(self.task.result.get("address", ""))

    @property
    def words(self) -> str:
        """What stands on the way there."""
        return str(self.task.result.get("words", ""))


def shown(tasks: Iterable[Task]) -> list[Shown]:
    """These tasks as a page shows them."""
    now = clock.now()
    return [Shown(task, kind_of(task.kind), now) for task in tasks]


def tasks_of(staff: Staff) -> list[Shown]:
    """The last tasks that somebody asked for, newest first; an owner sees everybody's, and the clock's."""
    mine = Task.objects.select_related("by").order_by("-pk")
    return shown((mine if staff.is_owner else mine.filter(by=staff))[:SHOWN])


def may_touch(task: Task, staff: Staff) -> bool:
    """Whether somebody may stop a task or have it tried again: who asked, and owners."""
    return staff.is_owner or task.by_id == staff.pk


def to_be_told(staff: Staff) -> list[Shown]:
    """What the first screen tells somebody: tasks of theirs that are over and not yet noted, then those that go on."""
    told = Q(told_at__isnull=True, state__in=Task.OVER) | Q(state__in=Task.OPEN)
    tasks = list(Task.objects.filter(told, by=staff).order_by("-pk")[:MOST_TOLD])
    over = [task for task in tasks if task.state in Task.OVER]
    going = [task for task in reversed(tasks) if task.state in Task.OPEN]
    return shown([*over, *going])


def latest(same: str) -> Shown | None:
    """The last task of those that are the same."""
    return next(iter(shown(Task.objects.filter(same=same).order_by("-pk")[:1])), None)


def nobody_works() -> bool:
    """Whether a task has been due for minutes, and none is being done."""
    now = clock.now()
    waiting = Task.objects.filter(state=Task.State.WAITING, due_at__lt=now - NOBODY_WORKS)
    return waiting.exists() and not Task.objects.filter(state=Task.State.RUNNING, held_until__gt=now).exists()


@dataclass(frozen=True, slots=True)
class Turn:
    """One thing of the timetable: its last run and what came of it, and when it runs next."""

    name: str
    last: Task | None
    next_at: dt.datetime | None

    @property
    def failed(self) -> bool:
        """Whether the last run did not do it."""
        return self.last is not None and self.last.state == Task.State.FAILED

    @property
    def sentence(self) -> str:
        """What came of the last run."""
        return str(self.last.result.get("sentence", "")) if self.last else ""


def timetable() -> list[Turn]:
    """What the clock asks for, each with its last run and its next."""
    last = _last_runs()
    return [Turn(_name(timed.kind), last.get(timed.kind), next_at) for timed, next_at in clocks_own()]


def failed_turns() -> list[Turn]:
    """What the clock asked for whose last run did not do it."""
    turns = [Turn(_name(kind), task, None) for kind, task in _last_runs().items()]
    return [turn for turn in turns if turn.failed]


def _last_runs() -> dict[str, Task]:
    newest = Task.objects.filter(kind__in=timed_kinds(), state__in=Task.OVER)
    ids = newest.order_by().values("kind").annotate(last=Max("pk")).values("last")
    return {task.kind: task for task in Task.objects.filter(pk__in=ids)}


def _name(key: str) -> str:
    kind = kind_of(key)
    return kind.label if kind else key
