"""A book whose tables no migration of this program can bring up to date is told from one that it made itself."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings
from django.db import connection, connections
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.recorder import MigrationRecorder

from shop.opening.older_book import is_older, missing_columns

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(
        not settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"), reason="the copy is a file of SQLite"
    ),
]


@pytest.fixture
def copy(tmp_path: Path) -> Iterator[BaseDatabaseWrapper]:
    """A copy of the book as this program makes it, to be altered."""
    path = tmp_path / "book.sqlite3"
    shutil.copyfile(connection.settings_dict["NAME"], path)
    altered = type(connections[connection.alias])(
        {**connection.settings_dict, "NAME": str(path)}, alias=connection.alias
    )
    yield altered
    altered.close()


def test_a_book_of_this_program_is_none(copy: BaseDatabaseWrapper) -> None:
    assert list(missing_columns(copy)) == []
    assert not is_older(copy)


def test_a_book_whose_first_migration_said_something_else_is_told(copy: BaseDatabaseWrapper) -> None:
    with copy.cursor() as cursor:
        cursor.execute("ALTER TABLE planner_queueplace RENAME COLUMN place TO rank")
    assert list(missing_columns(copy)) == ["planner_queueplace.place"]
    assert is_older(copy)


def test_a_book_that_only_waits_for_a_migration_is_none(copy: BaseDatabaseWrapper) -> None:
    with copy.cursor() as cursor:
        cursor.execute("ALTER TABLE planner_queueplace RENAME COLUMN place TO rank")
    MigrationRecorder(copy).record_unapplied("planner", "0001_initial")
    assert not is_older(copy)


def test_an_empty_file_is_a_new_book(copy: BaseDatabaseWrapper, tmp_path: Path) -> None:
    copy.close()
    Path(copy.settings_dict["NAME"]).unlink()
    assert not is_older(copy)
