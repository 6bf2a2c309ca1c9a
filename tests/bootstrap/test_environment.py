"""The environment: made once, brought up to the lock when the lock changes, never fetched from a named address."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from shop.bootstrap import environment, system
from shop.bootstrap.environment import RUNTIME, TEST, Lock
from shop.bootstrap.places import HOME, CannotGoOn, environment_python

PIN = re.compile(r"^(?P<name>[a-z0-9-]+)==(?P<version>[^ ]+)", re.MULTILINE)


def pins(lock: Lock) -> dict[str, set[str]]:
    """The versions of each package in a list; some have one for each Python."""
    found: dict[str, set[str]] = {}
    for pin in PIN.finditer(lock.file.read_text(encoding="utf-8")):
        found.setdefault(pin["name"], set()).add(pin["version"])
    return found


@pytest.mark.parametrize("lock", [RUNTIME, TEST], ids=["runtime", "test"])
def test_a_list_of_packages_names_no_address(lock: Lock) -> None:
    text = lock.file.read_text(encoding="utf-8")
    assert "://" not in text
    assert " @ " not in text
    assert not re.search(r"^\s*(-i|-f|-e|--index-url|--extra-index-url|--find-links)\b", text, re.MULTILINE)


@pytest.mark.parametrize("lock", [RUNTIME, TEST], ids=["runtime", "test"])
def test_every_package_in_a_list_is_pinned_with_hashes(lock: Lock) -> None:
    entries = re.split(r"\n(?=[a-z])", lock.file.read_text(encoding="utf-8"))
    entries = [entry for entry in entries if not entry.startswith("#")]
    assert entries
    assert [
        entry.splitlines()[0] for entry in entries if not PIN.match(entry) or "--hash=sha256:" not in entry
    ] == []


def test_the_tests_use_the_very_versions_that_the_shop_uses() -> None:
    tested = pins(TEST)
    assert {name: versions for name, versions in pins(RUNTIME).items() if tested.get(name) != versions} == {}


def test_the_lists_hold_everything_that_the_project_asks_for() -> None:
    import tomllib  # noqa: PLC0415

    project = tomllib.loads((HOME / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    def names(requirements: list[str]) -> set[str]:
        return {re.split(r"[~=<>;\[ ]", requirement)[0].lower() for requirement in requirements}

    assert names(project["dependencies"]) <= pins(RUNTIME).keys()
    wanted = set().union(*map(names, project["optional-dependencies"].values()))
    assert wanted <= pins(TEST).keys()


@pytest.fixture
def lock(tmp_path: Path) -> Lock:
    file = tmp_path / "packages.lock"
    file.write_text("webencodings==0.5.1\n", encoding="utf-8")
    return Lock("runtime", file)


@pytest.fixture
def steps(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What `ensure` does, without doing it: an environment is an empty interpreter file."""
    done: list[str] = []

    def make(folder: Path) -> None:
        python = environment_python(folder)
        python.parent.mkdir(parents=True)
        python.touch()
        done.append("make")

    monkeypatch.setattr(environment, "_make", make)
    monkeypatch.setattr(environment, "_install", lambda lock, python: done.append("install"))
    return done


def test_the_second_start_installs_nothing(lock: Lock, steps: list[str], tmp_path: Path) -> None:
    folder = tmp_path / "env"
    environment.ensure(lock, folder)
    assert steps == ["make", "install"]
    environment.ensure(lock, folder)
    assert steps == ["make", "install"]


def test_a_changed_list_is_installed_into_the_same_environment(
    lock: Lock, steps: list[str], tmp_path: Path
) -> None:
    folder = tmp_path / "env"
    environment.ensure(lock, folder)
    lock.file.write_text("webencodings==0.5.2\n", encoding="utf-8")
    environment.ensure(lock, folder)
    assert steps == ["make", "install", "install"]


