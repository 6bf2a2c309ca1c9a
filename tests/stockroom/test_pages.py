"""The stockroom's pages as a browser asks for them: they work, keep their roles, and write nothing that is wrong."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, reverse

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, Role
from shop.stockroom import actions, urls
from shop.stockroom.models import (
    LedgerEntry,
    Part,
    PartWanted,
    Substitute,
)
from tests.factories.counter import UnitFactory
from tests.factories.premises import StaffFactory
from tests.factories.stockroom import a_part, a_supplier, an_order, left, waiting_for
from tests.pages import once

OWNERS = {"prices", "withdraw_price_rule"}
READ = {
    "parts", "part", "stock_take", "labels", "print_labels", "print_outlines", "order_list", "orders", "order", "devices",
    "returns", "donors", "suppliers",
}  # fmt: skip
BOTH = {"add_part", "change_part", "add_supplier", "supplier", "prices", "send_back"}


@pytest.fixture
def things(by) -> dict[str, Any]:
    """One of everything that an address of the stockroom names."""
    supplier, part = a_supplier(by), a_part(by, there=9, drawer="R12", designation="4k7")
    other = a_part(by, description="Transistor", designation="2SC1815", drawer="T4")
    actions.name_part(part=part, given=actions.NumberGiven(number="BR-1", supplier=supplier), by=by)
    waiting_for(other, by)
    order = an_order(part, supplier, by)
    back = actions.send_back(
        part=part,
        quantity_thousandths=1_000,
        fault="dead",
        supplier=supplier,
        order_line=order.lines.get(),
        by=by,
    )
    donor = UnitFactory(is_donor=True)
    tomorrow = clock.today() + dt.timedelta(days=1)
    return {
        "part": part,
        "other": other,
        "supplier": supplier,
        "number": part.numbers.get(),
        "substitute": actions.allow_substitute(part=part, stands_in_for=other, by=by),
        "device": actions.keep_device(part=other, label="1", hfe=Decimal(200), by=by),
        "wanted": PartWanted.objects.get(),
        "order": order,
        "back": back,
        "donor": donor,
        "inside": actions.note_inside(donor=donor, description="Head block", by=by),
        "line": order.lines.get(),
        "rule": actions.add_price_rule(from_date=tomorrow, bands=[(None, 50)], rounding="cent", by=by),
    }


def addresses(things: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Every address of the room, with a thing that is there where it names one."""
    named = {
        "forget_number": "number", "withdraw_substitute": "substitute", "discard_device": "device", "note_came": "wanted",
        "drop_want": "wanted", "order": "order", "add_line": "order", "send_order": "order", "receive_delivery": "order",
        "note_reference": "order", "settle_credit": "back", "note_inside": "donor", "discard_inside": "inside",
        "close_order": "order", "change_line": "line", "take_line_off": "line", "give_up_line": "line",
        "supplier": "supplier", "withdraw_price_rule": "rule",
    }  # fmt: skip
    for pattern in urls.urlpatterns:
        assert isinstance(pattern, URLPattern)
        name = str(pattern.name)
        if "<int:pk>" in str(pattern.pattern):
            yield name, reverse(f"stockroom:{name}", args=[things[named.get(name, "part")].pk])
        elif "<str:sheet>" in str(pattern.pattern):
            yield name, reverse(f"stockroom:{name}", args=["0"])
        else:
            yield name, reverse(f"stockroom:{name}")


def test_every_page_opens(owner, things) -> None:
    for name, address in addresses(things):
        if name in READ | BOTH and name != "print_labels":
            assert owner.get(address).status_code == 200, name


def test_every_address_refuses_the_wrong_method(owner, things) -> None:
    for name, address in addresses(things):
        if name in READ:
            assert owner.post(address).status_code == 405, name
        elif name not in BOTH:
            assert owner.get(address).status_code == 405, name


