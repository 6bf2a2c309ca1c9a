"""A CSV file as rows of text, however the program that wrote it separates its cells and encodes its letters."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter
from collections.abc import Iterator
from typing import IO

from shop.frame.refusal import Refusal

DELIMITERS = ",;\t|"
LOOKED_AT = 20_000
"""So many bytes at the beginning tell what separates the cells."""

csv.field_size_limit(1 << 24)


def separated_rows(file: IO[bytes]) -> Iterator[list[str]]:
    """The rows of a CSV file, empty ones too. Raises Refusal for what is none."""
    encoding = _encoding(file)
    first = file.read(LOOKED_AT)
    file.seek(0)
    start = first.decode(encoding, errors="replace")
    if "\0" in start:
        raise Refusal("This is no CSV file. Save the list as CSV or XLSX.", field="file")
    text = io.TextIOWrapper(file, encoding=encoding, errors="replace", newline="")
    try:
        yield from csv.reader(text, delimiter=_delimiter(start))
    except csv.Error as error:
        raise Refusal(f"This file can't be read as CSV: {error}.", field="file") from error
    finally:
        text.detach()


def _delimiter(start: str) -> str:
    """What makes the most cuts among rows of one width: a line above the list, or commas in a text, cut few rows or unevenly."""
    lines = list(io.StringIO(start, newline=""))
    whole = lines[:-1] if len(lines) > 1 else lines

    def cuts(delimiter: str) -> int:
        widths = Counter(len(row) for row in csv.reader(whole, delimiter=delimiter))
        return max(((width - 1) * rows for width, rows in widths.items()), default=0)

    return max(DELIMITERS, key=cuts)


def _encoding(file: IO[bytes]) -> str:
    """UTF-16 where its mark stands first, UTF-8 where the whole file is that, else what older programs on Windows write."""
    file.seek(0)
    if file.read(2) in {codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE}:
        file.seek(0)
        return "utf-16"
    decoder = codecs.getincrementaldecoder("utf-8")()
    file.seek(0)
    try:
        while piece := file.read(1 << 20):
            decoder.decode(piece)
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return "cp1252"
    finally:
        file.seek(0)
    return "utf-8-sig"
