"""The test command: its arguments go to pytest, and a run that skipped PostgreSQL cannot look like a whole one."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from shop.bootstrap import environment, postgres, system, testing


@pytest.mark.parametrize(
    "arguments, narrowed",
    [
        ([], ["-m", "postgres"]),
        (["tests/office", "-q"], ["tests/office", "-q", "-m", "postgres"]),
        (["-m", "not browser"], ["-m", "(not browser) and postgres"]),
        (["-m=a or b", "-x"], ["-x", "-m", "(a or b) and postgres"]),
    ],
)
def test_the_second_run_takes_the_chosen_tests_that_are_marked_for_it(
    arguments: list[str], narrowed: list[str]
) -> None:
    assert testing.only_postgres(arguments) == narrowed


@pytest.mark.parametrize(
    "sqlite, postgresql, whole",
    [
        (0, 0, 0),
        (0, None, 0),
        (0, 5, 0),
        (5, 0, 0),
        (5, 5, 5),
        (5, None, 5),
        (1, 0, 1),
        (0, 1, 1),
        (2, None, 2),
    ],
)
def test_a_failure_on_either_database_fails_the_whole(
    sqlite: int, postgresql: int | None, whole: int
) -> None:
    assert testing.sum_up(sqlite, postgresql) == whole


@pytest.fixture
def pytest_runs(monkeypatch: pytest.MonkeyPatch) -> list[tuple[list[str], str | None]]:
    """The runs of pytest that the command asks for, which all pass."""
    runs: list[tuple[list[str], str | None]] = []

    def run(python: Path, arguments: list[str], variables: dict[str, str]) -> int:
        runs.append((arguments, variables.get("DATABASE_URL")))
        return 0

    monkeypatch.setattr(testing, "_pytest", run)
    monkeypatch.setattr(environment, "ensure", lambda lock: Path("python"))
    monkeypatch.setattr(system, "ensure_paper", lambda: None)
    monkeypatch.setattr(system, "ensure_browser", lambda python: None)
    monkeypatch.setattr(system, "ensure_simulator", lambda: None)
    return runs


def serve(monkeypatch: pytest.MonkeyPatch, address: str | None) -> None:
    @contextmanager
    def server() -> Iterator[str | None]:
        yield address

    monkeypatch.setattr(postgres, "server", server)


def test_without_a_server_the_last_line_says_not_run(
    monkeypatch: pytest.MonkeyPatch,
    pytest_runs: list[tuple[list[str], str | None]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    serve(monkeypatch, None)
    assert testing.run(["tests/bench"]) == 0
    assert pytest_runs == [(["tests/bench"], None)]
    assert capsys.readouterr().out.splitlines()[-1] == "PostgreSQL: NOT RUN"


def test_with_a_server_the_marked_tests_run_again_on_it(
    monkeypatch: pytest.MonkeyPatch,
    pytest_runs: list[tuple[list[str], str | None]],
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("DATABASE_URL", "sqlite:///somewhere.sqlite3")
    serve(monkeypatch, "postgresql:///trial")
    assert testing.run(["--soak"]) == 0
    assert pytest_runs == [(["--soak"], None), (["--soak", "-m", "postgres"], "postgresql:///trial")]
    assert capsys.readouterr().out.splitlines()[-1] == "PostgreSQL: passed"


@pytest.mark.parametrize("arguments", [["-n0"], ["-n", "4"], ["tests/a.py::test_b"], ["--pdb"]])
def test_who_says_how_many_at_once_is_heard(arguments: list[str]) -> None:
    assert testing.in_parallel(arguments) == []


def test_a_server_that_is_named_is_used_as_it_is() -> None:
    assert postgres.named_server({"SHOP_TEST_POSTGRES": "postgresql:///a"}) == "postgresql:///a"
    assert postgres.named_server({"DATABASE_URL": "postgres://b"}) == "postgres://b"
    assert postgres.named_server({"DATABASE_URL": "sqlite:///c"}) is None


def test_the_newest_server_on_the_machine_is_taken(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for version in ("9.6", "15", "17"):
        (tmp_path / version / "bin").mkdir(parents=True)
        (tmp_path / version / "bin" / "initdb").touch()
    monkeypatch.setattr(postgres, "PLACES", [tmp_path])
    assert postgres.find_programs() == tmp_path / "17" / "bin"


def test_a_server_that_cannot_start_says_so_and_leaves_nothing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    programs = tmp_path / "bin"
    programs.mkdir()
    (programs / "initdb").write_text("#!/bin/sh\necho no room\nexit 1\n", encoding="utf-8")
    (programs / "initdb").chmod(0o755)
    folder = tmp_path / "cluster"
    folder.mkdir()
    cluster = postgres.Cluster(programs, folder, servant={})
    assert not cluster.start()
    cluster.remove()
    assert "initdb: no room" in capsys.readouterr().err
    assert not folder.exists()
