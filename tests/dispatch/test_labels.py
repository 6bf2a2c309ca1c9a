"""Labels read back from their PDFs: each lies where the sheet has it, and its codes are read at 203 dpi."""

from __future__ import annotations

import io
from typing import Any

import pypdf
import pypdfium2
import pytest
import zxingcpp

from shop.dispatch.papers import ADDRESS_LABEL, address_labels
from shop.frame.refusal import Refusal
from shop.press.label_sheets import LABEL_SHEETS, LabelSheet, roll_pdf, sheet_pdf
from shop.stockroom.papers import DRAWER_LABEL, drawer_labels, part_address
from tests.factories.dispatch import packed, ready
from tests.factories.stockroom import a_part

POINT_MM = 25.4 / 72
DPI = 203
WITHIN_MM = 0.5


def boxes_of(page: Any) -> list[tuple[float, float, float, float]]:
    """The outlined labels on a page as (left, top, width, height) in millimetres, by their outermost paths."""
    height = page.get_height()
    found = set()
    for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH]):
        left, bottom, right, top = thing.get_bounds()
        box = (left, height - top, right - left, top - bottom)
        found.add(tuple(round(side * POINT_MM, 2) for side in box))
    return sorted(found)


def outlined(sheet: LabelSheet, **more: Any) -> Any:
    facts = [{"number": str(spot.place), "number_class": "pt-8"} for spot in sheet.spots()]
    pdf = sheet_pdf(
        DRAWER_LABEL, facts[more.get("start", 1) - 1 :], sheet=sheet, outlined=True, title="Outlines", **more
    )
    return pypdfium2.PdfDocument(pdf)[0]


def edges(boxes: list[tuple[float, float, float, float]]) -> tuple[list[float], list[float]]:
    """Every x and every y at which an outline runs."""
    xs = [x for left, _, width, _ in boxes for x in (left, left + width)]
    ys = [y for _, top, _, height in boxes for y in (top, top + height)]
    return xs, ys


def near(wanted: float, found: list[float]) -> bool:
    return any(abs(wanted - one) <= WITHIN_MM for one in found)


# The printed geometry in millimetres: width, height, first corner, step. Read from the open template data of gLabels
# (Debian's glabels-data 3.4.1), of each size the template that most makers share; the sheets of one label across have no step
# there. Letter 30 and A4 21 stand at printreadykit.pages.dev too, A4 24 at labelplanet.co.uk.
PRINTED = {
    "letter-30": (66.675, 25.4, 4.7625, 12.7, 69.85, 25.4),
    "letter-20": (101.6, 25.4, 3.969, 12.7, 106.3625, 25.4),
    "letter-14": (101.6, 33.867, 3.969, 21.167, 106.3625, 33.867),
    "letter-10": (101.6, 50.8, 4.1275, 12.7, 106.3625, 50.8),
    "letter-6": (101.6, 84.667, 3.969, 12.7, 106.3625, 84.667),
    "letter-2": (215.9, 139.7, 0, 0, 215.9, 139.7),
    "a4-21": (63.5, 38.1, 7.21, 15.15, 66.04, 38.1),
    "a4-24": (63.5, 33.9, 7.21, 12.9, 66.04, 33.9),
    "a4-24-edge": (70, 37, 0, 0.5, 70, 37),
    "a4-14": (99.1, 38.1, 4.63, 15.15, 101.64, 38.1),
    "a4-8": (99.1, 67.7, 4.63, 13.1, 101.64, 67.7),
    "a4-4": (105, 148.5, 0, 0, 105, 148.5),
    "a4-2": (210, 148.5, 0, 0, 210, 148.5),
}
PUBLISHED_WITHIN_MM = 0.17
"""Ten labels on Letter: the templates have 0.1625 in at the left, the sheet's own symmetry 0.15625 in."""


def test_every_sheet_is_held_against_a_published_template() -> None:
    assert set(PRINTED) == set(LABEL_SHEETS)


@pytest.mark.parametrize("code", PRINTED)
def test_a_sheet_has_the_geometry_that_is_published_for_it(code) -> None:
    sheet = LABEL_SHEETS[code]
    facts = (sheet.width, sheet.height, sheet.left, sheet.top, sheet.step_x, sheet.step_y)
    assert facts == pytest.approx(PRINTED[code], abs=PUBLISHED_WITHIN_MM)


