"""Who works in the shop's folder: one server at a time, and nobody else while the book is exchanged for an updated one.

Two servers on one folder would each think that they alone look after it. A lock of the system's (flock) is gone with its process,
however that ended. Windows knows no shared lock of this kind: there a second server is not refused, and README says to start one.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import IO

from django.conf import settings
from django.core.management import CommandError

SERVER, BOOK = "server.lock", "book.lock"

_held: dict[Path, IO[str]] = {}
"""Held until the process ends: a lock goes when its file is closed."""


def only_server() -> None:
    """Be the one server of this folder, or refuse."""
    if not _hold(SERVER, shared=False):
        raise CommandError(
            f"The shop in {settings.SHOP_DATA} is served already (by process {_holder(SERVER)}): open that one, or stop it first."
        )


def work_in_book() -> None:
    """Say that this process works in the book, for as long as it lives; refuse while the book is being updated."""
    if not _hold(BOOK, shared=True):
        raise CommandError(
            "The shop’s book is being updated by another process: wait until that is done, then try again."
        )


def take_book() -> None:
    """Have the book for this process alone, or refuse; `leave_book` gives it back."""
    if not _hold(BOOK, shared=False):
        raise CommandError(
            f"The shop in {settings.SHOP_DATA} is open, and its book has to be updated: stop the server and every "
            "“manage.py work” first, then start again."
        )


def leave_book() -> None:
    """Let others work in the book again."""
    if lock := _held.pop(Path(settings.SHOP_DATA) / BOOK, None):
        lock.close()


def _hold(name: str, *, shared: bool) -> bool:
    if os.name == "nt":
        return True
    import fcntl  # noqa: PLC0415  not on Windows

    path = Path(settings.SHOP_DATA) / name
    if path in _held:
        return True
    lock = path.open("a+", encoding="ascii")
    try:
        fcntl.flock(lock, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
    except OSError:
        lock.close()
        return False
    if not shared:
        lock.truncate(0)
        lock.write(str(os.getpid()))
        lock.flush()
    _held[path] = lock
    return True


def _holder(name: str) -> str:
    return (Path(settings.SHOP_DATA) / name).read_text(encoding="ascii").strip() or "another"
