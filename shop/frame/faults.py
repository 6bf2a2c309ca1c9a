"""Faults of the machine that a person can do something about: what happened and what to do, in a sentence each.

Told by what the system (POSIX errno) and the database say: SQLite's messages stand in its documentation (“Result and Error
Codes”), PostgreSQL's codes in its Appendix A.
"""

from __future__ import annotations

import errno
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass

from django.db import DatabaseError


@dataclass(frozen=True, slots=True)
class Fault:
    """What a person is told; `status` is what a page answers with (RFC 9110, 15.6; RFC 4918, 11.5).

    `again` is said on a page alone: a command has no browser that keeps what was typed.
    """

    title: str
    sentence: str
    again: str = ""
    status: int = 503
    is_passing: bool = False
    """Whether it goes by itself, so that trying again is all that there is to do."""


AGAIN = "Then go back, your browser still has what you typed, and send it again."
DISK_FULL = Fault(
    "The disk is full",
    "The disk of the shop’s computer is full, so nothing of this step was saved. Make room there, such as by moving old backups "
    "to another disk.",
    AGAIN,
    507,
)
LOCKED = Fault(
    "The book is busy",
    "Something else has been writing into the shop’s book for long, such as a backup or a list that is brought in. Nothing of "
    "this step was saved. Wait a minute.",
    AGAIN,
    503,
    is_passing=True,
)
READ_ONLY = Fault(
    "The shop’s folder can’t be written",
    "The shop may not write into its own folder, so nothing of this step was saved. Look whether the disk is mounted read-only, "
    "or the folder belongs to somebody else; then start the shop again.",
)
NO_BOOK = Fault(
    "The book can’t be opened",
    "The file of the shop’s book is not there, or may not be opened. Look whether its disk is connected and the folder is the "
    "right one; then start the shop again.",
)
BROKEN_BOOK = Fault(
    "The book is damaged",
    "The file of the shop’s book is damaged, or is none. Leave it as it is, stop the shop, and bring the last backup back into a "
    "new folder: python3 manage.py restore BACKUP --into DIR.",
    status=500,
)
DISK_FAILS = Fault(
    "The disk can’t be read or written",
    "The disk of the shop’s computer refused to be read or written, so nothing of this step was saved. Look whether there is "
    "room on it and whether it is connected; if both are so, it may be failing: keep the last backup safe, on another disk.",
    AGAIN,
)
NO_SERVER = Fault(
    "The database does not answer",
    "The PostgreSQL server of the shop’s book does not answer. Nothing of this step was saved. Look whether it runs; then send "
    "it again.",
    status=503,
    is_passing=True,
)

_BY_ERRNO = {
    errno.ENOSPC: DISK_FULL,
    errno.EDQUOT: DISK_FULL,
    errno.EFBIG: DISK_FULL,
    errno.EIO: DISK_FAILS,
    errno.EROFS: READ_ONLY,
    errno.EACCES: READ_ONLY,
    errno.EPERM: READ_ONLY,
}
_BY_WORDS = (
    ("database or disk is full", DISK_FULL),
    ("no space left on device", DISK_FULL),
    ("is locked", LOCKED),
    ("readonly database", READ_ONLY),
    ("unable to open database file", NO_BOOK),
    ("not a database", BROKEN_BOOK),
    ("malformed", BROKEN_BOOK),
    ("disk i/o error", DISK_FAILS),
    ("could not connect", NO_SERVER),
    ("connection refused", NO_SERVER),
    ("connection failed", NO_SERVER),
    ("the connection is closed", NO_SERVER),
    ("terminating connection", NO_SERVER),
)
_BY_STATE = {"53100": DISK_FULL, "55P03": LOCKED, "57014": LOCKED, "40P01": LOCKED, "25006": READ_ONLY}


def fault_in(error: BaseException | None) -> Fault | None:
    """The fault that an error, or one that it came from, tells of; None for a mistake of the program."""
    for one in _chain(error):
        if isinstance(one, OSError) and one.errno in _BY_ERRNO:
            return _BY_ERRNO[one.errno]
        state = getattr(one, "sqlstate", None)
        if state in _BY_STATE:
            return _BY_STATE[state]
        if isinstance(one, DatabaseError | sqlite3.Error):
            said = str(one).casefold()
            for words, fault in _BY_WORDS:
                if words in said:
                    return fault
    return None


def _chain(error: BaseException | None) -> Iterator[BaseException]:
    seen: set[int] = set()
    while error is not None and id(error) not in seen:
        seen.add(id(error))
        yield error
        error = error.__cause__ or error.__context__
