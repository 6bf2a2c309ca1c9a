"""Faults of the machine: what happened and what to do, in a sentence; a book that is busy is waited for.

The errors are real ones: made by SQLite and the system on the spot, not written by hand.
"""

from __future__ import annotations

import errno
import os
import sqlite3
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError
from django.db import DatabaseError, connection
from django.test import Client
from django.urls import reverse

from shop.frame.faults import BROKEN_BOOK, DISK_FAILS, DISK_FULL, LOCKED, NO_BOOK, READ_ONLY, Fault, fault_in
from shop.keeping import tasks
from shop.management.command import said_in_a_sentence
from shop.planner.long_work import FORECAST, hang_up_all
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.house.test_front_door import real_shop
from tests.working import do_all


def disk_full(folder: Path) -> None:
    """A book that may not grow, which SQLite says in the same words."""
    with sqlite3.connect(folder / "full") as book:
        book.execute("CREATE TABLE a (b)")
        book.execute("PRAGMA max_page_count = 2")
        book.executemany("INSERT INTO a VALUES (?)", [("x" * 4000,)] * 50)


def device_full(_: Path) -> None:
    with Path("/dev/full").open("wb", buffering=0) as full:
        full.write(b"x")


def disk_refuses(folder: Path) -> None:
    """A file that may not grow (RLIMIT_FSIZE): SQLite has no word of its own for that, and says that of a failing disk."""
    resource = pytest.importorskip("resource")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with sqlite3.connect(folder / "grows") as book:
        book.execute("CREATE TABLE a (b)")
        book.commit()
        resource.setrlimit(resource.RLIMIT_FSIZE, (16_384, hard))
        try:
            book.executemany("INSERT INTO a VALUES (?)", [("x" * 4000,)] * 50)
            book.commit()
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


def locked(folder: Path) -> None:
    holder = sqlite3.connect(folder / "busy", isolation_level=None)
    holder.execute("CREATE TABLE a (b)")
    holder.execute("BEGIN EXCLUSIVE")
    try:
        sqlite3.connect(folder / "busy", timeout=0.01).execute("SELECT * FROM a")
    finally:
        holder.close()


def read_only(folder: Path) -> None:
    sqlite3.connect(folder / "read").execute("CREATE TABLE a (b)")
    sqlite3.connect(f"file:{folder / 'read'}?mode=ro", uri=True).execute("INSERT INTO a VALUES (1)")


def not_a_database(folder: Path) -> None:
    (folder / "none").write_bytes(b"this was a letter once" * 500)
    sqlite3.connect(folder / "none").execute("SELECT * FROM sqlite_master")


def not_there(folder: Path) -> None:
    sqlite3.connect(folder / "no folder" / "book").execute("SELECT 1")


def no_rights(_: Path) -> None:
    raise OSError(errno.EROFS, os.strerror(errno.EROFS), "shop.sqlite3")


CAUSES = {
    disk_full: DISK_FULL,
    device_full: DISK_FULL,
    disk_refuses: DISK_FAILS,
    locked: LOCKED,
    read_only: READ_ONLY,
    no_rights: READ_ONLY,
    not_a_database: BROKEN_BOOK,
    not_there: NO_BOOK,
}


@pytest.mark.parametrize("cause, fault", CAUSES.items(), ids=lambda one: getattr(one, "__name__", ""))
@pytest.mark.filterwarnings("ignore::ResourceWarning")
@pytest.mark.django_db
def test_a_fault_of_the_machine_is_told_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cause: Callable[[Path], None], fault: Fault
) -> None:
    with pytest.raises((OSError, sqlite3.Error)) as raised:
        cause(tmp_path)
    assert fault_in(raised.value) == fault
    wrapped = DatabaseError(*raised.value.args)

    def breaks(*_: object, **__: object) -> None:
        raise wrapped from raised.value

    ShopProfileFactory()
    client = Client(raise_request_exception=False)
    client.force_login(StaffFactory())
    monkeypatch.setattr("shop.premises.views.books.page", breaks)
    answer = client.get(reverse("premises:health"))
    shown = answer.content.decode()
    assert answer.status_code == fault.status
    assert fault.title in shown
    assert fault.again.partition(",")[0] in shown
    assert "Something broke" not in shown
    assert ("Retry-After" in answer.headers) is fault.is_passing


def test_what_a_command_and_a_task_say_speaks_of_no_browser() -> None:
    for fault in set(CAUSES.values()):
        assert "browser" not in fault.sentence
    told = r"^The disk is full\. .* another disk\. \("
    with pytest.raises(CommandError, match=told), said_in_a_sentence():
        device_full(Path())


@pytest.mark.django_db
def test_a_task_that_finds_the_disk_full_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    ShopProfileFactory()
    monkeypatch.setattr("shop.planner.long_work.reckon", lambda: device_full(Path()))
    hang_up_all()
    task = tasks.ask(FORECAST, by=None)
    do_all()
    task.refresh_from_db()
    assert task.line.startswith("The disk is full. The disk of the shop’s computer is full")
    assert "browser" not in task.line


def test_a_mistake_of_the_program_is_no_fault_of_the_machine() -> None:
    assert fault_in(ValueError("is locked")) is None
    assert fault_in(FileNotFoundError(errno.ENOENT, "x")) is None
    assert fault_in(None) is None


@pytest.mark.skipif(
    settings.DATABASES["default"]["ENGINE"].endswith("postgresql"), reason="a lock of SQLite’s"
)
@pytest.mark.django_db(transaction=True)
def test_while_the_book_is_locked_a_person_waits_and_nothing_is_lost() -> None:
    ShopProfileFactory()
    client = Client()
    client.force_login(StaffFactory())
    address = reverse("premises:add_days_off")
    book = str(connection.settings_dict["NAME"])
    taken, seconds = threading.Event(), 2.0

    def hold() -> None:
        holder = sqlite3.connect(book, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        taken.set()
        time.sleep(seconds)
        holder.execute("ROLLBACK")
        holder.close()

    holding = threading.Thread(target=hold)
    holding.start()
    taken.wait(5)
    since = time.monotonic()
    answer = client.post(address, {"first": "2026-12-24", "last": "2026-12-26", "why": "snow"})
    holding.join()
    assert answer.status_code == 303
    assert time.monotonic() - since > seconds / 2
    assert settings.DATABASES["default"]["OPTIONS"]["timeout"] > 30


@pytest.mark.parametrize("command", [["nightly"], ["backup"], ["open", "--port", "9"]])
def test_a_command_says_what_is_wrong_with_a_book_that_is_none(tmp_path: Path, command: list[str]) -> None:
    (tmp_path / "secret-key").write_text("x" * 60)
    (tmp_path / "shop.sqlite3").write_bytes(b"this was a letter once" * 500)
    done = real_shop(tmp_path, *command)
    assert done.returncode != 0
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) <= 2


@pytest.mark.postgres
@pytest.mark.django_db
def test_a_null_in_a_cookie_or_in_a_piece_of_news_breaks_no_page() -> None:
    ShopProfileFactory()
    stranger = Client(raise_request_exception=False)
    stranger.cookies[settings.SESSION_COOKIE_NAME] = "abcdefgh\0" + "i" * 23
    assert stranger.get("/").status_code == 302
    known = Client(raise_request_exception=False)
    known.force_login(StaffFactory(is_superuser=True))
    assert known.post(reverse("records:news_seen"), {"key": "a\0b"}).status_code == 303