@pytest.mark.parametrize("code", LABEL_SHEETS)
def test_every_sheet_lies_on_its_paper_and_no_label_on_another(code) -> None:
    sheet = LABEL_SHEETS[code]
    assert sheet.step_x >= sheet.width - 0.001
    assert sheet.step_y >= sheet.height - 0.001
    last = list(sheet.spots())[-1]
    assert last.left + sheet.width <= sheet.paper.width + 0.01
    assert last.top + sheet.height <= sheet.paper.height + 0.01
    assert sheet.left == pytest.approx(sheet.paper.width - last.left - sheet.width, abs=0.4)


@pytest.mark.parametrize("code", LABEL_SHEETS)
def test_each_label_is_printed_within_half_a_millimetre_of_its_place(db, by, code) -> None:
    sheet = LABEL_SHEETS[code]
    page = outlined(sheet)
    assert page.get_size() == pytest.approx(
        (sheet.paper.width / POINT_MM, sheet.paper.height / POINT_MM), abs=0.5
    )
    xs, ys = edges(boxes_of(page))
    for spot in sheet.spots():
        assert near(spot.left, xs), spot
        assert near(spot.left + sheet.width, xs), spot
        assert near(spot.top, ys), spot
        assert near(spot.top + sheet.height, ys), spot


def test_a_label_half_a_step_away_would_be_noticed(db, by) -> None:
    sheet = LABEL_SHEETS["a4-21"]
    xs, ys = edges(boxes_of(outlined(sheet)))
    assert not near(sheet.left + sheet.width / 2, xs)
    assert not near(sheet.top + sheet.height / 2, ys)


def test_what_is_printed_is_moved_by_what_the_printer_needs(db, by) -> None:
    sheet = LABEL_SHEETS["a4-21"]
    xs, ys = edges(boxes_of(outlined(sheet, shift_x=1.5, shift_y=-2)))
    assert near(sheet.left + 1.5, xs)
    assert near(sheet.top - 2, ys)


def words_at(pdf: bytes, leaf: int = 0) -> dict[str, tuple[float, float]]:
    """Where each text of a page begins, in millimetres from the top left, read by pypdf."""
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[leaf]
    height = float(page.mediabox.height)
    found: dict[str, tuple[float, float]] = {}

    def note(text: str, user: list[float], matrix: list[float], *_: object) -> None:
        if text.strip():
            x = matrix[4] * user[0] + user[4]
            y = matrix[5] * user[3] + user[5]
            found.setdefault(text.strip(), (x * POINT_MM, (height - y) * POINT_MM))

    page.extract_text(visitor_text=note)
    return found


@pytest.mark.parametrize("start, first, leaves", [(1, 1, 1), (5, 5, 1), (21, 21, 2)])
def test_a_sheet_that_was_begun_goes_on_at_its_first_free_label(db, by, start, first, leaves) -> None:
    sheet = LABEL_SHEETS["a4-21"]
    facts = [{"number": f"N{n}", "number_class": "pt-8"} for n in range(4)]
    pdf = sheet_pdf(DRAWER_LABEL, facts, sheet=sheet, start=start, title="x")
    assert len(pypdf.PdfReader(io.BytesIO(pdf)).pages) == leaves
    spot = list(sheet.spots())[first - 1]
    x, y = words_at(pdf)["N0"]
    assert spot.left < x < spot.left + sheet.width
    assert spot.top < y < spot.top + sheet.height


@pytest.mark.parametrize("start", [0, 22])
def test_a_label_that_the_sheet_does_not_have_is_refused(db, by, start) -> None:
    with pytest.raises(Refusal, match="labels 1 to 21"):
        sheet_pdf(DRAWER_LABEL, [{"number": "1"}], sheet=LABEL_SHEETS["a4-21"], start=start, title="x")


