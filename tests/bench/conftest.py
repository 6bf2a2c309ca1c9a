"""Somebody at the bench, and a job in front of them."""

from __future__ import annotations

from typing import Any

import pytest

from shop.counter.models import Job
from shop.frame.models import Staff
from tests.factories.bench import on_the_bench
from tests.factories.premises import ShopProfileFactory, StaffFactory


@pytest.fixture
def technician(db: None) -> Staff:
    ShopProfileFactory()
    return StaffFactory(username="odile", roles=["bench"])


@pytest.fixture
def job(technician: Staff) -> Job:
    return on_the_bench(technician)


@pytest.fixture
def bench(client: Any, technician: Staff) -> Any:
    client.force_login(technician)
    return client