def test_everybody_else_stays_outside(client, things) -> None:
    for name, address in addresses(things):
        assert client.get(address).status_code == 302, name  # to the sign-in page
    client.force_login(StaffFactory(roles=[]))
    for name, address in addresses(things):
        method = client.get if name in READ | BOTH else client.post
        assert method(address).status_code == 403, name


@pytest.mark.parametrize("role", [Role.BENCH, Role.COUNTER])
def test_prices_are_the_owners_and_the_rest_is_everybodys(client, things, role) -> None:
    client.force_login(StaffFactory(roles=[role]))
    for name, address in addresses(things):
        method = client.get if name in READ | BOTH else client.post
        assert (method(address).status_code == 403) == (name in OWNERS), name


def test_no_page_asks_more_than_25_times_and_lists_ask_the_same_for_one_and_twelve(
    owner, by, things, django_assert_max_num_queries
) -> None:
    for name, address in addresses(things):
        if name in READ | BOTH and name != "print_labels":
            with django_assert_max_num_queries(25):
                owner.get(address)


@pytest.mark.parametrize("listing", ["parts", "order_list", "orders", "suppliers", "stock_take"])
def test_a_list_asks_as_often_for_twelve_as_for_one(owner, by, listing) -> None:
    def asked() -> int:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            assert owner.get(reverse(f"stockroom:{listing}")).status_code == 200
        return len(queries)

    def more(n: int) -> None:
        supplier = a_supplier(by, name=f"Supplier {n}")
        part = a_part(by, designation=f"{n + 1}k", drawer=f"D{n}", preferred_supplier=supplier)
        waiting_for(part, by)
        an_order(a_part(by, designation=f"{n + 1}M"), supplier, by)

    more(0)
    asked()
    few = asked()
    for n in range(1, 12):
        more(n)
    assert asked() == few


# --- parts ----------------------------------------------------------------------------------------------------


def test_a_part_is_written_down_and_its_page_asks_how_many_there_are(stockroom, by) -> None:
    supplier = a_supplier(by)
    answer = stockroom.post(
        reverse("stockroom:add_part"),
        once(
            description="Resistor, carbon film",
            designation="4k7 5%",
            rating="0.25 W",
            drawer="R12",
            preferred_supplier=str(supplier.pk),
            price="0.25",
            reorder_at="0",
            reorder_quantity="100",
        ),
    )
    part = Part.objects.get()
    assert answer.url == reverse("stockroom:part", args=[part.pk])
    assert (part.number, part.value, part.price_ten_thousandths, part.reorder_at_thousandths) == (
        "P-0001",
        4_700,
        2_500,
        0,
    )
    page = stockroom.get(answer.url).content.decode()
    assert "Came without an order" in page
    assert "is written down" in page


@pytest.mark.parametrize(
    "wrong, said",
    [
        ({"description": ""}, "Say what it is."),
        ({"description": "x" * 201}, "201 characters long; up to 200 fit"),
        ({"price": "-1"}, "t be negative"),
        ({"price": "1e309"}, "1e309"),
        ({"reorder_at": "4k7x"}, "Type the quantity as a number"),
        ({"reorder_quantity": "0"}, "The quantity is more than nothing"),
        ({"designation": "104"}, "can be 100 kΩ or 100 nF"),
        ({"number": "p-0001"}, "There is a part p-0001 already"),
        ({"number": "---"}, "at least one letter or digit"),
        ({"preferred_supplier": "99"}, "Choose one of those that are offered"),
        ({"note": "x" * 10_000_000}, "up to 2000 fit"),
    ],
)
def test_a_wrong_part_gets_its_sentence_and_nothing_is_written(stockroom, by, wrong, said) -> None:
    a_part(by)
    before = JournalEntry.objects.count()
    answer = stockroom.post(
        reverse("stockroom:add_part"), once(**{"description": "Thing", "rating": "kept as typed"} | wrong)
    )
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert "kept as typed" in page
    assert (Part.objects.count(), JournalEntry.objects.count()) == (1, before)


