"""Papers, read back by libraries that had no part in making them: pypdf, pikepdf (QPDF), pypdfium2 and zxing-cpp.

Sources: sizes of A4 (ISO 216) and Letter (ANSI A) in millimetres; PDF/UA-1 (ISO 14289-1) asks for a tagged document with a
language, a shown title and its identifier in the metadata. No PDF/UA validator was at hand: structure only is checked.
"""

from __future__ import annotations

import builtins
import gc
import io
import re
import threading
from typing import Any
from urllib.parse import quote

import pikepdf
import pypdf
import pypdfium2
import pytest

from shop.frame.models import ShopProfile
from shop.frame.refusal import Refusal
from shop.handbook.money import Money, UnitPrice
from shop.keeping.models import IssuedPaper
from shop.press import libraries
from shop.press.building import Line, LineGroup, LineTable
from shop.press.drawing import draw_page, render_pdf
from shop.press.fetcher import Forbidden, OwnThingsOnly
from shop.press.issuing import issue_paper
from shop.press.machine import Machine, machine
from shop.press.sheets import LETTER, label
from tests.premises import samples

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sample_papers")]

INVOICE = {"title": "Invoice 2026-0012", "heading": "Invoice", "number": "2026-0012"}
POINTS = 72 / 25.4


def read(pdf: bytes) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(pdf))


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in read(pdf).pages)


def issue(**more: Any) -> IssuedPaper:
    facts = {
        "kind": "invoice",
        "template": "sample_invoice.html",
        "context": samples.invoice(),
        "by": None,
        **INVOICE,
    }
    return issue_paper(**{**facts, **more})


def tags_of(pdf: bytes) -> list[str]:
    """The structure elements of a PDF in reading order."""
    with pikepdf.open(io.BytesIO(pdf)) as document:
        found: list[str] = []

        def walk(node: Any) -> None:
            if isinstance(node, pikepdf.Array):
                for kid in node:
                    walk(kid)
            elif isinstance(node, pikepdf.Dictionary):
                if "/S" in node:
                    found.append(str(node.S))
                if "/K" in node:
                    walk(node.K)

        walk(document.Root.StructTreeRoot)
        return found


# --- what a paper is ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "size, width, height",
    [("A4", 210, 297), ("Letter", 215.9, 279.4), (label(89, 36), 89, 36), (None, 215.9, 279.4)],
)
def test_a_paper_has_the_size_that_was_asked_for_else_the_profiles(
    shop: ShopProfile, size: Any, width: float, height: float
) -> None:
    box = (
        read(render_pdf("sample_letter.html", samples.letter(), size=size, title="Letter")).pages[0].mediabox
    )
    assert float(box.width) == pytest.approx(width * POINTS, abs=0.2)
    assert float(box.height) == pytest.approx(height * POINTS, abs=0.2)


def test_a_paper_is_tagged_named_and_says_its_language(shop: ShopProfile) -> None:
    pdf = render_pdf("sample_invoice.html", samples.invoice(), **INVOICE)
    with pikepdf.open(io.BytesIO(pdf)) as document:
        assert str(document.Root.Lang) == "en-US"
        assert document.Root.MarkInfo.Marked
        assert document.Root.ViewerPreferences.DisplayDocTitle
        with document.open_metadata() as metadata:
            assert metadata["pdfuaid:part"] == "1"
            assert metadata["dc:title"] == "Invoice 2026-0012"
    assert read(pdf).metadata.author == "Halftone Bench"
    tags = tags_of(pdf)
    assert {"/H1", "/H2", "/P", "/Table", "/TH", "/TD"} <= set(tags)
    assert tags.count("/H1") == 1


def test_every_picture_on_a_paper_has_words_for_those_who_do_not_see_it(shop: ShopProfile) -> None:
    pdf = render_pdf(
        "sample_claim_check.html", samples.claim_check(), title="Claim check", number="26-0417-Z"
    )
    with pikepdf.open(io.BytesIO(pdf)) as document:
        figures = [
            thing
            for thing in document.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/S") == "/Figure"
        ]
        assert sorted(str(figure.Alt) for figure in figures) == [
            "Code 128: 26-0417-Z",
            "QR code: https://halftone.example/w/9f2c6a1b",
        ]


def test_everything_written_on_a_paper_can_be_read_off_it(shop: ShopProfile) -> None:
    text = text_of(render_pdf("sample_invoice.html", samples.invoice(), **INVOICE))
    for words in (
        "Halftone Bench",
        "14 Quarry Lane",
        "Port Amity, CA 90000",
        "Registration no. E 00000",
        "Invoice",
        "2026-0012",
        "Isolde Farrow",
        "VX-318",
        "Left channel cuts out after ten minutes",
        "4.7 µF 63 V",
        "0.47 Ω",
        "used part",
        "178.50",
        "$159.79",
        "-$45.00",
        "16 CCR 2725(l)",
        "Page 1 of 2",
        "Page 2 of 2",
    ):
        assert words in text, words


