"""What a shop outside California charges, prints and is told: VAT on every kind of line, its own currency, its own law.

Sources: Directive 2006/112/EC Article 226 (8) to (10); 16 CCR 2722 (no minimum amount); § 147(3) AO and § 14b UStG (eight
years, from memory). Sums worked by hand.
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from shop.counter.models import Customer, Job, TaxStanding
from shop.frame import clock
from shop.frame.models import ShopProfile, Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.law import Paper
from shop.keeping.papers import stored_bytes
from shop.office import actions
from shop.office.forms.lines import MINIMUM_AMOUNT
from shop.office.models import LineKind, OfficeRules
from tests.factories.counter import booked_in
from tests.factories.office import agreed, european_shop, issued, item, rules, tax
from tests.office.reading import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def german(owner: Staff) -> Job:
    european_shop()
    rules()
    return booked_in(by=owner)


def euro(kind: str = LineKind.LABOUR, price: str = "85.00", **more: object) -> object:
    return item(kind, price, currency="EUR", **more)  # type: ignore[arg-type]


def test_a_vat_shop_without_a_rule_for_shipping_is_told_and_can_mend_it_the_same_day(
    german: Job, owner: Staff
) -> None:
    tax("19", LineKind.LABOUR, LineKind.PART)
    issued(german, [euro()], by=owner)  # type: ignore[list-item]
    items = [euro(), euro(LineKind.SHIPPING, "14.90")]
    with pytest.raises(Refusal, match="no standard tax rule for shipping"):
        issued(german, items, by=owner)  # type: ignore[arg-type]
    actions.add_tax_rule(
        name="VAT",
        kinds=[LineKind.SHIPPING],
        rate_percent=Decimal(19),
        category="S",
        from_date=clock.today(),
        source="invented",
        by=owner,
    )
    row = issued(german, items, by=owner)  # type: ignore[arg-type]
    assert (row.net_minor, row.tax_minor) == (99_90, 18_98)  # 99.90 × 0.19 = 18.981


def test_the_paper_of_a_vat_shop_says_the_rate_of_each_line_and_what_is_taxed_at_nothing(
    german: Job, owner: Staff
) -> None:
    tax("19", LineKind.LABOUR)
    tax("0", LineKind.PART, category="Z", name="Zero-rated")
    tax("19", LineKind.SHIPPING, LineKind.BENCH_FEE, LineKind.OTHER)
    row = issued(german, [euro(), euro(LineKind.PART, "10.00")], by=owner)  # type: ignore[list-item]
    said = words(stored_bytes(row.paper))  # type: ignore[arg-type]
    assert "VAT 19 % on €85.00" in said
    assert "Zero-rated 0 % on €10.00" in said


def test_a_consumers_estimate_outside_california_ends_with_the_price_with_tax(
    german: Job, owner: Staff
) -> None:
    tax("19")
    draft = actions.draft_estimate(job=german, items=[euro(price="100.00")], by=owner)  # type: ignore[list-item]
    said = words(stored_bytes(actions.put_estimate(estimate=draft, by=owner).paper))  # type: ignore[arg-type]
    assert "Total with tax €119.00" in said
    assert "not part of the estimate" not in said


def test_a_job_of_another_currency_is_refused_in_a_sentence_and_nothing_is_mixed(
    job: Job, owner: Staff
) -> None:
    agreed(job, 10**9, by=owner)
    ShopProfile.objects.update(currency="EUR")
    with pytest.raises(Refusal, match="taken in in USD"):
        actions.draft_invoice(customer=job.customer, jobs=[job], by=owner)
    with pytest.raises(Refusal, match="taken in in USD"):
        actions.draft_estimate(job=job, by=owner)
    with pytest.raises(Refusal, match="taken in in USD"):
        actions.take_payment(customer=job.customer, job=job, amount_minor=100, how="cash", by=owner)


@pytest.mark.parametrize(
    "words, is_one",
    [
        ("Repair from $80", True),
        ("Recap, min. $200", True),
        ("Recap $200+", True),
        ("minimum of 90", True),
        ("From EUR 80", True),
        ("Belt from 1978 donor deck", False),
        ("Transistor 2SC1815, min. hFE matched", False),
        ("Fuse 5 A, 10 pieces", False),
    ],
)
def test_a_minimum_amount_is_told_from_a_year(words: str, is_one: bool) -> None:
    """16 CCR 2722: an estimate is not described with a minimum amount."""
    assert bool(MINIMUM_AMOUNT.search(words)) is is_one


def test_a_german_shop_keeps_invoices_eight_years_and_a_californian_as_before(german: Job) -> None:
    issued_on = dt.date(2026, 11, 29)
    assert the_profile().law.keep_until(Paper.INVOICE, issued_on) == dt.date(2034, 12, 31)
    ShopProfile.objects.update(country="FR")
    assert the_profile().law.keep_until(Paper.INVOICE, issued_on) == dt.date(2036, 12, 31)


def test_a_draft_says_what_would_make_its_e_invoice_fail(german: Job, owner: Staff, client: Client) -> None:
    """BR-AE-02; the check digits of the Austrian number are wrong (python-stdnum)."""
    OfficeRules.objects.update(einvoice=True)
    tax("19")
    client.force_login(owner)
    for country, sentence in (("", "BR-AE-02"), ("AT", "ATU12345678 can’t be right by its check digits")):
        Customer.objects.filter(pk=german.customer_id).update(
            tax_standing=TaxStanding.REVERSE_CHARGE, tax_number="U12345678", country=country
        )
        german.customer.refresh_from_db()
        row = actions.draft_invoice(customer=german.customer, jobs=[german], items=[euro()], by=owner)  # type: ignore[list-item]
        assert sentence in client.get(reverse("office:invoice", args=[row.pk])).content.decode()
