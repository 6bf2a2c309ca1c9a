"""Updates with a net: a book is changed for a newer program so that, whatever happens, the old one is there and opens.

An SQLite book is copied, the copy is changed and checked, and then takes the old one's place in one step; the old file itself is
never written to and stays beside it. A PostgreSQL book is dumped first, and brought back from the dump when anything fails.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path

from django.conf import settings
from django.core.management import CommandError
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from shop.frame import guard_check
from shop.frame.guards import guarded
from shop.frame.journal import verify
from shop.frame.refusal import Refusal
from shop.frame.seal_check import differences
from shop.keeping import backup, copying
from shop.keeping.contents import BOOK_OF_POSTGRESQL
from shop.keeping.queries import last_night
from shop.keeping.settled import settle
from shop.opening import alone

BEFORE = "before-update"
"""The folder of books as they were before an update: the last one is kept."""
MOST_NAMED = 3
_PARTS = 1000
"""Each part of a version below this: 0.12.3 is kept by SQLite as the number 12,003."""


def update(change: Callable[[], None]) -> None:
    """Change the book by `change`, which applies the migrations, or leave it as it was and raise CommandError with a sentence."""
    if not _has_rows() or not _waits():
        change()
    else:
        alone.take_book()
        try:
            _with_a_net(change)
        finally:
            alone.leave_book()
    write_version()


def _with_a_net(change: Callable[[], None]) -> None:
    """Have the change made on the net that the database allows, and say what came of one that failed."""
    made_by = version_of_book() or "before"
    known = _known_faults()
    try:
        if connection.vendor == "sqlite":
            _on_a_copy(change, known)
        else:
            _after_a_dump(change, known)
    except (Exception, KeyboardInterrupt) as error:
        words = error.sentence if isinstance(error, Refusal) else " ".join(str(error).split())[:300]
        raise CommandError(
            f"The update to version {settings.VERSION} was not made: {words or type(error).__name__}. The book is as it was, and "
            f"opens with the program of version {made_by}."
        ) from error


# --- SQLite ---------------------------------------------------------------------------------------------------


def _on_a_copy(change: Callable[[], None], known: set[str]) -> None:
    book = copying.book_file()
    with tempfile.TemporaryDirectory(prefix=".update-", dir=book.parent) as folder:
        copy = Path(folder) / book.name
        copying.copy_book(copy)
        with _turned_to(copy):
            before = _counts()
            change()
            write_version()
            _must_be_good(before, known, copying.faults_in(copy))
        settle(copy)
        _keep_old(book)
        # the old file keeps every byte: its name goes to the new one in one step
        copy.replace(book)
        settle(book)


def _keep_old(book: Path) -> None:
    folder = book.parent / BEFORE
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(mode=0o700)
    for journal in ("-journal", "-wal"):
        left = Path(f"{book}{journal}")
        if left.exists() and left.stat().st_size:
            raise Refusal(
                "somebody else writes in the book: stop every “manage.py” that runs, then try again"
            )
    try:
        os.link(book, folder / book.name)
    except OSError:
        # a file system without hard links
        shutil.copy2(book, folder / book.name)
    settle(folder / book.name)


@contextlib.contextmanager
def _turned_to(copy: Path) -> Iterator[None]:
    """Have everything asked of the copy meanwhile."""
    name = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = str(copy)
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict["NAME"] = name


# --- PostgreSQL -----------------------------------------------------------------------------------------------


def _after_a_dump(change: Callable[[], None], known: set[str]) -> None:
    folder = Path(settings.SHOP_DATA) / BEFORE
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(mode=0o700, parents=True)
    dump = backup.dumped(folder / BOOK_OF_POSTGRESQL)
    settle(dump)
    before = _counts()
    try:
        change()
        _must_be_good(before, known, [])
    except BaseException:
        bring_back_dump(dump)
        raise


def bring_back_dump(dump: Path) -> None:
    """Make the PostgreSQL book what it was when it was dumped: nothing that came after stays."""
    connection.close()
    with connection.cursor() as cursor:
        cursor.execute("DROP SCHEMA public CASCADE")
        cursor.execute("CREATE SCHEMA public")
    connection.close()
    try:
        backup.run_beside_postgresql(
            "pg_restore",
            "--no-owner",
            "--exit-on-error",
            "--single-transaction",
            "--dbname",
            "{name}",
            str(dump),
        )
    except Refusal as refusal:
        raise Refusal(
            f"{refusal.sentence} The book as it was lies in {dump}: pg_restore brings it back"
        ) from None


# --- is it good? ----------------------------------------------------------------------------------------------


def _must_be_good(before: dict[str, int], known: set[str], faults: list[str]) -> None:
    """Refuse a changed book with a fault that the old one did not have: of pages, guards, counts, chain or seals."""
    now = _counts()
    faults = [
        *faults,
        *(f"the guard of {table} does not stand" for table in guard_check.missing(connection)),
        *(f"{table} has lost rows" for table, count in before.items() if now.get(table, count) < count),
        *(fault.sentence for fault in verify()),
        *(one.sentence for one in islice(differences(), MOST_NAMED)),
    ]
    if new := [fault for fault in faults if fault not in known]:
        raise Refusal(f"the changed book is not sound ({'; '.join(new[:MOST_NAMED])})")


def _counts() -> dict[str, int]:
    """How many rows each guarded table has: of what may not be deleted, none may be fewer."""
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        found = {}
        for table in sorted({model._meta.db_table for model, _guard in guarded()} & there):
            cursor.execute(f"SELECT count(*) FROM {connection.ops.quote_name(table)}")  # noqa: S608  (our own table's name)
            found[table] = int(cursor.fetchone()[0])
    return found


def _known_faults() -> set[str]:
    """What the last night's check said: an update is not refused for what was so before."""
    try:
        report = last_night()
    except DatabaseError:
        # the table of reports is one of those that are to be changed
        return set()
    return set(report.faults) if report else set()


