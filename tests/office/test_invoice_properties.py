"""What holds for every invoice, whatever stands on it."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from unittest import mock

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given
from hypothesis import settings as trials
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from shop.counter.models import Job
from shop.frame.models import ShopProfile, Staff
from shop.frame.profile import kept
from shop.handbook.money import UnitPrice
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries, taxing
from shop.office.models import (
    TAXED_KINDS,
    LineKind,
    OfficeRules,
    TaxRule,
)
from shop.office.pricing import PricedItem
from shop.press.machine import Machine
from tests.factories.office import agreed, drafted, issued, item, tax
from tests.office.reading import words

pytestmark = pytest.mark.django_db


ITEMS = st.lists(
    st.builds(
        PricedItem,
        kind=st.sampled_from([kind for kind, _ in TAXED_KINDS]),
        description=st.just("line"),
        unit_price=st.integers(0, 50_000_000).map(lambda price: UnitPrice(price, "USD")),
        quantity_thousandths=st.integers(1, 50_000),
        under_warranty=st.booleans(),
        rate=st.sampled_from(["standard", "reduced"]),
    ),
    min_size=1,
    max_size=8,
)


@pytest.mark.parametrize("inclusive", [False, True], ids=["before tax", "with tax inside"])
@given(items=ITEMS)
@trials(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_the_parts_of_any_invoice_add_up_to_the_whole_and_its_credit_note_takes_it_all_back(
    job: Job, owner: Staff, inclusive: bool, items: list[PricedItem]
) -> None:
    """BR-CO-10, -13, -14, -15, -17 over random invoices; the reckoning beside it is Python's Decimal."""
    OfficeRules.objects.update(prices_include_tax=inclusive)
    TaxRule.objects.all().delete()
    tax("19")
    tax("7", rate="reduced", name="Reduced")
    with transaction.atomic():
        draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=owner)
        lines, taxes = list(draft.lines.all()), list(draft.taxes.all())
        assert (
            draft.net_minor == sum(line.net_minor for line in lines) == sum(one.base_minor for one in taxes)
        )
        assert draft.tax_minor == sum(one.tax_minor for one in taxes)
        assert draft.total_minor == draft.net_minor + draft.tax_minor
        if inclusive:
            assert draft.total_minor == sum(line.amount_minor for line in lines)
        for one in taxes:
            exact = Decimal(one.base_minor) * one.percent / 100
            assert abs(exact - one.tax_minor) <= (1 if inclusive else Decimal("0.5"))
            own = sum(line.net_minor for line in lines if line.tax_percent == one.percent)
            assert own == one.base_minor
        with mock.patch.object(Machine, "print", return_value=b"%PDF-1.7 %%EOF"):
            agreed(job, 10**9, by=owner)
            row = actions.issue_invoice(invoice=draft, by=owner)
            turned = actions.credit(invoice=row, note="all of it", by=owner)
        assert (turned.net_minor, turned.tax_minor, turned.total_minor) == (
            -row.net_minor,
            -row.tax_minor,
            -row.total_minor,
        )
        assert sorted(-one.tax_minor for one in turned.taxes.all()) == sorted(one.tax_minor for one in taxes)
        transaction.set_rollback(True)


@given(deposits=st.lists(st.integers(1, 20_000), max_size=4), price=st.integers(1, 30_000))
@trials(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_deposits_are_taken_up_to_the_total_and_never_more(
    job: Job, owner: Staff, deposits: list[int], price: int
) -> None:
    found = [queries.FreeDeposit(payment=None, job=job, amount_minor=minor) for minor in deposits]  # type: ignore[arg-type]
    taken = queries.shares(found, price)
    assert sum(minor for _, minor in taken) == min(sum(deposits), price)
    assert all(0 < minor <= deposit.amount_minor for deposit, minor in taken)


def test_an_invoice_of_ten_lines_costs_a_bounded_number_of_queries(
    job: Job, owner: Staff, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    draft = drafted(job, [item(price=f"{n}.00") for n in range(1, 11)], by=owner)
    with kept(), django_assert_max_num_queries(60):
        actions.issue_invoice(invoice=draft, by=owner)


def test_a_kind_of_line_without_a_rule_is_not_taxed_and_the_paper_says_so(job: Job, owner: Staff) -> None:
    row = issued(job, [item(), item(LineKind.PART, "9.00")], by=owner)
    assert "No tax is charged on: labor." in words(stored_bytes(row.paper))  # type: ignore[arg-type]
    assert taxing.rates_in_use() == ["standard"]


def test_the_invoice_is_dated_by_the_shops_calendar_and_not_by_greenwich(job: Job, owner: Staff) -> None:
    """Half past eleven at night on New Year's Eve in Los Angeles is next year in Greenwich (IANA zone America/Los_Angeles)."""
    ShopProfile.objects.update(time_zone="America/Los_Angeles")
    at = dt.datetime(2027, 1, 1, 7, 30, tzinfo=dt.UTC)
    row = issued(job, [item()], by=owner, at=at)
    assert row.issue_date == dt.date(2026, 12, 31)
    assert row.number == "2026-0001"
