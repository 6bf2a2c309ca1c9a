"""The demo's book, written once for each process: whoever needs it again gets a copy, which takes a blink.

Files of papers and pictures stay where they are between two tests that commit, so that the rows find them again.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection


def write_demo_book() -> None:
    """Fill the empty book with the demo shop."""
    if connection.vendor != "sqlite":
        call_command("load_demo", verbosity=0)
        return
    kept = Path(settings.SHOP_DATA) / "kept-demo.sqlite3"
    if kept.exists():
        _copy(kept, into_the_book=True)
    else:
        call_command("load_demo", verbosity=0)
        _copy(kept, into_the_book=False)


def _copy(kept: Path, *, into_the_book: bool) -> None:
    connection.ensure_connection()
    book: sqlite3.Connection = connection.connection
    other = sqlite3.connect(kept)
    try:
        if into_the_book:
            other.backup(book)
        else:
            book.backup(other)
    finally:
        other.close()
