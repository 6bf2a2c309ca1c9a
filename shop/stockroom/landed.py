"""What one part really cost: its price, and its share of the order's freight and fees."""

from __future__ import annotations

from django.db.models import Q

from shop.handbook.money import Money, UnitPrice, round_half_up, share
from shop.stockroom.models import Order, OrderLine


def unit_cost(order: Order, line: OrderLine, quantity_thousandths: int | None = None) -> int:
    """The landed cost of one of a line, in ten-thousandths of the major unit, rounded half up.

    What of freight and fees is in no part yet is shared over what is still to come: by value, by quantity where nothing has a
    price (common practice, no source). Without a quantity, all that is still to come of the line comes.
    """
    left = left_of(line)
    came = quantity_thousandths or left or line.quantity_thousandths
    portion = carriage_of(order, line, came)
    return line.unit_cost_ten_thousandths + round_half_up(portion * 1000, came)


def carriage_of(order: Order, line: OrderLine, quantity_thousandths: int) -> int:
    """What so many of a line carry of the freight and fees that are in no part yet, in ten-thousandths of the major unit."""
    carriage = Money(order.carriage_minor, order.currency)
    rest = int(carriage.decimal * 10_000) - order.carriage_landed_ten_thousandths
    if rest <= 0:
        return 0
    lines = list(order.lines.filter(Q(given_up_at=None) | Q(pk=line.pk)).order_by("pk"))
    # more may come than was ordered: it carries its share, too
    to_come = {one.pk: left_of(one) for one in lines} | {line.pk: max(left_of(line), quantity_thousandths)}
    values = [one.unit_cost_ten_thousandths * to_come[one.pk] for one in lines]
    weights = values if any(values) else [to_come[one.pk] for one in lines]
    shares = dict(zip((one.pk for one in lines), share(Money(rest, order.currency), weights), strict=True))
    return round_half_up(shares[line.pk].minor * quantity_thousandths, to_come[line.pk])


def left_of(line: OrderLine) -> int:
    """What is still to come of a line, in thousandths."""
    return max(line.quantity_thousandths - line.received_thousandths, 0)


def amount(line: OrderLine, currency: str) -> Money:
    """The amount of one line as ordered."""
    return UnitPrice(line.unit_cost_ten_thousandths, currency).times(line.quantity_thousandths)


def total(order: Order) -> Money:
    """All lines and the freight, as ordered."""
    lines = (amount(line, order.currency) for line in order.lines.all())
    return Money.sum(lines, order.currency) + Money(order.carriage_minor, order.currency)