def test_letters_beyond_english_come_out_as_they_were_written(shop: ShopProfile) -> None:
    """From two font files of one family the PDF writer once took wrong letters; whole faces keep it right."""
    name = "Žofie Łukaszewicz-Ñandú Őry, Straße 5 Ω µ ≤ ≥ ≈ ‰ √ €"
    pdf = render_pdf("sample_letter.html", {**samples.letter(), "paragraphs": [name]}, title="Letter")
    assert name in text_of(pdf)


def test_every_font_is_in_the_file_and_ours(shop: ShopProfile) -> None:
    with pikepdf.open(
        io.BytesIO(render_pdf("sample_invoice.html", samples.invoice(), **INVOICE))
    ) as document:
        described = [
            thing
            for thing in document.objects
            if isinstance(thing, pikepdf.Dictionary) and thing.get("/Type") == "/FontDescriptor"
        ]
        assert described
        for font in described:
            assert "/FontFile2" in font or "/FontFile3" in font
            assert "Atkinson" in str(font.FontName)


def test_long_tables_repeat_their_head_and_every_page_its_paper(shop: ShopProfile) -> None:
    pages = read(render_pdf("sample_invoice.html", samples.invoice(labour_lines=40), **INVOICE)).pages
    assert len(pages) >= 3
    for number, page in enumerate(pages, start=1):
        text = page.extract_text()
        assert f"Page {number} of {len(pages)}" in text
        assert "Invoice 2026-0012" in text or number == 1
    assert "Price each" in pages[1].extract_text()


def test_terms_that_do_not_fit_under_a_paper_stand_whole_on_its_next_page(shop: ShopProfile) -> None:
    """Six to eight lines leave the terms all the room they need, a little of it, and none."""
    ends = ("We keep a unit for ninety days", "near the end of their lives")
    for lines in (6, 7, 8):
        table = LineTable([LineGroup("", [Line("Repair", "", "1", "h")] * lines)], "USD")
        context = samples.invoice() | {"terms": samples.TERMS, "notices": [], "table": table}
        pages = read(render_pdf("sample_invoice.html", context, **INVOICE)).pages
        texts = [" ".join(page.extract_text().split()) for page in pages]
        assert any(all(end in text for end in ends) for text in texts), lines


def test_the_recipient_stands_in_the_window_of_the_envelope(shop: ShopProfile) -> None:
    """Where DIN 5008, DL and US no. 10 windows overlap: 61 to 82 mm from the top, from 25 mm from the left (from memory)."""
    for size in ("A4", "Letter"):
        page = pypdfium2.PdfDocument(
            render_pdf("sample_letter.html", samples.letter(), size=size, title="Letter")
        )[0]
        words = page.get_textpage()
        for line in ("Isolde Farrow", "Port Amity, CA 90000"):
            index, count = next(
                found
                for found in iter(words.search(line).get_next, None)
                if words.get_charbox(found[0])[3] < page.get_height() - 61 * POINTS
            )
            left, _, _, top = words.get_charbox(index)
            _, bottom, right, _ = words.get_charbox(index + count - 1)
            assert left >= 24.5 * POINTS
            assert (page.get_height() - top) / POINTS >= 61
            assert (page.get_height() - bottom) / POINTS <= 82
            assert right <= 105 * POINTS


def test_sums_and_dates_follow_the_language_of_the_paper(shop: ShopProfile) -> None:
    pdf = render_pdf("sample_invoice.html", samples.invoice(), language="de-DE", **INVOICE)
    assert str(read(pdf).trailer["/Root"]["/Lang"]) == "de-DE"
    assert "159,79\xa0$" in text_of(pdf)


def test_columns_that_no_line_uses_are_left_out() -> None:
    usd = Money(100, "USD")
    bare = LineTable([LineGroup("", [Line("Cleaning", amount=usd)])], "USD")
    assert (bare.has_quantity, bare.has_price, bare.has_tax, bare.columns) == (False, False, False, 2)
    full = LineTable(
        [LineGroup("", [Line("Belt", quantity="1", price=UnitPrice(1, "USD"), tax="T", amount=usd)])], "USD"
    )
    assert full.columns == 5


def test_typed_text_can_not_become_a_part_of_the_page(shop: ShopProfile) -> None:
    hostile = "<script>alert(1)</script><img src='file:///etc/hostname'><h1>Paid</h1>"
    pdf = render_pdf("sample_invoice.html", {**samples.invoice(), "complaint": hostile}, **INVOICE)
    assert "<script>alert(1)</script>" in text_of(pdf).replace("\n", "")
    assert tags_of(pdf).count("/H1") == 1


# --- nothing is fetched ---------------------------------------------------------------------------------------