def test_a_part_is_put_right_and_keeps_its_number(stockroom, by) -> None:
    part = a_part(by, designation="4k7")
    stockroom.post(
        reverse("stockroom:change_part", args=[part.pk]),
        once(description="Resistor, metal film", designation="47k", number=""),
    )
    part.refresh_from_db()
    assert (part.number, part.description, part.value) == ("P-0001", "Resistor, metal film", 47_000)


@pytest.mark.parametrize(
    "door, typed, there",
    [
        ("receive", {"quantity": "2.5", "unit_cost": "0.04", "state": "new"}, 11_500),
        ("receive", {"quantity": "3"}, 12_000),
        ("salvage", {"quantity": "4"}, 13_000),
        ("scrap", {"quantity": "2", "reason": "cracked"}, 7_000),
        ("count", {"counted": "8"}, 8_000),
        ("count", {"counted": "0"}, 0),
    ],
)
def test_what_goes_in_and_out_is_booked_once_however_often_it_is_sent(
    stockroom, by, door, typed, there
) -> None:
    part = a_part(by, there=9)
    form = once(**typed)
    for _ in range(2):
        assert stockroom.post(reverse(f"stockroom:{door}", args=[part.pk]), form).status_code == 303
    assert left(part) == there
    assert LedgerEntry.objects.count() == 2
    assert verify() == []


@pytest.mark.parametrize(
    "door, typed, said",
    [
        ("receive", {"quantity": "-3"}, "The quantity is more than nothing"),
        ("receive", {"quantity": "0"}, "more than nothing"),
        ("receive", {"quantity": "9999999"}, "more than a million"),
        ("receive", {"quantity": "1.2345"}, "Up to three decimals"),
        ("receive", {"quantity": "1", "unit_cost": "abc"}, "abc"),
        ("receive", {}, "How many is missing"),
        ("salvage", {"quantity": "1", "donor": "77"}, "Choose one of those that are offered"),
        ("scrap", {"quantity": "2"}, "Why is missing"),
        (
            "scrap",
            {"quantity": "10", "reason": "lost"},
            "There is not that much of P-0001 in the drawer: 9 left",
        ),
        ("count", {"counted": "-1"}, "This is none or more"),
        ("count", {"counted": ""}, "Counted is missing"),
        ("add_number", {"number": ""}, "Number is missing"),
        ("add_number", {"number": "***"}, "at least one letter or digit"),
        ("allow_substitute", {"substitute": "P-0099"}, "There is no part P-0099"),
        ("allow_substitute", {"substitute": "P-0001"}, "no substitute for itself"),
        ("keep_pictures", {}, "Choose a photograph or a data sheet"),
        ("retire", {}, "There are 9 in the drawer"),
    ],
)
def test_a_wrong_form_on_the_parts_page_gets_its_sentence_and_nothing_is_written(
    stockroom, by, door, typed, said
) -> None:
    part = a_part(by, there=9)
    before = JournalEntry.objects.count()
    answer = stockroom.post(reverse(f"stockroom:{door}", args=[part.pk]), once(**typed))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert (left(part), JournalEntry.objects.count()) == (9_000, before)


def test_a_customers_unit_is_not_among_the_donors(stockroom, by) -> None:
    part, donor, customers = (
        a_part(by),
        UnitFactory(is_donor=True, serial="DONOR-1"),
        UnitFactory(serial="CUSTOMERS-1"),
    )
    page = stockroom.get(reverse("stockroom:part", args=[part.pk])).content.decode()
    assert donor.serial in page
    assert customers.serial not in page


def test_a_part_that_came_says_which_job_is_back_on_the_bench(stockroom, by) -> None:
    part = a_part(by)
    job = waiting_for(part, by)
    answer = stockroom.post(reverse("stockroom:receive", args=[part.pk]), once(quantity="1"), follow=True)
    assert f"{job.number} is back on the bench" in answer.content.decode()
    assert Job.objects.get(pk=job.pk).stage == Stage.ON_THE_BENCH


