"""What comes of orders, and what comes without one: into its drawer at its landed cost, and kept for who waits for it."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F

from shop.counter.models import Job
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.stockroom import landed
from shop.stockroom.actions.ledger import Arrival, take_in
from shop.stockroom.actions.ordering import close_when_complete, must_be_open
from shop.stockroom.actions.parts import add_part
from shop.stockroom.actions.waiting import back_on_the_list, tick_wants
from shop.stockroom.marking import NO_VALUE
from shop.stockroom.models import LedgerEntry, Order, OrderLine, Part, PartNumber, PartState, PartWanted


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """What came of one line in a delivery; without a cost of its own it cost what the order says."""

    line: OrderLine
    quantity_thousandths: int
    unit_cost_ten_thousandths: int | None = None


def receive_order_line(
    *,
    line: OrderLine,
    quantity_thousandths: int,
    by: Staff | None,
    unit_cost_ten_thousandths: int | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Arrival:
    """What came of one line, at its cost with its share of freight and fees; waiting jobs get theirs first.

    What a line says in words is written down as a kind of part when it comes, so that it has a cost and a price like any
    other. An order of which everything came is closed.
    """
    if quantity_thousandths <= 0:
        raise Refusal("The quantity is more than nothing.", field="quantity")
    with acting(by=by, at=at, once=once_key) as act:
        order = Order.objects.select_related("supplier").get(pk=line.order_id)
        must_be_open(order, sent=True)
        cost = unit_cost_ten_thousandths
        if cost is not None and cost != line.unit_cost_ten_thousandths:
            line.unit_cost_ten_thousandths = cost
            line.save(update_fields=["unit_cost_ten_thousandths"])
        if line.part is None:
            _write_down(act, line, by)
        landed_cost = _land(order, line, quantity_thousandths)
        OrderLine.objects.filter(pk=line.pk).update(
            received_thousandths=F("received_thousandths") + quantity_thousandths, given_up_at=None
        )
        line.refresh_from_db()
        arrival = _bring(act, order, line, quantity_thousandths, landed_cost)
        act.record(
            "order.line_received", subject=order, line=line.pk, quantity_thousandths=quantity_thousandths
        )
        close_when_complete(act, order)
    return arrival


def receive_delivery(
    *,
    order: Order,
    came: Sequence[Came],
    by: Staff | None,
    carriage_minor: int | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Arrival]:
    """A delivery of several lines at once, with freight and fees as the supplier's invoice has them."""
    if not came:
        raise Refusal("Say what came: at least one quantity.")
    with acting(by=by, at=at, once=once_key):
        if carriage_minor is not None:
            set_carriage(order=order, carriage_minor=carriage_minor, by=by)
        for one in came:
            if one.unit_cost_ten_thousandths is not None:
                OrderLine.objects.filter(pk=one.line.pk).update(
                    unit_cost_ten_thousandths=one.unit_cost_ten_thousandths
                )
        # one order of locks: by part
        return [
            receive_order_line(
                line=OrderLine.objects.get(pk=one.line.pk),
                quantity_thousandths=one.quantity_thousandths,
                by=by,
            )
            for one in sorted(came, key=lambda one: (one.line.part_id or 0, one.line.pk))
        ]


@keyless("joined")
def set_carriage(
    *, order: Order, carriage_minor: int, by: Staff | None, at: dt.datetime | None = None
) -> Order:
    """Freight and fees of an order, in minor units; they are shared over its lines by value from the next delivery on."""
    if carriage_minor < 0:
        raise Refusal("Freight can't be less than nothing.", field="carriage")
    with acting(by=by, at=at) as act:
        if order.carriage_minor != carriage_minor:
            Order.objects.filter(pk=order.pk).update(carriage_minor=carriage_minor)
            order.carriage_minor = carriage_minor
            act.record("order.carriage_set", subject=order, carriage_minor=carriage_minor)
    return order


def note_came(
    *,
    wanted: PartWanted,
    by: Staff,
    unit_cost_ten_thousandths: int | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """What a job wanted is here without an order; the job goes on when it was the last thing it waited for.

    Refused while it stands on an order: there its delivery is booked in, with its cost.
    """
    with acting(by=by, at=at, once=once_key) as act:
        wanted = PartWanted.objects.select_related("job", "part", "order_line__order").get(pk=wanted.pk)
        if not wanted.missing_thousandths or wanted.dropped_at is not None:
            raise Refusal("It has come already, or is no longer wanted.")
        if wanted.order_line is not None:
            raise Refusal(f"It stands on {wanted.order_line.order}: book in there what came.")
        part = wanted.part or written_down(wanted.description, by=by)
        PartWanted.objects.filter(pk=wanted.pk).update(part=part)
        take_in(
            act,
            part=part,
            kind=LedgerEntry.Kind.RECEIVED,
            quantity_thousandths=wanted.missing_thousandths,
            unit_cost_ten_thousandths=unit_cost_ten_thousandths,
            state=PartState.NEW,
        )
        act.record("part.came", subject=wanted, jobs=[wanted.job_id])
        act.made(Job.objects.get(pk=wanted.job_id))
    return Job.objects.get(pk=wanted.job_id)


def written_down(description: str, *, by: Staff | None) -> Part:
    """The kind of part that these words mean: the one that is called so, or a new one."""
    known = (
        Part.objects.filter(description__iexact=description.strip(), retired_at=None).order_by("pk").first()
    )
    if known is not None:
        return known
    try:
        return add_part(description=description, by=by)
    except Refusal:  # words that can mean two values
        return add_part(description=description, quantity_kind=NO_VALUE, by=by)


def _write_down(act: Act, line: OrderLine, by: Staff | None) -> None:
    line.part = written_down(line.description, by=by)
    line.save(update_fields=["part"])
    jobs = list(Job.objects.filter(pk__in=line.wanted.filter(part=None).values("job")).order_by("pk"))
    PartWanted.objects.filter(order_line=line, part=None).update(part=line.part)
    for job in jobs:  # what was fitted of it meanwhile is no longer waited for
        tick_wants(act, job=job, part=line.part)


def _land(order: Order, line: OrderLine, quantity_thousandths: int) -> int:
    """The cost of one that comes, and its freight marked as landed."""
    cost = landed.unit_cost(order, line, quantity_thousandths)
    carried = landed.carriage_of(order, line, quantity_thousandths)
    Order.objects.filter(pk=order.pk).update(
        carriage_landed_ten_thousandths=F("carriage_landed_ten_thousandths") + carried
    )
    return cost


def _bring(act: Act, order: Order, line: OrderLine, quantity_thousandths: int, cost: int) -> Arrival:
    assert line.part is not None  # noqa: S101 - words were written down as a part before
    arrival = take_in(
        act,
        part=line.part,
        kind=LedgerEntry.Kind.RECEIVED,
        quantity_thousandths=quantity_thousandths,
        unit_cost_ten_thousandths=cost,
        state=PartState.NEW,
        order_line=line,
    )
    # what came of this line went to somebody who waits longer: its own jobs wait on, and stand on the list
    back_on_the_list(PartWanted.objects.filter(order_line=line).values_list("pk", flat=True))
    known = PartNumber.objects.filter(part=line.part, supplier=order.supplier)
    known.update(price_ten_thousandths=line.unit_cost_ten_thousandths)
    return arrival
