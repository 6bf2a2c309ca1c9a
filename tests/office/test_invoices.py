"""Invoices: reckoned by EN 16931, issued once, frozen by the database, mirrored by credit notes.

Sources: EN 16931-1 rules BR-CO-10 to BR-CO-17 as in ConnectingEurope/eInvoicing-EN16931; 18 CCR 1546(b); annotation
315.0215. Worked figures reckoned with Python's Decimal, ROUND_HALF_UP.
"""

from __future__ import annotations

import io
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from PIL import Image

from shop.counter.models import Job
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook.money import UnitPrice
from shop.keeping.models import IssuedPaper, Picture
from shop.keeping.papers import stored_bytes
from shop.office import actions, papers, queries
from shop.office.models import (
    Estimate,
    EstimateLine,
    Invoice,
    InvoiceJob,
    InvoiceLine,
    InvoiceTax,
    LineKind,
    OfficeRules,
    OutOfState,
    TaxRule,
)
from shop.office.pricing import PricedItem
from shop.press.drawing import render_pdf
from shop.press.machine import machine
from shop.press.models import Letterhead
from tests.factories.office import agreed, another_job, drafted, issued, item, tax
from tests.office.reading import words

pytestmark = pytest.mark.django_db
CENT = Decimal("0.01")


def euros(value: str) -> int:
    return int(Decimal(value).quantize(CENT, ROUND_HALF_UP) * 100)


# --- sums ---------------------------------------------------------------------------------------------------


def test_the_worked_example_comes_out_to_the_cent(job: Job, owner: Staff) -> None:
    """2.5 × 85.00, 4 × 3.85, 2 × 12.345 at 21 %: BR-CO-10 252.59, BR-CO-17 53.04, BR-CO-15 305.63, BR-CO-16 245.63."""
    TaxRule.objects.all().delete()
    tax("21")
    actions.take_payment(customer=job.customer, job=job, amount_minor=60_00, how="cash", by=owner)
    lines = [
        item(quantity=2500, unit="h"),
        item(LineKind.PART, "3.85", 4000),
        PricedItem(
            kind=LineKind.PART,
            description="Resistor",
            unit_price=UnitPrice(123_450, "USD"),
            quantity_thousandths=2000,
        ),
    ]
    row = issued(job, lines, by=owner)
    assert [line.amount_minor for line in row.lines.all()] == [212_50, 15_40, 24_69]
    assert row.net_minor == euros("252.59")
    assert row.tax_minor == euros(str(Decimal("252.59") * Decimal("0.21")))
    assert row.total_minor == 305_63
    assert row.total_minor - row.prepaid_minor == 245_63


def test_tax_is_rounded_once_for_each_rate_and_not_line_by_line(job: Job, owner: Staff) -> None:
    """Five lines of 0.10 at 8.25 %: 0.04125 on the sum is 0.04; line by line it would be 0.05 (0.00825 -> 0.01 each)."""
    row = issued(job, [item(LineKind.PART, "0.10") for _ in range(5)], by=owner)
    assert row.tax_minor == 4


def test_two_rates_are_two_entries_of_the_breakdown(job: Job, owner: Staff) -> None:
    tax("4", LineKind.PART, rate="reduced", name="Reduced")
    row = issued(job, [item(LineKind.PART, "10.00"), item(LineKind.PART, "30.00", rate="reduced")], by=owner)
    assert {(str(one.percent), one.base_minor, one.tax_minor) for one in row.taxes.all()} == {
        ("8.25", 10_00, 83),
        ("4", 30_00, 1_20),
    }
    assert "4 %" in words(stored_bytes(row.paper))  # type: ignore[arg-type]


def test_prices_with_tax_inside_charge_what_was_said(job: Job, owner: Staff) -> None:
    """119.00 with 19 % inside: tax 19.00 (119 × 19/119), net 100.00."""
    OfficeRules.objects.update(prices_include_tax=True)
    TaxRule.objects.all().delete()
    tax("19")
    row = issued(job, [item(price="119.00")], by=owner)
    assert (row.net_minor, row.tax_minor, row.total_minor) == (100_00, 19_00, 119_00)
    assert row.lines.get().net_minor == 100_00
    assert "The prices of the lines contain the tax." in words(stored_bytes(row.paper))  # type: ignore[arg-type]


def test_the_authorised_sum_is_before_tax_also_where_prices_contain_it(job: Job, owner: Staff) -> None:
    """16 CCR 2722(b)."""
    OfficeRules.objects.update(prices_include_tax=True)
    TaxRule.objects.all().delete()
    tax("19")
    agreed(job, 100_00, by=owner)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item(price="119.00")], by=owner)
    assert actions.issue_invoice(invoice=draft, by=owner).number


# --- California: parts, and shipping out of the state ---------------------------------------------------


