"""The shop that the office's tests work in."""

from __future__ import annotations

import pytest

from shop.counter.models import Job
from shop.frame.models import Staff
from tests.factories.office import on_the_bench, rates, rules, sales_tax
from tests.factories.premises import StaffFactory


@pytest.fixture
def owner(db: None) -> Staff:
    """Somebody who may do everything."""
    return StaffFactory()


@pytest.fixture
def job(owner: Staff) -> Job:
    """A job on the bench of a Californian shop: 85.00 an hour, parts taxed at 8.25 %, labour not."""
    rules()
    rates()
    sales_tax()
    return on_the_bench(by=owner)
