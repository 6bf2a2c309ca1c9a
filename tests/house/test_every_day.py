"""The pages of every day cost what is in the shop, not what was: on both databases, counted and not timed.

The demo shop's history is written twenty-five times and then a hundred times over; what is open stays as it is. A page that
asks more for it then walks through a table that grows with the history, and the failure names its statement.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connection
from django.test import Client

from shop.frame.models import Staff
from tests.conftest import FirstPages
from tests.cost import Cost, cost_of
from tests.history import History
from tests.house.demo_book import write_demo_book
from tests.house.demo_pages import PAGES, PIECES, DemoShop, lay_out

pytestmark = [
    pytest.mark.xdist_group("the demo shop"),
    pytest.mark.django_db,
    pytest.mark.postgres,
]

SIGNED_OUT = {"premises:sign_in", "window:open"}
ALLOWED = 1.3
A_LITTLE = {"sqlite": 400, "postgresql": 60}
"""Steps of SQLite's machine, rows read by PostgreSQL: a tree of pages grows by a level."""

WHOLE_HISTORY = {
    "records:figures": "It adds up a year, and counts all jobs in one sentence.",
    "records:model": "It adds up the last thousand jobs of a model.",
    "records:models": "It counts up to a hundred jobs of each model.",
    "office:figures": "It adds up a time that the person chooses.",
    "records:merge": "It looks for people by any part of their names.",
    "counter:customers": "It looks for people by any part of their names.",
    "counter:book_in": "It looks for people by any part of their names.",
    "bench:aside": "It ranks the newest jobs that are like this one, up to a limit.",
    "records:across": "It adds up the newest five thousand conclusions of a kind.",
    "records:like_it": "It ranks the newest jobs that are like this one, up to a limit.",
    "records:repair_notes": "It counts how many records a rule finds in all.",
    "records:search": "It has measures of its own (tests/benchmarks/RESULTS.md); names of people are looked for by any part.",
}
"""Pages that are about what was, and how much of it they look at."""

NOT_FULL_YET = (
    'U0."model_id" = %s ORDER BY 1 DESC LIMIT 100)',
    '"packing_state" = %s ORDER BY "counter_inboundparcel"."opened_at" DESC LIMIT 50',
)
"""Statements that look at the newest hundred units of a model, the last fifty parcels damaged: before, there are not so many."""

Addresses = dict[str, str]


@pytest.fixture(scope="module")
def costs(django_db_setup: FirstPages, django_db_blocker: Any) -> Iterator[tuple[Costs, Costs]]:
    """What each page costs with a history, and with four times as much."""
    with django_db_blocker.unblock():
        try:
            write_demo_book()
            shop = lay_out(Staff.objects.get(username="ottoline"))
            owner = Client()
            owner.force_login(shop.owner)
            pages = addresses(shop)
            history = History()
            history.write(25)
            before = {name: cost_of(owner, address) for name, address in pages.items()}
            assert history.write(75) > 4000
            yield before, {name: cost_of(owner, address, warm=False) for name, address in pages.items()}
        finally:
            django_db_setup.restore()


Costs = dict[str, Cost]


def addresses(shop: DemoShop) -> Addresses:
    """One address of every page and piece that somebody sees who is signed in."""
    every = PAGES | PIECES
    return {
        name: found[0] for name, make in every.items() if name not in SIGNED_OUT and (found := make(shop))
    }


@pytest.fixture(autouse=True)
def _django_db_marker() -> None:
    """Give no test a transaction of its own: `costs` keeps the book open for them all."""


def test_no_page_costs_more_because_the_shop_has_a_long_history(costs: tuple[Costs, Costs]) -> None:
    before, after = costs
    more = A_LITTLE[connection.vendor]
    grown = {
        name: (before[name].total, cost.total, cost.beyond(before[name], times=ALLOWED, more=more // 2))
        for name, cost in after.items()
        if name not in WHOLE_HISTORY and counted(cost) > counted(before[name]) * ALLOWED + more
    }
    assert grown == {}


def counted(cost: Cost) -> int:
    """What a page costs, but for the statements that find fewer than they look for."""
    return sum(
        count for sql, count in cost.by_statement.items() if not any(one in sql for one in NOT_FULL_YET)
    )


def test_a_page_that_looks_at_the_whole_history_is_there_and_says_why(costs: tuple[Costs, Costs]) -> None:
    assert set(WHOLE_HISTORY) <= set(costs[0])
