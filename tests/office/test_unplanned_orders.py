"""Events in orders that nobody planned: what was agreed, charged, taxed and paid holds all the same.

No source but arithmetic; for tax on what is paid before: Directive 2006/112/EC Art. 65, from memory.
"""

from __future__ import annotations

import pytest

from shop.counter.models import Customer, Job, TaxStanding
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import actions, queries
from shop.office.queries.figures import Period, figures
from shop.stockroom.actions import fit_part
from tests.factories.counter import booked_in
from tests.factories.office import (
    agreed,
    another_job,
    european_shop,
    issued,
    item,
    off,
    rules,
    sales_tax,
    tax,
)
from tests.office.test_estimates import answer

pytestmark = pytest.mark.django_db


def test_a_part_is_credited_then_the_customer_withdraws_and_nothing_more_is_charged(
    job: Job, owner: Staff
) -> None:
    """60 + 40 agreed and charged, 40 credited, then no repair: what was charged stands, nothing new does."""
    row = issued(job, [item(price="60.00"), item(price="40.00", description="More")], by=owner)
    actions.take_payment(customer=job.customer, invoice=row, amount_minor=100_00, how="cash", by=owner)
    second = row.lines.get(description="More")
    actions.credit(invoice=row, note="not needed", lines=[second.pk], by=owner)
    answer(job, owner, None, "withdrawn")
    assert queries.charged_before(job).minor == 60_00
    fit_part(job=job, by=owner, description="Belt", unit_price_ten_thousandths=1_0000)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], by=owner)
    with pytest.raises(Refusal):
        actions.issue_invoice(invoice=draft, by=owner)
    actions.refund(customer=job.customer, job=job, amount_minor=40_00, how="cash", by=owner)
    assert queries.money_of(job).deposits.minor == 0
    with pytest.raises(Refusal, match="No more than"):
        actions.refund(customer=job.customer, job=job, amount_minor=1, how="cash", by=owner)


def test_a_deposit_larger_than_the_invoice_is_paid_back_after_the_credit_too(job: Job, owner: Staff) -> None:
    """200 lies there, 85 is charged and credited again: 200 can be paid back, once."""
    pay = {"customer": job.customer, "job": job, "how": "card", "by": owner}
    actions.take_payment(amount_minor=200_00, **pay)
    row = issued(job, [item()], by=owner)
    assert (row.prepaid_minor, queries.money_of(job).deposits.minor) == (85_00, 115_00)
    actions.refund(amount_minor=115_00, **pay)
    actions.credit(invoice=row, note="wrong", by=owner)
    actions.refund(amount_minor=85_00, **pay)
    assert queries.money_of(job).deposits.minor == 0
    with pytest.raises(Refusal, match="No more than"):
        actions.refund(amount_minor=1, **pay)


def test_a_deposit_that_was_paid_back_pays_no_invoice(job: Job, owner: Staff) -> None:
    """100 came and 60 went back before the invoice of 85: 40 of it is paid, 45 is open."""
    pay = {"customer": job.customer, "job": job, "how": "card", "by": owner}
    actions.take_payment(amount_minor=100_00, **pay)
    actions.refund(amount_minor=60_00, **pay)
    row = issued(job, [item()], by=owner)
    assert (row.prepaid_minor, queries.open_minor(row)) == (40_00, 45_00)
    assert row.settled_at is None
    assert queries.money_of(job).deposits.minor == 0
    with pytest.raises(Refusal, match="no deposit"):
        actions.use_deposits(invoice=row, by=owner)


