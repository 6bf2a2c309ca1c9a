"""A CSV file as rows of text, however the program that wrote it separates its cells and encodes its letters."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator
from itertools import chain
from typing import IO

from shop.records.bringing_in.limits import LONGEST_CELL, NoList

DELIMITERS = ",;\t|"
LOOKED_AT = 20_000
"""So many bytes at the beginning tell what separates the cells."""

LONGEST_LINE = 8 << 20

_LAST = "\x1e the list ends here \x1e"
"""Stands on a line of its own behind the list: where it does not come out alone, a quotation mark was never closed."""

_UNCLOSED = "Row {:,} has a cell that never ends: a quotation mark in it, or above it, is not closed."
_ENDLESS = "This file has a line that is longer than any row of a list. Save the list as XLSX."
_NO_CSV = "This is no CSV file. Save the list as CSV or XLSX."


def separated_rows(file: IO[bytes]) -> Iterator[list[str]]:
    """The rows of a CSV file, empty ones too. Raises NoList for what is none."""
    csv.field_size_limit(8 * LONGEST_CELL)
    encoding = _encoding(file)
    first = file.read(LOOKED_AT)
    file.seek(0)
    start = first.decode(encoding, errors="replace")
    if "\0" in start:
        raise NoList(_NO_CSV)
    text = io.TextIOWrapper(file, encoding=encoding, errors="replace", newline="")
    number = 0
    try:
        for row in csv.reader(chain(_lines(text), [f"{_LAST}\n"]), delimiter=_delimiter(start)):
            if row == [_LAST]:
                return
            if row and _LAST in row[-1]:
                raise NoList(_UNCLOSED.format(number + 1))
            number += 1
            yield row
    except csv.Error as error:
        if "field larger" in str(error):
            raise NoList(_UNCLOSED.format(number + 1)) from error
        raise NoList(f"Row {number + 1:,} can't be read as CSV: {error}.") from error
    finally:
        text.detach()


def _lines(text: io.TextIOWrapper) -> Iterator[str]:
    """The lines of the file. One without an end is not taken into memory whole."""
    while line := text.readline(LONGEST_LINE):
        if len(line) == LONGEST_LINE:
            raise NoList(_ENDLESS)
        yield line


def _delimiter(start: str) -> str:
    """What makes the most cuts among rows of one width: a line above the list, or commas in a text, cut few rows or unevenly."""
    lines = list(io.StringIO(start, newline=""))
    whole = lines[:-1] if len(lines) > 1 else lines

    def cuts(delimiter: str) -> int:
        widths = Counter(len(row) for row in csv.reader(whole, delimiter=delimiter))
        return max(((width - 1) * rows for width, rows in widths.items()), default=0)

    try:
        return max(DELIMITERS, key=cuts)
    except csv.Error:
        return ","


def _encoding(file: IO[bytes]) -> str:
    """UTF-16 by its mark or its zeros, UTF-8 where the whole file is that, else what older programs on Windows write."""
    file.seek(0)
    start = file.read(LOOKED_AT)
    file.seek(0)
    if start[:2] in {codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE}:
        return "utf-16"
    if _is_half_zeros(start[1::2], start[::2]):
        return "utf-16-le"
    if _is_half_zeros(start[::2], start[1::2]):
        return "utf-16-be"
    decoder = codecs.getincrementaldecoder("utf-8")()
    try:
        while piece := file.read(1 << 20):
            decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return "cp1252"
    finally:
        file.seek(0)
    return "utf-8-sig"


def _is_half_zeros(high: bytes, low: bytes) -> bool:
    """Whether text of two bytes a letter, most of them Latin, lies like this."""
    return len(high) > 2 and high.count(0) > len(high) * 0.6 and 0 not in low
