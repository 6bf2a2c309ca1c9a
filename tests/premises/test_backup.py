"""Backups: whole, checked, encrypted where a key is named, and brought back file by file.

The encrypted file is opened by pyrage, an implementation of the age format; Debian's `age` opens the same files.
"""

from __future__ import annotations

import datetime as dt
import io
import json
import sqlite3
import tarfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import connection

from shop.frame import clock
from shop.frame.journal import acting
from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.keeping.backup import make_backup
from shop.keeping.contents import MANIFEST, Manifest
from shop.keeping.pictures import take_picture
from shop.keeping.restoring import restore
from shop.keeping.shelf import last_backup
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.premises.test_pictures import picture, upload

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif("sqlite" not in settings.DATABASES["default"]["ENGINE"], reason="about SQLite alone"),
]


@pytest.fixture(autouse=True)
def _own_folders(settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    settings.SHOP_DATA = tmp_path
    settings.MEDIA_ROOT = tmp_path / "kept"
    (tmp_path / "secret-key").write_text("x" * 60)
    monkeypatch.setenv("SHOP_BACKUPS", str(tmp_path / "backups"))
    monkeypatch.delenv("SHOP_BACKUP_KEY", raising=False)


@pytest.fixture
def full_shop() -> ShopProfile:
    """An open shop with somebody in it and a photograph."""
    shop = ShopProfileFactory()
    take_picture(upload(picture((3000, 2000))), by=StaffFactory())
    return shop


def test_a_backup_holds_the_book_and_everything_kept(full_shop: ShopProfile, tmp_path: Path) -> None:
    made = make_backup()
    assert made.path.parent == tmp_path / "backups"
    assert made.path.stat().st_mode & 0o777 == 0o600
    assert [path.name for path in made.path.parent.iterdir()] == [made.path.name]
    with tarfile.open(made.path) as tar:
        names = tar.getnames()
        manifest = Manifest.read(tar.extractfile(MANIFEST).read().decode())
    assert sorted(manifest.files) == sorted(name for name in names if name != MANIFEST)
    assert sum(name.startswith("kept/pictures/") for name in names) == 3
    assert manifest.entries == 1
    assert manifest.migrations["keeping"] >= "0001_initial"
    assert last_backup().path == made.path


def test_what_comes_back_is_what_went_in(full_shop: ShopProfile, tmp_path: Path) -> None:
    made = make_backup()
    manifest = restore(made.path, tmp_path / "restored")
    with sqlite3.connect(tmp_path / "restored" / "shop.sqlite3") as book:
        assert book.execute("SELECT name FROM frame_shopprofile").fetchone() == ("Halftone Bench",)
    for path in (tmp_path / "kept").rglob("*.jpg"):
        twin = tmp_path / "restored" / "kept" / path.relative_to(tmp_path / "kept")
        assert twin.read_bytes() == path.read_bytes()
    assert len(manifest.files) == 5


def test_a_backup_can_be_made_while_somebody_writes(full_shop: ShopProfile, tmp_path: Path) -> None:
    with acting(by=None) as act:
        act.record("test.not_yet")
        made = make_backup()
    assert restore(made.path, tmp_path / "restored").entries == 1


def test_an_encrypted_backup_opens_with_its_key_and_with_no_other(
    full_shop: ShopProfile, tmp_path: Path
) -> None:
    x25519 = pytest.importorskip("pyrage").x25519
    right, wrong = x25519.Identity.generate(), x25519.Identity.generate()
    made = make_backup(keys=[str(right.to_public())])
    assert made.path.suffix == ".age"
    assert b"Halftone" not in made.path.read_bytes()
    for name, key in (("right", right), ("wrong", wrong)):
        (tmp_path / name).write_text(f"# a key\n{key}\n")
    with pytest.raises(Refusal, match="--identity"):
        restore(made.path, tmp_path / "restored")
    with pytest.raises(Refusal, match="does not open"):
        restore(made.path, tmp_path / "restored", identity=tmp_path / "wrong")
    assert len(restore(made.path, tmp_path / "restored", identity=tmp_path / "right").files) == 5
    with pytest.raises(Refusal, match="no age public key"):
        make_backup(keys=["age1nonsense"])


def repack(path: Path, change: Callable[[list[tuple[tarfile.TarInfo, bytes]]], Any]) -> None:
    """Rewrite a backup with its members changed."""
    with tarfile.open(path) as tar:
        members = [(member, tar.extractfile(member).read()) for member in tar]
    change(members)
    with tarfile.open(path, "w") as tar:
        for member, content in members:
            member.size = len(content)
            tar.addfile(member, io.BytesIO(content))


def swap_content(members: list[tuple[tarfile.TarInfo, bytes]]) -> None:
    member, content = members[1]
    members[1] = (member, content[:-1] + bytes([content[-1] ^ 1]))


def add_outside(members: list[tuple[tarfile.TarInfo, bytes]]) -> None:
    members.insert(0, (tarfile.TarInfo("../outside"), b"x"))


def add_listed_outside(members: list[tuple[tarfile.TarInfo, bytes]]) -> None:
    info, content = members[-1]
    listed = json.loads(content)
    listed["files"]["../outside"] = {
        "sha256": "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881",
        "size": 1,
    }
    members[-1] = (info, json.dumps(listed).encode())
    members.insert(0, (tarfile.TarInfo("../outside"), b"x"))


def add_link(members: list[tuple[tarfile.TarInfo, bytes]]) -> None:
    link = tarfile.TarInfo(members[1][0].name)
    link.type, link.linkname = tarfile.SYMTYPE, "/etc/hostname"
    members[1] = (link, b"")


DAMAGE: dict[str, tuple[Callable[[Any], Any], str]] = {
    "a file changed": (swap_content, "is damaged"),
    "a file missing": (lambda members: members.pop(1), "is missing"),
    "a file too many": (
        lambda members: members.insert(1, (tarfile.TarInfo("kept/extra"), b"x")),
        "its list does not",
    ),
    "a file outside": (add_outside, "its list does not"),
    "a file outside, and listed": (add_listed_outside, "its list does not"),
    "a link for a file": (add_link, "its list does not"),
    "no list": (lambda members: members.pop(), "no backup of a shop"),
    "a list of another form": (
        lambda members: members.append((members.pop()[0], b'{"form": 99}')),
        "has form 99",
    ),
    "a list that is none": (lambda members: members.append((members.pop()[0], b"{")), "can’t be read"),
}


@pytest.mark.parametrize("change, sentence", DAMAGE.values(), ids=DAMAGE.keys())
def test_a_backup_that_is_not_whole_is_refused_and_leaves_nothing(
    full_shop: ShopProfile, tmp_path: Path, change: Callable[[Any], Any], sentence: str
) -> None:
    made = make_backup()
    repack(made.path, change)
    with pytest.raises(Refusal, match=sentence):
        restore(made.path, tmp_path / "restored")
    assert not (tmp_path / "restored").exists()
    assert not (tmp_path / "outside").exists()


@pytest.mark.parametrize("content", [b"", b"not a tar", bytes(2048)])
def test_what_is_no_backup_at_all_gets_one_sentence(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "x.tar").write_bytes(content)
    with pytest.raises(Refusal):
        restore(tmp_path / "x.tar", tmp_path / "restored")


def test_a_backup_is_never_brought_back_over_a_shop(full_shop: ShopProfile, tmp_path: Path) -> None:
    made = make_backup()
    (tmp_path / "restored").mkdir()
    (tmp_path / "restored" / "shop.sqlite3").write_bytes(b"somebody's book")
    with pytest.raises(Refusal, match="is not empty"):
        restore(made.path, tmp_path / "restored")
    assert (tmp_path / "restored" / "shop.sqlite3").read_bytes() == b"somebody's book"


def test_the_drill_opens_the_newest_backup_as_a_shop_of_its_own(full_shop: ShopProfile, capsys: Any) -> None:
    with pytest.raises(CommandError, match="There is no backup yet"):
        call_command("restore_drill")
    call_command("backup")
    assert "not encrypted" in capsys.readouterr().out
    connection.close()
    call_command("restore_drill")
    assert "can be brought back: 5 files, 1 journal entries" in capsys.readouterr().out


def test_the_drill_names_a_backup_that_is_not_sound(full_shop: ShopProfile, tmp_path: Path) -> None:
    made = make_backup()
    repack(made.path, swap_content)
    with pytest.raises(CommandError, match="is damaged"):
        call_command("restore_drill")


def test_the_restore_command_brings_back_the_newest_good_one_and_says_how_to_open_it(
    full_shop: ShopProfile, tmp_path: Path, capsys: Any
) -> None:
    (tmp_path / "https").mkdir()
    (tmp_path / "https" / "authority.key").write_text("the authority’s key")
    older, newer = make_backup(at=clock.now() - dt.timedelta(hours=1)), make_backup(into=tmp_path / "disk")
    repack(newer.path, swap_content)
    call_command("restore", into=tmp_path / "restored")
    said = capsys.readouterr().out
    assert f"{newer.path}: A file of the backup is damaged" in said
    assert (tmp_path / "restored" / "https" / "authority.key").read_text() == "the authority’s key"
    assert len(list((tmp_path / "restored").rglob("*.jpg"))) == 3
    older.path.unlink()
    with pytest.raises(CommandError, match="no good backup"):
        call_command("restore", into=tmp_path / "again")
    with pytest.raises(CommandError, match="There is no file"):
        call_command("restore", str(older.path), into=tmp_path / "again")
    assert f"SHOP_DATA={tmp_path / 'restored'} python3 manage.py open" in said
