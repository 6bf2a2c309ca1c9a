"""Deposits, payments, refunds, releases: money is never lost, never counted twice, and each movement has its paper."""

from __future__ import annotations

import datetime as dt
import uuid

import pytest
from django.db.models import Sum

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
from shop.office import actions, queries
from shop.office.models import Allocation, LineKind, Payment
from tests.factories.office import another_job, issued, item
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db


def pay(job: Job, minor: int, by: Staff, /, **more: object) -> Payment:
    return actions.take_payment(customer=job.customer, amount_minor=minor, how="cash", by=by, **more)  # type: ignore[arg-type]


def test_a_deposit_lies_on_the_job_until_an_invoice_takes_it_up(job: Job, owner: Staff) -> None:
    pay(job, 40_00, owner, job=job)
    assert queries.money_of(job).deposits.minor == 40_00
    row = issued(job, [item()], by=owner)
    assert row.prepaid_minor == 40_00
    assert queries.balance_of(job).minor == 45_00
    assert queries.money_of(job).deposits.minor == 0


def test_part_payments_settle_an_invoice_and_then_it_is_not_listed_as_open(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    pay(job, 50_00, owner, invoice=row)
    assert [(one.pk, one.open.minor) for one in queries.open_invoices()] == [(row.pk, 35_00)]
    pay(job, 35_00, owner, invoice=row)
    assert not queries.open_invoices().exists()
    row.refresh_from_db()
    assert row.settled_at is not None
    # each stands on the invoice's page with its receipt
    shown = [receipt for _one, receipt in queries.settlement_of(row)["paid_by"]]
    assert shown == list(
        job.papers.filter(paper__kind="receipt").values_list("paper", flat=True).order_by("paper")
    )


def test_what_is_paid_beyond_the_invoice_stays_the_customers_and_can_be_paid_back(
    job: Job, owner: Staff
) -> None:
    row = issued(job, [item()], by=owner)
    pay(job, 100_00, owner, invoice=row)
    assert queries.money_of(job).deposits.minor == 15_00
    with pytest.raises(Refusal, match=r"No more than \$15\.00"):
        actions.refund(customer=job.customer, job=job, amount_minor=15_01, how="cash", by=owner)
    actions.refund(customer=job.customer, job=job, amount_minor=15_00, how="cash", by=owner)
    assert queries.money_of(job).deposits.minor == 0


def test_a_deposit_taken_after_the_invoice_can_be_set_against_it(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    pay(job, 85_00, owner, job=job)
    actions.use_deposits(invoice=row, by=owner)
    assert queries.balance_of(job).minor == 0


def test_crediting_a_paid_invoice_sets_the_money_free_for_the_right_one(job: Job, owner: Staff) -> None:
    row = issued(job, [item(price="99.00")], by=owner)
    pay(job, 99_00, owner, invoice=row)
    actions.credit(invoice=row, note="Wrong price", by=owner)
    assert queries.balance_of(job).minor == 0
    assert queries.money_of(job).deposits.minor == 99_00
    right = actions.issue_invoice(
        invoice=actions.draft_invoice(customer=job.customer, jobs=[job], items=[item()], by=owner), by=owner
    )
    assert right.prepaid_minor == 85_00
    assert queries.money_of(job).deposits.minor == 14_00


def test_allocations_of_a_payment_always_add_up_to_it(job: Job, owner: Staff) -> None:
    pay(job, 40_00, owner, job=job)
    row = issued(job, [item()], by=owner)
    pay(job, 60_00, owner, invoice=row)
    actions.credit(invoice=row, note="Wrong unit", by=owner)
    for payment in Payment.objects.all():
        total = Allocation.objects.filter(payment=payment).aggregate(total=Sum("amount_minor"))["total"]
        assert total == payment.amount_minor


@pytest.mark.parametrize("minor", [0, -1])
def test_a_payment_of_nothing_or_less_is_refused(job: Job, owner: Staff, minor: int) -> None:
    with pytest.raises(Refusal, match="more than nothing"):
        pay(job, minor, owner, job=job)


def test_money_is_taken_on_issued_invoices_only(job: Job, owner: Staff) -> None:
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item()], by=owner)
    with pytest.raises(Refusal, match="draft"):
        pay(job, 1_00, owner, invoice=draft)
    row = issued(job, [item()], by=owner)
    note = actions.credit(invoice=row, note="Wrong unit", by=owner)
    for wrong in (row, note):
        with pytest.raises(Refusal):
            pay(job, 1_00, owner, invoice=wrong)


