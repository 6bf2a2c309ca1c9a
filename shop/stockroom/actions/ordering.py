"""Orders to suppliers: opened from the list, sent as a paper, received in as many deliveries as it takes, closed."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F

from shop.frame import numbers
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping import outbox
from shop.stockroom import landed
from shop.stockroom.actions.ledger import Arrival, take_in
from shop.stockroom.actions.waiting import note_came
from shop.stockroom.models import LedgerEntry, Order, OrderLine, Part, PartNumber, PartWanted, Supplier
from shop.stockroom.papers import issue_purchase_order

ORDER_SERIES = "order"
MOST_LINES = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAsked:
    """One line of an order. Quantity in thousandths, cost of one in ten-thousandths; `wanted` are the jobs' wants it fills."""

    quantity_thousandths: int
    part: Part | None = None
    description: str = ""
    unit_cost_ten_thousandths: int = 0
    wanted: Sequence[PartWanted] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LineTyped:
    """What stands in a line's boxes on the page, changed or not."""

    line: OrderLine
    quantity_thousandths: int
    unit_cost_ten_thousandths: int

    @property
    def is_changed(self) -> bool:
        """Whether it says something else than the line."""
        line = self.line
        kept = (line.quantity_thousandths, line.unit_cost_ten_thousandths)
        return (self.quantity_thousandths, self.unit_cost_ten_thousandths) != kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """What came of one line in a delivery; without a cost of its own it cost what the order says."""

    line: OrderLine
    quantity_thousandths: int
    unit_cost_ten_thousandths: int | None = None


