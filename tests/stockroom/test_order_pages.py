"""The stockroom's pages of orders, as a person works through them."""

from __future__ import annotations

import io
import uuid

import pypdf
import pytest
from django.urls import reverse

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame.models import JournalEntry
from shop.keeping.papers import stored_bytes
from shop.stockroom import actions
from shop.stockroom.models import (
    Order,
    OrderLine,
    PartWanted,
)
from tests.factories.stockroom import a_part, a_supplier, an_order, left, waiting_for
from tests.pages import once, words_on


def test_an_order_is_made_of_what_is_ticked_on_the_list(stockroom, by) -> None:
    supplier = a_supplier(by)
    wanted, low = (
        a_part(by, description=name, preferred_supplier=supplier, reorder_at_thousandths=5_000)
        for name in ("Belt", "Lamp")
    )
    waiting_for(wanted, by)
    key = str(supplier.pk)
    typed = {
        f"{key}-once": str(uuid.uuid4()),
        f"{key}-supplier": key,
        f"{key}-p{wanted.pk}-on": "on",
        f"{key}-p{wanted.pk}-quantity": "7",
        f"{key}-p{wanted.pk}-cost": "4.20",
        f"{key}-p{low.pk}-quantity": "3",
    }
    for _ in range(2):
        answer = stockroom.post(reverse("stockroom:open_order", args=[key]), typed)
    order = Order.objects.get()
    assert answer.url == reverse("stockroom:order", args=[order.pk])
    line = order.lines.get()
    assert (line.part, line.quantity_thousandths, line.unit_cost_ten_thousandths) == (wanted, 7_000, 42_000)
    assert PartWanted.objects.get().order_line == line


@pytest.mark.parametrize(
    "changes, said",
    [
        ({"on": None}, "Check at least one part"),
        ({"quantity": ""}, "How many?"),
        ({"quantity": "-4"}, "more than nothing"),
        ({"cost": "4k7x"}, "4k7x"),
    ],
)
def test_a_wrong_order_is_asked_again_and_opens_nothing(stockroom, by, changes, said) -> None:
    supplier = a_supplier(by)
    part = a_part(by, preferred_supplier=supplier)
    waiting_for(part, by)
    key = str(supplier.pk)
    typed = {"on": "on", "quantity": "2", "cost": "1.00"} | changes
    data = {f"{key}-p{part.pk}-{name}": value for name, value in typed.items() if value is not None}
    answer = stockroom.post(reverse("stockroom:open_order", args=[key]), data | {f"{key}-supplier": key})
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not Order.objects.exists()


def test_an_order_is_put_right_sent_received_and_closed_on_its_page(stockroom, by) -> None:
    part, supplier = a_part(by), a_supplier(by)
    job = waiting_for(part, by)
    asked = actions.LineAsked(part=part, quantity_thousandths=2_000, wanted=list(PartWanted.objects.all()))
    order = actions.open_order(supplier=supplier, lines=[asked], by=by)
    line = order.lines.get()
    page = reverse("stockroom:order", args=[order.pk])
    stockroom.post(
        reverse("stockroom:change_line", args=[line.pk]),
        {f"l{line.pk}-quantity": "3", f"l{line.pk}-unit_cost": "1.50"},
    )
    stockroom.post(
        reverse("stockroom:add_line", args=[order.pk]),
        once(description="Idler tyre", quantity="1", unit_cost="2"),
    )
    stockroom.post(reverse("stockroom:send_order", args=[order.pk]), once(letter="on"))
    order.refresh_from_db()
    assert order.paper is not None
    assert "Its paper" in stockroom.get(page).content.decode()
    extra = order.lines.get(part=None)
    typed = once(
        carriage="0.90", **{f"l{line.pk}-came": "3", f"l{line.pk}-cost": "1.50", f"l{extra.pk}-came": "0"}
    )
    for _ in range(2):
        said = stockroom.post(
            reverse("stockroom:receive_delivery", args=[order.pk]), typed, follow=True
        ).content.decode()
    assert left(part) == 3_000
    assert Job.objects.get(pk=job.pk).stage == Stage.ON_THE_BENCH
    assert "back order" not in said
    stockroom.post(reverse("stockroom:give_up_line", args=[extra.pk]))
    order.refresh_from_db()
    assert order.closed_at is not None
    assert "closed" in stockroom.get(page).content.decode()


