"""A shop's folder is made when it is opened: who only looks leaves nothing behind, and no shop lies among the program's files."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from shop.bootstrap.places import HOME, CannotGoOn, shop_folder


def manage(folder: str | Path, *arguments: str, where: Path = HOME) -> subprocess.CompletedProcess[str]:
    """Run manage.py for the shop that SHOP_DATA names, with the settings that it has outside tests."""
    kept = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PYTEST", "SHOP_", "DATABASE", "DJANGO_"))
    }
    return subprocess.run(
        [sys.executable, str(HOME / "manage.py"), *arguments],
        env={**kept, "SHOP_DATA": str(folder)}, cwd=where, capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("command", [["check"], ["makemigrations", "--check", "--dry-run"], ["help"]])
def test_who_only_looks_leaves_nothing_behind(tmp_path: Path, command: list[str]) -> None:
    done = manage("tiny", *command, where=tmp_path)
    assert done.returncode == 0, done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_book_that_is_made_lies_in_a_folder_for_its_owner_alone(tmp_path: Path) -> None:
    done = manage("new/shop", "migrate", "-v0", where=tmp_path)
    assert done.returncode == 0, done.stderr
    shop = tmp_path / "new" / "shop"
    assert {"shop.sqlite3", "secret-key", "log"} <= {one.name for one in shop.iterdir()}
    assert stat.S_IMODE(shop.stat().st_mode) == 0o700
    assert stat.S_IMODE((shop / "secret-key").stat().st_mode) == 0o600
    secret = (shop / "secret-key").read_text()
    asked = "from django.conf import settings; print(settings.SECRET_KEY)"
    assert manage(shop, "shell", "-v0", "-c", asked).stdout.strip() == secret


@pytest.mark.parametrize("named", ["tiny", ".", "shop/data", ".shop/second", "tests/../tiny"])
def test_a_shop_among_the_programs_own_files_is_refused_in_a_sentence(named: str) -> None:
    done = manage(named, "check")
    assert done.returncode == 1
    assert done.stderr.startswith(f"{(HOME / named).resolve()} lies among the program’s own files")
    assert len(done.stderr.splitlines()) == 1
    assert not (HOME / "tiny").exists()


def test_a_link_that_leads_among_the_programs_files_is_no_way_round(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(HOME, target_is_directory=True)
    with pytest.raises(CannotGoOn):
        shop_folder(str(tmp_path / "link" / "tiny"))


def test_the_two_folders_that_git_leaves_out_may_be_a_shops() -> None:
    assert (
        shop_folder(None)
        == shop_folder(".shop" if Path.cwd() == HOME else str(HOME / ".shop"))
        == HOME / ".shop"
    )
    assert shop_folder(str(HOME / ".demo")) == HOME / ".demo"
    ignored = (HOME / ".gitignore").read_text(encoding="utf-8").splitlines()
    assert {".shop/", ".demo/"} <= set(ignored)


def test_a_server_that_reads_the_settings_itself_is_told_the_same() -> None:
    environ = {name: value for name, value in os.environ.items() if not name.startswith("PYTEST")}
    done = subprocess.run(
        [sys.executable, "-c", "import shop.wsgi"],
        env={**environ, "SHOP_DATA": str(HOME / "tiny"), "DJANGO_SETTINGS_MODULE": "shop.settings"},
        cwd=HOME, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 1
    assert "lies among the program’s own files" in done.stderr
    assert not (HOME / "tiny").exists()
