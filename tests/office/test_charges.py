"""Everything chargeable is charged at most once: a ledger of charges, written at issue, set free by a credit alone.

No source: a shop's own promise to its customers; the sums were worked by hand.
"""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse

from shop.bench import actions as bench
from shop.bench.models import Stint, WorkKind
from shop.counter.models import Job
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import actions, pricing, queries
from shop.office.models import Charge, Invoice, LineKind
from shop.stockroom.actions import fit_part, strike_part
from tests.factories.office import agreed, another_job, item

pytestmark = pytest.mark.django_db
NOON = dt.datetime(2026, 11, 20, 12, tzinfo=dt.UTC)


@pytest.fixture
def job(job: Job, owner: Staff) -> Job:
    """The office's job, with everything agreed that these tests charge."""
    agreed(job, 10**9, by=owner)
    return job


def worked(job: Job, by: Staff, minutes: int, *, start: int = 0, kind: str = WorkKind.REPAIR) -> Stint:
    begun = NOON + dt.timedelta(minutes=start)
    stint = bench.start_stint(job=job, by=by, kind=kind, at=begun)
    return bench.stop_stint(stint=stint, by=by, at=begun + dt.timedelta(minutes=minutes))


def fitted(job: Job, by: Staff, words: str = "Capacitor", price: int | None = 30_000) -> Any:
    return fit_part(job=job, description=words, unit_price_ten_thousandths=price, by=by)


def draft(job: Job, by: Staff, items: Any = None, **more: Any) -> Invoice:
    return actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=by, **more)


def issue(invoice: Invoice, by: Staff) -> Invoice:
    return actions.issue_invoice(invoice=invoice, by=by)


def nets(invoice: Invoice) -> list[tuple[str, int]]:
    return [(line.description, line.net_minor) for line in invoice.lines.all()]


def test_two_drafts_of_the_same_records_do_not_both_issue(job: Job, owner: Staff) -> None:
    worked(job, owner, 60)
    first, second = draft(job, owner), draft(job, owner)
    row = issue(first, owner)
    with pytest.raises(Refusal, match=f"charged on {row.number} already"):
        issue(second, owner)
    second.refresh_from_db()
    assert second.number == ""


def test_a_part_fitted_after_the_draft_and_typed_in_by_hand_is_not_charged_again(
    job: Job, owner: Staff
) -> None:
    worked(job, owner, 60)
    row = draft(job, owner)
    fitted(job, owner)
    lines = pricing.as_items(list(row.lines.all()), row.currency, job)
    typed = item(LineKind.PART, "3.00", description="capacitor ")
    actions.set_invoice_lines(invoice=row, items=[*lines, typed], by=owner)
    issue(row, owner)
    assert nets(draft(job, owner)) == [("Work done, nothing charged", 0)]


def test_hours_of_a_clock_that_ran_while_the_draft_was_made_come_on_the_next_one(
    job: Job, owner: Staff
) -> None:
    worked(job, owner, 60)
    running = bench.start_stint(job=job, by=owner, kind=WorkKind.REPAIR, at=NOON + dt.timedelta(hours=2))
    row = draft(job, owner, at=NOON + dt.timedelta(hours=2, minutes=10))
    bench.stop_stint(stint=running, by=owner, at=NOON + dt.timedelta(hours=3))
    issue(row, owner)
    assert nets(row) == [("Repair", 85_00)]
    assert nets(draft(job, owner)) == [("Repair", 85_00)]


def test_the_draft_shows_what_has_come_since_and_takes_it_in_by_one_click(
    job: Job, owner: Staff, client: Client
) -> None:
    client.force_login(owner)
    worked(job, owner, 60)
    row = draft(job, owner)
    address = reverse("office:invoice", args=[row.pk])
    assert "not on this draft" not in client.get(address).content.decode()
    fitted(job, owner)
    bench.start_stint(job=job, by=owner, kind=WorkKind.REPAIR)
    page = client.get(address).content.decode()
    assert "Recorded, and not on this draft" in page
    assert "A clock runs on" in page
    assert client.post(reverse("office:take_in", args=[row.pk])).status_code == 303
    assert nets(row) == [("Repair", 85_00), ("Capacitor", 3_00)]
    issue(row, owner)
    assert Charge.objects.count() == 2


def test_what_was_taken_off_a_draft_stays_to_be_charged_until_somebody_decides(
    job: Job, owner: Staff
) -> None:
    worked(job, owner, 60)
    fitted(job, owner)
    row = draft(job, owner)
    hours = pricing.as_items(list(row.lines.all())[:1], row.currency, job)
    issue(actions.set_invoice_lines(invoice=row, items=hours, by=owner), owner)
    again = draft(job, owner)
    assert nets(again) == [("Capacitor", 3_00)]
    free = actions.set_invoice_lines(invoice=again, items=[item(price="0")], by=owner)
    issue(actions.leave_out(invoice=free, by=owner), owner)
    assert nets(draft(job, owner)) == [("Work done, nothing charged", 0)]


