"""The timetable, and the looks at the shop's health: what is damaged is named with what to do, and never ends in a trace.

What damages a book is done by hand on its files and by SQL, past the program.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import os
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from django.test import Client
from django.urls import reverse

from shop.frame import clock, guard_check, guards, news
from shop.frame.guards import lifted
from shop.frame.journal import acting
from shop.frame.models import JournalEntry, ShopProfile
from shop.keeping import health, nightly, shelf
from shop.keeping.models import NightlyReport, Task
from shop.keeping.nightly import watch_over
from shop.keeping.pictures import take_picture
from shop.keeping.tasks import own
from shop.keeping.tasks.asking import ask
from shop.keeping.tasks.claiming import claim
from shop.keeping.tasks.doing import do
from shop.keeping.tasks.timing import ask_what_is_due
from shop.opening import certificates, looking_after
from shop.records.views import monitors
from tests.factories.backups import forged
from tests.factories.premises import StaffFactory
from tests.premises.test_pictures import picture, upload

pytestmark = pytest.mark.django_db

NOW = dt.datetime(2026, 11, 30, 12, tzinfo=dt.UTC)
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def _own_folders(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.SHOP_DATA = tmp_path
    settings.MEDIA_ROOT = tmp_path / "kept"
    (tmp_path / "secret-key").write_text("x" * 60)
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "backups"))
    monkeypatch.setenv("SHOP_BACKUP_KEY", "age1mine")


def sign(title: str) -> health.Sign:
    (found,) = [one for one in health.signs() if one.title == title]
    return found


def done(kind: str) -> Task:
    task = ask(kind, by=None)
    do(claim([kind]))
    task.refresh_from_db()
    return task


# --- the timetable --------------------------------------------------------------------------------------------


def test_the_owner_reads_on_one_page_what_ran_what_came_of_it_and_what_runs_next(
    shop: ShopProfile, client: Client
) -> None:
    owner = StaffFactory(username="ottoline")
    client.force_login(owner)
    ask_what_is_due()
    turns = {turn.name: turn for turn in client.get(reverse("premises:health")).context["turns"]}
    assert {"Nightly data check", "Back the shop up", "Try to restore the newest backup"} <= set(turns)
    assert turns["Try to restore the newest backup"].next_at is None
    Task.objects.all().delete()
    done(own.DRILL)
    page = client.get(reverse("premises:health"))
    assert "There is no backup to try" in page.content.decode()
    assert page.context["worst"] == "bad"
    assert "Not done: Try to restore the newest backup" in {piece.title for piece in news.unseen(owner)}
    assert not {piece.title for piece in news.unseen(StaffFactory(username="odile", roles=["bench"]))}


def test_the_drill_is_asked_for_each_month_once_there_is_a_backup(shop: ShopProfile, tmp_path: Path) -> None:
    asked = Task.objects.filter(kind=own.DRILL)
    ask_what_is_due(at=clock.now())
    assert not asked.exists()
    forged(tmp_path / "backups" / "x", clock.now())
    ask_what_is_due(at=clock.now())
    assert asked.count() == 1
    ended = clock.now()
    asked.update(state="done", ended_at=ended)
    for day in range(1, 28):
        ask_what_is_due(at=ended + day * DAY)
    assert asked.count() == 1
    ask_what_is_due(at=ended + 29 * DAY)
    assert asked.count() == 2


def test_an_encrypted_backup_is_held_against_its_hash_each_month(shop: ShopProfile, tmp_path: Path) -> None:
    path = tmp_path / "backups" / "x"
    path.parent.mkdir()
    path.write_bytes(shelf.AGE)
    shelf.write_down(path, made_at=clock.now(), sha256=hashlib.sha256(path.read_bytes()).hexdigest())
    assert "byte for byte" in done(own.DRILL).result["sentence"]
    shelf.write_down(path, made_at=clock.now(), sha256="0" * 64)
    assert "is not what was written" in done(own.DRILL).result["sentence"]


def test_each_backup_of_the_night_goes_to_the_second_disk_and_one_that_is_gone_is_told(
    shop: ShopProfile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    second = tmp_path / "second disk"
    monkeypatch.setenv("SHOP_BACKUPS", f"{tmp_path / 'backups'}:{second}")
    monkeypatch.setattr(
        "shop.keeping.backup.make_backup", lambda into, keys: Made(forged(into / "x", clock.now()))
    )
    assert "no folder" in done(own.BACKUP).result["sentence"]
    second.mkdir()
    assert done(own.BACKUP).state == "done"
    assert (second / "nightly" / "x").read_bytes() == (tmp_path / "backups" / "nightly" / "x").read_bytes()


class Made:
    """A backup as `make_backup` returns it."""

    def __init__(self, path: Path) -> None:
        self.path, self.size = path, path.stat().st_size


def test_a_shop_without_a_key_for_its_backups_is_asked_for_one(
    shop: ShopProfile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    forged(tmp_path / "backups" / "x", clock.now())
    owner = StaffFactory(username="ottoline")
    assert news.unseen(owner) == []
    monkeypatch.delenv("SHOP_BACKUP_KEY")
    (piece,) = news.unseen(owner)
    assert "SHOP_BACKUP_KEY" in piece.words


# --- damage ---------------------------------------------------------------------------------------------------


def test_a_chore_that_breaks_off_is_a_finding_and_stops_no_other(
    shop: ShopProfile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def check_chain(_night: object) -> None:
        raise DatabaseError("database disk image is malformed")

    def clear_orphans(_night: object) -> None:
        raise OSError(28, "No space left on device")

    forged(tmp_path / "backups" / "tuesday", clock.now())
    monkeypatch.setattr(nightly, "check_chain", check_chain)
    monkeypatch.setattr(nightly, "clear_orphans", clear_orphans)
    monkeypatch.setattr(nightly, "check_guards", lambda night: night.notes.append("looked"))
    report = watch_over()
    assert report.notes == ["looked"]
    damaged, full = report.faults
    assert "check chain" in damaged
    assert "restore the backup tuesday: “manage.py restore --into NEW-DIR”" in damaged
    assert "clear orphans" in full
    assert "No space left" in full
    assert NightlyReport.objects.get() == report
    assert sign("The nightly check").state == "bad"


def test_a_report_that_the_book_does_not_take_is_kept_beside_it_until_one_is_taken(
    shop: ShopProfile, monkeypatch: pytest.MonkeyPatch
) -> None:
    watch_over()
    with monkeypatch.context() as broken:
        broken.setattr(NightlyReport, "save", refuse)
        assert "no such table" in watch_over().faults[-1]
        assert sign("The nightly check").state == "bad"
    watch_over()
    assert sign("The nightly check").state == "good"


def refuse(*_: object, **__: object) -> None:
    raise DatabaseError("no such table: keeping_nightlyreport")


def test_small_copies_that_are_gone_or_emptied_are_named(shop: ShopProfile) -> None:
    one, two, three = (take_picture(upload(picture((3000, 2000 + n))), by=None) for n in range(3))
    Path(one.thumbnail.path).unlink()
    Path(two.medium.path).write_bytes(b"")
    Path(three.file.path).write_bytes(b"")
    faults = "\n".join(watch_over(at=NOW).faults)
    assert f"small copy of picture {one.pk} is missing or empty" in faults
    assert f"small copy of picture {two.pk} is missing or empty" in faults
    assert f"Picture {three.pk} is not" in faults


def test_a_clock_that_went_back_or_ahead_is_told(shop: ShopProfile) -> None:
    assert sign("The clock").state == "good"
    with acting(by=None) as act:
        act.record("test.written")
    with lifted(connection):
        JournalEntry.objects.update(at=clock.now() + 365 * DAY)
    assert sign("The clock").state == "bad"
    with lifted(connection):
        JournalEntry.objects.update(at=clock.now())
    NightlyReport.objects.create(at=clock.now() - 365 * DAY, milliseconds=1, entries=1)
    assert "clock is ahead" in sign("The clock").sentence


def test_files_among_the_backups_that_are_none_are_named(shop: ShopProfile, tmp_path: Path) -> None:
    assert sign("Files among the backups").state == "good"
    path = forged(tmp_path / "backups" / "x", clock.now() + 365 * DAY)
    assert "on a day to come" in sign("Files among the backups").sentence
    path.write_bytes(b"")
    assert "is empty" in sign("Files among the backups").sentence


def test_a_look_that_fails_is_a_sign_and_the_others_are_still_looked_at(
    shop: ShopProfile, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken() -> None:
        raise DatabaseError("database disk image is malformed")

    monkeypatch.setattr(health, "_chain", broken)
    found = health.signs()
    assert [one.title for one in found if one.state == "bad" and "malformed" in one.sentence] == ["Broken"]
    assert "Room on the disk" in {one.title for one in found}
    assert "There is no backup" in next(one.sentence for one in found if one.title == "Broken")


# --- the doctor -----------------------------------------------------------------------------------------------


def doctor(capsys: Any, **options: Any) -> str:
    try:
        call_command("doctor", **options)
    except CommandError as error:
        return f"{capsys.readouterr().out}{error}"
    return str(capsys.readouterr().out)


def test_the_doctor_names_each_finding_and_fixes_what_is_safe(
    shop: ShopProfile, tmp_path: Path, capsys: Any
) -> None:
    forged(tmp_path / "backups" / "tuesday", clock.now())
    watch_over()
    assert "All books hold." in doctor(capsys)
    kept = take_picture(upload(picture((3000, 2000))), by=None)
    spoilt = take_picture(upload(picture((90, 60))), by=None)
    Path(kept.thumbnail.path).write_bytes(b"")
    Path(spoilt.thumbnail.path).unlink()
    Path(spoilt.file.path).write_bytes(b"another")
    guards.take_down(connection)
    (tmp_path / ".update-1").mkdir()
    os.utime(tmp_path / ".update-1", (1, 1))
    said = doctor(capsys)
    assert f"copy of picture {kept.pk} is missing or empty" in said
    assert "The guard of keeping_issuedpaper is gone" in said
    said = doctor(capsys, fix=True)
    assert f"Made the small copies of picture {kept.pk} again." in said
    assert f"Picture {spoilt.pk} itself is damaged" in said
    assert not (tmp_path / ".update-1").exists()
    kept.refresh_from_db()
    assert Path(kept.thumbnail.path).stat().st_size > 0
    assert guard_check.missing(connection) == []
    assert f"picture {kept.pk} is missing" not in doctor(capsys)


def test_a_missing_column_and_an_old_certificate_are_named(
    shop: ShopProfile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "shop.opening.looking_after.missing_columns", lambda _connection: iter(["counter_job.number"])
    )
    assert "no counter_job.number, which the program needs" in "\n".join(nightly.findings())
    pytest.importorskip("cryptography")
    certificates.ready(tmp_path / "https", ["shop.local"], now=clock.now() - 340 * DAY)
    assert sign("The certificate").state == "near"
    assert done(looking_after.CERTIFICATE).state == "done"
    assert sign("The certificate").state == "good"
    (tmp_path / "https" / "server.pem").write_text("cut")
    assert sign("The certificate").state == "bad"


def test_a_monitor_gets_a_bare_word(shop: ShopProfile, client: Client, tmp_path: Path) -> None:
    monitors._last.clear()
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content) == (503, b"bad")
    forged(tmp_path / "backups" / "x", clock.now())
    watch_over()
    assert client.get("/healthz").content == b"bad"
    monitors._last.clear()
    answer = client.get("/healthz")
    assert (answer.status_code, answer.content.decode()) in {(200, "good"), (200, "near")}
