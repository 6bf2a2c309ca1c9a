"""Lists as they lie in people's folders, and files that are set as a trap: read, or refused in one sentence, in little memory.

Where a format has a rule, it is named: RFC 4180 (CSV), ECMA-376 (XLSX), "Excel specifications and limits" (from memory).
Workbooks are written by openpyxl, a library of somebody else's, or put together part by part.
"""

from __future__ import annotations

import datetime as dt
import gzip
import io
import re
import struct
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from openpyxl.xml.constants import SHEET_MAIN_NS

from shop.counter.models import Customer, Job
from shop.frame.refusal import Refusal
from shop.keeping.models import Task
from shop.records import forgetting
from shop.records.bringing_in import batches, kept
from shop.records.long_work import TAKE_OUT
from shop.records.models import Batch
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import words_on
from tests.working import do_all

pytestmark = [pytest.mark.django_db]

MEGABYTES = 300
HEAD = "Date,Fault,Customer\n"
NS = f'xmlns="{SHEET_MAIN_NS}"'


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopProfileFactory()


def saved(book: openpyxl.Workbook) -> bytes:
    file = io.BytesIO()
    book.save(file)
    return file.getvalue()


def workbook(*rows: list[Any], into: Callable[[Any], None] = lambda sheet: None) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    into(book.active)
    return saved(book)


def with_part(part: str, content: bytes, *, level: int = 9) -> bytes:
    """A sound workbook but for one part of its package."""
    file = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook(["Date", "Fault"], [dt.date(2019, 3, 14), "Hum"]))) as old,
        zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=level) as new,
    ):
        for name, held in {**{name: old.read(name) for name in old.namelist()}, part: content}.items():
            new.writestr(name, held)
    return file.getvalue()


def sheet_of(rows: str) -> bytes:
    return with_part(
        "xl/worksheets/sheet1.xml", f"<worksheet {NS}><sheetData>{rows}</sheetData></worksheet>".encode()
    )


def told(at: str, text: str) -> str:
    return f'<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>'


def lying() -> bytes:
    """A package whose directory says that a sheet of 300 megabytes has a hundred bytes."""
    packed = bytearray(sheet_of(f'<row r="1">{told("A1", "x" * 300_000_000)}</row>'))
    at = packed.rfind(b"xl/worksheets/sheet1.xml")
    directory = packed.rfind(b"PK\x01\x02", 0, at)
    packed[directory + 24 : directory + 28] = struct.pack("<I", 100)
    return bytes(packed)


def hidden_first() -> bytes:
    book = openpyxl.Workbook()
    book.active.sheet_state = "hidden"
    book.active.append(["not", "this"])
    shown = book.create_sheet("Jobs")
    shown.append(["Date", "Fault"])
    shown.append([dt.date(2019, 3, 14), "Hum"])
    return saved(book)


def merged_above(sheet: Any) -> None:
    sheet.insert_rows(1, 2)
    sheet["A1"] = "Our repairs"
    sheet.merge_cells("A1:C1")


def formulas(sheet: Any) -> None:
    sheet["D1"], sheet["D2"] = "Total", "=SUM(1,2)"


