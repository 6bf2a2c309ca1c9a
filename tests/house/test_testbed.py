"""The tests' own ground: what one test writes, the next does not find; on SQLite and on PostgreSQL."""

from __future__ import annotations

import socket
import threading
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth.models import Group
from django.contrib.contenttypes.models import ContentType
from django.db import DatabaseError, connection, transaction

from shop.frame.clock import now
from shop.frame.models import JournalEntry, Role, Staff

pytestmark = pytest.mark.postgres


def _write() -> None:
    JournalEntry.objects.create(sequence=1, at=now(), verb="test.written", digest="0" * 64)
    Staff.objects.create_user("passer-by")


def test_the_data_of_a_test_lies_in_a_folder_of_its_own() -> None:
    assert settings.SHOP_DATA.name.startswith("mendwright-test-")
    assert settings.BASE_DIR not in settings.SHOP_DATA.parents


@pytest.mark.parametrize("round_", [1, 2, 3])
@pytest.mark.django_db(transaction=True)
def test_a_test_that_commits_leaves_nothing_behind_even_in_append_only_tables(round_: int) -> None:
    assert not JournalEntry.objects.exists()
    assert not Staff.objects.exists()
    _write()
    assert JournalEntry.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_what_migrations_wrote_is_there_again_after_a_test_that_commits() -> None:
    assert set(Group.objects.values_list("name", flat=True)) == set(Role.values)
    assert ContentType.objects.filter(app_label="frame", model="staff").count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_triggers_stand_again_after_a_test_that_commits() -> None:
    _write()
    with pytest.raises(DatabaseError, match="stays as it was written"), transaction.atomic():
        JournalEntry.objects.filter(sequence=1).delete()


@pytest.mark.django_db(transaction=True)
def test_another_thread_sees_what_was_committed() -> None:
    Staff.objects.create_user("passer-by")
    seen: list[int] = []

    def look() -> None:
        seen.append(Staff.objects.count())
        connection.close()

    thread = threading.Thread(target=look)
    thread.start()
    thread.join()
    assert seen == [1]


@pytest.mark.django_db
def test_an_ordinary_test_starts_with_an_empty_book() -> None:
    assert not Staff.objects.exists()
    _write()


def test_no_test_can_call_out() -> None:
    with pytest.raises(RuntimeError, match="called out"), socket.socket() as caller:
        caller.connect(("192.0.2.1", 80))


@pytest.mark.postgres(only=True)
@pytest.mark.django_db
def test_the_second_run_really_is_on_postgresql() -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT version()")
        assert cursor.fetchone()[0].startswith("PostgreSQL")


@pytest.mark.django_db
def test_sqlite_waits_for_its_turn_instead_of_failing() -> None:
    if connection.vendor != "sqlite":
        pytest.skip("about SQLite alone")
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA journal_mode")
        assert cursor.fetchone()[0] == settings.SQLITE_JOURNAL.lower()
        cursor.execute("PRAGMA foreign_keys")
        assert cursor.fetchone()[0] == 1
    assert connection.settings_dict["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert Path(connection.settings_dict["NAME"]).parent == settings.SHOP_DATA


@pytest.mark.xdist_group("a group")
def test_tests_of_one_group_are_known_to_the_workers_as_one(request: pytest.FixtureRequest) -> None:
    """Where xdist spreads by groups; else each would load the demo shop for itself."""
    if getattr(request.config.option, "loadgroup", False):
        assert request.node.nodeid.endswith("@a group")