SVG = "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><title>x</title>{}</svg>"
IN_SVG = SVG.format("<image href='file:///etc/hostname' width='9' height='9'/>")
REACHING_OUT = {
    "a file": '<img src="file:///etc/hostname" alt="x">',
    "the network": '<img src="http://192.0.2.1/x.png" alt="x">',
    "the network, secured": '<img src="https://shop.example/x.png" alt="x">',
    "file transfer": '<img src="ftp://192.0.2.1/x.png" alt="x">',
    "an attachment": '<link rel="attachment" href="file:///etc/hostname">',
    "a style sheet": '<link rel="stylesheet" href="http://192.0.2.1/x.css">',
    "an imported style sheet": '<style>@import url("file:///etc/hostname");</style>',
    "a font": '<style>@font-face { font-family: x; src: url("file:///etc/hostname"); }</style><p>x</p>',
    "a background": '<p style="background: url(file:///etc/hostname)">x</p>',
    "a picture in a drawing": IN_SVG,
    "a picture in an inline drawing": f'<img alt="x" src="data:image/svg+xml,{quote(IN_SVG)}">',
    "an inline page": '<img src="data:text/html,hello" alt="x">',
}


@pytest.mark.parametrize("body", REACHING_OUT.values(), ids=REACHING_OUT.keys())
def test_a_paper_loads_nothing_from_outside_and_is_not_made_if_it_tries(body: str) -> None:
    with pytest.raises(RuntimeError, match="A paper may not load"):
        machine.print(f'<!doctype html><html lang="en"><title>x</title><body>{body}</body></html>', LETTER)


@pytest.mark.parametrize(
    "address",
    [
        "file:///etc/passwd",
        "file://localhost/etc/passwd",
        "FILE:///etc/passwd",
        "http://127.0.0.1/",
        "data:text/plain,x",
        "data:image/gif;base64,R0lGOD",
        f"{(OwnThingsOnly.__module__)}",
        "",
    ],
)
def test_the_fetcher_denies_whatever_is_not_named(address: str) -> None:
    with pytest.raises(Forbidden):
        OwnThingsOnly().fetch(address)


def test_the_fetcher_does_not_leave_the_fonts_by_a_detour(settings: Any) -> None:
    fonts = settings.BASE_DIR / "static" / "fonts"
    for path in (
        f"{fonts}/../../manage.py",
        f"{fonts}/../fonts/../css/paper.css",
        f"{fonts}/%2e%2e/css/paper.css",
        f"{fonts}/OFL.txt",
    ):
        with pytest.raises(Forbidden):
            OwnThingsOnly().fetch(f"file://{path}")
    assert (
        OwnThingsOnly().fetch(f"file://{fonts}/atkinson-hyperlegible-next-paper-400.woff2").read(4) == b"wOF2"
    )


# --- the machine ----------------------------------------------------------------------------------------------


def test_the_same_paper_comes_out_the_same_to_the_byte(shop: ShopProfile) -> None:
    first, second = (render_pdf("sample_invoice.html", samples.invoice(), **INVOICE) for _ in range(2))
    assert first == second


def test_papers_asked_for_at_once_are_all_made(shop: ShopProfile) -> None:
    html = '<!doctype html><html lang="en"><title>{0}</title><body class="paper sheet-letter"><p>Paper {0}</p></body></html>'
    made: dict[int, str] = {}

    def ask(number: int) -> None:
        made[number] = text_of(machine.print(html.format(number), LETTER)).strip()

    threads = [threading.Thread(target=ask, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert made == {number: f"Paper {number}" for number in range(6)}


def test_what_the_machine_keeps_is_kept_out_of_the_garbage_collectors_way(shop: ShopProfile) -> None:
    render_pdf("sample_letter.html", samples.letter(), title="Letter")
    assert gc.get_freeze_count() > 0


def test_where_the_libraries_are_missing_the_sentence_says_what_to_install(
    shop: ShopProfile, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh = Machine()

    def without_pango(name: str, *rest: Any, **more: Any) -> Any:
        if name == "weasyprint":
            raise OSError("cannot load library 'libpango-1.0-0'")
        return real_import(name, *rest, **more)

    real_import = builtins.__import__
    monkeypatch.setattr(builtins, "__import__", without_pango)
    with pytest.raises(Refusal, match=re.escape("libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0")):
        fresh.print("<html lang='en'></html>", LETTER)


def test_the_system_check_names_the_missing_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    assert libraries.check_libraries(None) == []
    monkeypatch.setitem(libraries.LIBRARIES, "libpango-1.0-0", ("libnothing.so.9",))
    (warning,) = libraries.check_libraries(None)
    assert warning.id == "press.W001"
    assert "apt-get install --no-install-recommends libpango-1.0-0”" in warning.msg


def test_without_pdf_a_paper_is_a_page_to_print(shop: ShopProfile) -> None:
    page = draw_page("sample_invoice.html", samples.invoice(), **INVOICE)
    assert "css/paper.css" in page
    assert "can’t make PDFs yet" in page
    assert "DRAFT" in page
    assert "style=" not in page
    assert "<script" not in page