READ: dict[str, tuple[bytes, list[tuple[str, str]]]] = {
    "UTF-16 with tabs": ("Date\tFault\n14.03.2019\tBrummt\n".encode("utf-16"), [("2019-03-14", "Brummt")]),
    "UTF-16 without its mark": (
        "Date\tFault\n14.03.2019\tBrummt\n".encode("utf-16-le"),
        [("2019-03-14", "Brummt")],
    ),
    "UTF-16, the greater byte first": (
        "Date\tFault\n14.03.2019\tBrummt\n".encode("utf-16-be"),
        [("2019-03-14", "Brummt")],
    ),
    "semicolons and German headings": (
        "Eingangsdatum;Fehlerbeschreibung;Kunde\n14.03.2019;Kratzt, brummt;Ivo\n".encode("cp1252"),
        [("2019-03-14", "Kratzt, brummt")],
    ),
    "pipes": (b"Date|Fault|Customer\n2019-03-14|Hum, left|Ivo\n", [("2019-03-14", "Hum, left")]),
    "serial dates in CSV": (b"Date,Fault\n43538,Hum\n43538.75,Hiss\n", [("2019-03-14", "Hum"), ("2019-03-14", "Hiss")]),
    "serial dates in XLSX": (workbook(["Date", "Fault"], [43538, "Hum"]), [("2019-03-14", "Hum")]),
    "a title and a merged header": (
        workbook(["Date", "Fault", "Customer"], [dt.date(2019, 3, 14), "Hum", "Ivo"], into=merged_above),
        [("2019-03-14", "Hum")],
    ),
    "formulas without values": (
        workbook(["Date", "Fault", "Customer"], [dt.date(2019, 3, 14), "Hum", "Ivo"], into=formulas),
        [("2019-03-14", "Hum")],
    ),
    "16,384 columns": (
        workbook(["Date", "Fault", *["x"] * 16_382], [dt.date(2019, 3, 14), "Hum"]),
        [("2019-03-14", "Hum")],
    ),
    "a used range to the last row": (
        with_part(
            "xl/worksheets/sheet1.xml",
            (
                f'<worksheet {NS}><dimension ref="A1:XFD1048576"/><sheetData><row r="1">{told("A1", "Date")}'
                f'{told("B1", "Fault")}</row><row r="2">{told("A2", "2019-03-14")}{told("B2", "Hum")}</row>'
                '<row r="1048576"/></sheetData></worksheet>'
            ).encode(),
        ),
        [("2019-03-14", "Hum")],
    ),
    "the first sheet hidden": (hidden_first(), [("2019-03-14", "Hum")]),
    "mixed ends of lines": (b"Date,Fault\r\n2019-03-14,Hum\n2019-03-15,Hiss\r", [("2019-03-14", "Hum"), ("2019-03-15", "Hiss")]),
    "old Macintosh ends of lines": (b"Date,Fault\r2019-03-14,Hum\r", [("2019-03-14", "Hum")]),
    "line breaks in a cell": (b'Date,Fault\n2019-03-14,"Hum\nand hiss"\n', [("2019-03-14", "Hum\nand hiss")]),
    "from right to left": (
        "\u202bDate\u202c,Fault\n\u200f2019-03-14,\u202bזמזום\u202c\n".encode(),
        [("2019-03-14", "זמזום")],
    ),
    "duplicates": (b"Date,Fault\n2019-03-14,Hum\n2019-03-14,Hum\n", [("2019-03-14", "Hum")] * 2),
    "two headings alike": (b"Date,Date,Fault\n2019-03-14,2019-03-20,Hum\n", [("2019-03-14", "Hum")]),
    "a heading of Excel's": (b"sep=;\nDate;Fault\n2019-03-14;Hum\n", [("2019-03-14", "Hum")]),
    "cells beyond the headings": (b"Date,Fault\n2019-03-14,Hum,more,and more\n", [("2019-03-14", "Hum")]),
    "a workbook that is called CSV": (workbook(["Date", "Fault"], [dt.date(2019, 3, 14), "Hum"]), [("2019-03-14", "Hum")]),
    "a mark of bytes and spaces": ("\ufeff Date , Fault \n 2019-03-14 , Hum \n".encode(), [("2019-03-14", "Hum")]),
    "blank rows between": (b"Date,Fault\n\n\n2019-03-14,Hum\n,\n", [("2019-03-14", "Hum")]),
    "macros beside the sheet": (with_part("xl/vbaProject.bin", b"\0" * 1000), [("2019-03-14", "Hum")]),
}  # fmt: skip

BOMB = b" " * (200 << 20)
ENTITIES = b'<!DOCTYPE x [<!ENTITY a "haha"><!ENTITY b "&a;&a;&a;">]><x>&b;</x>'

