"""Which Mendwright this is: the one number, from pyproject.toml."""

from __future__ import annotations

import platform
import sqlite3
import tomllib

from shop.bootstrap.places import HOME


def version() -> str:
    """The version as pyproject.toml has it: “0.2.0”."""
    told = tomllib.loads((HOME / "pyproject.toml").read_text(encoding="utf-8"))
    return str(told["project"]["version"])


def in_full() -> str:
    """The version, and what it runs on: the first line of a report about a fault."""
    runs_on = (
        f"Python {platform.python_version()}",
        f"SQLite {sqlite3.sqlite_version}",
        platform.platform(terse=True),
    )
    return f"Mendwright {version()} ({', '.join(runs_on)})"
