"""The first sheet of an XLSX workbook as rows of text: dates as ISO days, formulas by the value kept with them.

openpyxl reads it, row by row; defusedxml, which openpyxl takes up by itself, refuses entities. What a package says of its own
sizes is no promise: the memory and the time of whoever reads it are limited from outside (`apart`).
"""

from __future__ import annotations

import datetime as dt
import warnings
import zipfile
from collections.abc import Iterator
from typing import IO

from shop.records.bringing_in.limits import LAST_ROW, LONGEST_CELL, MOST_COLUMNS, NoList

LARGEST_SHEET = 1 << 30
LARGEST_OTHER_PART = 128 << 20
MOST_PARTS = 2_000

_DAMAGED = "This is no XLSX workbook, or it is damaged. Save it as CSV and try that."
TOO_LARGE = "This workbook is too large to be read here. Save it as CSV and try that."
_TOO_MANY_ROWS = f"This sheet says that it has more than the {LAST_ROW:,} rows that a sheet can have."


def workbook_rows(file: IO[bytes], notices: list[str] | None = None) -> Iterator[list[str]]:
    """The rows of the first sheet that is shown, empty ones too. Raises NoList for what is no workbook, or is too large.

    What a person should know of how it was read joins the `notices`.
    """
    try:
        _refuse_what_swells(file)
        yield from _rows(file, [] if notices is None else notices)
    except NoList:
        raise
    except (
        *(zipfile.BadZipFile, KeyError, ValueError, SyntaxError, IndexError, TypeError, OSError),
        *(AttributeError, NotImplementedError, RuntimeError, EOFError),
    ) as error:
        # openpyxl names no error of its own for a package that is not as it should be; the parser's is a SyntaxError
        raise NoList(_DAMAGED) from error


def _refuse_what_swells(file: IO[bytes]) -> None:
    with zipfile.ZipFile(file) as package:
        parts = package.infolist()
    sheets = [part.file_size for part in parts if part.filename.startswith("xl/worksheets/")]
    others = [part.file_size for part in parts if not part.filename.startswith("xl/worksheets/")]
    if len(parts) > MOST_PARTS or max(sheets, default=0) > LARGEST_SHEET or sum(others) > LARGEST_OTHER_PART:
        raise NoList(TOO_LARGE)
    file.seek(0)


def _rows(file: IO[bytes], notices: list[str]) -> Iterator[list[str]]:
    from openpyxl import load_workbook  # noqa: PLC0415  (slow to import, seldom wanted)

    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # about what it leaves out: pictures, rules for typing, missing styles
        book = load_workbook(file, read_only=True, data_only=True, keep_links=False)
        shown = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"] or book.worksheets
        sheet = shown[0]
        sheet.reset_dimensions()  # some programs write wrong ones
        if len(book.worksheets) > 1:
            notices.append(
                f"This workbook has {len(book.worksheets)} sheets; the one read is “{sheet.title[:60]}”."
            )
    try:
        for number, cells in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS + 1, values_only=True), start=1):
            if number > LAST_ROW:
                raise NoList(_TOO_MANY_ROWS)
            if cells.count(None) == len(cells):
                yield []
                continue
            if len(cells) > MOST_COLUMNS and cells[MOST_COLUMNS] is not None:
                _note_once(notices, f"Columns after the {MOST_COLUMNS}th are not read.")
            yield [_text(cell) for cell in cells[:MOST_COLUMNS]]
    finally:
        book.close()


def _note_once(notices: list[str], sentence: str) -> None:
    if sentence not in notices:
        notices.append(sentence)


def _text(value: object) -> str:
    """A cell as it would stand in a CSV file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime):
        return value.date().isoformat()
    if isinstance(value, float):
        return f"{value:.15g}"  # as many digits as a spreadsheet keeps
    return str(value)[: LONGEST_CELL + 1]
