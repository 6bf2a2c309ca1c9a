"""The night: the books are checked on a copy, retention ends, and nothing that somebody still needs goes."""

from __future__ import annotations

import datetime as dt
import os
import sqlite3
import threading
import time
import uuid
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from shop.frame import clock
from shop.frame.guards import lifted
from shop.frame.journal import acting, verify
from shop.frame.models import JournalEntry, OnceKey, ShopProfile
from shop.keeping import copying
from shop.keeping.copying import MOST_STARTS, _Watch, copy_book, faults_in
from shop.keeping.models import IssuedPaper, NightlyReport, Picture
from shop.keeping.nightly import watch_over
from shop.keeping.pictures import take_picture
from shop.premises.models import SignInTry
from shop.press.issuing import issue_paper
from tests.premises import samples
from tests.premises.test_pictures import picture, upload

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sample_papers")]

ON_SQLITE = pytest.mark.skipif(
    "sqlite" not in settings.DATABASES["default"]["ENGINE"], reason="about SQLite alone"
)


@pytest.fixture(autouse=True)
def _own_media(settings: Any, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path / "kept"


def issue(**more: Any) -> IssuedPaper:
    facts = {"kind": "letter", "number": "1", "title": "Letter", "template": "sample_letter.html", "by": None}
    return issue_paper(context=samples.letter(), **{**facts, **more})


def test_a_good_night_finds_nothing_and_says_what_it_walked(shop: ShopProfile) -> None:
    issue()
    take_picture(upload(picture()), by=None)
    report = watch_over()
    assert report.faults == []
    assert report.entries == JournalEntry.objects.count() == 2
    assert NightlyReport.objects.get() == report


def test_a_paper_that_was_changed_or_lost_is_named(shop: ShopProfile) -> None:
    changed, lost = issue(title="Letter one"), issue(title="Letter two", number="2")
    Path(changed.file.path).write_bytes(b"%PDF another")
    Path(lost.file.path).unlink()
    assert watch_over().faults == [
        "The paper “Letter one” is not what was stored.",
        "The paper “Letter two” is missing from the shop’s data.",
    ]


def test_a_picture_that_is_gone_is_named_and_one_that_was_changed_within_a_month(shop: ShopProfile) -> None:
    gone, changed = take_picture(upload(picture()), by=None), take_picture(upload(picture((90, 60))), by=None)
    Path(gone.file.path).unlink()
    Path(changed.file.path).write_bytes(b"another")
    today = clock.now()
    nights = [watch_over(at=today + dt.timedelta(days=day)).faults for day in range(30)]
    assert all(f"Picture {gone.pk} is missing from the shop’s data." in faults for faults in nights)
    assert sum(f"Picture {changed.pk} is not what was stored." in faults for faults in nights) == 1


def test_a_changed_journal_is_found_out_at_night(shop: ShopProfile) -> None:
    for _ in range(3):
        with acting(by=None) as act:
            act.record("test.written")
    with lifted(connection):
        JournalEntry.objects.filter(sequence=2).update(verb="test.other")
    assert watch_over().faults == ["Entry 2 was changed after it was written."]


def test_at_the_end_of_its_retention_a_paper_loses_its_file_and_keeps_its_hash(
    shop: ShopProfile, django_capture_on_commit_callbacks: Any
) -> None:
    today = clock.today()
    last_day, past, always = (
        issue(keep_until=today),
        issue(keep_until=today - dt.timedelta(days=1), number="2"),
        issue(number="3"),
    )
    path = Path(past.file.path)
    with django_capture_on_commit_callbacks(execute=True):
        report = watch_over()
    assert report.notes == ["One paper reached the end of its retention."]
    past.refresh_from_db()
    assert (past.file.name, past.deleted_at is None, len(past.sha256)) == ("", False, 64)
    assert not path.exists()
    assert all(Path(kept.file.path).exists() for kept in (last_day, always))
    assert JournalEntry.objects.filter(verb="paper.deleted", subject_id=past.pk).count() == 1
    assert (watch_over().notes, verify()) == ([], [])


def test_files_that_no_row_speaks_of_go_after_a_day_and_no_sooner(shop: ShopProfile, settings: Any) -> None:
    kept = take_picture(upload(picture((3000, 2000))), by=None)
    known = [Path(size.path) for size in (kept.file, kept.medium, kept.thumbnail)]
    old = settings.MEDIA_ROOT / "papers" / "2026" / "11" / "invoice-1-00000000.pdf"
    fresh = settings.MEDIA_ROOT / "pictures" / "fresh.jpg"
    for path in (old, fresh):
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"orphan")
    long_ago = time.time() - 25 * 3600
    for path in (old, *known):
        os.utime(path, (long_ago, long_ago))
    assert watch_over().notes == ["One file without a row was cleared away."]
    assert not old.exists()
    assert fresh.exists()
    assert all(path.exists() for path in known)


