"""What the system must bring: installed where we may, else one sentence with the command."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from shop.bootstrap import system


@pytest.fixture
def no_rights(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "may_install", lambda packages, why: False)
    monkeypatch.setattr(system, "_is_root", lambda: False)


@pytest.mark.usefixtures("no_rights")
def test_missing_libraries_for_paper_get_the_exact_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "_loads", lambda library: library == "libpango-1.0.so.0")
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")
    assert system.ensure_paper() == (
        "No PDF can be made on this machine yet; type this: "
        "sudo apt-get install --no-install-recommends libpangoft2-1.0-0 libharfbuzz-subset0"
    )


def test_missing_libraries_are_installed_where_we_may(monkeypatch: pytest.MonkeyPatch) -> None:
    installed: list[str] = []
    monkeypatch.setattr(system, "may_install", lambda packages, why: True)
    monkeypatch.setattr(system, "_loads", lambda library: bool(installed))
    monkeypatch.setattr(system, "install", installed.extend)
    assert system.ensure_paper() is None
    assert installed == ["libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"]


def test_a_library_that_is_not_there_is_noticed() -> None:
    assert not system._loads("libno-such-thing.so.9")


def test_on_a_mac_the_command_is_homebrews(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "ON_MAC", True)
    assert system.paper_command(["pango"]) == "brew install pango"


def test_on_a_mac_the_libraries_are_found_outside_the_usual_folders(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(system, "ON_MAC", True)
    monkeypatch.setattr(system, "MAC_LIBRARIES", [tmp_path, tmp_path / "none"])
    assert system.missing_for_paper() == ["pango"]
    (tmp_path / "libpango-1.0.dylib").touch()
    assert system.missing_for_paper() == []
    assert system.paper_variables({}) == {"DYLD_FALLBACK_LIBRARY_PATH": str(tmp_path)}
    assert system.paper_variables({"DYLD_FALLBACK_LIBRARY_PATH": "/mine"}) == {}


def test_on_windows_the_command_is_that_of_msys2(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "ON_WINDOWS", True)
    assert "pacman -S mingw-w64-x86_64-pango" in system.paper_command(["pango"])


@pytest.mark.usefixtures("no_rights")
def test_a_missing_browser_gets_the_exact_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SHOP_CHROMIUM", raising=False)
    monkeypatch.setattr("shutil.which", lambda name: "/usr/bin/apt-get" if name == "apt-get" else None)
    assert system.ensure_browser(Path("python")) == (
        "The tests in a browser need Chromium; type this: sudo apt-get install --no-install-recommends chromium"
    )


@pytest.mark.usefixtures("no_rights")
def test_a_missing_simulator_gets_the_exact_command(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda name: "/usr/bin/apt-get" if name == "apt-get" else None)
    assert str(system.ensure_simulator()).endswith("sudo apt-get install --no-install-recommends ngspice")


def test_lists_of_packages_are_refreshed_when_the_first_try_fails(monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[str] = []

    def quietly(command: list[str]) -> bool:
        tried.append("update" if "update" in command else "install")
        return tried != ["install"]

    monkeypatch.setattr(system, "_quietly", quietly)
    assert system.install(["chromium"])
    assert tried == ["install", "update", "install"]


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody with sudo at a terminal."""
    monkeypatch.delenv(system.NO_INSTALL, raising=False)
    monkeypatch.setattr(system, "_is_root", lambda: False)
    monkeypatch.setattr(system, "_at_a_terminal", lambda: True)
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")


@pytest.mark.parametrize(
    "answer, may", [("y\n", True), ("Yes\n", True), ("\n", False), ("n\n", False), ("", False)]
)
def test_by_sudo_at_a_terminal_the_person_is_asked(
    asked: None, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], answer: str, may: bool
) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(answer))
    assert system.may_install(["libpango-1.0-0"], "to make PDFs") is may
    assert capsys.readouterr().err == "libpango-1.0-0: needed to make PDFs. Install with sudo now? [y/N] "


@pytest.mark.usefixtures("asked")
def test_without_a_terminal_nobody_is_asked_and_nothing_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system, "_at_a_terminal", lambda: False)
    assert not system.may_install(["chromium"], "for the tests in a browser")


def test_as_root_one_line_says_what_is_installed_and_why(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv(system.NO_INSTALL, raising=False)
    monkeypatch.setattr(system, "_is_root", lambda: True)
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")
    assert system.may_install(["postgresql"], "for the tests on PostgreSQL")
    assert (
        capsys.readouterr().err
        == "Installing postgresql with Debian’s apt, for the tests on PostgreSQL ...\n"
    )


def test_who_wants_nothing_installed_is_heard(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(system.NO_INSTALL, "")
    monkeypatch.setattr(system, "_is_root", lambda: True)
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")
    system.forbid_installing()
    assert not system.may_install(["postgresql"], "for the tests on PostgreSQL")
