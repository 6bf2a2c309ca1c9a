"""Which backups there are: known by their content, not by their name or their file's date."""

from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile

from shop.frame import clock
from shop.frame.refusal import Refusal
from shop.keeping import settled, shelf
from tests.factories.backups import forged

pytestmark = pytest.mark.django_db

NOON = dt.datetime(2026, 5, 31, 12, tzinfo=dt.UTC)
DAY = dt.timedelta(days=1)


@pytest.fixture(autouse=True)
def _own_folders(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.SHOP_DATA = tmp_path
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "backups"))


def whole(path: Path) -> bytes:
    return forged(path, NOON, content=b"page" * 9000).read_bytes()


@pytest.mark.parametrize(
    "change, sentence",
    [
        (lambda _content: b"", "is empty"),
        (lambda content: content[:-10_240], "cut off"),
        (lambda content: content[:-1], "cut off"),
        (lambda content: content[: len(content) // 2], "cut off"),
        (lambda content: content[:-1024] + b"x" * 1024, "cut off"),
        (lambda content: content.replace(b"manifest.json", b"manifest.txt\0"), "no backup"),
        (lambda content: content.replace(b'"form": 1', b'"form": 9'), "no backup"),
        (lambda _content: b"PK\x03\x04 a zip of something else", "no backup"),
    ],
)
def test_what_is_no_whole_backup_counts_as_none_and_says_what_to_do(
    tmp_path: Path, change: Any, sentence: str
) -> None:
    path = tmp_path / "backups" / "mendwright-20260531-030000.tar"
    path.write_bytes(change(whole(path)))
    with pytest.raises(Refusal, match=f"{sentence}.*manage.py restore"):
        shelf.look_at(path)
    assert shelf.last_backup(at=NOON) is None
    assert len(shelf.unfit()) == 1
    assert shelf.drop_old(keep=1) == 0


def test_the_newest_is_the_one_made_last_whatever_its_name_and_its_files_date(tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    older = forged(folder / "mendwright-20990101-000000.tar", NOON - DAY)
    newer = forged(folder / "copy of tuesday", NOON)
    os.utime(newer, (1, 1))
    assert [one.path for one in shelf.backups()] == [newer, older]
    assert shelf.last_backup(at=NOON).path == newer


def test_one_from_a_clock_that_was_wrong_neither_wins_nor_costs_the_fresh_one(tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    ahead, fresh, old = (
        forged(folder / name, NOON + days * DAY) for name, days in (("a", 365), ("b", 0), ("c", -1))
    )
    assert shelf.last_backup(at=NOON).path == fresh
    assert shelf.drop_old(keep=1, at=NOON) == 1
    assert (ahead.exists(), fresh.exists(), old.exists()) == (True, True, False)


def test_one_made_in_a_folder_of_its_own_counts_as_long_as_it_is_there(tmp_path: Path) -> None:
    elsewhere = forged(tmp_path / "second disk" / "x.tar", NOON)
    assert shelf.last_backup(at=NOON) is None
    shelf.write_down(elsewhere, made_at=NOON, sha256="")
    assert shelf.last_backup(at=NOON).path == elsewhere
    elsewhere.unlink()
    assert shelf.last_backup(at=NOON) is None
    (tmp_path / shelf.WRITTEN_DOWN).write_text("{")
    assert shelf.last_backup(at=NOON) is None


def test_an_encrypted_one_is_known_by_how_it_begins_and_by_what_was_written_of_it(tmp_path: Path) -> None:
    """The first line of the age format, version 1."""
    path = tmp_path / "backups" / "x"
    path.parent.mkdir()
    path.write_bytes(shelf.AGE + b"-> X25519 ...")
    os.utime(path, (NOON.timestamp(), NOON.timestamp()))
    assert shelf.last_backup(at=NOON).made_at == NOON
    shelf.write_down(path, made_at=NOON - DAY, sha256="ab")
    found = shelf.last_backup(at=NOON)
    assert (found.made_at, found.is_encrypted, found.sha256) == (NOON - DAY, True, "ab")
    path.write_bytes(path.read_bytes()[:-3])
    assert shelf.last_backup(at=NOON) is None
    assert "not as long" in shelf.unfit()[0]


def test_the_rule_keeps_seven_days_five_weeks_and_twelve_months() -> None:
    """By hand from the calendar of 2025 and 2026: 31 May 2026 is a Sunday, the last day of its week by ISO 8601."""
    nights = [NOON - day * DAY for day in range(500)]
    kept = {clock.day_of(moment).isoformat() for moment in shelf.kept_by_rule(nights)}
    days = {f"2026-05-{day}" for day in range(25, 32)}
    weeks = {"2026-05-31", "2026-05-24", "2026-05-17", "2026-05-10", "2026-05-03"}
    ends = (
        "2026-05-31 2026-04-30 2026-03-31 2026-02-28 2026-01-31 2025-12-31 2025-11-30 2025-10-31 2025-09-30"
    )
    months = {*ends.split(), "2025-08-31", "2025-07-31", "2025-06-30"}
    assert kept == days | weeks | months


def test_a_file_is_on_the_disk_and_then_its_name_in_every_new_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """fsync(2) of Linux: a new name needs a sync of the folder that it stands in."""
    synced: list[str] = []
    sync = os.fsync

    def note(descriptor: int) -> None:
        synced.append(str(Path(f"/proc/self/fd/{descriptor}").readlink()))
        sync(descriptor)

    monkeypatch.setattr(os, "fsync", note)
    root = tmp_path / "kept"
    settled.SettledStorage(location=root).save("papers/2026/x.pdf", ContentFile(b"x"))
    assert synced[0] == str(root / "papers/2026/x.pdf")
    assert synced[1] == str(root / "papers/2026")
    assert {str(root / "papers"), str(root), str(tmp_path)} <= set(synced)
