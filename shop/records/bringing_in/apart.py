"""A file read apart: by a process of its own with little memory and time, so that no file can harm the shop."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from shutil import copyfileobj
from typing import IO, Any

from django.conf import settings

from shop.frame.refusal import Refusal
from shop.records.bringing_in.limits import SECONDS
from shop.records.bringing_in.workbook import TOO_LARGE


@dataclass(frozen=True, slots=True)
class Table:
    """What a file holds: CSV with each row's number in front, how many rows, and what a person should know of the reading."""

    file: IO[bytes]
    rows: int
    notices: tuple[str, ...]


@contextmanager
def table_of(file: IO[bytes]) -> Iterator[Table]:
    """The table of a list, as a temporary file at its start. Refuses in one sentence what is none, or is too large."""
    with tempfile.TemporaryFile() as given, tempfile.TemporaryFile() as kept:
        file.seek(0)
        copyfileobj(file, given)
        given.seek(0)
        told = _told_by_the_reader(given, kept)
        if sentence := told.get("sentence"):
            raise Refusal(sentence, field="file")
        kept.seek(0)
        yield Table(kept, told["rows"], tuple(told["notices"]))


def _told_by_the_reader(given: IO[bytes], kept: IO[bytes]) -> dict[str, Any]:
    """What the other process says of the file. One that the system ended has met a file that is too large."""
    command = [sys.executable, "-m", "shop.records.bringing_in.tabling"]
    try:
        done = subprocess.run(  # noqa: S603  (our own module, nothing of the file in the command)
            command,
            cwd=settings.BASE_DIR,
            env={**os.environ, "OPENPYXL_LXML": "False"},
            stdin=given,
            stdout=kept,
            stderr=subprocess.PIPE,
            timeout=3 * SECONDS,
            check=False,
        )
        told = json.loads(done.stderr.decode("utf-8", "replace").rpartition("\n")[2])
    except (subprocess.TimeoutExpired, ValueError):
        return {"sentence": TOO_LARGE}
    return told if isinstance(told, dict) else {"sentence": TOO_LARGE}