@pytest.mark.parametrize(
    "part, labour, tax_minor",
    [("12.00", "120.00", 0), ("12.00", "108.00", 0)],
    ids=["9.09 per cent", "exactly 10 per cent"],
)
def test_parts_up_to_a_tenth_of_one_price_are_not_taxed(
    job: Job, owner: Staff, part: str, labour: str, tax_minor: int
) -> None:
    """18 CCR 1546(b): the retailer only above ten per cent, or where a separate charge is made."""
    OfficeRules.objects.update(parts_rule_1546=True)
    row = issued(job, [item(LineKind.PART, part), item(price=labour)], by=owner, lump_sum=True)
    assert row.tax_minor == tax_minor
    assert "One price for all of this, parts included" in words(stored_bytes(row.paper))  # type: ignore[arg-type]


def test_parts_above_a_tenth_cant_be_hidden_in_one_price(job: Job, owner: Staff) -> None:
    """38.15 of 212.50 are 15.22 per cent, or here of 250.65: shown separately (18 CCR 1546(b))."""
    OfficeRules.objects.update(parts_rule_1546=True)
    with pytest.raises(Refusal, match="more than 10 %"):
        drafted(job, [item(LineKind.PART, "38.15"), item(price="212.50")], by=owner, lump_sum=True)


def test_parts_with_a_price_of_their_own_are_taxed_however_small(job: Job, owner: Staff) -> None:
    """18 CCR 1546(b); 9.5 % of 38.15 = 3.62425 -> 3.62."""
    TaxRule.objects.update(rate_percent="9.5")
    OfficeRules.objects.update(parts_rule_1546=True)
    assert issued(job, [item(LineKind.PART, "38.15"), item(price="900.00")], by=owner).tax_minor == 3_62


def test_a_unit_shipped_out_of_the_state_by_contract_has_untaxed_parts(job: Job, owner: Staff) -> None:
    """Sales and use tax annotation 315.0215."""
    actions.ship_out_of_state(job=job, contract="ship to Reno, letter of 3 May", by=owner)
    row = issued(job, [item(LineKind.PART, "40.00"), item()], by=owner)
    assert row.tax_minor == 0
    assert "ship to Reno, letter of 3 May" in words(stored_bytes(row.paper))  # type: ignore[arg-type]


def test_units_shipped_out_and_units_that_are_not_need_invoices_of_their_own(job: Job, owner: Staff) -> None:
    other = another_job(job.customer, by=owner)
    OutOfState.objects.create(job=other, contract="by contract")
    with pytest.raises(Refusal, match="invoices of their own"):
        actions.draft_invoice(customer=job.customer, jobs=[job, other], items=[item(job=job)], by=owner)


def test_a_draft_written_under_other_tax_rules_is_not_issued_unseen(job: Job, owner: Staff) -> None:
    draft = drafted(job, [item(LineKind.PART, "100.00")], by=owner)
    TaxRule.objects.update(rate_percent="9")
    with pytest.raises(Refusal, match=r"comes to \$109\.00, not to \$108\.25"):
        actions.issue_invoice(invoice=draft, by=owner)


# --- frozen ----------------------------------------------------------------------------------------------------


def refused(statement: str, *values: Any) -> None:
    """The statement is refused by the database itself, past every form and action."""
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(statement, values)


@pytest.mark.postgres
def test_the_database_itself_refuses_to_change_an_issued_invoice(job: Job, owner: Staff) -> None:
    row = issued(job, [item(), item(LineKind.PART, "9.00")], by=owner)
    line, entry, link = row.lines.first(), row.taxes.first(), row.job_links.first()
    assert line is not None
    assert entry is not None
    assert link is not None
    refused("UPDATE office_invoice SET note = 'other' WHERE id = %s", row.pk)
    refused("UPDATE office_invoice SET total_minor = 1, net_minor = 1, tax_minor = 0 WHERE id = %s", row.pk)
    refused("DELETE FROM office_invoice WHERE id = %s", row.pk)
    refused("UPDATE office_invoiceline SET description = 'other' WHERE id = %s", line.pk)
    refused("DELETE FROM office_invoiceline WHERE id = %s", line.pk)
    refused("UPDATE office_invoicetax SET tax_minor = 0 WHERE id = %s", entry.pk)
    refused("DELETE FROM office_invoicetax WHERE id = %s", entry.pk)
    refused("DELETE FROM office_invoicejob WHERE id = %s", link.pk)


