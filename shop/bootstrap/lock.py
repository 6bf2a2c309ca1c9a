"""`python3 manage.py lock`: make the two hash-pinned lists anew from pyproject.toml.

The lists name packages, versions and hashes, and no address at all, so that they serve behind any mirror.
"""

from __future__ import annotations

import subprocess
from pathlib import Path

from shop.bootstrap import environment
from shop.bootstrap.places import HOME, CannotGoOn

RUNTIME_EXTRAS = ("postgres", "backup", "https")
HEADING = "# Made from pyproject.toml by `python3 manage.py lock`; not for editing by hand.\n"


def make() -> int:
    """Write both lists; return 0. Raises CannotGoOn when no fitting set of versions exists."""
    python = environment.ensure(environment.TEST)
    extras = [word for extra in RUNTIME_EXTRAS for word in ("--extra", extra)]
    _compile(python, environment.RUNTIME.file, extras)
    _compile(python, environment.TEST.file, ["--all-extras", "--constraint", str(environment.RUNTIME.file)])
    return 0


def _compile(python: Path, into: Path, arguments: list[str]) -> None:
    command = [str(python), "-m", "uv", "pip", "compile", "pyproject.toml", "--quiet"]
    command += ["--universal", "--python-version", "3.11", "--generate-hashes", "--upgrade"]
    command += ["--no-header", "--no-annotate", "--no-emit-index-url", "--no-emit-find-links", *arguments]
    made = subprocess.run(command, check=False, cwd=HOME, capture_output=True, text=True)
    if made.returncode != 0:
        raise CannotGoOn(f"The list {into.name} could not be made: {made.stderr.strip()}")
    into.write_text(HEADING + made.stdout, encoding="utf-8")
