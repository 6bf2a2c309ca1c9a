"""Lists ask the book as often for fifty rows as for one."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.actions import Intake, UnitDescribed
from shop.counter.models import Customer
from shop.dispatch import actions as dispatch
from shop.frame.models import Staff
from shop.stockroom import actions as stockroom
from tests.factories.counter import CustomerFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db

LISTS = [
    "records:first_screen",
    "records:jobs",
    "records:search",
    "counter:customers",
    "counter:expected",
    "bench:bench",
    "office:office",
    "office:invoices",
    "dispatch:dispatch",
    "dispatch:inbound",
    "stockroom:parts",
    "stockroom:order_list",
    "premises:journal",
    "premises:staff",
]


def one_more(at: int, customer: Customer, by: Staff) -> None:
    """One more of everything that stands in a list: five jobs at five stages, a customer, a part to order, a parcel."""
    intakes = [
        Intake(
            unit=UnitDescribed(maker=f"Maker {at}", model=f"M {at}", serial=f"{at}-{n}", mains=False),
            complaint="Hums",
        )
        for n in range(4)
    ]
    _shelf, on_the_bench, ready, packed = counter.book_in(customer=customer, intakes=intakes, by=by)
    bench.take_to_bench(job=on_the_bench, by=by)
    for job in (ready, packed):
        counter.set_ready_unopened(job=job, outcome="declined", by=by)
    dispatch.pack(
        customer=customer, jobs=[packed], length_mm=300, width_mm=200, height_mm=100, weight_grams=4000, by=by
    )
    counter.announce(customer=CustomerFactory(), intakes=intakes[:1], by=by)
    part = stockroom.add_part(description=f"Belt {at} mm", drawer=f"C{at}", by=by)
    stockroom.want_part(job=on_the_bench, part=part, by=by)
    StaffFactory(username=f"helper{at}", roles=["bench"])


def asked(client: Client, addresses: list[str]) -> dict[str, int]:
    counts = {}
    for address in addresses:
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        counts[address] = len(queries)
    return counts


def test_lists_ask_the_same_number_for_one_row_and_for_fifty() -> None:
    ShopProfileFactory()
    owner, customer = StaffFactory(username="ottoline"), CustomerFactory(regular=True)
    client = Client()
    client.force_login(owner)
    addresses = [reverse(name) for name in LISTS]
    addresses += [reverse("counter:customer", args=[customer.pk]), reverse("records:search") + "?q=hums"]
    one_more(0, customer, owner)
    first = asked(client, addresses)
    for at in range(1, 50):
        one_more(at, customer, owner)
    grown = {
        address: (first[address], now)
        for address, now in asked(client, addresses).items()
        if now > first[address]
    }
    assert grown == {}