def test_a_credit_says_for_each_line_whether_it_may_be_charged_again(job: Job, owner: Staff) -> None:
    worked(job, owner, 60)
    fitted(job, owner)
    row = issue(draft(job, owner), owner)
    hours, part = row.lines.all()
    actions.credit(invoice=row, note="The belt was no good", free=[part.pk], by=owner)
    assert nets(draft(job, owner)) == [("Capacitor", 3_00)]
    assert Charge.objects.get(line=hours).released_at is None


def test_a_credit_takes_back_some_lines_and_another_the_rest_to_the_cent(job: Job, owner: Staff) -> None:
    """Parts of 0.33, three times, at 8.25 %: tax 0.08 in all; 0.03 each by itself would make 0.09."""
    row = issue(
        draft(job, owner, [item(LineKind.PART, "0.33", description=f"P{n}") for n in range(3)]), owner
    )
    assert row.tax_minor == 8
    actions.take_payment(
        customer=job.customer, invoice=row, amount_minor=row.total_minor, how="cash", by=owner
    )
    first, second, third = row.lines.all()
    notes = [
        actions.credit(invoice=row, note="Came back", lines=[line.pk], by=owner) for line in (first, second)
    ]
    row.refresh_from_db()
    assert row.taken_back_at is None
    assert queries.money_of(job).deposits.minor == -sum(one.total_minor for one in notes)
    notes.append(actions.credit(invoice=row, note="All of it", by=owner))
    assert sum(one.tax_minor for one in notes) == -row.tax_minor
    assert sum(one.total_minor for one in notes) == -row.total_minor
    assert queries.balance_of(job).minor == 0
    with pytest.raises(Refusal, match="credited already"):
        actions.credit(invoice=row, note="Once more", by=owner)
    assert third.taken_back_by.count() == 1


def test_a_part_without_a_price_is_asked_for_and_never_nothing(
    job: Job, owner: Staff, client: Client
) -> None:
    fitted(job, owner, "Belt from a donor deck", None)
    row = draft(job, owner)
    with pytest.raises(Refusal, match=r"Say what these cost.*Belt from a donor deck"):
        issue(row, owner)
    client.force_login(owner)
    page = client.get(reverse("office:invoice", args=[row.pk])).content.decode()
    assert 'name="l0-unit_price" value=' not in page.replace('name="l0-unit_price" class', "")
    with pytest.raises(Refusal, match="Say what these cost"):
        actions.put_estimate(estimate=actions.draft_estimate(job=job, by=owner), by=owner)
    priced = item(LineKind.PART, "4.00", description="Belt from a donor deck")
    issue(actions.set_invoice_lines(invoice=row, items=[priced], by=owner), owner)
    assert nets(draft(job, owner)) == [("Work done, nothing charged", 0)]


def test_a_line_stays_with_the_job_that_it_was_recorded_on(job: Job, owner: Staff) -> None:
    """So that nothing is moved to the job whose customer agreed to more."""
    other = another_job(job.customer, by=owner)
    agreed(other, 10**9, by=owner)
    worked(job, owner, 60)
    row = actions.draft_invoice(customer=job.customer, jobs=[job, other], by=owner)
    moved = pricing.as_items(list(row.lines.all())[:1], row.currency, other)
    with pytest.raises(Refusal, match=f"recorded on {job.number}"):
        actions.set_invoice_lines(invoice=row, items=moved, by=owner)


def test_a_part_struck_out_since_the_draft_is_not_charged(job: Job, owner: Staff) -> None:
    part = fitted(job, owner)
    row = draft(job, owner)
    strike_part(fitted=part, reason="Wrong one", by=owner)
    with pytest.raises(Refusal, match="struck out since"):
        issue(row, owner)


def test_the_minimum_and_the_bench_fee_are_charged_once_a_job(job: Job, owner: Staff) -> None:
    Job.objects.filter(pk=job.pk).update(bench_fee_minor=45_00)
    job.refresh_from_db()
    issue(draft(job, owner), owner)
    fitted(job, owner)
    assert nets(draft(job, owner)) == [("Capacitor", 3_00)]


def test_the_database_itself_refuses_a_second_charge(job: Job, owner: Staff) -> None:
    worked(job, owner, 60)
    row = issue(draft(job, owner), owner)
    one = row.charges.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        Charge.objects.create(source=one.source, source_id=one.source_id, job=job, invoice=row)
    with pytest.raises(IntegrityError), transaction.atomic():
        one.delete()


def test_what_is_struck_out_after_it_was_charged_is_told_until_a_credit_takes_it_off(
    job: Job, owner: Staff, client: Client
) -> None:
    client.force_login(owner)
    part = fitted(job, owner)
    worked(job, owner, 60)
    row = issue(draft(job, owner), owner)
    assert not queries.struck_since([job])
    strike_part(fitted=part, reason="Taken out again", by=owner)
    told = f"“Capacitor” stands on {row.number}"
    page = reverse("office:invoice", args=[row.pk])
    assert told in client.get(reverse("records:first_screen")).content.decode()
    assert "Charged here, and struck out at the bench since: Capacitor" in client.get(page).content.decode()
    (line,) = [one for one in queries.lines_left(row) if one.description == "Capacitor"]
    actions.credit(invoice=row, note="Taken out again", lines=[line.pk], by=owner)
    assert not queries.struck_since([job])
    assert told not in client.get(reverse("records:first_screen")).content.decode()