def test_a_number_read_off_a_drawer_opens_its_part(stockroom, by) -> None:
    part = a_part(by, designation="4k7")
    assert stockroom.get(reverse("stockroom:parts"), {"q": "p-0001"}).url == reverse(
        "stockroom:part", args=[part.pk]
    )
    assert stockroom.get(reverse("stockroom:parts"), {"q": "4k7"}).status_code == 200


def test_typing_redraws_the_list_alone(stockroom, by) -> None:
    a_part(by, designation="4k7")
    answer = stockroom.get(
        reverse("stockroom:parts"), {"q": "4k7"}, headers={"HX-Request": "true", "HX-Target": "part-list"}
    )
    page = answer.content.decode()
    assert "P-0001" in page
    assert "<html" not in page


def test_the_ledger_is_paged_and_each_line_says_what_was_left(stockroom, by) -> None:
    part = a_part(by)
    for _ in range(30):
        actions.receive(part=part, quantity_thousandths=1_000, by=by)
    first = stockroom.get(reverse("stockroom:part", args=[part.pk])).context["ledger"]
    assert [row.left_thousandths for row in first.rows] == [n * 1000 for n in range(30, 5, -1)]
    second = stockroom.get(
        reverse("stockroom:part", args=[part.pk]), {"ledger": str(first.older_than)}
    ).context["ledger"]
    assert [row.left_thousandths for row in second.rows] == [n * 1000 for n in range(5, 0, -1)]
    assert second.older_than is None


def test_substitutes_are_added_and_taken_back_on_the_page(stockroom, by) -> None:
    original, modern = a_part(by, designation="2SC1815"), a_part(by, designation="BC550C")
    stockroom.post(
        reverse("stockroom:allow_substitute", args=[original.pk]),
        once(substitute="p-0002", condition="pins turned"),
    )
    page = stockroom.get(reverse("stockroom:part", args=[original.pk])).content.decode()
    assert "pins turned" in page
    assert (
        "It may itself stand in for"
        in stockroom.get(reverse("stockroom:part", args=[modern.pk])).content.decode()
    )
    stockroom.post(reverse("stockroom:withdraw_substitute", args=[Substitute.objects.get().pk]))
    assert not Substitute.objects.exists()


# --- counting -------------------------------------------------------------------------------------------------


def test_a_drawer_is_counted_in_two_looks(stockroom, by) -> None:
    # five in each of three, counted 5, 3 and not at all: no difference, two too few, nobody looked (worked by hand)
    first, second, third = (a_part(by, there=5, drawer="R12", designation=f"{n}k") for n in (1, 2, 3))
    typed = once(drawer="R12", **{f"n{first.pk}": "5", f"n{second.pk}": "3", f"n{third.pk}": ""})
    looked = stockroom.post(reverse("stockroom:count_drawer"), typed)
    page = looked.content.decode()
    assert looked.status_code == 200
    assert "agrees" in page
    assert "-2" in page or "−2" in page
    assert not LedgerEntry.objects.filter(kind="counted").exists()
    done = stockroom.post(reverse("stockroom:count_drawer"), typed | {"looked": "on"})
    assert done.status_code == 303
    assert (left(first), left(second), left(third)) == (5_000, 3_000, 5_000)
    assert LedgerEntry.objects.filter(kind="counted").count() == 2
    stockroom.post(reverse("stockroom:count_drawer"), typed | {"looked": "on"})
    assert LedgerEntry.objects.filter(kind="counted").count() == 2


@pytest.mark.parametrize(
    "typed, said", [("", "Count at least one"), ("-1", "none or more"), ("many", "as a number")]
)
def test_a_wrong_count_is_asked_again_and_kept(stockroom, by, typed, said) -> None:
    part = a_part(by, there=5, drawer="R12")
    answer = stockroom.post(reverse("stockroom:count_drawer"), once(drawer="R12", **{f"n{part.pk}": typed}))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert left(part) == 5_000
