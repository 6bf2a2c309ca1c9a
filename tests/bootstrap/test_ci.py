"""The run on a bare machine: it fails when PostgreSQL did not run, whatever else passed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

from shop.bootstrap.places import HOME, ON_WINDOWS

pytestmark = pytest.mark.skipif(ON_WINDOWS, reason="the run on a bare machine is for Debian")

TOOLS = ["bash", "dirname", "grep", "id", "mktemp", "rm", "tee"]


def run_with(last_line: str, code: int, folder: Path) -> int:
    """Run `.ci/run` where `python3 manage.py test` prints `last_line` and ends with `code`, and nothing can be installed."""
    (folder / ".ci").mkdir()
    shutil.copy(HOME / ".ci" / "run", folder / ".ci" / "run")
    tools = folder / "tools"
    tools.mkdir()
    for tool in TOOLS:
        (tools / tool).symlink_to(shutil.which(tool) or pytest.fail(f"no {tool} on this machine"))
    (tools / "python3").write_text(f"#!/bin/sh\necho '{last_line}'\nexit {code}\n", encoding="utf-8")
    (tools / "python3").chmod(0o755)
    command = ["bash", ".ci/run"]
    environ = {"PATH": str(tools), "TMPDIR": str(folder)}
    return subprocess.run(command, cwd=folder, env=environ, capture_output=True, check=False).returncode


@pytest.mark.parametrize(
    "last_line, code, ended",
    [
        ("PostgreSQL: passed", 0, 0),
        ("PostgreSQL: passed", 1, 1),
        ("PostgreSQL: FAILED", 1, 1),
        ("PostgreSQL: NOT RUN", 0, 1),
    ],
)
def test_a_run_passes_only_with_both_databases(tmp_path: Path, last_line: str, code: int, ended: int) -> None:
    assert run_with(last_line, code, tmp_path) == ended
