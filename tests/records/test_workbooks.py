"""Workbooks are read row by row, and refused where they are damaged or set as a trap."""

from __future__ import annotations

import csv
import datetime as dt
import io
import zipfile

import openpyxl
import pytest

from shop.records.bringing_in import kept
from shop.records.bringing_in.limits import NoList
from shop.records.bringing_in.tabling import write_table


def rows_of(file: io.BytesIO) -> list[list[str]]:
    """The rows that say something, each with its number in the sheet in front."""
    file.seek(0)
    table = io.BytesIO()
    write_table(file, table)
    return list(csv.reader(io.StringIO(table.getvalue().decode(), newline="")))


@pytest.mark.django_db
def test_a_workbook_is_read_as_openpyxl_wrote_it() -> None:
    """Written by openpyxl, a library of somebody else's."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Date", "Fault", "Model", "Number", "Done"])
    sheet.append([dt.datetime(2019, 3, 14), "Hum & <buzz> µ", "VX-318", 12, True])
    sheet.append([dt.date(1979, 12, 31), None, "R-1", 3.5, False])
    sheet["H5"] = "far out"
    book.create_sheet("another").append(["not read"])
    file = io.BytesIO()
    book.save(file)
    assert rows_of(file) == [
        ["1", "Date", "Fault", "Model", "Number", "Done"],
        ["2", "2019-03-14", "Hum & <buzz> µ", "VX-318", "12", "yes"],
        ["3", "1979-12-31", "", "R-1", "3.5", "no"],
        ["5", "", "", "", "", "", "", "", "far out"],
    ]
    batch = kept.start_batch(name="old.xlsx", file=file, by=None)
    assert batch.columns == {"came": 0, "complaint": 1, "model": 2, "number": 3}


def workbook_with(part: str, content: bytes) -> io.BytesIO:
    """A sound workbook but for one part of its package."""
    book, sound, file = openpyxl.Workbook(), io.BytesIO(), io.BytesIO()
    book.active.append(["Date", "Fault"])
    book.active.append([dt.date(2019, 3, 14), "Hum"])
    book.save(sound)
    with zipfile.ZipFile(sound) as old, zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as new:
        for name, held in {**{name: old.read(name) for name in old.namelist()}, part: content}.items():
            new.writestr(name, held)
    return file


@pytest.mark.parametrize(
    "part, content",
    [
        # entities that name each other: a few lines that swell to gigabytes
        (
            "xl/worksheets/sheet1.xml",
            b'<!DOCTYPE x [<!ENTITY a "haha"><!ENTITY b "&a;&a;&a;">]><x>&b;</x>',
        ),
        ("xl/worksheets/sheet1.xml", b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]><x>&a;</x>'),
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row"),
        ("xl/workbook.xml", b"<workbook/>"),
    ],
)
def test_a_workbook_that_is_damaged_or_set_as_a_trap_is_refused(part: str, content: bytes) -> None:
    with pytest.raises(NoList, match="no XLSX workbook, or it is damaged"):
        rows_of(workbook_with(part, content))


def test_a_workbook_that_swells_is_refused_before_it_is_read() -> None:
    """A few hundred kilobytes of zeros deflated stand for 200 megabytes."""
    with pytest.raises(NoList, match="too large to be read here"):
        rows_of(workbook_with("xl/sharedStrings.xml", b" " * (200 << 20)))


def test_a_workbook_with_a_cell_at_the_far_end_is_read_only_as_far_as_lists_go() -> None:
    book, file = openpyxl.Workbook(), io.BytesIO()
    book.active["A1"], book.active["XFD2"] = "Date", "the last column there is"
    book.save(file)
    assert rows_of(file) == [["1", "Date"]]
