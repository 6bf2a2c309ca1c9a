"""Orders to suppliers: opened from the list, sent by e-mail or marked as sent, closed."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import F

from shop.frame import numbers
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping import outbox
from shop.keeping.letter_texts import texts
from shop.stockroom.actions.suppliers import add_supplier
from shop.stockroom.letters import ORDER
from shop.stockroom.models import Order, OrderLine, Part, PartWanted, Supplier
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
        act.record("order.opened", subject=order, jobs=_jobs_on(order.lines.all()), lines=len(lines))
    return order


def open_order_elsewhere(
    *,
    name: str,
    email: str,
    lines: Sequence[LineAsked],
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Order:
    """Open an order from a supplier that is written down in the same act."""
    with acting(by=by, at=at, once=once_key) as act:
        order = open_order(supplier=add_supplier(name=name, email=email, by=by), lines=lines, by=by)
        act.made(order)
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
        must_be_open(order, sent=False)
        if order.lines.count() >= MOST_LINES:
            raise Refusal(f"An order has up to {MOST_LINES} lines.")
        line = _write_line(order, asked)
        act.record("order.line_added", subject=order, jobs=_jobs_on([line]), line=line.pk)
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
        must_be_open(line.order, sent=False)
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
        must_be_open(order, sent=False)
        jobs = _jobs_on([line])
        PartWanted.objects.filter(order_line=line).update(order_line=None)
        act.record("order.line_taken_off", subject=order, jobs=jobs, line=line.pk)
        OrderLine.objects.filter(pk=line.pk).delete()
    return order


def send_order(
    *,
    order: Order,
    by: Staff,
    letter: bool = False,
    typed: Sequence[LineTyped] = (),
    reference: str = "",
    link: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Order:
    """Send an order: its paper is issued once. With `letter`, the paper goes to the supplier through the outbox.

    Without it whoever asks has ordered it on the supplier's web page, by phone or on paper, and marks it as sent; `reference`
    and `link` are the supplier's. `typed` is what stands in the lines' boxes: it is put right first, so that the paper says
    what was on the screen. A part that nobody had a supplier for is usually from this one from now on.
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
        order.reference, order.link = reference.strip(), link.strip()
        order.save(update_fields=["paper", "reference", "link"])
        Part.objects.filter(pk__in=order.lines.values("part"), preferred_supplier=None).update(
            preferred_supplier=order.supplier
        )
        if letter:
            subject, body = texts().write(
                ORDER,
                number=order.number,
                supplier=str(order.supplier),
                account=order.supplier.our_account,
                signed=by.get_full_name() or the_profile().owner_name,
            )
            outbox.write_message(
                to=order.supplier.email, subject=subject, body=body, paper=order.paper, by=by
            )
        act.record("order.sent", subject=order, jobs=_jobs_on(order.lines.all()), by_letter=letter)
    return order


def note_reference(
    *,
    order: Order,
    reference: str,
    link: str,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Order:
    """Write down what the supplier calls an order, and the page where it shows how the order stands."""
    with acting(by=by, at=at, once=once_key) as act:
        order.reference, order.link = reference.strip(), link.strip()
        order.save(update_fields=["reference", "link"])
        act.record("order.referenced", subject=order)
    return order


def give_up_line(
    *, line: OrderLine, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Order:
    """The rest of a line will not come; what jobs still wait for stands on the list again."""
    with acting(by=by, at=at, once=once_key) as act:
        order = line.order
        must_be_open(order, sent=True)
        jobs = _jobs_on([line])
        _give_up(act, line)
        act.record("order.line_given_up", subject=order, jobs=jobs, line=line.pk)
        close_when_complete(act, order)
    return order


def close_order(
    *, order: Order, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Order:
    """Close an order: what did not come is given up, and what jobs wait for stands on the list again."""
    with acting(by=by, at=at, once=once_key) as act:
        if order.closed_at is not None:
            raise Refusal("This order is closed already.")
        jobs = _jobs_on(order.lines.all())
        for line in order.lines.filter(given_up_at=None):
            if line.received_thousandths < line.quantity_thousandths:
                _give_up(act, line)
        _close(act, order, jobs=jobs)
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


def must_be_open(order: Order, *, sent: bool) -> None:
    """Refuse where the order is closed, or has been sent or not against what is asked."""
    order.refresh_from_db(fields=["sent_at", "closed_at"])
    if order.closed_at is not None:
        raise Refusal("This order is closed.")
    if sent and order.sent_at is None:
        raise Refusal("This order has not been sent yet.")
    if not sent and order.sent_at is not None:
        raise Refusal("This order was sent: what it says stays as it was sent.")


def _give_up(act: Act, line: OrderLine) -> None:
    OrderLine.objects.filter(pk=line.pk).update(given_up_at=act.at)
    PartWanted.objects.filter(order_line=line, came_at=None, dropped_at=None).update(order_line=None)


def close_when_complete(act: Act, order: Order) -> None:
    """Close an order of which nothing is to come any more."""
    open_lines = order.lines.filter(given_up_at=None, received_thousandths__lt=F("quantity_thousandths"))
    if not open_lines.exists():
        _close(act, order)


def _close(act: Act, order: Order, *, jobs: Sequence[int] = ()) -> None:
    Order.objects.filter(pk=order.pk).update(closed_at=act.at)
    order.closed_at = act.at
    act.record("order.closed", subject=order, jobs=jobs)


def _jobs_on(lines: Iterable[OrderLine]) -> list[int]:
    """The jobs that wait for something of these lines, by id."""
    wants = PartWanted.objects.filter(order_line__in=[line.pk for line in lines], dropped_at=None)
    return sorted(set(wants.values_list("job_id", flat=True)))