def test_a_vat_customer_changes_country_after_deposit_and_draft(owner: Staff) -> None:
    """119.00 taxed at 19 % when it came in; the customer turns out to be a business in Austria, which owes the tax itself.

    The draft is refused with what it comes to now; issued, it charges no tax and what the deposit carried comes off the period.
    """
    european_shop()
    rules()
    tax("19")
    job = booked_in(by=owner)
    actions.take_payment(customer=job.customer, job=job, amount_minor=119_00, how="card", by=owner)
    estimate = actions.put_estimate(
        estimate=actions.draft_estimate(job=job, items=[item(price="100.00", currency="EUR")], by=owner),
        by=owner,
    )
    answer(job, owner, estimate, "yes")
    draft = actions.draft_invoice(
        customer=job.customer, jobs=[job], items=[item(price="100.00", currency="EUR")], by=owner
    )
    Customer.objects.filter(pk=job.customer_id).update(
        country="AT", tax_standing=TaxStanding.REVERSE_CHARGE, tax_number="ATU13585627", organisation="Studio"
    )
    with pytest.raises(Refusal, match=r"comes to €100\.00, not to €119\.00"):
        actions.issue_invoice(invoice=draft, by=owner)
    draft.refresh_from_db()
    job = Job.objects.get(pk=job.pk)
    kept = actions.set_invoice_lines(
        invoice=draft, items=[item(price="100.00", currency="EUR", job=job)], by=owner
    )
    row = actions.issue_invoice(invoice=kept, by=owner)
    assert (row.total_minor, row.tax_minor, row.prepaid_minor) == (100_00, 0, 100_00)
    today = clock.today()
    actions.refund(customer=row.customer, job=job, amount_minor=19_00, how="card", by=owner)
    found = figures(Period(today, today), currency="EUR", today=today)
    assert (found.tax.minor, found.deposit_tax.minor) == (0, 0)


def test_two_jobs_on_one_invoice_keep_to_their_own_limits_whatever_is_taken_off(
    job: Job, owner: Staff
) -> None:
    """100 and 50 are agreed; 60 and 90 charged with 10 % off each: 54 is within, 81 is not, though 135 is below 150."""
    other = another_job(job.customer, by=owner)
    agreed(job, 100_00, by=owner)
    agreed(other, 50_00, by=owner)
    lines = [
        item(price="60.00", job=job), off("10", job=job),
        item(price="90.00", job=other, description="Other"), off("10", job=other),
    ]  # fmt: skip
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=lines, by=owner)
    assert draft.net_minor == 135_00
    with pytest.raises(Refusal, match=other.number):
        actions.issue_invoice(invoice=draft, by=owner)


def test_a_discount_of_more_than_the_whole_charges_nothing_less_than_nothing(job: Job, owner: Staff) -> None:
    """The estimate takes off 15.00; what is recorded comes to 10.00: the draft comes to nothing, not to −5.00."""
    sales_tax()
    estimate = actions.draft_estimate(
        job=job, items=[item("part", "20.00"), item("discount", "15.00", description="Delay")], by=owner
    )
    answer(job, owner, actions.put_estimate(estimate=estimate, by=owner), "yes")
    fit_part(job=job, by=owner, description="Belt", unit_price_ten_thousandths=10_0000)
    row = actions.issue_invoice(
        invoice=actions.draft_invoice(customer=job.customer, jobs=[job], by=owner), by=owner
    )
    assert (row.net_minor, row.tax_minor, row.total_minor) == (0, 0, 0)
    assert row.settled_at is not None
    with pytest.raises(Refusal, match="would charge more"):
        actions.credit(invoice=row, note="wrong", lines=[row.lines.get(kind="discount").pk], by=owner)


def test_a_version_without_the_discount_takes_the_promise_back(job: Job, owner: Staff) -> None:
    """10 % was promised on version 1; version 2, agreed to as well, names none: the invoice goes by the latest yes."""
    for items in ([item("part", "50.00"), off("10")], [item("part", "60.00")]):
        estimate = actions.put_estimate(
            estimate=actions.draft_estimate(job=job, items=items, by=owner), by=owner
        )
        answer(job, owner, estimate, "yes")
    fit_part(job=job, by=owner, description="Belt", unit_price_ten_thousandths=60_0000)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], by=owner)
    assert draft.net_minor == 60_00
