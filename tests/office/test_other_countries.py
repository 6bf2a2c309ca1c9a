"""What a shop outside California charges, prints and is told: VAT on every kind of line, its own currency, its own law.

Sources: Directive 2006/112/EC Article 226 (8) to (10); § 147(3) AO and § 14b UStG (eight
years, from memory). Sums worked by hand.
"""

from __future__ import annotations

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from shop.counter.models import Customer, Job, TaxStanding
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.models import ShopProfile, Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.law import Paper
from shop.keeping.papers import stored_bytes
from shop.office import actions
from shop.office.models import LineKind, OfficeRules
from shop.premises.actions import change_profile
from shop.window.actions import open_window
from tests.factories.counter import booked_in
from tests.factories.office import agreed, drafted, european_shop, issued, item, rules, tax
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
    assert "Before tax" not in said
    assert "not part of the estimate" not in said


def test_a_consumers_estimate_adds_up_in_prices_with_tax(german: Job, owner: Staff) -> None:
    """33.33 × 0.19 = 6.3327 each, 12.6654 → 12.67 on both, so one line has a cent more: 39.66 + 39.67 = 79.33."""
    tax("19", LineKind.LABOUR)
    tax("7", LineKind.PART)
    lines = [euro(price="33.33"), euro(LineKind.PART, "10.05"), euro(price="33.33")]
    draft = actions.draft_estimate(job=german, items=lines, by=owner)  # type: ignore[arg-type]
    said = words(stored_bytes(actions.put_estimate(estimate=draft, by=owner).paper))  # type: ignore[arg-type]
    assert "39.67" in said
    assert "39.66" in said
    assert "Labour together 79.33" in said
    assert "10.75" in said  # 10.05 × 1.07 = 10.7535
    assert "Total with tax €90.08" in said  # 79.33 + 10.75; tax 12.67 + 0.70
    assert "Tax in it €13.37" in said
    assert "33.33" not in said
    assert "Price each" not in said


@pytest.mark.parametrize(
    "facts",
    [{"organisation": "Lantern Room Studio"}, {"tax_standing": "reverse_charge", "tax_number": "ATU1"}],
)
def test_a_business_reads_its_estimate_before_tax(german: Job, owner: Staff, facts: dict[str, str]) -> None:
    tax("19")
    Customer.objects.update(**facts)
    german.customer.refresh_from_db()
    draft = actions.draft_estimate(job=german, items=[euro(price="100.00")], by=owner)  # type: ignore[list-item]
    said = words(stored_bytes(actions.put_estimate(estimate=draft, by=owner).paper))  # type: ignore[arg-type]
    assert "Price each" in said
    assert ("Before tax €100.00" in said) is ("organisation" in facts)


def test_the_window_of_a_shop_abroad_shows_what_the_customer_pays(
    german: Job, owner: Staff, client: Client
) -> None:
    tax("19")
    draft = actions.draft_estimate(job=german, items=[euro(price="100.00")], by=owner)  # type: ignore[list-item]
    actions.put_estimate(estimate=draft, by=owner)
    page = client.get(reverse("window:open", args=[open_window(job=german, by=owner)])).content.decode()
    assert page.count("€119.00") == 2
    assert "Before tax" not in page
    ShopProfile.objects.update(country="US", law_profile="california")
    page = client.get(reverse("window:open", args=[open_window(job=german, by=owner)])).content.decode()
    assert "Before tax" in page


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


@pytest.mark.parametrize("what", ["an open job", "an unpaid invoice", "a draft", "a deposit"])
def test_a_shop_keeps_its_currency_while_something_is_open_in_it(job: Job, owner: Staff, what: str) -> None:
    words = {
        "an open job": job.number,
        "a draft": "1 draft invoice",
        "a deposit": f"deposit (on {job.number})",
    }
    if what == "an unpaid invoice":
        row = issued(job, [item()], by=owner)
        words[what] = f"1 unpaid invoice ({row.number})"
    elif what == "a draft":
        drafted(job, [item()], by=owner)
    elif what == "a deposit":
        actions.take_payment(customer=job.customer, job=job, amount_minor=5000, how="cash", by=owner)
    if what != "an open job":
        Job.objects.filter(pk=job.pk).update(stage=Stage.CALLED_OFF, ended_at=clock.now())
    with pytest.raises(Refusal, match=re.escape(words[what])):
        change_profile(by=owner, currency="EUR")
    assert the_profile().currency == "USD"


def test_a_shop_without_anything_open_reckons_in_another_currency_and_mixes_nothing(
    job: Job, owner: Staff, client: Client
) -> None:
    row = issued(job, [item(price="85.00")], by=owner)
    actions.take_payment(
        customer=job.customer, invoice=row, amount_minor=row.total_minor, how="cash", by=owner
    )
    Job.objects.filter(pk=job.pk).update(stage=Stage.CALLED_OFF, ended_at=clock.now())
    change_profile(by=owner, currency="EUR")
    with pytest.raises(Refusal, match="works in EUR now"):
        actions.draft_invoice(customer=job.customer, jobs=[job], items=[item()], by=owner)
    credited = actions.credit(invoice=row, note="wrong", by=owner)
    assert (credited.currency, credited.total_minor) == ("USD", -85_00)
    back = actions.refund(customer=job.customer, amount_minor=85_00, how="cash", job=job, by=owner)
    assert back.currency == "USD"
    new = booked_in(by=owner)
    assert issued(new, [euro()], by=owner).currency == "EUR"  # type: ignore[list-item]
    client.force_login(owner)
    assert client.get(reverse("office:office")).status_code == 200
    assert client.get(reverse("office:account", args=[job.customer_id])).status_code == 200


def test_a_minimum_charge_in_cents_never_becomes_as_many_yen(job: Job, owner: Staff) -> None:
    """ISO 4217: the yen has no decimals."""
    Job.objects.filter(pk=job.pk).update(stage=Stage.CALLED_OFF, ended_at=clock.now())
    OfficeRules.objects.update(minimum_minor=40_00)
    with pytest.raises(Refusal, match="other decimals"):
        change_profile(by=owner, currency="JPY")
    change_profile(by=owner, currency="EUR")


@pytest.mark.parametrize("country, profile", [("DE", "eu"), ("GB", "uk"), ("CH", "general")])
def test_a_registered_shop_without_any_rule_is_told_before_anything_goes_out_untaxed(
    german: Job, owner: Staff, country: str, profile: str
) -> None:
    ShopProfile.objects.update(country=country, law_profile=profile)
    with pytest.raises(Refusal, match=r"no standard tax rule for labou?r"):
        issued(german, [euro()], by=owner)  # type: ignore[list-item]
    tax("8.1")
    assert issued(german, [euro()], by=owner).tax_minor == 6_89  # type: ignore[list-item]  # 85.00 × 0.081 = 6.885


def test_a_shop_below_the_threshold_needs_no_rule(german: Job, owner: Staff) -> None:
    ShopProfile.objects.update(tax_number="")
    assert issued(german, [euro()], by=owner).tax_minor == 0  # type: ignore[list-item]
