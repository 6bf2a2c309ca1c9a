"""What the law of the EU asks of papers."""

from __future__ import annotations

import datetime as dt

import pytest

from shop.counter.models import Customer, Job, TaxStanding
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import actions, legal
from shop.office.models import LineKind, OfficeRules, RepairForm
from tests.factories.counter import booked_in
from tests.factories.office import drafted, european_shop, issued, item, rules, tax
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def german(owner: Staff) -> Job:
    european_shop()
    rules()
    job = booked_in(by=owner)
    Customer.objects.update(address="Ahornallee 3\n00000 Lindenau", country="DE")
    job.customer.refresh_from_db()
    return job


def test_an_invoice_carries_what_article_226_lists(german: Job, owner: Staff) -> None:
    tax("19")
    Job.objects.filter(pk=german.pk).update(ready_at=dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC))
    german.refresh_from_db()
    at = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
    lines = [
        item(price="85.00", quantity=1500, unit="h", currency="EUR", description="Repair"),
        item(LineKind.PART, "12.00", currency="EUR", description="Belt"),
    ]
    row = issued(german, lines, by=owner, at=at)
    printed = text_of(row.paper)
    for point, words in {
        "226(1) date of issue": "25 Nov 2026",
        "226(2) number": row.number,
        "226(3) the shop's VAT number": "DE000000000",
        "226(5) the shop": "Werkbank Halbton",
        "226(5) the customer's address": "Ahornallee 3",
        "226(6) extent of services": "1.5 h",
        "226(6) nature of goods": "Belt",
        "226(7) day of supply, another day": "20 Nov 2026",
        "226(8) taxable amount": "€139.50",
        "226(8) price without tax": "85.00",
        "226(9) rate": "19 %",
        "226(10) tax": "€26.51",
    }.items():
        assert words in printed, point
    assert legal.invoice_lacks(row, [german], by=owner.signature, on=at.date()) == []


def test_reverse_charge_names_the_customers_number_and_says_so(german: Job, owner: Staff) -> None:
    """Article 226(4) and (11a), the latter from memory."""
    tax("19")
    Customer.objects.update(tax_standing=TaxStanding.REVERSE_CHARGE, tax_number="FR00000000000")
    german.customer.refresh_from_db()
    row = issued(german, [item(currency="EUR")], by=owner)
    assert row.tax_minor == 0
    assert "Reverse charge" in text_of(row.paper)
    assert "FR00000000000" in text_of(row.paper)


def test_reverse_charge_without_the_customers_number_is_refused(german: Job, owner: Staff) -> None:
    tax("19")
    Customer.objects.update(tax_standing=TaxStanding.REVERSE_CHARGE)
    german.customer.refresh_from_db()
    with pytest.raises(Refusal, match=r"Article 226\(4\)"):
        drafted(german, [item(currency="EUR")], by=owner)


def test_an_exemption_gives_its_reference(german: Job, owner: Staff) -> None:
    """Article 226(11), from memory."""
    tax("19")
    Customer.objects.update(tax_standing=TaxStanding.EXEMPT, tax_number="certificate 7")
    german.customer.refresh_from_db()
    assert "Exempt: certificate 7" in text_of(issued(german, [item(currency="EUR")], by=owner).paper)


def test_cash_accounting_and_the_margin_scheme_are_said_in_words(german: Job, owner: Staff) -> None:
    """Article 226(7a) and (14), from memory."""
    OfficeRules.objects.update(cash_accounting=True)
    tax("19")
    lines = [item(currency="EUR"), item(LineKind.PART, "40.00", currency="EUR", margin=True)]
    row = issued(german, lines, by=owner)
    printed = text_of(row.paper)
    assert "Cash accounting" in printed
    assert "Margin scheme — Second-hand goods" in printed
    assert row.tax_minor == 16_15  # 19 % of 85.00 alone


FORM = {
    "defect": "No sound on the left",
    "repair_kind": "Replace the output devices",
    "price_minor": 180_00,
    "days_needed": 14,
    "handover_place": "Schieferweg 9, Lindenau",
}


def test_the_repair_information_form_carries_each_field_of_annex_i(german: Job, owner: Staff) -> None:
    form = actions.give_repair_form(
        job=german,
        by=owner,
        replacement="none",
        further_services="Return parcel €14.90",
        more="The case stays as it is.",
        **FORM,
    )
    printed = text_of(form.paper)
    for field, words in {
        "identity of the repairer": "Werkbank Halbton",
        "geographical address": "Schieferweg 9",
        "telephone": "+49 555 0142",
        "e-mail": "bench@halftone.example",
        "goods": "Quillhaven VX-318",
        "nature of the defect": "No sound on the left",
        "type of repair": "Replace the output devices",
        "price": "€180.00",
        "time needed": "14 days",
        "temporary replacement": "Temporary replacement none",
        "place of handing over": "Schieferweg 9, Lindenau",
        "further services": "Return parcel €14.90",
        "additional information": "The case stays as it is.",
        "free of charge": "costs you nothing",
    }.items():
        assert words in printed, field


@pytest.mark.parametrize(
    "on, until",
    [("2026-11-25", "2026-12-25"), ("2027-01-31", "2027-03-02"), ("2028-02-01", "2028-03-02")],
)
def test_the_forms_conditions_stand_for_thirty_calendar_days(
    german: Job, owner: Staff, on: str, until: str
) -> None:
    """Directive (EU) 2024/1799 Art. 4: 30 calendar days (legalregister.co.uk); the dates reckoned with Python's calendar."""
    at = dt.datetime.fromisoformat(f"{on}T12:00:00+00:00")
    form = actions.give_repair_form(job=german, by=owner, at=at, **FORM)
    assert form.valid_until == dt.date.fromisoformat(until)


def test_fewer_than_thirty_days_cant_be_agreed(german: Job, owner: Staff) -> None:
    at = dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC)
    form = actions.give_repair_form(job=german, by=owner, valid_days=7, at=at, **FORM)
    assert form.valid_until == dt.date(2026, 12, 25)


def test_a_form_that_lacks_a_field_is_not_given(german: Job, owner: Staff) -> None:
    with pytest.raises(Refusal, match="Annex I"):
        actions.give_repair_form(job=german, by=owner, **{**FORM, "handover_place": " "})
    assert not RepairForm.objects.exists()