def _has_rows() -> bool:
    return bool(MigrationRecorder(connection).applied_migrations())


def _waits() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


# --- whose book is it? ----------------------------------------------------------------------------------------


def must_not_be_newer() -> None:
    """Refuse a book that a newer program has changed, with the version that it needs."""
    if said := what_it_needs():
        raise CommandError(said)


def what_it_needs() -> str:
    """A sentence for a book that a newer program has changed; empty for any other."""
    version = version_of_book()
    if not version or _parts(version) <= _parts(settings.VERSION):
        return ""
    return (
        f"This book was changed by version {version} of the program, and this is version {settings.VERSION}. Nothing was "
        f"touched. Open it with version {version} or a later one."
    )


def version_of_book() -> str:
    """The version of the program that changed the book last, as it is kept in the book itself; empty where none is."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("PRAGMA user_version")
            number = int(cursor.fetchone()[0])
            major, rest = divmod(number, _PARTS**2)
            return f"{major}.{rest // _PARTS}.{rest % _PARTS}" if number else ""
        cursor.execute("SELECT obj_description(to_regclass('django_migrations'), 'pg_class')")
        return str(cursor.fetchone()[0] or "").removeprefix("Mendwright ")


def write_version() -> None:
    """Keep in the book itself which version of the program changed it last."""
    major, minor, patch = _parts(settings.VERSION)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(f"PRAGMA user_version = {major * _PARTS**2 + minor * _PARTS + patch}")
        else:
            cursor.execute(f"COMMENT ON TABLE django_migrations IS 'Mendwright {major}.{minor}.{patch}'")


def _parts(version: str) -> tuple[int, int, int]:
    major, minor, patch = (
        int("".join(filter(str.isdigit, part)) or 0) for part in f"{version}.0.0".split(".")[:3]
    )
    return major, minor, patch
