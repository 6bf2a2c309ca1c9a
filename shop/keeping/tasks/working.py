"""The worker: claims tasks, has each done by a process of its own, and holds the claim as long as that process lives.

The two are tied by a pipe. The child reads from it and ends at once when the worker is gone, however the worker went; the worker
sees how the child went and writes it down. Each child is this program started anew, not a fork, so that it has the memory of one
task, no connection of somebody else's, and works the same on every system; that takes some half a second of processor time.
"""

from __future__ import annotations

import contextlib
import logging
import os
import signal
import subprocess
import sys
import threading
import time
from dataclasses import dataclass, field

from django.conf import settings
from django.db import DatabaseError, close_old_connections, connection

from shop.frame.profile import kept
from shop.keeping.models import Task
from shop.keeping.tasks import claiming
from shop.keeping.tasks.doing import do
from shop.keeping.tasks.kinds import GIGABYTE, LEASE, kind_of, kinds
from shop.keeping.tasks.timing import ask_what_is_due

log = logging.getLogger(__name__)

PAUSE = 0.5
"""Seconds between two looks at the table, one statement on an index that holds open tasks only."""
TIMED_EVERY = 10.0
GRACE = 15.0
"""Seconds that a task has to look up when it is to stop; then its process is ended."""


@dataclass(slots=True)
class _Seat:
    """One task at a time: of any kind, or of the quick ones only."""

    quick_only: bool
    task: Task | None = None
    child: subprocess.Popen[bytes] | None = None
    held_at: float = 0.0
    stop_seen_at: float | None = None


@dataclass(slots=True)
class Worker:
    """Looks for tasks until `closing` is set."""

    closing: threading.Event = field(default_factory=threading.Event)
    clock: bool = True
    _seats: list[_Seat] = field(default_factory=lambda: [_Seat(quick_only=False), _Seat(quick_only=True)])
    _timed_at: float = -TIMED_EVERY

    def run(self, *, until_idle: bool = False) -> None:
        """Work until closed, or until nothing is due; what is being done then is given back."""
        try:
            while not self.closing.is_set():
                busy = self._turn()
                if until_idle and not busy:
                    return
                self.closing.wait(0.05 if busy and until_idle else PAUSE)
        finally:
            for seat in self._seats:
                self._leave(seat)

    def _turn(self) -> bool:
        """One look at everything; whether somebody is at work. A book that doesn't answer is asked again a moment later."""
        try:
            close_old_connections()
            if self.clock and time.monotonic() - self._timed_at >= TIMED_EVERY:
                self._timed_at = time.monotonic()
                with kept():
                    ask_what_is_due()
            for seat in self._seats:
                self._look_at(seat)
        except DatabaseError:
            log.exception("The book did not answer the worker")
            connection.close()
        return any(seat.child is not None for seat in self._seats)

    def _look_at(self, seat: _Seat) -> None:
        if seat.child is not None and seat.child.poll() is not None:
            self._settle(seat)
        if seat.child is not None:
            self._hold(seat)
        elif task := claiming.claim(kinds(quick_only=seat.quick_only)):
            seat.task, seat.child = task, _begin(task)
            seat.held_at, seat.stop_seen_at = time.monotonic(), None

    def _settle(self, seat: _Seat) -> None:
        """The child is gone. It wrote down its end itself, unless something ended it."""
        assert seat.child is not None  # noqa: S101
        assert seat.task is not None  # noqa: S101
        code = seat.child.returncode
        claiming.broke(seat.task, _how_it_went(code))
        _close(seat.child)
        seat.task = seat.child = None

    def _hold(self, seat: _Seat) -> None:
        assert seat.child is not None  # noqa: S101
        assert seat.task is not None  # noqa: S101
        now = time.monotonic()
        if now - seat.held_at < LEASE.total_seconds() / 6:
            return
        seat.held_at = now
        if not claiming.hold(seat.task):
            # over, or somebody else's: the child finds out by itself, or has no business to go on
            if Task.objects.filter(pk=seat.task.pk, state=Task.State.RUNNING).exists():
                seat.child.kill()
            return
        if Task.objects.filter(pk=seat.task.pk, stop_asked_at__isnull=False).exists():
            seat.stop_seen_at = seat.stop_seen_at or now
            if now - seat.stop_seen_at > GRACE:
                seat.child.kill()

    def _leave(self, seat: _Seat) -> None:
        """The worker closes: end the child, and let somebody else go on at once."""
        if seat.child is None or seat.task is None:
            return
        seat.child.kill()
        seat.child.wait()
        _close(seat.child)
        with contextlib.suppress(DatabaseError):
            claiming.give_back(seat.task)


def _begin(task: Task) -> subprocess.Popen[bytes]:
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "work", "--task", str(task.pk)]
    return subprocess.Popen(  # noqa: S603  (our own program, a number and a name that we made)
        [*command, "--holder", task.holder], stdin=subprocess.PIPE, stdout=subprocess.DEVNULL
    )


def _close(child: subprocess.Popen[bytes]) -> None:
    if child.stdin is not None:
        child.stdin.close()


def _how_it_went(code: int) -> str:
    if code < 0:
        with contextlib.suppress(ValueError):
            return f"Its process was ended ({signal.Signals(-code).name})."
    return f"Its process ended with {code}."


# --- in the child -------------------------------------------------------------------------------------------


def do_claimed(pk: int, holder: str) -> None:
    """Do the one task that the worker claimed for this process, within its memory."""
    task = Task.objects.select_related("by").filter(pk=pk, holder=holder, state=Task.State.RUNNING).first()
    if task is None:
        return
    kind = kind_of(task.kind)
    limit_memory(kind.memory if kind else GIGABYTE)
    do(task)


def limit_memory(most: int) -> None:
    """Let this process take so many bytes of address space; where the system knows no such limit, as many as there are."""
    try:
        import resource  # noqa: PLC0415  not on Windows
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def end_with(whoever: int) -> None:
    """End this process as soon as nobody holds the other end of the pipe `whoever` any more, whatever it is doing."""

    def wait() -> None:
        with contextlib.suppress(OSError):
            while os.read(whoever, 1024):
                pass
        os._exit(1)

    threading.Thread(target=wait, name="tied", daemon=True).start()


def close_with(whoever: int, closing: threading.Event) -> None:
    """Set `closing` as soon as nobody holds the other end of the pipe `whoever` any more."""

    def wait() -> None:
        with contextlib.suppress(OSError):
            while os.read(whoever, 1024):
                pass
        closing.set()

    threading.Thread(target=wait, name="tied", daemon=True).start()
