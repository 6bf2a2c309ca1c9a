"""Codes on papers, and papers that are issued once and kept."""

from __future__ import annotations

import hashlib

import pypdfium2
import pytest
import zxingcpp
from django.db import transaction
from django.test import Client
from django.urls import reverse

from shop.frame.journal import verify
from shop.frame.models import JournalEntry, ShopProfile
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper
from shop.keeping.papers import Altered, stored_bytes
from shop.press.drawing import draw_draft, render_pdf
from shop.press.sheets import label
from shop.press.symbols import code128_svg, qr_svg
from tests.factories.premises import StaffFactory
from tests.premises import samples
from tests.premises.test_press import INVOICE, issue, read, text_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("sample_papers")]


def codes_on(pdf: bytes, scale: float = 4) -> dict[str, str]:
    found = {}
    for page in pypdfium2.PdfDocument(pdf):
        for code in zxingcpp.read_barcodes(page.render(scale=scale).to_pil()):
            found[code.format.name.replace("_", "").replace("-", "").lower()] = code.text
    return found


def test_a_reader_reads_the_job_number_and_a_camera_the_address(shop: ShopProfile) -> None:
    claim = render_pdf(
        "sample_claim_check.html", samples.claim_check(), title="Claim check", number="26-0417-Z"
    )
    tag = render_pdf("sample_tag.html", samples.tag(), size=label(89, 36), title="Tag", number="26-0417-Z")
    assert codes_on(claim) == {"code128": "26-0417-Z", "qrcode": "https://halftone.example/w/9f2c6a1b"}
    assert codes_on(tag) == {"code128": "26-0417-Z", "qrcode": "https://halftone.example/26-0417-Z"}


def test_codes_are_drawn_in_true_size_and_their_text_is_escaped() -> None:
    symbol = code128_svg("26-0417-Z", module_mm=0.5, height_mm=12)
    assert 'height="12.000mm"' in symbol
    assert "&lt;b&gt;" in qr_svg("<b>")
    assert "<b>" not in qr_svg("<b>")


# --- issuing --------------------------------------------------------------------------------------------------


def test_an_issued_paper_is_stored_once_with_its_hash_and_its_entry(shop: ShopProfile) -> None:
    staff = StaffFactory()
    paper = issue(by=staff)
    with paper.file.open("rb") as file:
        pdf = file.read()
    assert (paper.sha256, paper.size) == (hashlib.sha256(pdf).hexdigest(), len(pdf))
    assert stored_bytes(paper) == pdf
    assert paper.file.name.startswith(f"papers/{paper.issued_at:%Y/%m}/invoice-2026-0012-")
    entry = JournalEntry.objects.get()
    assert (entry.verb, entry.subject_id, entry.staff) == ("paper.issued", paper.pk, staff)
    assert (entry.data["sha256"], verify()) == (paper.sha256, [])


def test_what_is_changed_later_changes_no_issued_paper(shop: ShopProfile, client: Client) -> None:
    paper = issue()
    before = stored_bytes(paper)
    ShopProfile.objects.update(name="Another Name", paper_size="A4")
    client.force_login(StaffFactory(roles=["counter"]))
    answer = client.get(reverse("premises:paper", args=[paper.pk]))
    assert answer.content == before
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="Invoice 2026-0012.pdf"'
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "private" in answer["Cache-Control"]
    again = client.get(reverse("premises:paper", args=[paper.pk]), headers={"If-None-Match": answer["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    saved = client.get(reverse("premises:paper", args=[paper.pk]), {"download": ""})
    assert saved["Content-Disposition"].startswith("attachment")


def test_the_database_itself_refuses_to_change_or_lose_an_issued_paper(shop: ShopProfile) -> None:
    paper = issue()
    for wrong in (
        lambda: IssuedPaper.objects.filter(pk=paper.pk).update(sha256="0" * 64),
        lambda: IssuedPaper.objects.filter(pk=paper.pk).update(number="2026-0013"),
        lambda: IssuedPaper.objects.filter(pk=paper.pk).delete(),
    ):
        with pytest.raises(Exception, match="stays as it was written"), transaction.atomic():
            wrong()


def test_a_file_that_was_swapped_is_not_handed_out(shop: ShopProfile, client: Client) -> None:
    paper = issue()
    path = paper.file.path
    with open(path, "wb") as file:  # noqa: PTH123
        file.write(b"%PDF-1.7 another")
    with pytest.raises(Altered, match="not the one that was issued"):
        stored_bytes(paper)
    client.force_login(StaffFactory())
    answer = client.get(reverse("premises:paper", args=[paper.pk]))
    assert answer.status_code == 410
    assert b"another" not in answer.content


def test_a_rolled_back_act_leaves_no_paper_row(shop: ShopProfile) -> None:
    def issue_and_break() -> None:
        with transaction.atomic():
            issue()
            raise RuntimeError("the invoice was refused")

    with pytest.raises(RuntimeError, match="refused"):
        issue_and_break()
    assert not IssuedPaper.objects.exists()
    assert not JournalEntry.objects.exists()


def test_no_paper_is_issued_before_the_shop_has_a_name_and_address(db: None) -> None:
    with pytest.raises(Refusal, match="fill in the shop’s profile first"):
        issue()


def test_a_draft_says_so_on_every_page_and_is_not_kept(shop: ShopProfile) -> None:
    pages = read(draw_draft("sample_invoice.html", samples.invoice(), **INVOICE)).pages
    assert len(pages) == 2
    for page in pages:
        assert "DRAFT" in page.extract_text()
        assert "not issued" in page.extract_text()
    assert "DRAFT" not in text_of(render_pdf("sample_invoice.html", samples.invoice(), **INVOICE))
    assert not IssuedPaper.objects.exists()
