"""Files that swell: refused by what they say before they are decoded, else by a process that may not take the memory.

Pictures are made with Pillow and by hand after the PNG specification (W3C, third edition, 11.2), packages with zipfile.
"""

from __future__ import annotations

import io
import resource
import struct
import subprocess
import threading
import time
import zipfile
import zlib
from collections.abc import Iterator

import openpyxl
import pytest
from PIL import Image

from shop.frame.refusal import Refusal
from shop.keeping import apart, darkroom
from shop.keeping.darkroom import Undevelopable
from shop.keeping.developing import MEMORY
from shop.records.bringing_in.apart import table_of
from tests.premises.test_pictures import picture


def png(width: int, height: int, *, color: int = 6, rows: int | None = None) -> bytes:
    """A PNG of one color, zeros packed; `rows` of it are there. Color type 2 is RGB, 6 RGBA, 3 by palette."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    count = height if rows is None else rows
    packer, row = zlib.compressobj(1), b"\0" * (1 + width * {2: 3, 6: 4, 3: 1}[color]) if count else b""
    packed = b"".join(packer.compress(row) for _ in range(count)) + packer.flush()
    palette = chunk(b"PLTE", b"\1\2\3") + chunk(b"tRNS", b"\0") if color == 3 else b""
    header = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, color, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + header + palette + chunk(b"IDAT", packed) + chunk(b"IEND", b"")


def webp(width: int, height: int) -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (width, height)).save(file, "WEBP", lossless=True, method=0)
    return file.getvalue()


@pytest.fixture(autouse=True)
def _fresh() -> Iterator[None]:
    yield
    apart._room.shut()


def resident() -> int:
    """The most memory that this process ever held, in bytes (getrusage, in kilobytes on Linux)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def test_a_picture_of_sixty_million_pixels_with_transparency_is_taken_within_the_limit() -> None:
    before = resident()
    developed = apart.develop(png(7_500, 8_000))
    assert (developed.width, developed.height) == (2_250, 2_400)
    assert resident() - before < 64 << 20


@pytest.mark.parametrize("size", [(7_700, 7_800), (30_000, 30_000), (65_535, 65_535), (2**31 - 1, 2**31 - 1)])
def test_a_picture_that_says_that_it_is_larger_is_refused_before_it_is_decoded(size: tuple[int, int]) -> None:
    since = time.monotonic()
    with pytest.raises(Undevelopable, match=r"pixels|broken|can read"):
        apart.develop(png(*size, rows=0))
    assert time.monotonic() - since < 5


def test_a_webp_is_judged_by_what_its_decoder_needs() -> None:
    with pytest.raises(Undevelopable, match="up to 24 million can be taken"):
        apart.develop(webp(6_200, 3_900))


