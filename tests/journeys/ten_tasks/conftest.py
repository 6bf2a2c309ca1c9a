"""The invented shop of the ten tasks: Halftone Bench in California, its owner, and what is on the shelves."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from shop.frame.models import Staff
from shop.premises.models import Terms
from tests.bench.page_cases import jpeg
from tests.factories.counter import CustomerFactory, UnitFactory, booked_in
from tests.factories.office import LONG_AGO, rates, sales_tax
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.journeys.ten_tasks.counter import Count, Screen, counted_before

DESK = {"width": 1280, "height": 800}
TABLET = {"width": 820, "height": 1180, "touch": True}


@pytest.fixture
def owner(db: None) -> Staff:
    """Whoever does everything in a shop of one."""
    return StaffFactory(username="ottoline")


@pytest.fixture
def set_up(owner: Staff) -> Staff:
    """A shop that has its rates, taxes and terms, and a job of somebody else on the shelf."""
    ShopProfileFactory()
    rates(900_000)
    sales_tax("9.5")
    Terms.objects.create(from_date=LONG_AGO, text="Thirty days of warranty on the repair.")
    booked_in(
        by=owner,
        unit=UnitFactory(owner=CustomerFactory(stranger=True)),
        complaint="Crackles when it is touched.",
    )
    return owner


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    """A photograph as a camera hands it over."""
    file = tmp_path / "photo.jpg"
    file.write_bytes(jpeg())
    return file


@pytest.fixture
def task(request: Any) -> Iterator[Count]:
    """The count of the task that the test names; in the end it costs no more than the table says."""
    count = Count(request.getfixturevalue("task_named"))
    yield count
    count.told()
    before = counted_before(count.task)
    assert all(now <= then for now, then in zip(count.all, before, strict=True)), (
        f"{count.all}, before: {before}"
    )


@pytest.fixture
def at_desk(browse: Any) -> Callable[..., Screen]:
    """Sit down at the desk."""
    return lambda who, count, **more: Screen(browse(who, **DESK), count, **more)


@pytest.fixture
def at_tablet(browse: Any) -> Callable[..., Screen]:
    """Stand at the bench, the tablet in hand."""
    return lambda who, count, **more: Screen(browse(who, **TABLET), count, **more)
