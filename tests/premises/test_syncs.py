"""What is acknowledged is on the disk: the order of system calls, recorded by strace, for photograph, paper, backup and key.

A file must be synced, and then its folder, before the book's own commit that speaks of it is (fsync(2) of Linux: a new name
needs a sync of its folder). SQLite is trusted with its own file.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys

import pytest
from django.conf import settings

pytestmark = [
    pytest.mark.soak,
    pytest.mark.skipif(
        shutil.which("strace") is None, reason="strace is not installed (apt-get install strace)"
    ),
]

DONE = """
import io, os, sys, django; django.setup()
from pathlib import Path
from django.core.management import call_command
from django.core.files.uploadedfile import SimpleUploadedFile
call_command("migrate", verbosity=0)
from shop.scenes.walkthrough import walk_through
from PIL import Image
from shop.keeping.backup import make_backup
from shop.keeping.pictures import take_picture
from shop.opening import certificates
def mark(name): os.access(f"/mark/{name}", os.R_OK)
mark("paper")
walk_through()
mark("photograph")
made = io.BytesIO(); Image.new("RGB", (300, 200)).save(made, "JPEG")
take_picture(SimpleUploadedFile("a.jpg", made.getvalue(), "image/jpeg"), by=None)
mark("backup")
make_backup()
mark("key")
certificates.ready(Path(os.environ["SHOP_DATA"]) / "https", ["shop.local"])
mark("end")
"""


@pytest.fixture(scope="module")
def calls(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[str]]:
    """The calls of one process by what it did, each line with the path of what was synced."""
    folder = tmp_path_factory.mktemp("synced")
    told = folder / "calls"
    left_out = {"DATABASE_URL", "PYTEST_VERSION", "PYTEST_CURRENT_TEST"}
    variables = {name: value for name, value in os.environ.items() if name not in left_out}
    variables |= {"SHOP_DATA": str(folder / "shop"), "DJANGO_SETTINGS_MODULE": "shop.settings"}
    asked = "trace=fsync,fdatasync,rename,renameat,renameat2,access,faccessat,faccessat2"
    command = ["strace", "-f", "-y", "-e", asked, "-o", str(told), sys.executable, "-c", DONE]
    done = subprocess.run(
        command, env=variables, cwd=settings.BASE_DIR, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr[-2000:]
    found: dict[str, list[str]] = {}
    part = ""
    for line in told.read_text(encoding="utf-8", errors="replace").splitlines():
        if mark := re.search(r'"/mark/(\w+)"', line):
            part = mark[1]
        elif re.search(r"\b(fsync|fdatasync|rename\w*)\(", line):
            found.setdefault(part, []).append(line)
    return found


def first(lines: list[str], pattern: str, *, after: int = -1) -> int:
    """Where the first such call stands after another."""
    at = [number for number, line in enumerate(lines) if number > after and re.search(pattern, line)]
    assert at, f"no {pattern} in {len(lines)} calls"
    return at[0]


@pytest.mark.parametrize("what, folder", [("paper", "papers"), ("photograph", "pictures")])
def test_what_is_kept_is_synced_before_the_book_that_speaks_of_it(
    calls: dict[str, list[str]], what: str, folder: str
) -> None:
    lines = calls[what]
    files = [
        number
        for number, line in enumerate(lines)
        if re.search(rf"sync\(\d+<.*/kept/{folder}/[^>]*\.\w+>", line)
    ]
    assert files
    for file in files:
        name = first(lines, rf"fsync\(\d+<.*/kept/{folder}/\d+/\d+>", after=file)
        assert file < name < first(lines, r"sync\(\d+<[^>]*shop\.sqlite3>", after=file)


def test_a_backup_is_synced_before_it_has_its_name_and_its_folder_after(calls: dict[str, list[str]]) -> None:
    lines = calls["backup"]
    draft = first(lines, r"sync\(\d+<[^>]*/backups/[^>]+\.tar>")
    named = first(lines, r"rename.*/backups/.*\.tar", after=draft)
    assert first(lines, r"fsync\(\d+<[^>]*/backups>", after=named) < first(
        lines, r"rename.*backups\.json", after=named
    )


def test_a_key_is_synced_and_its_folder_too(calls: dict[str, list[str]]) -> None:
    lines = calls["key"]
    for key in ("authority", "server"):
        assert first(
            lines,
            r"fsync\(\d+<[^>]*/https>",
            after=first(lines, rf"sync\(\d+<[^>]*/https/[^>]*{key}[^>]*\.key"),
        )
