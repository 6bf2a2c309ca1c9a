"""A unit on the bench whose customer has the link to its page and an estimate to answer."""

from __future__ import annotations

import pytest

from shop.bench import actions as bench
from shop.counter.models import Job
from shop.handbook.money import UnitPrice
from shop.office import actions as office
from shop.office.models import LineKind
from shop.office.pricing import PricedItem
from shop.window import actions
from tests.factories.counter import CustomerFactory, UnitFactory, booked_in
from tests.factories.office import rules


@pytest.fixture
def job() -> Job:
    """A unit on the bench with an estimate that waits for its customer."""
    rules()
    job = booked_in(unit=UnitFactory(owner=CustomerFactory(regular=True), serial="SN-4711"))
    bench.take_to_bench(job=job, by=job.accepted_by)
    items = [
        PricedItem(
            kind=LineKind.LABOUR, description="Repair", unit="h", unit_price=UnitPrice(850_000, "USD")
        ),
        PricedItem(kind=LineKind.PART, description="Relay", unit_price=UnitPrice(185_000, "USD")),
    ]
    estimate = office.draft_estimate(job=job, items=items, by=job.accepted_by)
    office.put_estimate(estimate=estimate, by=job.accepted_by)
    job.refresh_from_db()
    return job


@pytest.fixture
def secret(job: Job) -> str:
    return actions.open_window(job=job, by=job.accepted_by)