def test_an_environment_that_somebody_filled_by_hand_is_brought_up_to_the_list(
    lock: Lock, steps: list[str], tmp_path: Path
) -> None:
    folder = tmp_path / "env"
    environment_python(folder).parent.mkdir(parents=True)
    environment_python(folder).touch()
    environment.ensure(lock, folder)
    assert steps == ["install"]


def test_what_the_tests_installed_serves_the_shop_too(steps: list[str], tmp_path: Path) -> None:
    folder = tmp_path / "env"
    environment.ensure(TEST, folder)
    assert environment.is_current(RUNTIME, folder)
    environment.ensure(RUNTIME, folder)
    assert steps == ["make", "install"]
    assert environment.is_current(TEST, folder)


def test_a_broken_stamp_means_installing_again(lock: Lock, steps: list[str], tmp_path: Path) -> None:
    folder = tmp_path / "env"
    environment.ensure(lock, folder)
    (folder / environment.STAMP).write_text("{half", encoding="utf-8")
    environment.ensure(lock, folder)
    assert steps == ["make", "install", "install"]


def test_an_environment_whose_python_was_removed_is_made_again(
    lock: Lock, steps: list[str], tmp_path: Path
) -> None:
    folder = tmp_path / "env"
    environment.ensure(lock, folder)
    python = environment_python(folder)
    python.unlink()
    python.symlink_to(tmp_path / "gone")
    assert not environment.is_current(lock, folder)


def test_a_package_that_differs_from_its_hash_is_refused(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """The known-bad sample for the hash check, with pip itself."""
    wheel = tmp_path / "sham-1.0-py3-none-any.whl"
    wheel.write_bytes(b"not what was pinned")
    file = tmp_path / "packages.lock"
    file.write_text(
        f"sham==1.0 --hash=sha256:{'0' * 64}\n--no-index\n--find-links {tmp_path}\n", encoding="utf-8"
    )
    with pytest.raises(CannotGoOn, match="could not be installed"):
        environment._install(Lock("sham", file), Path(sys.executable))
    assert "DO NOT MATCH THE HASHES" in capfd.readouterr().err


NO_ENSUREPIP = """The virtual environment was not created successfully because ensurepip is not
available.  On Debian/Ubuntu systems, you need to install the python3-venv
package using the following command.

    apt install python3.11-venv
"""


def test_a_debian_without_venv_gets_one_sentence_with_the_command(monkeypatch: pytest.MonkeyPatch) -> None:
    """The message is Debian 12's own, from its python3.11 package."""
    monkeypatch.setattr(system, "_is_root", lambda: False)
    sentence = environment.explain_failed_environment(NO_ENSUREPIP)
    assert "\n" not in sentence
    version = f"python3.{sys.version_info.minor}-venv"
    assert sentence.endswith(f"sudo apt-get install --no-install-recommends {version}")


def test_where_nothing_may_be_installed_the_start_ends_with_that_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(system, "may_install", lambda packages, why: False)

    def fail(*_: Any, **__: Any) -> subprocess.CompletedProcess[str]:
        return subprocess.CompletedProcess([], 1, stdout=NO_ENSUREPIP, stderr="")

    monkeypatch.setattr("subprocess.run", fail)
    with pytest.raises(CannotGoOn, match="cannot make virtual environments"):
        environment.ensure(RUNTIME, tmp_path / "env")


def test_where_apt_is_at_hand_the_missing_venv_is_installed_and_tried_again(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    installed: list[str] = []
    monkeypatch.setattr(system, "may_install", lambda packages, why: True)
    monkeypatch.setattr(system, "install", installed.extend)
    answers = iter([NO_ENSUREPIP, None])
    monkeypatch.setattr(environment, "_try_to_make", lambda folder: next(answers))
    environment._make(tmp_path / "env")
    assert installed == [f"python3.{sys.version_info.minor}-venv"]


def test_windows_keeps_its_interpreter_elsewhere() -> None:
    folder = Path("env")
    assert environment_python(folder, windows=True) == Path("env/Scripts/python.exe")
    assert environment_python(folder, windows=False) == Path("env/bin/python")