def test_what_the_limit_of_memory_ends_gets_the_sentence_and_the_next_picture_is_taken(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The limit itself, tried with a limit on pixels that lets everything through."""
    script = (
        "from shop.keeping import darkroom as d; d.MOST_PIXELS = 10**9; d.MOST_PIXELS_OF = {}; d.LONGEST_SIDE = 10**6;"
        "d.Image.MAX_IMAGE_PIXELS = None; from shop.keeping.developing import main; main()"
    )
    real = subprocess.Popen
    monkeypatch.setattr(subprocess, "Popen", lambda command, **more: real([command[0], "-c", script], **more))
    # the most that any child of this process ever took: other tests had children, too
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024
    with pytest.raises(Undevelopable, match=r"more memory than a picture may|broken"):
        apart.develop(png(15_000, 14_500))
    assert apart.develop(picture()).width > 0
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss * 1024 < max(
        before + 1, MEMORY + (64 << 20)
    )


def test_a_process_that_is_ended_or_hangs_is_followed_by_another(monkeypatch: pytest.MonkeyPatch) -> None:
    apart.develop(picture())
    assert apart._room._process is not None
    apart._room._process.kill()
    apart._room._process.wait()
    assert apart.develop(picture()).width > 0
    real = subprocess.Popen
    hangs = "import time; time.sleep(60)"
    apart._room.shut()
    with monkeypatch.context() as patch:
        patch.setattr(apart, "SECONDS", 0.5)
        patch.setattr(subprocess, "Popen", lambda command, **more: real([command[0], "-c", hangs], **more))
        with pytest.raises(Undevelopable, match="more memory"):
            apart.develop(picture())
    assert apart.develop(picture()).width > 0


def test_who_waits_too_long_for_the_pictures_before_is_asked_to_come_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(apart, "PATIENCE", 0.05)
    with apart._room._turn, pytest.raises(Undevelopable, match="in a minute"):
        apart.develop(picture())


def test_eight_at_once_are_developed_one_after_the_other() -> None:
    made: list[darkroom.Developed] = []
    senders = [threading.Thread(target=lambda: made.append(apart.develop(picture()))) for _ in range(8)]
    for sender in senders:
        sender.start()
    for sender in senders:
        sender.join(60)
    assert len(made) == 8
    assert len({one.full for one in made}) == 1


# --- lists --------------------------------------------------------------------------------------------------------


def empty() -> dict[str, bytes]:
    """The parts of a workbook with one empty sheet."""
    file = io.BytesIO()
    openpyxl.Workbook().save(file)
    with zipfile.ZipFile(file) as package:
        return {name: package.read(name) for name in package.namelist()}


SHEET = "xl/worksheets/sheet1.xml"
PARTS = empty()


def workbook(sheet_pieces: Iterator[bytes] | list[bytes], **more: bytes) -> io.BytesIO:
    """A workbook whose sheet is made of these pieces, with parts beside it."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as package:
        for name, content in {**PARTS, **more}.items():
            if name != SHEET:
                package.writestr(name, content)
        with package.open(SHEET, "w") as sheet:
            for piece in sheet_pieces:
                sheet.write(piece)
    file.seek(0)
    return file


def around(cell: str) -> tuple[bytes, bytes]:
    """A sheet with one cell, in two halves around what comes behind this text."""
    begun = PARTS[SHEET][: PARTS[SHEET].index(b"<sheetData")]
    head = f'<sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>{cell}'.encode()
    return begun + head, b"</t></is></c></row></sheetData></worksheet>"


def one_cell(megabytes: int) -> Iterator[bytes]:
    head, tail = around("")
    yield head
    for _ in range(megabytes):
        yield b"a" * (1 << 20)
    yield tail


def lying(file: io.BytesIO) -> io.BytesIO:
    """The same package, whose directory and headers say that the sheet has a hundred bytes."""
    data = bytearray(file.getvalue())
    for mark, name_at, size_at in ((b"PK\x01\x02", 46, 24), (b"PK\x03\x04", 30, 22)):
        at = -1
        while (at := data.find(mark, at + 1)) >= 0:
            if data[at + name_at :].startswith(SHEET.encode()):
                data[at + size_at : at + size_at + 4] = struct.pack("<I", 100)
    return io.BytesIO(bytes(data))


def entities() -> list[bytes]:
    names = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    head, tail = around("&a9;")
    return [
        f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a0 "ha">{names}]>'.encode(),
        head.partition(b"?>")[2] or head,
        tail,
    ]


BOMBS = {
    "one cell of 300 MB": lambda: workbook(one_cell(300)),
    "a sheet of more than a gigabyte": lambda: workbook(one_cell(1100)),
    "a size that lies": lambda: lying(workbook(one_cell(300))),
    "entities": lambda: workbook(entities()),
    "an attribute of 200 MB": lambda: workbook([b'<worksheet a="', *[b"a" * (1 << 20)] * 200, b'"/>']),
    "nested 500,000 deep": lambda: workbook([b"<worksheet>", b"<a>" * 500_000]),
    "shared words of 200 MB": lambda: workbook(
        one_cell(0), **{"xl/sharedStrings.xml": b"<sst>" + b"<si><t>a" * 25_000_000}
    ),
    "a line of 300 MB": lambda: io.BytesIO(b"a,b\n" + b"c" * (300 << 20)),
}


@pytest.mark.soak
@pytest.mark.parametrize("name", BOMBS)
def test_a_list_that_swells_is_refused_in_one_sentence(name: str) -> None:
    bomb = BOMBS[name]()
    since = time.monotonic()
    with pytest.raises(Refusal) as refusal, table_of(bomb):
        pass
    assert str(refusal.value.sentence).count(". ") <= 1
    assert time.monotonic() - since < 60


@pytest.mark.parametrize("name", ["a size that lies", "entities", "nested 500,000 deep"])
def test_the_quick_ones_of_them_always(name: str) -> None:
    with pytest.raises(Refusal), table_of(BOMBS[name]()):
        pass
