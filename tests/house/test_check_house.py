"""The house is in order, and `check_house` notices where it isn't."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings

from shop.bootstrap import checking

HOME: Path = settings.BASE_DIR
PYTHON = Path(sys.executable)


def found(home: Path, *checks: str) -> dict[str, str]:
    """What each of the checks found in a house, as one text."""
    return {finding.check: "\n".join(finding.lines) for finding in checking.look(PYTHON, home, only=checks)}


@pytest.mark.xdist_group("house")
def test_the_house_is_in_order() -> None:
    assert found(HOME) == {}


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The house as git has it, in another folder, with a git of its own."""
    home = tmp_path_factory.mktemp("house") / "copy"
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=HOME,
        capture_output=True,
        text=True,
        check=False,
    )
    if listed.returncode != 0:
        pytest.skip("this copy of the project is not kept by git")
    for name in filter(None, listed.stdout.split("\0")):
        if (HOME / name).is_file():
            (home / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(HOME / name, home / name)
    if (HOME / ".mypy_cache").is_dir():  # what is known of the types of the rest, from the whole house's turn
        shutil.copytree(HOME / ".mypy_cache", home / ".mypy_cache")
    subprocess.run(["git", "init", "-q"], cwd=home, check=True)
    subprocess.run(["git", "add", "-A"], cwd=home, check=True)
    return home


PLANTED = {
    "an import across floors": (
        "Floors",
        "shop/handbook/money.py",
        "from shop.frame import clock  # noqa: E402, F401\n",
        "shop.handbook.money -> shop.frame.clock",
    ),
    "a public function without types": (
        "Types",
        "shop/management/commands/doctor.py",
        'def plain(what):\n    """Untyped."""\n    return what\n',
        "missing a type annotation",
    ),
    "tags that don't close": ("Templates", "templates/base.html", "<div><p>left open\n</div>\n", "base.html"),
    "a secret in git": ("Kept by git", "small/secret-key", "secret\n", "small/secret-key"),
    "an eleventh thing at the top": ("Top level", "notes.txt", "things to do\n", "notes.txt"),
    "a function that nothing calls": (
        "Dead code",
        "shop/frame/clock.py",
        'def minutes_of_no_use() -> int:\n    """Nobody asks."""\n    return 1\n',
        "minutes_of_no_use",
    ),
    "a public function that doesn't say what it is for": (
        "Docstrings",
        "shop/frame/clock.py",
        "def unexplained() -> int:\n    return 1\n",
        "unexplained has no docstring",
    ),
}


@pytest.mark.xdist_group("house")
@pytest.mark.parametrize("fault", PLANTED)
def test_a_planted_fault_is_found_and_named(copy: Path, fault: str) -> None:
    check, name, text, named = PLANTED[fault]
    path = copy / name
    before = path.read_text(encoding="utf-8") if path.exists() else None
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"{before}\n\n{text}" if before is not None else text, encoding="utf-8")
    subprocess.run(["git", "add", "-Af"], cwd=copy, check=True)
    try:
        assert named in found(copy, check).get(check, "")
    finally:
        if before is None:
            path.unlink()
            if not any(path.parent.iterdir()):
                path.parent.rmdir()
        else:
            path.write_text(before, encoding="utf-8")
        subprocess.run(["git", "add", "-A"], cwd=copy, check=True)