def test_the_same_form_sent_twice_takes_the_money_once(job: Job, owner: Staff) -> None:
    key = uuid.uuid4()
    pay(job, 40_00, owner, job=job, once_key=key)
    with pytest.raises(AlreadyTaken):
        pay(job, 40_00, owner, job=job, once_key=key)
    assert Payment.objects.count() == 1


def test_every_payment_deposit_and_refund_has_its_receipt(job: Job, owner: Staff) -> None:
    pay(job, 40_00, owner, job=job, reference="slip 7")
    actions.refund(customer=job.customer, job=job, amount_minor=40_00, how="cash", by=owner)
    deposit, refund = (
        text_of(filed.paper) for filed in job.papers.filter(paper__kind="receipt").order_by("paper_id")
    )
    assert "Deposit" in deposit
    assert "$40.00" in deposit
    assert "slip 7" in deposit
    assert "Refund" in refund
    assert "Paid back" in refund


def test_a_unit_does_not_leave_with_a_balance_open_unless_a_named_person_says_why(
    job: Job, owner: Staff
) -> None:
    issued(job, [item()], by=owner)
    job.refresh_from_db()
    assert "$85.00 is open" in (queries.holds_back(job) or "")
    with pytest.raises(Refusal, match="Write the reason"):
        actions.release_unpaid(job=job, reason="ok", by=owner)
    released = actions.release_unpaid(job=job, reason="pays by transfer on Friday", by=owner)
    assert released.by == owner
    assert queries.holds_back(job) is None


def test_an_invoice_over_two_jobs_holds_both_units_back_until_it_is_paid(job: Job, owner: Staff) -> None:
    other = another_job(job.customer, by=owner)
    for one in (job, other):
        actions.record_answer(
            job=one, answer="up_to", how="written", given_by="M. Osei", up_to_minor=10**6, by=owner
        )
    items = [item(job=job), item(LineKind.SHIPPING, "14.90", job=other)]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=items, by=owner)
    row = actions.issue_invoice(invoice=draft, by=owner)
    assert queries.holds_back(job)
    assert queries.holds_back(other)
    pay(job, 99_90, owner, invoice=row)
    assert queries.holds_back(job) is None
    assert queries.holds_back(other) is None


def test_the_statement_adds_up_and_names_every_movement(job: Job, owner: Staff) -> None:
    row = issued(job, [item()], by=owner)
    pay(job, 50_00, owner, invoice=row)
    today = clock.today()
    account = queries.account_of(
        job.customer, starts=today - dt.timedelta(days=30), ends=today + dt.timedelta(days=1), currency="USD"
    )
    assert [entry.amount.minor for entry in account.entries] == [85_00, -50_00]
    assert account.balance.minor == 35_00
    letter = actions.make_statement(customer=job.customer, starts=account.starts, ends=account.ends, by=owner)
    printed = text_of(letter.paper)
    assert row.number in printed
    assert "To pay $35.00" in printed


def test_what_came_before_the_statement_is_brought_forward(job: Job, owner: Staff) -> None:
    long_ago = dt.datetime(2025, 3, 1, 12, tzinfo=dt.UTC)
    issued(job, [item()], by=owner, at=long_ago)
    account = queries.account_of(
        job.customer, starts=dt.date(2026, 1, 1), ends=dt.date(2026, 12, 31), currency="USD"
    )
    assert account.brought_forward.minor == 85_00
    assert list(account.entries) == []
    assert account.balance.minor == 85_00
