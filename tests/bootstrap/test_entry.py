"""The first step of each command: an old Python gets a sentence, and the demo never meets the real shop."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

from shop.bootstrap import entry
from shop.bootstrap.places import HOME, CannotGoOn

MANAGE = (HOME / "manage.py").read_text(encoding="utf-8")


def test_an_old_python_gets_one_sentence() -> None:
    pretend = "import sys; sys.version_info = (3, 10, 13, 'final', 0); exec(open('manage.py').read())"
    ended = subprocess.run(
        [sys.executable, "-c", pretend], cwd=HOME, capture_output=True, text=True, check=False
    )
    assert ended.returncode == 1
    assert ended.stderr == (
        "Mendwright is made for Python 3.11 and later; this is Python 3.10. "
        "Start it with a newer one, such as: python3.11 manage.py demo\n"
    )


def test_manage_py_can_be_read_by_pythons_that_are_much_older() -> None:
    """3.4 is the oldest grammar that `ast` still knows; annotations and f-strings came later or read differently."""
    tree = ast.parse(MANAGE, feature_version=(3, 4))
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.JoinedStr | ast.AnnAssign)]
    future = [
        node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module == "__future__"
    ]
    assert future == []


def test_the_version_is_looked_at_before_anything_of_ours_is_read() -> None:
    assert MANAGE.index("sys.version_info") < MANAGE.index("from shop")


@pytest.mark.usefixtures("_clean_environ")
class TestWhichShop:
    def test_the_demo_has_a_folder_of_its_own_whatever_the_environment_says(self) -> None:
        os.environ["SHOP_DATA"] = "/srv/real-shop"
        os.environ["DATABASE_URL"] = "postgresql:///real_shop"
        entry._choose_shop("demo", ["manage.py", "demo"])
        assert os.environ["SHOP_DATA"] == str(HOME / ".demo")
        assert os.environ["SHOP_DEMO"] == "1"
        assert "DATABASE_URL" not in os.environ

    def test_the_real_shop_lies_where_the_environment_says(self) -> None:
        os.environ["SHOP_DATA"] = "/srv/real-shop"
        entry._choose_shop("open", ["manage.py", "open"])
        assert os.environ["SHOP_DATA"] == "/srv/real-shop"
        assert "SHOP_DEMO" not in os.environ

    def test_other_devices_may_call_only_when_asked(self) -> None:
        entry._choose_shop("demo", ["manage.py", "demo"])
        assert "SHOP_LAN" not in os.environ
        entry._choose_shop("demo", ["manage.py", "demo", "--lan"])
        assert os.environ["SHOP_LAN"] == "1"

    def test_what_must_be_mended_is_one_sentence_and_an_exit_code(
        self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
    ) -> None:
        def refuse(command: str) -> Path:
            raise CannotGoOn("Mend this first.")

        monkeypatch.setattr(entry, "_equip", refuse)
        assert entry.prepare(["manage.py", "demo"]) == 1
        assert capsys.readouterr().err == "Mend this first.\n"

    def test_an_ordinary_command_goes_straight_on_where_django_is_at_hand(self) -> None:
        assert entry.prepare(["manage.py", "check"]) is None


@pytest.fixture
def _clean_environ(monkeypatch: pytest.MonkeyPatch) -> None:
    """A copy of the environment that the test may change, without the shop's own words in it."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("SHOP_", "DATABASE_"))}
    monkeypatch.setattr(os, "environ", kept)