@pytest.mark.parametrize(
    "door, typed, said",
    [
        ("add_line", {"quantity": "1"}, "Say what is ordered"),
        ("add_line", {"part": "P-0077", "quantity": "1"}, "There is no part P-0077"),
        ("add_line", {"description": "Lamp", "quantity": "none"}, "as a number"),
        ("receive_delivery", {"carriage": "1"}, "not been sent"),
    ],
)
def test_a_wrong_form_on_an_orders_page_changes_nothing(stockroom, by, door, typed, said) -> None:
    asked = actions.LineAsked(part=a_part(by), quantity_thousandths=2_000)
    order = actions.open_order(supplier=a_supplier(by), lines=[asked], by=by)
    line = order.lines.get()
    before = JournalEntry.objects.count()
    answer = stockroom.post(
        reverse(f"stockroom:{door}", args=[order.pk]), once(**typed, **{f"l{line.pk}-came": "1"})
    )
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert (OrderLine.objects.count(), JournalEntry.objects.count()) == (1, before)


@pytest.mark.parametrize("odd", ["9" * 30, "9" * 5000, "²", "-1", "'", "%"])
def test_an_address_may_ask_for_anything(stockroom, by, odd) -> None:
    part = a_part(by, drawer="R12")
    for name, asked in (
        ("parts", "q"), ("parts", "drawer"), ("parts", "after"), ("parts", "before"), ("orders", "before"),
        ("labels", "part"), ("labels", "drawer"), ("print_labels", "part"), ("stock_take", "drawer"),
    ):  # fmt: skip
        answer = stockroom.get(reverse(f"stockroom:{name}"), {asked: odd})
        assert answer.status_code in {200, 404, 422}, (name, asked)
    page = reverse("stockroom:part", args=[part.pk])
    assert stockroom.get(page, {"ledger": odd}).status_code == 200


def test_what_was_typed_in_the_lines_is_on_the_order_that_is_sent(stockroom, by) -> None:
    asked = [actions.LineAsked(part=a_part(by), quantity_thousandths=2_000) for _ in range(2)]
    order = actions.open_order(supplier=a_supplier(by), lines=asked, by=by)
    one, other = order.lines.order_by("pk")
    typed = {
        f"l{one.pk}-quantity": "3", f"l{one.pk}-unit_cost": "1.50",
        f"l{other.pk}-quantity": "2", f"l{other.pk}-unit_cost": "",
    }  # fmt: skip
    send = reverse("stockroom:send_order", args=[order.pk])
    wrong = stockroom.post(send, once(**typed | {f"l{other.pk}-quantity": "several"}))
    assert wrong.status_code == 422
    assert 'value="several"' in wrong.content.decode()  # what was typed is kept, and nothing is half saved
    order.refresh_from_db()
    assert (order.sent_at, order.lines.get(pk=one.pk).quantity_thousandths) == (None, 2_000)
    assert stockroom.post(send, once(**typed)).status_code == 303
    order.refresh_from_db()
    text = pypdf.PdfReader(io.BytesIO(stored_bytes(order.paper))).pages[0].extract_text()
    assert "4.50" in text
    assert "Lines with a price, before tax" in text
    assert order.lines.get(pk=one.pk).unit_cost_ten_thousandths == 15_000


def test_lines_of_one_description_are_told_apart_by_their_value(stockroom, by) -> None:
    lines = [
        actions.LineAsked(part=a_part(by, designation=value), quantity_thousandths=1_000)
        for value in ("4k7", "22k")
    ]
    order = actions.open_order(supplier=a_supplier(by), lines=lines, by=by)
    page = reverse("stockroom:order", args=[order.pk])
    for times in (1, 2):  # as a draft in its lines; once it is sent, in its lines and in the delivery
        said = words_on(stockroom.get(page))
        assert said.count("Resistor, carbon film 4k7") >= times
        assert said.count("Resistor, carbon film 22k") >= times
        if times == 1:
            actions.send_order(order=order, by=by)


def test_a_delivery_of_nothing_is_asked_again(stockroom, by) -> None:
    order = an_order(a_part(by), a_supplier(by), by)
    line = order.lines.get()
    answer = stockroom.post(
        reverse("stockroom:receive_delivery", args=[order.pk]), once(**{f"l{line.pk}-came": ""})
    )
    assert answer.status_code == 422
    assert "Say what came" in answer.content.decode()
    answer = stockroom.post(
        reverse("stockroom:receive_delivery", args=[order.pk]), once(**{f"l{line.pk}-came": "lots"})
    )
    assert answer.status_code == 422
    assert "lots" in answer.content.decode()
