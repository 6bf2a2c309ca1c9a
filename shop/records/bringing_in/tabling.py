"""A process of its own that makes one plain table of a file, whatever the file holds: it may run out of memory, time or room.

    python -m shop.records.bringing_in.tabling < FILE > TABLE

The table is CSV in UTF-8: the row's number in the sheet, then its cells; rows without a word are left out. The last line of the
error stream is JSON: `rows`, `notices`, and `sentence` where the file is no list. It needs no Django, so that it starts quickly
and small.
"""

from __future__ import annotations

import csv
import io
import json
import resource
import sys
from collections.abc import Iterator
from typing import IO

from shop.records.bringing_in.limits import (
    LARGEST_KEPT,
    LONGEST_CELL,
    MEMORY,
    MOST_COLUMNS,
    MOST_ROWS,
    SECONDS,
    NoList,
)
from shop.records.bringing_in.separated import separated_rows
from shop.records.bringing_in.workbook import TOO_LARGE, workbook_rows

_KNOWN_BY = (
    (
        b"\xd0\xcf\x11\xe0",
        "This is an old XLS workbook, or one that is locked by a password. Save it as XLSX or CSV.",
    ),
    (b"%PDF", "This is a PDF, which is a picture of a list and no list. Save the list as XLSX or CSV."),
    (b"\x1f\x8b", "This file is packed. Unpack it first."),
    (b"{\\rtf", "This is a text document. Save the list as XLSX or CSV."),
    (b"\x89PNG", "This is a picture. Save the list as XLSX or CSV."),
    (b"\xff\xd8\xff", "This is a picture. Save the list as XLSX or CSV."),
    (b"<", "This is a web page or another text with marks. Save the list as XLSX or CSV."),
)
_OTHER_PACKAGES = {
    "content.xml": "This is a spreadsheet of another format. Save it as XLSX or CSV.",
    "word/document.xml": "This is a text document. Save the list as XLSX or CSV.",
    "xl/workbook.bin": "This is a binary XLSB workbook. Save it as XLSX or CSV.",
}
_LONG_LIST = f"Up to {MOST_ROWS:,} rows are imported at a time."


def rows_of(file: IO[bytes], notices: list[str]) -> Iterator[list[str]]:
    """The rows of a file by what it is, not by what it is called. Raises NoList."""
    start = file.read(512)
    file.seek(0)
    if start.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        _refuse_another_package(file)
        return workbook_rows(file, notices)
    bare = start.removeprefix(b"\xef\xbb\xbf").lstrip()
    for mark, sentence in _KNOWN_BY:
        if bare.startswith(mark):
            raise NoList(sentence)
    return separated_rows(file)


def _refuse_another_package(file: IO[bytes]) -> None:
    import zipfile  # noqa: PLC0415  (a list of plain text does without it)

    try:
        with zipfile.ZipFile(file) as package:
            names = set(package.namelist())
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError):
        names = set()
    file.seek(0)
    for name, sentence in _OTHER_PACKAGES.items():
        if name in names and "xl/workbook.xml" not in names:
            raise NoList(sentence)


def write_table(file: IO[bytes], into: IO[bytes]) -> dict[str, object]:
    """Write the table and tell how many rows it has. Raises NoList."""
    notices: list[str] = []
    text = io.TextIOWrapper(into, encoding="utf-8", newline="", errors="replace", write_through=True)
    writer, count, longest = csv.writer(text), 0, 0
    for number, row in enumerate(rows_of(file, notices), start=1):
        cells = _kept(row)
        if not cells:
            continue
        if count == MOST_ROWS:
            raise NoList(_LONG_LIST)
        longest = max(longest, len(row))
        writer.writerow([number, *cells])
        count += 1
        if count % 1000 == 0 and into.tell() > LARGEST_KEPT:
            raise NoList(TOO_LARGE)
    text.detach()
    said = f"Columns after the {MOST_COLUMNS}th are not read."
    if longest > MOST_COLUMNS and said not in notices:
        notices.append(said)
    return {"rows": count, "notices": notices}


def _kept(row: list[str]) -> list[str]:
    """The cells up to the last that says something; none where none does. A cell that is longer than any is cut."""
    cells = [cell[: LONGEST_CELL + 1] for cell in row[:MOST_COLUMNS]]
    while cells and not cells[-1].strip():
        cells.pop()
    return cells


def main() -> int:
    """Read the file on standard input within the limits; 0 when the table is whole."""
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    sys.modules["numpy"] = None  # type: ignore[assignment]  # openpyxl would take it up, and with it a hundred megabytes
    resource.setrlimit(resource.RLIMIT_FSIZE, (2 * LARGEST_KEPT, 2 * LARGEST_KEPT))
    try:
        told = write_table(sys.stdin.buffer, sys.stdout.buffer)
        sys.stdout.buffer.flush()
    except NoList as error:
        told = {"sentence": str(error)}
    except MemoryError:
        told = {"sentence": TOO_LARGE}
    sys.stderr.write("\n" + json.dumps(told))
    return 1 if "sentence" in told else 0


if __name__ == "__main__":
    sys.exit(main())