def read_codes(pdf: bytes, leaf: int = 0) -> dict[str, str]:
    """What zxing reads off a page drawn at the label printer's own 203 dots an inch, in pure black and white."""
    page = pypdfium2.PdfDocument(pdf)[leaf]
    drawn = page.render(scale=DPI / 72).to_pil().convert("L").point(lambda grey: 255 if grey > 128 else 0)
    return {code.format.name: code.text for code in zxingcpp.read_barcodes(drawn)}


@pytest.mark.parametrize("width, height", [(62, 29), (54, 25.4), (89, 36), (102, 152)])
def test_the_codes_of_a_drawer_label_are_read_off_the_roll_at_203_dpi(by, width, height) -> None:
    part = a_part(by, designation="4k7 5%", rating="0.25 W", drawer="R12")
    pdf = roll_pdf(DRAWER_LABEL, drawer_labels([part], width, height), width=width, height=height, title="x")
    page = pypdf.PdfReader(io.BytesIO(pdf)).pages[0]
    assert (float(page.mediabox.width) * POINT_MM, float(page.mediabox.height) * POINT_MM) == pytest.approx(
        (width, height), abs=0.1
    )
    codes = read_codes(pdf)
    assert codes.get("Code128") == part.number
    assert codes.get("QRCode") == part_address(part)


def test_a_longer_number_keeps_its_bars_on_the_roll_beside_a_smaller_qr(by) -> None:
    part = a_part(by, number="C-4U7-63", designation="4.7µF 63 V", drawer="A1")
    codes = read_codes(roll_pdf(DRAWER_LABEL, drawer_labels([part], 62, 29), width=62, height=29, title="x"))
    assert (codes.get("Code128"), codes.get("QRCode")) == ("C-4U7-63", part_address(part))


@pytest.mark.parametrize("code", ["letter-30", "a4-21", "a4-24", "a4-8"])
def test_the_codes_of_a_drawer_label_are_read_off_a_sheet_at_203_dpi(by, code) -> None:
    part, sheet = a_part(by, designation="4k7 5%", drawer="R12"), LABEL_SHEETS[code]
    pdf = sheet_pdf(
        DRAWER_LABEL, drawer_labels([part], sheet.width, sheet.height), sheet=sheet, start=2, title="x"
    )
    codes = read_codes(pdf)
    assert (codes.get("Code128"), codes.get("QRCode")) == (part.number, part_address(part))


def test_a_small_label_leaves_out_what_could_not_be_read(by) -> None:
    part = a_part(by, designation="4k7", drawer="R12")
    (facts,) = drawer_labels([part], 25, 12)
    assert (facts["qr"], facts["code"]) == ("", "")


@pytest.mark.parametrize("width, height", [(62, 29), (102, 152), (99.1, 67.7), (210, 148.5)])
def test_the_address_is_printed_as_it_was_typed(by, width, height) -> None:
    typed = "Frau Käthe Ønskær-Łuk\nHolzweg 3 b, 2. Hof\n10115 Berlin\nGERMANY"
    parcel = packed(
        ready(by), by, address=typed, country="DE", declared_value_minor=100, customs_description="Radio",
        customs_origin="JP", customs_hs_code="852791",
    )  # fmt: skip
    jobs = [link.job for link in parcel.job_links.all()]
    facts = address_labels(parcel, jobs, width, height)
    pdf = roll_pdf(ADDRESS_LABEL, facts, width=width, height=height, title="x")
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    assert len(pages) == 1
    text = pages[0].extract_text()
    for line in typed.splitlines():
        assert line in text, text


def test_a_large_label_carries_the_sender_and_the_job_number_for_a_reader(by) -> None:
    job = ready(by)
    parcel = packed(job, by)
    pdf = roll_pdf(ADDRESS_LABEL, address_labels(parcel, [job], 102, 152), width=102, height=152, title="x")
    assert "14 Quarry Lane" in pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert read_codes(pdf)["Code128"] == job.number.replace("-", "")


def test_an_address_that_does_not_fit_is_refused_not_cut(by) -> None:
    lines = "\n".join(f"Line number {n} of an address without an end" for n in range(9))
    parcel = packed(ready(by), by, address=lines)
    with pytest.raises(Refusal, match="choose a larger one"):
        address_labels(parcel, [], 54, 25)
