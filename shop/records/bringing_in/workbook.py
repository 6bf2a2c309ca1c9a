"""A small reader of XLSX: the first sheet's rows as text, dates as ISO days. Formulas are read by the value kept with them.

Sources
    ECMA-376 Office Open XML, SpreadsheetML: parts of the package, shared strings, cell types, number formats 14 to 22 and 45
    to 47 being dates and times (from memory); the day count from 30 December 1899, or 1 January 1904 where the workbook says so.
"""

from __future__ import annotations

import datetime as dt
import re
import zipfile
from collections.abc import Iterator
from typing import IO
from xml.etree import ElementTree as ET

from shop.premises.refusal import Refusal

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_DATE_FORMATS = {*range(14, 23), *range(45, 48)}
_DATE_SIGNS = re.compile(r"[dmyhs]", re.IGNORECASE)
_NOT_FORMAT = re.compile(r'"[^"]*"|\\.|\[[^\]]*\]')
_CELL = re.compile(r"([A-Z]{1,3})(\d+)")
LARGEST_PART = 512 << 20
MOST_COLUMNS = 200


def workbook_rows(file: IO[bytes]) -> Iterator[list[str]]:
    """The rows of the first sheet, empty ones too. Raises Refusal for what is no workbook, or is too large to be read."""
    try:
        with zipfile.ZipFile(file) as package:
            yield from _rows(package)
    except (zipfile.BadZipFile, KeyError, ET.ParseError, ValueError, IndexError) as error:
        raise Refusal(
            "This is no XLSX workbook, or it is damaged. Save it as CSV and try that.", field="file"
        ) from error


def _rows(package: zipfile.ZipFile) -> Iterator[list[str]]:
    strings = _strings(package)
    dates = _date_styles(package)
    epoch, sheet = _first_sheet(package)
    at = 0
    for row in _elements(package, sheet, "row"):
        number = int(row.get("r") or at + 1)
        while at + 1 < number and number - at < 10_000:
            at += 1
            yield []
        at = number
        yield _cells(row, strings, dates, epoch)


def _elements(package: zipfile.ZipFile, part: str, name: str) -> Iterator[ET.Element]:
    """The elements of that name in a part, each let go after it is read. A document type declaration is refused."""
    if package.getinfo(part).file_size > LARGEST_PART:
        raise Refusal(
            "This workbook is too large to be read here. Save it as CSV and try that.", field="file"
        )
    with package.open(part) as file:
        if b"<!DOCTYPE" in file.read(4096):
            raise ValueError("a workbook has no document type declaration")
    with package.open(part) as file:
        for _, element in ET.iterparse(file):  # noqa: S314  (declarations are refused above)
            if element.tag == f"{_MAIN}{name}":
                yield element
                element.clear()


def _strings(package: zipfile.ZipFile) -> list[str]:
    if "xl/sharedStrings.xml" not in package.namelist():
        return []
    return [
        "".join(text.text or "" for text in item.iter(f"{_MAIN}t"))
        for item in _elements(package, "xl/sharedStrings.xml", "si")
    ]


def _date_styles(package: zipfile.ZipFile) -> set[int]:
    """Places of the cell styles that show a number as a date."""
    if "xl/styles.xml" not in package.namelist():
        return set()
    own = {
        int(one.get("numFmtId", "0")): bool(
            _DATE_SIGNS.search(_NOT_FORMAT.sub("", one.get("formatCode", "")))
        )
        for one in _elements(package, "xl/styles.xml", "numFmt")
    }
    formats: list[int] = []
    for styles in _elements(package, "xl/styles.xml", "cellXfs"):
        formats = [int(one.get("numFmtId", "0")) for one in styles.iter(f"{_MAIN}xf")]
    return {at for at, number in enumerate(formats) if number in _DATE_FORMATS or own.get(number)}


def _first_sheet(package: zipfile.ZipFile) -> tuple[dt.datetime, str]:
    epoch, relation = dt.datetime(1899, 12, 30, tzinfo=dt.UTC), ""
    for properties in _elements(package, "xl/workbook.xml", "workbookPr"):
        if properties.get("date1904") in {"1", "true"}:
            epoch = dt.datetime(1904, 1, 1, tzinfo=dt.UTC)
    for sheet in _elements(package, "xl/workbook.xml", "sheet"):
        relation = relation or sheet.get(_RELATION, "")
    with package.open("xl/_rels/workbook.xml.rels") as file:
        links = ET.parse(file).getroot()  # noqa: S314  (small, of the package itself)
    target = next(link.get("Target", "") for link in links if link.get("Id") == relation)
    return epoch, target.lstrip("/") if target.startswith("/") else f"xl/{target}"


def _cells(row: ET.Element, strings: list[str], dates: set[int], epoch: dt.datetime) -> list[str]:
    cells: list[str] = []
    for cell in row.iter(f"{_MAIN}c"):
        found = _CELL.fullmatch(cell.get("r", ""))
        column = _column(found[1]) if found else len(cells)
        if column >= MOST_COLUMNS:
            break
        cells += [""] * (column - len(cells))
        cells.append(_text(cell, strings, dates, epoch))
    return cells


def _column(letters: str) -> int:
    at = 0
    for letter in letters:
        at = at * 26 + ord(letter) - 64
    return at - 1


def _text(cell: ET.Element, strings: list[str], dates: set[int], epoch: dt.datetime) -> str:
    kind = cell.get("t", "n")
    if kind == "inlineStr":
        return "".join(text.text or "" for text in cell.iter(f"{_MAIN}t"))
    value = cell.findtext(f"{_MAIN}v") or ""
    if kind == "s" and value:
        return strings[int(value)]
    if kind == "b":
        return "yes" if value == "1" else "no"
    if kind == "n" and value and int(cell.get("s", "0")) in dates:
        moment = epoch + dt.timedelta(days=float(value))
        return moment.date().isoformat()
    return value.removesuffix(".0") if kind == "n" else value