REFUSED: dict[str, tuple[Callable[[], bytes], str]] = {
    "a cell of 300 MB": (lambda: sheet_of(f'<row r="1">{told("A1", "x" * 300_000_000)}</row>'), "too large"),
    "a zip bomb of strings": (lambda: with_part("xl/sharedStrings.xml", BOMB), "too large"),
    "a sheet of nothing but spaces": (lambda: with_part("xl/worksheets/sheet1.xml", BOMB), "."),
    "stated sizes that lie": (lying, "."),
    "millions of rows": (
        lambda: sheet_of(f'<row r="1">{told("A1", "Date")}</row><row r="5000000">{told("A5000000", "x")}</row>'),
        "more than the 1,048,576 rows",
    ),
    "entities that name each other": (lambda: with_part("xl/worksheets/sheet1.xml", ENTITIES), "damaged"),
    "entities in the book": (lambda: with_part("xl/workbook.xml", ENTITIES), "damaged"),
    "XLS": (lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "old XLS workbook"),
    "a PDF that is called CSV": (lambda: b"%PDF-1.7\n" + b"x" * 600, "PDF"),
    "a web page": (lambda: b"<html><table><tr><td>Date</td></tr></table></html>", "web page"),
    "a packed list": (lambda: gzip.compress(b"Date,Fault\n2019-03-14,Hum\n"), "packed"),
    "a picture": (lambda: b"\x89PNG\r\n\x1a\n" + b"\0" * 100, "picture"),
    "an unclosed quotation mark": (
        lambda: HEAD.encode() + b'2019-03-14,"Hum,Ivo\n' + b"2019-03-15,Hiss,Ivo\n" * 50,
        "quotation mark",
    ),
    "an unclosed quotation mark above a long list": (
        lambda: HEAD.encode() + b'2019-03-14,"Hum,Ivo\n' + b"2019-03-15,Hiss,Ivo\n" * 100_000,
        "quotation mark",
    ),
    "one endless line": (lambda: b"x" * (30 << 20), "longer than any row"),
    "bytes of no meaning": (lambda: bytes(range(256)) * 40, "no CSV file"),
    "nothing": (lambda: b"", "no row below its header"),
    "a header alone": (HEAD.encode, "no row below its header"),
    "half a workbook": (lambda: workbook(["Date", "Fault"], ["2019-03-14", "Hum"])[:2000], "damaged"),
    "a text document": (
        lambda: _package({"word/document.xml": b"<x/>", "[Content_Types].xml": b"<x/>"}),
        "text document",
    ),
    "an open document": (
        lambda: _package({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet", "content.xml": b"<x/>"}),
        "another format",
    ),
}  # fmt: skip


def _package(parts: dict[str, bytes]) -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as package:
        for name, content in parts.items():
            package.writestr(name, content)
    return file.getvalue()


@pytest.mark.parametrize("kind", READ)
def test_an_ugly_list_is_read(kind: str) -> None:
    data, wanted = READ[kind]
    batch = kept.start_batch(name="list.csv", file=io.BytesIO(data), by=None)
    batch = batches.match_columns(batch=batch, columns=batch.columns, by=None)
    batch = batches.bring_all_in(batch=batch, by=None)
    jobs = Job.objects.order_by("pk")
    assert [(job.booked_in_at.date().isoformat(), job.complaint) for job in jobs] == wanted
    assert batch.outcomes.exclude(sentence="").count() == 0


@pytest.mark.parametrize("kind", REFUSED)
def test_a_file_that_is_no_list_is_refused_in_one_sentence_and_nothing_stays(kind: str) -> None:
    make, sentence = REFUSED[kind]
    with pytest.raises(Refusal) as refused:
        kept.start_batch(name="list.xlsx", file=io.BytesIO(make()), by=None)
    assert sentence in refused.value.sentence
    assert len(refused.value.sentence) < 160
    assert not Batch.objects.exists()


@pytest.mark.parametrize(
    "kind", ["a cell of 300 MB", "stated sizes that lie", "a zip bomb of strings", "one endless line"]
)
def test_a_trap_takes_less_than_300_megabytes(kind: str) -> None:
    """The reader's own peak, asked of the system as long as it runs."""
    reader = [sys.executable, "-m", "shop.records.bringing_in.tabling"]
    nowhere, peak = subprocess.DEVNULL, 0
    with tempfile.TemporaryFile() as given:
        given.write(REFUSED[kind][0]())
        given.seek(0)
        process = subprocess.Popen(reader, cwd=settings.BASE_DIR, stdin=given, stdout=nowhere, stderr=nowhere)
        status = Path(f"/proc/{process.pid}/status")
        while process.poll() is None:
            if found := re.search(r"VmHWM:\s+(\d+) kB", status.read_text()):
                peak = max(peak, int(found[1]))
            time.sleep(0.002)
    assert 0 < peak < MEGABYTES << 10


def test_a_trap_at_the_door_keeps_the_page_and_every_other_page_works(client: Client) -> None:
    client.force_login(StaffFactory())
    upload = SimpleUploadedFile("list.xlsx", REFUSED["a cell of 300 MB"][0]())
    answer = client.post(reverse("records:start_batch"), {"file": upload})
    assert answer.status_code == 422
    assert "too large to be read here" in words_on(answer)
    assert client.get(reverse("records:books")).status_code == 200


def test_a_list_whose_file_is_gone_stops_nothing_else(client: Client) -> None:
    """It says so on its own page, is thrown away, and nobody's forgetting fails for it."""
    client.force_login(by := StaffFactory())
    data = HEAD.encode() + b"2019-03-14,Hum,Petra Vann\n"
    brought, lost = (kept.start_batch(name="list.csv", file=io.BytesIO(data), by=by) for _ in range(2))
    batches.bring_all_in(batch=batches.match_columns(batch=brought, columns=brought.columns, by=by), by=by)
    for one in (brought, lost):
        one.file.storage.delete(one.file.name)
    page = client.get(reverse("records:batch", args=[lost.pk]))
    assert "can’t be read any more" in words_on(page)
    forgetting.forget(customer=Customer.objects.get(name="Petra Vann"), by=by)
    client.post(reverse("records:throw_batch_away", args=[lost.pk]))
    assert not Batch.objects.filter(pk=lost.pk).exists()
    client.post(reverse("records:whole_book"))
    do_all()
    assert Task.objects.get(kind=TAKE_OUT).state == Task.State.DONE


def test_columns_that_fit_nothing_are_named_and_another_row_can_hold_the_headings(client: Client) -> None:
    client.force_login(by := StaffFactory())
    data = b"Shop,Book of repairs\nDate,Fault,Shelf,Price\n2019-03-14,Hum,B3,40\n"
    batch = kept.start_batch(name="list.csv", file=io.BytesIO(data), by=by)
    assert batch.header_row == 1
    page = reverse("records:batch", args=[batch.pk])
    client.post(reverse("records:batch_header", args=[batch.pk]), {"row": "2"})
    batch.refresh_from_db()
    assert (batch.header_row, batch.header, batch.rows) == (2, ["Date", "Fault", "Shelf", "Price"], 1)
    said = words_on(client.get(page))
    assert "<strong>Shelf</strong>, <strong>Price</strong>" in said
    assert client.post(reverse("records:batch_header", args=[batch.pk]), {"row": "3"}).status_code == 422


def test_words_for_outcomes_are_mapped_on_the_page_and_remembered_for_the_next_list(client: Client) -> None:
    client.force_login(by := StaffFactory())
    data = (
        b"Date,Fault,Result\n2019-03-14,Hum,Sorted out\n2019-03-15,Hiss,collected\n2019-03-16,Dead,on bench\n"
    )
    batch = kept.start_batch(name="list.csv", file=io.BytesIO(data), by=by)
    page = client.get(reverse("records:batch", args=[batch.pk]))
    assert "“Sorted out” (1 row)" in words_on(page)
    columns = {key: str(at) for key, at in batch.columns.items()}
    form = page.context["form"]
    chosen = {field.html_name: field.initial or "repaired" for field in form.word_fields}
    client.post(reverse("records:match_batch", args=[batch.pk]), {**columns, **chosen})
    batches.bring_all_in(batch=Batch.objects.get(), by=by)
    assert list(Job.objects.order_by("pk").values_list("complaint", "outcome", "stage")) == [
        ("Hum", "repaired", "gone_home"),
        ("Hiss", "unknown", "gone_home"),
        ("Dead", "", "booked_in"),
    ]
    again = kept.start_batch(
        name="next.csv", file=io.BytesIO(b"Date,Fault,Result\n2020-03-14,Hum,sorted out\n"), by=by
    )
    assert batches.preview(again)[0].job.outcome == "repaired"
