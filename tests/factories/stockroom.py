"""Parts in their drawers, and jobs that wait for them."""

from __future__ import annotations

from typing import Any

from shop.bench import actions as bench
from shop.counter.models import Job
from shop.frame.models import Staff
from shop.stockroom import actions
from shop.stockroom.models import Order, Part, StockLevel, Supplier
from tests.factories.counter import booked_in


def a_part(by: Staff, *, there: int = 0, cost: int = 300, **facts: Any) -> Part:
    """A kind of part, with so many new ones in its drawer; the cost of one in ten-thousandths."""
    part = actions.add_part(**{"description": "Resistor, carbon film", "by": by} | facts)
    if there:
        actions.receive(part=part, quantity_thousandths=there * 1000, unit_cost_ten_thousandths=cost, by=by)
    return part


def a_supplier(by: Staff, **facts: Any) -> Supplier:
    """Somebody who sends parts."""
    return actions.add_supplier(
        **{"name": "Brindle Components", "by": by, "email": "orders@brindle.example"} | facts
    )


def on_the_bench(by: Staff, **more: Any) -> Job:
    """A job on the bench."""
    job = booked_in(by=by, **more)
    bench.take_to_bench(job=job, by=by)
    return job


def waiting_for(part: Part | None, by: Staff, *, quantity: int = 1, description: str = "") -> Job:
    """A job that stands aside until a part has come."""
    job = on_the_bench(by)
    actions.want_part(
        job=job, part=part, description=description, quantity_thousandths=quantity * 1000, by=by
    )
    actions.await_parts(job=job, by=by)
    return job


def an_order(
    part: Part, supplier: Supplier, by: Staff, *, quantity: int = 10, cost: int = 5000, **more: Any
) -> Order:
    """An order of one part that has been sent."""
    asked = actions.LineAsked(part=part, quantity_thousandths=quantity * 1000, unit_cost_ten_thousandths=cost)
    order = actions.open_order(supplier=supplier, lines=[asked], by=by, **more)
    return actions.send_order(order=order, by=by)


def left(part: Part) -> int:
    """What lies in the drawer, in thousandths."""
    return StockLevel.objects.get(part=part).quantity_thousandths