@pytest.mark.postgres
def test_nothing_is_slipped_into_an_issued_invoice(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    for make in (
        lambda: InvoiceLine.objects.create(
            invoice=row,
            position=9,
            kind="other",
            description="more",
            unit_price_ten_thousandths=1,
            amount_minor=1,
        ),
        lambda: InvoiceTax.objects.create(
            invoice=row, category="S", name="more", percent=1, base_minor=1, tax_minor=1
        ),
        lambda: InvoiceJob.objects.create(invoice=row, job=another_job(job.customer, by=owner)),
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            make()


@pytest.mark.postgres
def test_a_line_of_a_draft_cant_be_moved_into_an_issued_invoice(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item()], by=owner)
    refused("UPDATE office_invoiceline SET invoice_id = %s WHERE invoice_id = %s", row.pk, draft.pk)


@pytest.mark.postgres
def test_the_database_itself_refuses_to_change_an_estimate_that_was_given(job: Job, owner: Staff) -> None:
    estimate = actions.put_estimate(
        estimate=actions.draft_estimate(job=job, items=[item()], by=owner), by=owner
    )
    refused("UPDATE office_estimate SET total_minor = 1 WHERE id = %s", estimate.pk)
    refused("UPDATE office_estimateline SET amount_minor = 1 WHERE estimate_id = %s", estimate.pk)
    refused("DELETE FROM office_estimateline WHERE estimate_id = %s", estimate.pk)
    with pytest.raises(IntegrityError), transaction.atomic():
        EstimateLine.objects.create(
            estimate=estimate,
            position=9,
            kind="other",
            description="more",
            unit_price_ten_thousandths=1,
            amount_minor=1,
        )
    Estimate.objects.filter(pk=estimate.pk).update(state=Estimate.State.DECLINED)


@pytest.mark.postgres
def test_a_draft_may_be_changed_and_thrown_away_and_costs_no_number(job: Job, owner: Staff) -> None:
    draft = drafted(job, [item()], by=owner)
    actions.set_invoice_lines(invoice=draft, items=[item(price="1.00")], by=owner)
    actions.discard_draft(invoice=draft, by=owner)
    assert not Invoice.objects.exists()
    assert issued(job, [item()], by=owner).sequence == 1


def test_the_issued_paper_is_served_unchanged_after_everything_around_it_has_changed(
    job: Job, owner: Staff, monkeypatch: pytest.MonkeyPatch, settings: Any, tmp_path: Any
) -> None:
    """Profile, logo, prices, tax rules, templates: the stored PDF stays; a fresh one of the same facts differs."""
    row = issued(job, [item(), item(LineKind.PART, "9.00")], by=owner)
    assert row.paper is not None
    before = stored_bytes(row.paper)

    def fresh() -> bytes:
        again = Invoice.objects.get(pk=row.pk)
        wanted = papers.invoice_sheet(again, by=owner)
        return render_pdf(
            wanted.template,
            wanted.context,
            title=wanted.title,
            heading=wanted.heading,
            number=wanted.number,
            issued_on=row.issue_date,
        )

    same = fresh()
    ShopProfile.objects.update(name="Another Name", address="1 Other Street")
    Letterhead.objects.update_or_create(pk=1, defaults={"logo": _logo(owner)})
    TaxRule.objects.update(rate_percent="20")
    other = tmp_path / "papers" / "office"
    other.mkdir(parents=True)
    (other / "invoice.html").write_text(
        '{% extends "papers/base.html" %}{% block sheet %}Another{% endblock %}'
    )
    moved = [{**settings.TEMPLATES[0], "DIRS": [tmp_path, *settings.TEMPLATES[0]["DIRS"]]}]
    changed_profile = fresh()
    settings.TEMPLATES = moved
    changed_template = fresh()
    from weasyprint import CSS  # noqa: PLC0415

    monkeypatch.setitem(machine.__dict__, "_style", CSS(string="html { font-family: monospace }"))
    changed_font = fresh()
    assert words(same) == words(before)
    assert len({before, changed_profile, changed_template, changed_font}) == 4
    assert "Another Name" in words(changed_profile)
    assert words(changed_template).count("Another") >= 1
    assert stored_bytes(IssuedPaper.objects.get(pk=row.paper_id)) == before


def _logo(by: Staff) -> Picture:
    from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: PLC0415

    from shop.keeping.pictures import take_picture  # noqa: PLC0415

    file = io.BytesIO()
    Image.new("RGB", (320, 80), "black").save(file, "PNG")
    return take_picture(SimpleUploadedFile("logo.png", file.getvalue()), by=by)


# --- credit notes -----------------------------------------------------------------------------------------------


def test_a_credit_note_is_the_mirror_of_its_invoice(job: Job, owner: Staff) -> None:
    row = issued(job, [item(), item(LineKind.PART, "12.3450", 3000)], by=owner)
    note = actions.credit(invoice=row, note="Wrong unit", by=owner)
    assert note.number == f"C{note.year}-0001"
    assert (note.net_minor, note.tax_minor, note.total_minor) == (
        -row.net_minor,
        -row.tax_minor,
        -row.total_minor,
    )
    assert [one.amount_minor for one in note.lines.all()] == [-one.amount_minor for one in row.lines.all()]
    assert note.facts["corrects"] == row.number
    assert f"{row.number} of" in words(stored_bytes(note.paper))  # type: ignore[arg-type]


def test_an_invoice_is_credited_once_and_with_a_reason(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    with pytest.raises(Refusal, match="Say why"):
        actions.credit(invoice=row, note=" ", by=owner)
    actions.credit(invoice=row, note="Wrong unit", by=owner)
    with pytest.raises(Refusal, match="credited already"):
        actions.credit(invoice=row, note="again", by=owner)


def test_after_a_credit_note_the_work_can_be_invoiced_rightly(job: Job, owner: Staff) -> None:
    row = issued(job, [item(price="99.00")], by=owner)
    actions.credit(invoice=row, note="Wrong price", by=owner)
    right = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item()], by=owner)
    assert actions.issue_invoice(invoice=right, by=owner).sequence == 2
    assert queries.charged_before(job).minor == 85_00
