"""What nobody should type, typed: refused with a sentence, or right to the cent; and lines that would be moved to be paid.

Sums worked by hand; 16 CCR 2722 (nothing above what was agreed, for each job).
"""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries
from shop.office.models import Invoice, OfficeRules, TaxRule
from tests.factories.office import agreed, another_job, drafted, item, on_the_bench, rates, rules, tax
from tests.office.reading import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(job: Job, owner: Staff, client: Client) -> Invoice:
    client.force_login(owner)
    return drafted(job, [item()], by=owner)


def sheet(*rows: dict[str, Any], count: int | None = None) -> dict[str, Any]:
    """A sheet of lines as the page sends it."""
    usual = {"kind": "labour", "unit": "pc", "quantity": "1", "unit_price": "10.00", "description": "Work"}
    sent: dict[str, Any] = {"count": len(rows) if count is None else count}
    for at, row in enumerate(rows):
        sent |= {f"l{at}-{name}": value for name, value in {**usual, **row}.items()}
    return sent


def keep(client: Client, draft: Invoice, sent: dict[str, Any]) -> tuple[int, str]:
    answer = client.post(reverse("office:set_invoice_lines", args=[draft.pk]), sent)
    draft.refresh_from_db()
    return answer.status_code, answer.content.decode()


def test_two_hundred_lines_are_right_and_too_many_are_refused_without_losing_one(
    draft: Invoice, client: Client, owner: Staff
) -> None:
    status, _ = keep(client, draft, sheet(*({"unit_price": "1.01"} for _ in range(200))))
    assert (status, draft.total_minor, draft.lines.count()) == (303, 202_00, 200)
    row = actions.issue_invoice(invoice=draft, by=owner)
    assert "$202.00" in words(stored_bytes(row.paper))  # type: ignore[arg-type]


def test_four_hundred_and_one_lines_are_refused(draft: Invoice, client: Client) -> None:
    status, page = keep(client, draft, sheet(*({"unit_price": "1.00"} for _ in range(401))))
    assert status == 422
    assert "up to 400 go on one paper" in page
    assert 'name="l400-description"' in page
    assert draft.total_minor == 85_00


@pytest.mark.parametrize(
    "row, sentence",
    [
        ({"description": "x" * 5000}, "300"),
        ({"description": "Belt\x00"}, "Null characters"),
        ({"quantity": "1e9"}, ""),
        ({"quantity": "99999999999999"}, ""),
        ({"unit_price": "1e308"}, ""),
        ({"unit_price": "-5"}, ""),
        ({"kind": "bribe"}, ""),
    ],
)
def test_what_no_line_can_be_is_refused_at_its_field_and_nothing_is_written(
    draft: Invoice, client: Client, row: dict[str, str], sentence: str
) -> None:
    status, page = keep(client, draft, sheet({}, row))
    assert status == 422
    assert sentence in page
    assert (draft.total_minor, draft.lines.count()) == (85_00, 1)


def test_control_characters_and_long_words_are_printed_or_left_out(
    draft: Invoice, client: Client, owner: Staff
) -> None:
    words_typed = "Belt\x0b 6\x08 mm " + "W" * 280
    status, _ = keep(client, draft, sheet({"description": words_typed}))
    assert status == 303
    row = actions.issue_invoice(invoice=draft, by=owner)
    said = words(stored_bytes(row.paper))  # type: ignore[arg-type]
    assert "Belt" in said
    assert said.replace(" ", "").count("W" * 60) >= 1


def test_a_negative_quantity_takes_off(draft: Invoice, client: Client) -> None:
    """3 × 10.00 − 1 × 4.00 = 26.00."""
    status, _ = keep(client, draft, sheet({"quantity": "3"}, {"quantity": "-1", "unit_price": "4.00"}))
    assert (status, draft.total_minor) == (303, 26_00)


@pytest.mark.parametrize("rows", [({"quantity": "-3"},), ({"quantity": "3"}, {"quantity": "-5"})])
def test_an_invoice_comes_to_nothing_less_than_nothing(
    draft: Invoice, client: Client, rows: tuple[dict[str, str], ...]
) -> None:
    """−3 × 10.00; 3 × 10.00 − 5 × 10.00: nobody owes −30.00 or −20.00."""
    status, page = keep(client, draft, sheet(*rows))
    assert status == 422
    assert "less than nothing" in page
    assert f'value="{rows[-1]["quantity"]}"' in page
    assert (draft.total_minor, draft.lines.count()) == (85_00, 1)


def test_a_draft_below_nothing_from_an_older_book_is_not_issued(draft: Invoice, owner: Staff) -> None:
    draft.lines.update(quantity_thousandths=-1000, amount_minor=-85_00, net_minor=-85_00)
    Invoice.objects.filter(pk=draft.pk).update(net_minor=-85_00, total_minor=-85_00)
    with pytest.raises(Refusal, match="less than nothing"):
        actions.issue_invoice(invoice=draft, by=owner)


