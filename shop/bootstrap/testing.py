"""`python3 manage.py test`: everything the tests need, then pytest on SQLite and again on PostgreSQL."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from shop.bootstrap import environment, postgres, system
from shop.bootstrap.places import HOME

NO_TESTS = 5  # pytest's exit code when nothing was selected


def run(arguments: list[str]) -> int:
    """Run the suite, or what `arguments` (pytest's own, and --soak) select; return the exit code.

    The last line printed says how PostgreSQL fared, or that it was not run.
    """
    python = environment.ensure(environment.TEST)
    for complaint in (system.ensure_paper(), system.ensure_browser(python), system.ensure_simulator()):
        if complaint:
            _say(complaint)
    variables = {**os.environ, **system.paper_variables(os.environ)}
    variables.pop("DATABASE_URL", None)
    # the tests start dozens of processes, and each would compile the whole shop for itself
    variables.pop("PYTHONDONTWRITEBYTECODE", None)

    _say("\nThe shop's book in SQLite:")
    on_sqlite = _pytest(python, arguments, variables)
    # wrong arguments or tests that can't be read would only fail a second time
    on_postgres = _on_postgres(python, arguments, variables) if on_sqlite in {0, 1, NO_TESTS} else None

    _say(f"\nSQLite: {_verdict(on_sqlite)}")
    _say(f"PostgreSQL: {_verdict(on_postgres)}")
    return sum_up(on_sqlite, on_postgres)


def sum_up(on_sqlite: int, on_postgres: int | None) -> int:
    """Return the exit code of both runs together: a failure of either, else 5 when neither found a test, else 0."""
    codes = [code for code in (on_sqlite, on_postgres) if code is not None]
    return next((code for code in codes if code not in {0, NO_TESTS}), 0 if 0 in codes else NO_TESTS)


def _on_postgres(python: Path, arguments: list[str], variables: dict[str, str]) -> int | None:
    with postgres.server() as address:
        if address is None:
            return None
        _say("\nThe shop's book in PostgreSQL:")
        return _pytest(python, only_postgres(arguments), {**variables, "DATABASE_URL": address})


def _pytest(python: Path, arguments: list[str], variables: dict[str, str]) -> int:
    command = [str(python), "-m", "pytest", *in_parallel(arguments), *arguments]
    return subprocess.run(command, check=False, cwd=HOME, env=variables).returncode


def in_parallel(arguments: list[str]) -> list[str]:
    """Return what makes pytest use the machine's cores, unless `arguments` say how many or which single tests."""
    chosen = any(
        word.startswith(("-n", "--numprocesses", "--dist", "--pdb", "--collect-only", "--co"))
        for word in arguments
    )
    single = any("::" in word for word in arguments)
    if chosen or single:
        return []
    # tests of one group share something costly, such as the demo shop: one worker does them all
    return ["-n", str(max(2, min(os.cpu_count() or 2, 8))), "--dist", "loadgroup"]


def only_postgres(arguments: list[str]) -> list[str]:
    """Return `arguments` narrowed to the tests marked `postgres`, keeping a choice of markers made there."""
    kept, chosen = [], []
    words = iter(arguments)
    for word in words:
        if word == "-m":
            chosen.append(next(words, ""))
        elif word.startswith("-m"):
            chosen.append(word[2:].lstrip("="))
        else:
            kept.append(word)
    expression = " and ".join([*(f"({choice})" for choice in chosen if choice), "postgres"])
    return [*kept, "-m", expression]


def _verdict(code: int | None) -> str:
    if code is None:
        return "NOT RUN"
    return {0: "passed", NO_TESTS: "none of the chosen tests is for it"}.get(code, "FAILED")


def _say(sentence: str) -> None:
    sys.stdout.write(f"{sentence}\n")
    sys.stdout.flush()
