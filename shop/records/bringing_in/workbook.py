"""The first sheet of an XLSX workbook as rows of text: dates as ISO days, formulas by the value kept with them.

openpyxl reads it, row by row; defusedxml, which openpyxl takes up by itself, refuses entities. What it holds in memory at once
(the table of texts, the styles) is limited by the sizes that the package states, which zipfile in turn never reads beyond.
"""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
from collections.abc import Iterator
from typing import IO, Any

from shop.frame.refusal import Refusal

LARGEST_SHEET = 1 << 30
LARGEST_OTHER_PART = 128 << 20
MOST_PARTS = 2_000
MOST_COLUMNS = 200

_DAMAGED = "This is no XLSX workbook, or it is damaged. Save it as CSV and try that."
_TOO_LARGE = "This workbook is too large to be read here. Save it as CSV and try that."


def workbook_rows(file: IO[bytes]) -> Iterator[list[str]]:
    """The rows of the first sheet, empty ones too. Raises Refusal for what is no workbook, or is too large to be read."""
    try:
        _refuse_what_swells(file)
        yield from _rows(file)
    except Refusal:
        raise
    except (zipfile.BadZipFile, KeyError, ValueError, SyntaxError, IndexError, TypeError, OSError) as error:
        # openpyxl names no error of its own for a package that is not as it should be; the parser's is a SyntaxError
        raise Refusal(_DAMAGED, field="file") from error


def _refuse_what_swells(file: IO[bytes]) -> None:
    with zipfile.ZipFile(file) as package:
        parts = package.infolist()
    sheets = [part.file_size for part in parts if part.filename.startswith("xl/worksheets/")]
    others = [part.file_size for part in parts if not part.filename.startswith("xl/worksheets/")]
    if len(parts) > MOST_PARTS or max(sheets, default=0) > LARGEST_SHEET or sum(others) > LARGEST_OTHER_PART:
        raise Refusal(_TOO_LARGE, field="file")
    file.seek(0)


def _rows(file: IO[bytes]) -> Iterator[list[str]]:
    from openpyxl import load_workbook  # noqa: PLC0415  (slow to import, seldom wanted)

    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # about what it leaves out: pictures, rules for typing, missing styles
        book = load_workbook(file, read_only=True, data_only=True, keep_links=False)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # some programs write wrong ones
    try:
        for cells in sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True):
            yield _trimmed([_text(cell) for cell in cells])
    finally:
        book.close()


def _trimmed(cells: list[str]) -> list[str]:
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _text(value: Any) -> str:
    """A cell as it would stand in a CSV file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, float):
        return f"{value:.15g}"  # as many digits as a spreadsheet keeps
    return str(value)