def test_what_is_needed_no_longer_is_forgotten(shop: ShopProfile) -> None:
    now = clock.now()
    OnceKey.objects.create(key=uuid.uuid4(), verb="old", taken_at=now - dt.timedelta(days=91))
    OnceKey.objects.create(key=uuid.uuid4(), verb="new", taken_at=now - dt.timedelta(days=89))
    SignInTry.objects.create(key="a" * 64, last_at=now - dt.timedelta(days=2))
    NightlyReport.objects.create(at=now - dt.timedelta(days=401), milliseconds=1, entries=0)
    watch_over()
    assert [key.verb for key in OnceKey.objects.all()] == ["new"]
    assert not SignInTry.objects.exists()
    assert NightlyReport.objects.count() == 1


def test_the_command_ends_with_one_when_something_is_amiss(shop: ShopProfile, capsys: Any) -> None:
    call_command("nightly")
    assert "Nothing amiss" in capsys.readouterr().out
    Path(issue().file.path).unlink()
    with pytest.raises(CommandError, match="is missing from the shop’s data"):
        call_command("nightly")


# --- the copy -------------------------------------------------------------------------------------------------


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A book of some 20 MB in rollback mode, as the shop's is on an older SQLite."""
    path = tmp_path / "book.sqlite3"
    with sqlite3.connect(path) as made:
        made.execute("PRAGMA journal_mode=TRUNCATE")
        made.execute("CREATE TABLE lines (id INTEGER PRIMARY KEY, text TEXT)")
        made.execute("CREATE TABLE sums (total INTEGER)")
        made.executemany("INSERT INTO lines (text) VALUES (?)", [("x" * 2000,)] * 10_000)
        made.execute("INSERT INTO sums VALUES (10000)")
    monkeypatch.setattr(copying, "book_file", lambda: path)
    return path


def test_a_copy_is_whole_and_its_owners_alone(book: Path, tmp_path: Path) -> None:
    copy_book(tmp_path / "copy.sqlite3")
    assert faults_in(tmp_path / "copy.sqlite3") == []
    assert (tmp_path / "copy.sqlite3").stat().st_mode & 0o777 == 0o600
    with pytest.raises(FileExistsError):
        copy_book(tmp_path / "copy.sqlite3")


def test_a_copy_made_while_others_write_is_of_one_moment_and_nobody_waits_past_their_time(
    book: Path, tmp_path: Path
) -> None:
    stop = threading.Event()
    waits: list[float] = []

    def keep_writing() -> None:
        with sqlite3.connect(book, timeout=10, isolation_level=None) as writer:
            while not stop.is_set():
                began = time.monotonic()
                writer.execute("BEGIN IMMEDIATE")
                writer.execute("INSERT INTO lines (text) VALUES ('y')")
                writer.execute("UPDATE sums SET total = total + 1")
                writer.execute("COMMIT")
                waits.append(time.monotonic() - began)
                time.sleep(0.01)

    writer = threading.Thread(target=keep_writing)
    writer.start()
    try:
        copy_book(tmp_path / "copy.sqlite3")
    finally:
        stop.set()
        writer.join()
    with sqlite3.connect(tmp_path / "copy.sqlite3") as copy:
        lines, total = copy.execute(
            "SELECT (SELECT count(*) FROM lines), (SELECT total FROM sums)"
        ).fetchone()
    assert lines == total
    assert faults_in(tmp_path / "copy.sqlite3") == []
    assert len(waits) > 5
    assert max(waits) < 5


def test_small_steps_are_given_up_when_others_never_stop_writing() -> None:
    watch = _Watch()
    for _ in range(MOST_STARTS - 1):
        watch(0, 10, 100)
        watch(0, 90, 100)
    watch(0, 10, 100)
    with pytest.raises(copying._TooManyStarts):
        watch(0, 90, 100)


def test_a_damaged_book_and_rows_that_point_nowhere_are_told(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite3"
    with sqlite3.connect(path) as made:
        made.execute("CREATE TABLE jobs (id INTEGER PRIMARY KEY)")
        made.execute(
            "CREATE TABLE notes (id INTEGER PRIMARY KEY, job INTEGER REFERENCES jobs(id), text TEXT)"
        )
        made.execute("CREATE INDEX notes_text ON notes (text)")
        made.executemany(
            "INSERT INTO notes (job, text) VALUES (7, ?)", [(f"note {n}" * 40,) for n in range(400)]
        )
    assert faults_in(path)[0] == "A row of notes points to a row of jobs that is not there."
    with path.open("r+b") as file:
        file.seek(4096 * 8)
        file.write(b"\xa5" * 4096)
    assert any(fault.startswith("The book’s file is damaged") for fault in faults_in(path))


@ON_SQLITE
def test_the_night_checks_the_shops_own_book(shop: ShopProfile, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(copying, "faults_in", lambda _copy: ["The book’s file is damaged: page 7"])
    assert watch_over().faults == ["The book’s file is damaged: page 7"]
    assert not list(Path(settings.SHOP_DATA).glob("nightly-*"))
    assert Picture.objects.count() == 0