@pytest.mark.parametrize("words_typed", ["\x01", "\x0b\x02", "\ufffe", "\u200b"])
def test_a_line_of_signs_that_nobody_sees_is_asked_what_it_is_for(
    draft: Invoice, client: Client, words_typed: str
) -> None:
    status, page = keep(client, draft, sheet({"description": words_typed}))
    assert (status, draft.total_minor) == (422, 85_00)
    assert "Say what this line is for." in page


def test_a_discount_typed_as_a_line_takes_off_whatever_its_sign(draft: Invoice, client: Client) -> None:
    """30.00 − 5.00 = 25.00; labor is not taxed here."""
    status, _ = keep(client, draft, sheet({"quantity": "3"}, {"kind": "discount", "unit_price": "5.00"}))
    assert (status, draft.total_minor) == (303, 25_00)
    line = draft.lines.get(kind="discount")
    assert (line.quantity_thousandths, line.of_kind) == (-1000, "labour")


@pytest.mark.parametrize("percent, total", [("100", 170_00), ("0.0001", 85_00), ("99.9999", 170_00)])
def test_a_rate_of_up_to_a_hundred_per_cent_is_reckoned(owner: Staff, percent: str, total: int) -> None:
    """85.00 × 100 % = 85.00; × 99.9999 % = 84.999915 → 85.00; × 0.0001 % → 0.00."""
    rules()
    rates()
    tax(percent)
    assert drafted(on_the_bench(by=owner), [item()], by=owner).total_minor == total


@pytest.mark.parametrize("percent", ["100.0001", "101", "-1", "nan", "1e2"])
def test_a_rate_beyond_is_refused(client: Client, owner: Staff, job: Job, percent: str) -> None:
    client.force_login(owner)
    typed = {
        "name": "Tax",
        "kinds": "other",
        "percent": percent,
        "category": "S",
        "from_date": "2026-01-01",
        "source": "invented",
    }
    before = TaxRule.objects.count()
    answer = client.post(reverse("office:taxes"), typed)
    assert answer.status_code == 422
    assert TaxRule.objects.count() == before


@pytest.mark.parametrize("day", ["1900-01-01", "0001-01-01", "9999-12-31", "2026-02-30", "12/31/26x"])
def test_a_day_that_is_none_of_the_shops_is_refused(client: Client, owner: Staff, job: Job, day: str) -> None:
    client.force_login(owner)
    typed = {"from_date": day, "rounding": "tenths", "estimate_days": 30, "reminder_days": 7}
    before = OfficeRules.objects.count()
    assert client.post(reverse("office:rules"), typed).status_code == 422
    assert OfficeRules.objects.count() == before


# --- lines of a shared invoice ----------------------------------------------------------------------------


def test_a_line_typed_by_hand_is_not_moved_to_the_job_with_the_larger_agreement(
    job: Job, owner: Staff
) -> None:
    rich = another_job(job.customer, by=owner)
    agreed(job, 50_00, by=owner)
    agreed(rich, 1000_00, by=owner)
    mine = item(price="200.00", description="Extra work", job=job)
    theirs = item(price="10.00", description="Cleaning", job=rich)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, rich], items=[mine, theirs], by=owner)
    with pytest.raises(Refusal, match="above the"):
        actions.issue_invoice(invoice=draft, by=owner)
    moved = item(price="200.00", description="Extra  WORK", job=rich)
    with pytest.raises(Refusal, match=f"written for {job.number}"):
        actions.set_invoice_lines(invoice=draft, items=[moved, theirs], by=owner)
    actions.set_invoice_lines(invoice=draft, items=[theirs], by=owner)  # taken off, and typed again elsewhere
    with pytest.raises(Refusal, match=f"written for {job.number}"):
        actions.set_invoice_lines(invoice=draft, items=[moved, theirs], by=owner)


def test_a_line_of_one_jobs_estimate_is_charged_on_that_job(job: Job, owner: Staff) -> None:
    rich = another_job(job.customer, by=owner)
    agreed(rich, 1000_00, by=owner)
    estimate = actions.draft_estimate(
        job=job, items=[item(description="New heads", price="300.00")], by=owner
    )
    actions.put_estimate(estimate=estimate, by=owner)
    lines = [item(description="New heads", price="300.00", job=rich), item(description="Cleaning", job=rich)]
    with pytest.raises(Refusal, match=f"written for {job.number}"):
        actions.draft_invoice(customer=job.customer, jobs=[job, rich], items=lines, by=owner)


def test_a_line_of_no_job_counts_against_the_agreement_of_the_first(job: Job, owner: Staff) -> None:
    """100.00 are agreed and charged by a line that names no job: nothing is left of them."""
    other = another_job(job.customer, by=owner)
    for one in (job, other):
        agreed(one, 100_00, by=owner)
    both = [item(price="100.00", description="Cleaning of both")]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=both, by=owner)
    actions.issue_invoice(invoice=draft, by=owner)
    assert [queries.charged_before(one).minor for one in (job, other)] == [100_00, 0]
    more = actions.draft_invoice(customer=job.customer, jobs=[job], items=[item(price="0.01")], by=owner)
    with pytest.raises(Refusal, match="above the"):
        actions.issue_invoice(invoice=more, by=owner)
