"""Pictures developed apart, one at a time, by a process with little memory (`developing.py`): no file can harm the shop."""

from __future__ import annotations

import atexit
import subprocess
import sys
import threading
from typing import IO

from django.conf import settings

from shop.keeping.darkroom import Developed, Undevelopable
from shop.keeping.developing import LENGTH, TOO_MUCH, exactly, read

SECONDS = 30.0
"""How long one picture may take; the largest from a phone takes two."""
PATIENCE = 60.0
"""How long one waits for the pictures before it."""
BUSY = "has to wait: other pictures are being looked at. Send it again in a minute."


class _Room:
    """The process, kept for the next picture: to start it takes as long as to develop a small one."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None

    def develop(self, data: bytes) -> Developed:
        """As `darkroom.develop`, there."""
        if not self._turn.acquire(timeout=PATIENCE):
            raise Undevelopable(BUSY)
        try:
            return self._ask(data)
        except (OSError, EOFError):
            # it was ended: by the system for its memory, by us for its time, or by a fault in a decoder
            self.shut()
            raise Undevelopable(TOO_MUCH) from None
        finally:
            self._turn.release()

    def shut(self) -> None:
        """End the process; the next picture starts another."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.communicate()

    def _ask(self, data: bytes) -> Developed:
        process = self._process
        if process is None or process.poll() is not None:
            process = self._process = subprocess.Popen(
                [sys.executable, "-m", "shop.keeping.developing"],
                cwd=settings.BASE_DIR,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
            )
        given, told = process.stdin, process.stdout
        assert given is not None  # noqa: S101  (both are pipes)
        assert told is not None  # noqa: S101
        end = threading.Timer(SECONDS, process.kill)
        end.start()
        try:
            given.write(LENGTH.pack(len(data)) + data)
            given.flush()
            return _answer_in(told)
        finally:
            end.cancel()


def _answer_in(told: IO[bytes]) -> Developed:
    (size,) = LENGTH.unpack(exactly(told, LENGTH.size))
    if size:
        raise Undevelopable(exactly(told, size).decode())
    return read(told)


_room = _Room()
atexit.register(_room.shut)


def develop(data: bytes) -> Developed:
    """Read a picture and return it upright, without metadata, in three sizes. Raises Undevelopable."""
    return _room.develop(data)
