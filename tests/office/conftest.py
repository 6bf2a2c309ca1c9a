"""The shop that the office's tests work in."""

from __future__ import annotations

import os
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from shop.counter.models import Job
from shop.frame.models import Staff
from tests.factories.office import on_the_bench, rates, rules, sales_tax
from tests.factories.premises import StaffFactory

Place = dict[str, str]


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


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Place]:
    """A book of its own for processes: a file, or a new database on the PostgreSQL server that the tests are given."""
    place = {**os.environ, "SHOP_DATA": str(tmp_path), "PYTHONPATH": str(settings.BASE_DIR)}
    for name in ("PYTEST_VERSION", "PYTEST_CURRENT_TEST"):
        place.pop(name, None)
    if settings.DATABASES["default"]["ENGINE"].endswith("sqlite3"):
        place.pop("DATABASE_URL", None)
        yield place
        return
    import psycopg  # noqa: PLC0415  only where the tests are given a PostgreSQL server

    server = os.environ["DATABASE_URL"].rpartition("/")[0]
    name = f"issuers_{uuid.uuid4().hex[:12]}"
    with psycopg.connect(f"{server}/postgres", autocommit=True) as keeper:
        keeper.execute(f"CREATE DATABASE {name}")
        try:
            yield {**place, "DATABASE_URL": f"{server}/{name}"}
        finally:
            keeper.execute(f"DROP DATABASE {name} WITH (FORCE)")
