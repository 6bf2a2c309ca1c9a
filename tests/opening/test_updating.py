"""Updates with a net: migrations that fail at three points leave the old book, row for row, on both databases.

Rows are read by the database's own driver and hashed here.
"""

from __future__ import annotations

import hashlib
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from shop.frame.guard_check import missing
from shop.frame.journal import acting
from shop.keeping import backup
from shop.opening import alone, updating
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.postgres]

STEP = """
import os
from django.db import migrations, models

def perhaps(apps, editor):
    if os.environ.get("FAIL_AT") == "{name}":
        raise RuntimeError("column of sums has no total")

class Migration(migrations.Migration):
    dependencies = [("keeping", "{before}")]
    operations = [
        migrations.AddField("message", "{name}", models.CharField(max_length=20, default="x")),
        migrations.RunPython(perhaps),
        {more}
    ]
"""
SPOILS = "migrations.RunSQL(\"UPDATE frame_journalentry SET verb = verb || 'x' WHERE sequence = 1\")"


@pytest.fixture
def later_program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, settings: Any) -> Any:
    """A program with two migrations more; hands out what makes the second of them spoil the journal."""
    package = tmp_path / "later_migrations"
    package.mkdir()
    (package / "__init__.py").touch()
    begins = 'from importlib import import_module\nMigration = import_module("shop.keeping.migrations.0001_initial").Migration\n'
    (package / "0001_initial.py").write_text(begins)
    (package / "0002_first.py").write_text(STEP.format(name="first", before="0001_initial", more=""))
    monkeypatch.syspath_prepend(tmp_path)
    settings.MIGRATION_MODULES = {"keeping": "later_migrations"}
    settings.SHOP_DATA = tmp_path

    def second(more: str = "") -> None:
        (package / "0003_second.py").write_text(STEP.format(name="second", before="0002_first", more=more))

    second()
    yield second
    for name in [each for each in sys.modules if each.startswith("later_migrations")]:
        del sys.modules[name]


@pytest.fixture
def old_book(tmp_path: Path) -> Iterator[Path]:
    """The book of an open shop, which nothing else uses."""
    book = tmp_path / "shop.sqlite3"
    if connection.vendor == "sqlite":
        from shop.keeping.copying import copy_book  # noqa: PLC0415

        copy_book(book)
        with updating._turned_to(book):
            yield _with_rows(book)
    else:
        dump = backup.dumped(tmp_path / "dump")
        yield _with_rows(book)
        updating.bring_back_dump(dump)


def _with_rows(book: Path) -> Path:
    ShopProfileFactory()
    with acting(by=StaffFactory()) as act:
        act.record("test.written")
    updating.write_version()
    return book


def rows() -> dict[str, str]:
    """A hash of every row of every table."""
    found = {}
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            # SQLite's own figures of its tables, which come and go
            if table.startswith("sqlite_"):
                continue
            cursor.execute(f'SELECT * FROM "{table}" ORDER BY 1')  # noqa: S608  (names from the database itself)
            found[table] = hashlib.sha256(repr(cursor.fetchall()).encode()).hexdigest()
    return found


@pytest.mark.parametrize("point", ["first", "second", "check"])
def test_migrations_that_fail_leave_the_old_book_and_it_opens(
    later_program: Any, old_book: Path, monkeypatch: pytest.MonkeyPatch, point: str
) -> None:
    before, of_disk = rows(), old_book.read_bytes() if old_book.exists() else b""
    connection.close()
    monkeypatch.setenv("FAIL_AT", point)
    if point == "check":
        later_program(SPOILS)
    with pytest.raises(CommandError, match=r"was not made: .*\. The book is as it was"):
        call_command("migrate", verbosity=0)
    assert rows() == before
    assert missing(connection) == []
    assert ("keeping", "0002_first") not in MigrationRecorder(connection).applied_migrations()
    if of_disk:
        assert old_book.read_bytes() == of_disk
        assert not list(old_book.parent.glob(".update-*"))


def test_an_update_that_holds_takes_the_old_books_place_and_keeps_it(
    later_program: Any, old_book: Path
) -> None:
    of_disk = old_book.read_bytes() if old_book.exists() else b""
    before = rows()
    connection.close()
    call_command("migrate", verbosity=0)
    now = rows()
    assert ("keeping", "0003_second") in MigrationRecorder(connection).applied_migrations()
    assert {table for table in now if now[table] != before[table]} <= {"django_migrations", "keeping_message"}
    kept = old_book.parent / updating.BEFORE
    if of_disk:
        assert (kept / "shop.sqlite3").read_bytes() == of_disk
    else:
        assert (kept / "shop.pgdump").stat().st_size > 0


def test_a_book_of_a_newer_program_is_refused_with_the_version_that_it_needs(
    old_book: Path, settings: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    settings.VERSION = "7.12.3"
    updating.write_version()
    assert updating.version_of_book() == "7.12.3"
    settings.VERSION = "7.9.14"
    with pytest.raises(CommandError, match=r"version 7\.12\.3.*this is version 7\.9\.14"):
        call_command("migrate", verbosity=0)


def test_there_is_one_server_in_a_folder_and_no_update_while_it_is_open(
    settings: Any, tmp_path: Path
) -> None:
    settings.SHOP_DATA = tmp_path
    hold = "import fcntl,sys; f=open(sys.argv[1],'a+'); fcntl.flock(f, int(sys.argv[2])); print('held', flush=True); input()"
    for name, how, taken, words in (
        (alone.SERVER, "2", alone.only_server, "served already"),
        (alone.BOOK, "1", alone.take_book, "stop the server"),
        (alone.BOOK, "2", alone.work_in_book, "being updated"),
    ):
        other = subprocess.Popen(
            [sys.executable, "-c", hold, str(tmp_path / name), how],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        )
        other.stdout.readline()
        with pytest.raises(CommandError, match=words):
            taken()
        other.communicate(b"\n")
        taken()
        alone._held.pop(tmp_path / name).close()
