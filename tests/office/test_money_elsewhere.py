"""Money on one job and a debt on another, the order of a day, and who may say that an invoice is settled.

Source: common practice, no source; sums worked by hand.
"""

from __future__ import annotations

import datetime as dt

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries
from shop.office.models import Invoice
from shop.office.queries.figures import Period, figures
from tests.factories.counter import booked_in
from tests.factories.office import another_job, european_shop, issued, item, rules, tax
from tests.office.reading import text_of, words

pytestmark = [pytest.mark.django_db]


def test_money_on_one_job_settles_another_of_the_same_customer_when_somebody_chooses_so(
    job: Job, owner: Staff, client: Client
) -> None:
    other = another_job(job.customer, by=owner)
    actions.take_payment(customer=job.customer, job=other, amount_minor=100_00, how="cash", by=owner)
    row = issued(job, [item()], by=owner)
    assert row.prepaid_minor == 0  # never by itself
    client.force_login(owner)
    page = client.get(reverse("office:invoice", args=[row.pk])).content.decode()
    assert f"Use what lies on {other.number}" in page
    assert "$100.00" in page
    answer = client.post(reverse("office:use_deposits", args=[row.pk]), {"job": other.number})
    assert answer.status_code == 303
    row.refresh_from_db()
    assert row.settled_at is not None
    assert queries.money_of(other).deposits.minor == 15_00
    actions.refund(customer=job.customer, job=other, amount_minor=15_00, how="cash", by=owner)


def test_money_of_another_customer_and_of_a_job_that_owes_itself_is_left_alone(
    job: Job, owner: Staff
) -> None:
    row = issued(job, [item()], by=owner)
    stranger = booked_in(by=owner)
    actions.take_payment(customer=stranger.customer, job=stranger, amount_minor=100_00, how="cash", by=owner)
    with pytest.raises(Refusal, match="another customer’s"):
        actions.use_deposits(invoice=row, lying_on=stranger, by=owner)
    other = another_job(job.customer, by=owner)
    issued(other, [item()], by=owner)
    actions.take_payment(customer=job.customer, job=other, amount_minor=100_00, how="cash", by=owner)
    with pytest.raises(Refusal, match="Something is open"):
        actions.use_deposits(invoice=row, lying_on=other, by=owner)


def test_a_statement_tells_one_day_in_its_own_order(job: Job, owner: Staff) -> None:
    """Deposit at ten, invoice at eleven, the rest at noon: 50 paid, 85 charged, 35 paid."""
    at = [dt.datetime(2026, 5, 4, hour, tzinfo=dt.UTC) for hour in (16, 17, 18)]
    pay = {"customer": job.customer, "how": "cash", "by": owner}
    actions.take_payment(job=job, amount_minor=50_00, at=at[0], **pay)
    row = issued(job, [item()], by=owner, at=at[1])
    actions.take_payment(invoice=row, amount_minor=35_00, at=at[2], **pay)
    day = dt.date(2026, 5, 4)
    account = queries.account_of(job.customer, starts=day, ends=day, currency="USD")
    assert [one.balance.minor for one in account.entries] == [-50_00, 35_00, 0]


def test_a_deposit_carries_its_tax_when_it_comes_in_and_the_invoice_takes_it_over(owner: Staff) -> None:
    """Directive 2006/112/EC Art. 65 (from memory): 119.00 × 19 / 119 = 19.00; 40.00 of it: 6.39; back 79.00: 12.61."""
    european_shop()
    rules()
    tax("19")
    job = booked_in(by=owner)
    pay = {"customer": job.customer, "job": job, "how": "card", "by": owner}
    deposit = actions.take_payment(amount_minor=119_00, **pay)
    assert (str(deposit.tax_percent), deposit.tax_minor) == ("19", 19_00)
    said = text_of(job.papers.get(paper__kind="receipt").paper)
    assert "Tax in it, 19 %" in said
    assert "€19.00" in said
    today = clock.today()
    period = Period(today, today)
    assert figures(period, currency="EUR", today=today).deposit_tax.minor == 19_00
    row = issued(job, [item(price="33.61", currency="EUR")], by=owner)  # 33.61 + 6.39 = 40.00
    assert (row.total_minor, row.prepaid_minor) == (40_00, 40_00)
    paper = words(stored_bytes(row.paper))  # type: ignore[arg-type]
    assert [
        one for one in (f"receipt {deposit.receipt_number}", "19 % tax in it, €6.39,") if one not in paper
    ] == []
    found = figures(period, currency="EUR", today=today)
    assert (found.tax.minor, found.deposit_tax.minor) == (6_39, 12_61)
    actions.refund(amount_minor=79_00, **pay)
    assert figures(period, currency="EUR", today=today).deposit_tax.minor == 0


@pytest.mark.parametrize("change", [{"tax_number": ""}, {"country": "US", "law_profile": "us"}])
def test_a_deposit_carries_no_tax_where_no_country_wants_it(owner: Staff, change: dict[str, str]) -> None:
    european_shop(**change)
    rules()
    tax("19")
    job = booked_in(by=owner)
    deposit = actions.take_payment(customer=job.customer, job=job, amount_minor=119_00, how="card", by=owner)
    assert (deposit.tax_percent, deposit.tax_minor) == (None, 0)


@pytest.mark.postgres
def test_nobody_calls_an_invoice_settled_that_is_not_or_open_that_was(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    for column in ("settled_at", "taken_back_at"):
        with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(
                f"UPDATE office_invoice SET {column} = drafted_at WHERE id = %s",  # noqa: S608
                [row.pk],
            )
    actions.take_payment(customer=job.customer, invoice=row, amount_minor=85_00, how="cash", by=owner)
    with pytest.raises(DatabaseError), transaction.atomic():
        Invoice.objects.filter(pk=row.pk).update(settled_at=None)
    actions.credit(invoice=row, note="wrong", by=owner)
    row.refresh_from_db()
    assert row.taken_back_at is not None
    with pytest.raises(DatabaseError), transaction.atomic():
        Invoice.objects.filter(pk=row.pk).update(taken_back_at=None)


def test_all_of_a_deposit_is_paid_back_in_coins_and_nothing_is_left_lying(owner: Staff) -> None:
    """CHF 16.74 in cash is 16.75, 16.72 is 16.70 (no coin below 5 centimes); a part of it, or by card, is as typed."""
    european_shop(country="CH", currency="CHF", law_profile="general", language="en-CH")
    job = booked_in(by=owner)
    pay = {"customer": job.customer, "job": job, "by": owner}
    for paid, back, how, rounded in (
        (16_74, 16_75, "cash", -1), (16_72, 16_70, "cash", 2), (16_74, 16_74, "card", 0),
    ):  # fmt: skip
        actions.take_payment(amount_minor=paid, how="card", **pay)
        refund = actions.refund(amount_minor=back, how=how, **pay)
        assert (refund.amount_minor, refund.rounding_minor) == (-back, rounded)
        assert queries.money_of(job).deposits.minor == 0
    assert "Rounded to coins" in text_of(job.papers.filter(paper__kind="receipt").order_by("id")[3].paper)
    actions.take_payment(amount_minor=16_74, how="card", **pay)
    with pytest.raises(Refusal, match="No more than"):
        actions.refund(amount_minor=16_75, how="card", **pay)
    day = clock.today()
    account = queries.account_of(job.customer, starts=day, ends=day, currency="CHF")
    assert account.balance.minor == -16_74