def open_order(
    *,
    supplier: Supplier,
    lines: Sequence[LineAsked],
    by: Staff | None,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Order:
    """Open an order: a list that can be changed until it is sent."""
    if not lines:
        raise Refusal("Choose at least one part to order.")
    if len(lines) > MOST_LINES:
        raise Refusal(f"An order has up to {MOST_LINES} lines.")
    with acting(by=by, at=at, once=once_key) as act:
        year = act.day.year
        order = Order(
            number=f"PO-{year % 100:02d}-{numbers.take(ORDER_SERIES, year):04d}",
            supplier=supplier,
            opened_at=act.at,
            currency=the_profile().currency,
            note=note.strip(),
        )
        order.save(force_insert=True)
        for asked in lines:
            _write_line(order, asked)
        act.record("order.opened", subject=order, lines=len(lines))
    return order


def add_line(
    *,
    order: Order,
    asked: LineAsked,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> OrderLine:
    """Put one more part on an order that has not been sent."""
    with acting(by=by, at=at, once=once_key) as act:
        _must_be_open(order, sent=False)
        if order.lines.count() >= MOST_LINES:
            raise Refusal(f"An order has up to {MOST_LINES} lines.")
        line = _write_line(order, asked)
        act.record("order.line_added", subject=order, line=line.pk)
        act.made(line)
    return line


@keyless("joined")
def change_line(
    *,
    line: OrderLine,
    quantity_thousandths: int,
    unit_cost_ten_thousandths: int,
    by: Staff | None,
    at: dt.datetime | None = None,
) -> OrderLine:
    """Put quantity and price of a line right before the order is sent."""
    with acting(by=by, at=at) as act:
        _must_be_open(line.order, sent=False)
        if quantity_thousandths <= 0:
            raise Refusal("Order at least some of it, or take it off the order.", field="quantity")
        line.quantity_thousandths = quantity_thousandths
        line.unit_cost_ten_thousandths = unit_cost_ten_thousandths
        line.save(update_fields=["quantity_thousandths", "unit_cost_ten_thousandths"])
        act.record(
            "order.line_changed",
            subject=line.order,
            line=line.pk,
            quantity_thousandths=quantity_thousandths,
        )
    return line


def change_lines(
    *,
    order: Order,
    typed: Sequence[LineTyped],
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Order:
    """Put right every line of which something else was typed than it says."""
    with acting(by=by, at=at, once=once_key):
        for one in typed:
            if one.is_changed:
                change_line(
                    line=one.line,
                    quantity_thousandths=one.quantity_thousandths,
                    unit_cost_ten_thousandths=one.unit_cost_ten_thousandths,
                    by=by,
                )
    return order


def take_line_off(
    *, line: OrderLine, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Order:
    """Take a line off an order that has not been sent; what jobs wanted of it stands on the list again."""
    order = line.order
    with acting(by=by, at=at, once=once_key) as act:
        _must_be_open(order, sent=False)
        PartWanted.objects.filter(order_line=line).update(order_line=None)
        act.record("order.line_taken_off", subject=order, line=line.pk)
        OrderLine.objects.filter(pk=line.pk).delete()
    return order


def send_order(
    *,
    order: Order,
    by: Staff,
    letter: bool = False,
    typed: Sequence[LineTyped] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Order:
    """Send an order: its paper is issued once. With `letter`, the paper goes to the supplier through the outbox.

    `typed` is what stands in the lines' boxes: it is put right first, so that the paper says what was on the screen. A part
    that nobody had a supplier for is usually from this one from now on.
    """
    with acting(by=by, at=at, once=once_key) as act:
        if letter and not order.supplier.email:
            raise Refusal(f"{order.supplier} has no e-mail address.", field="letter")
        change_lines(order=order, typed=typed, by=by)
        if not order.lines.exists():
            raise Refusal("There is nothing on this order.")
        if not Order.objects.filter(pk=order.pk, sent_at=None, closed_at=None).update(sent_at=act.at):
            raise Refusal("This order was sent or closed already.")
        order.sent_at = act.at
        order.paper = issue_purchase_order(order=order, by=by)
        order.save(update_fields=["paper"])
        Part.objects.filter(pk__in=order.lines.values("part"), preferred_supplier=None).update(
            preferred_supplier=order.supplier
        )
        if letter:
            outbox.write_message(
                to=order.supplier.email,
                subject=f"Order {order.number}, {the_profile().name}",
                body=_letter_of(order, by),
                paper=order.paper,
                by=by,
            )
        act.record("order.sent", subject=order, by_letter=letter)
    return order


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

    A line without a drawer brings its jobs what they wanted. An order of which everything came is closed.
    """
    if quantity_thousandths <= 0:
        raise Refusal("The quantity is more than nothing.", field="quantity")
    with acting(by=by, at=at, once=once_key) as act:
        order = Order.objects.select_related("supplier").get(pk=line.order_id)
        _must_be_open(order, sent=True)
        cost = unit_cost_ten_thousandths
        if cost is not None and cost != line.unit_cost_ten_thousandths:
            line.unit_cost_ten_thousandths = cost
            line.save(update_fields=["unit_cost_ten_thousandths"])
        OrderLine.objects.filter(pk=line.pk).update(
            received_thousandths=F("received_thousandths") + quantity_thousandths, given_up_at=None
        )
        line.refresh_from_db()
        arrival = _bring(act, order, line, quantity_thousandths, by)
        act.record(
            "order.line_received", subject=order, line=line.pk, quantity_thousandths=quantity_thousandths
        )
        _close_when_complete(act, order)
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


def give_up_line(
    *, line: OrderLine, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Order:
    """The rest of a line will not come; what jobs still wait for stands on the list again."""
    with acting(by=by, at=at, once=once_key) as act:
        order = line.order
        _must_be_open(order, sent=True)
        _give_up(act, line)
        act.record("order.line_given_up", subject=order, line=line.pk)
        _close_when_complete(act, order)
    return order


def close_order(
    *, order: Order, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Order:
    """Close an order: what did not come is given up, and what jobs wait for stands on the list again."""
    with acting(by=by, at=at, once=once_key) as act:
        if order.closed_at is not None:
            raise Refusal("This order is closed already.")
        for line in order.lines.filter(given_up_at=None):
            if line.received_thousandths < line.quantity_thousandths:
                _give_up(act, line)
        _close(act, order)
    return order


def _write_line(order: Order, asked: LineAsked) -> OrderLine:
    if asked.quantity_thousandths <= 0:
        raise Refusal("The quantity is more than nothing.", field="quantity")
    description = asked.description.strip() or (asked.part.description if asked.part is not None else "")
    if not description:
        raise Refusal("Say what is ordered.", field="description")
    line = OrderLine.objects.create(
        order=order,
        part=asked.part,
        description=description[:200],
        quantity_thousandths=asked.quantity_thousandths,
        unit_cost_ten_thousandths=asked.unit_cost_ten_thousandths,
    )
    PartWanted.objects.filter(pk__in=[want.pk for want in asked.wanted], order_line=None).update(
        order_line=line
    )
    return line


def _must_be_open(order: Order, *, sent: bool) -> None:
    order.refresh_from_db(fields=["sent_at", "closed_at"])
    if order.closed_at is not None:
        raise Refusal("This order is closed.")
    if sent and order.sent_at is None:
        raise Refusal("This order has not been sent yet.")
    if not sent and order.sent_at is not None:
        raise Refusal("This order was sent: what it says stays as it was sent.")


def _bring(act: Act, order: Order, line: OrderLine, quantity_thousandths: int, by: Staff | None) -> Arrival:
    if line.part is None:
        wants = list(PartWanted.objects.filter(order_line=line, came_at=None, dropped_at=None).order_by("id"))
        aside = [want.job for want in wants if want.job.stage == "awaiting_parts"]
        jobs = tuple(note_came(wanted=want, by=by) for want in wants)
        back = tuple(job for job in jobs if job.stage == "on_the_bench" and job in aside)
        return Arrival(None, jobs, back)
    arrival = take_in(
        act,
        part=line.part,
        kind=LedgerEntry.Kind.RECEIVED,
        quantity_thousandths=quantity_thousandths,
        unit_cost_ten_thousandths=landed.unit_cost(order, line),
        state="new",
        order_line=line,
    )
    known = PartNumber.objects.filter(part=line.part, supplier=order.supplier)
    known.update(price_ten_thousandths=line.unit_cost_ten_thousandths)
    return arrival


def _give_up(act: Act, line: OrderLine) -> None:
    OrderLine.objects.filter(pk=line.pk).update(given_up_at=act.at)
    PartWanted.objects.filter(order_line=line, came_at=None).update(order_line=None)


def _close_when_complete(act: Act, order: Order) -> None:
    open_lines = order.lines.filter(given_up_at=None, received_thousandths__lt=F("quantity_thousandths"))
    if not open_lines.exists():
        _close(act, order)


def _close(act: Act, order: Order) -> None:
    Order.objects.filter(pk=order.pk).update(closed_at=act.at)
    order.closed_at = act.at
    act.record("order.closed", subject=order)


def _letter_of(order: Order, by: Staff) -> str:
    shop = the_profile()
    account = f"\nOur account with you: {order.supplier.our_account}" if order.supplier.our_account else ""
    return (
        f"Please find our order {order.number} attached.{account}\n\n"
        f"Please confirm it, and tell us what can't be delivered.\n\n"
        f"{by.get_full_name() or shop.owner_name}\n{shop.name}\n{shop.address}\n{shop.phone}"
    )
