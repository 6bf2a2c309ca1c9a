"""A copy of the book while it is written in: SQLite's online backup in small steps, so that nobody waits long.

Between two steps writers get their turn; when one of them wrote, SQLite begins the copy again. After a few such starts
the rest is taken in one step, which keeps writers waiting for as long as it takes to copy the file once.
"""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
from dataclasses import dataclass
from pathlib import Path

from django.db import connection

from shop.frame.refusal import Refusal

STEP_PAGES = 256
PAUSE = 0.002
MOST_STARTS = 5
BUSY_SECONDS = 30.0


class _TooManyStarts(Exception):
    """Others keep writing; small steps will never come to an end."""


@dataclass
class _Watch:
    """Counts how often the copy had to begin again, and lets others have their turn between steps."""

    starts: int = 1
    left: int = -1

    def __call__(self, _status: int, remaining: int, _total: int) -> None:
        if 0 <= self.left < remaining:
            self.starts += 1
            if self.starts > MOST_STARTS:
                raise _TooManyStarts
        self.left = remaining
        time.sleep(PAUSE)


def book_file() -> Path:
    """The file that the book is kept in; refuses where it is no SQLite file."""
    if connection.vendor != "sqlite":
        raise Refusal("The book is kept by a PostgreSQL server; its own tools copy it (pg_dump).")
    return Path(str(connection.settings_dict["NAME"]))


def copy_book(into: Path) -> None:
    """Write a consistent copy of the SQLite book to the new file `into`, readable by its owner alone."""
    os.close(os.open(into, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
    address = f"{book_file().resolve().as_uri()}?mode=ro"
    with (
        contextlib.closing(sqlite3.connect(address, uri=True, timeout=BUSY_SECONDS)) as book,
        contextlib.closing(sqlite3.connect(into)) as copy,
    ):
        try:
            book.backup(copy, pages=STEP_PAGES, progress=_Watch(), sleep=0.05)
        except _TooManyStarts:
            book.backup(copy, pages=-1)


def faults_in(copy: Path) -> list[str]:
    """What SQLite itself finds wrong with a copy: broken pages, rows that point nowhere. Nothing on a sound book."""
    try:
        with contextlib.closing(sqlite3.connect(copy)) as book:
            broken = [
                " ".join(str(row[0]).split())
                for row in book.execute("PRAGMA integrity_check(20)")
                if row[0] != "ok"
            ]
            stray = [
                f"A row of {table} points to a row of {parent} that is not there."
                for table, _row, parent, _key in book.execute("PRAGMA foreign_key_check").fetchmany(20)
            ]
    except sqlite3.DatabaseError as error:
        return [f"The book’s file is damaged: {error}"]
    return [f"The book’s file is damaged: {words}" for words in broken] + stray
