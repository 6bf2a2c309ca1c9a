"""What one part really cost: its price, and its share of the order's freight and fees."""

from __future__ import annotations

from shop.handbook.money import Money, UnitPrice, round_half_up, share
from shop.stockroom.models import Order, OrderLine


def unit_cost(order: Order, line: OrderLine) -> int:
    """The landed cost of one of a line, in ten-thousandths of the major unit, rounded half up.

    Freight and fees are shared over all lines by value, by quantity where nothing has a price (common practice, no source).
    """
    carriage = Money(order.carriage_minor, order.currency)
    if not carriage:
        return line.unit_cost_ten_thousandths
    lines = list(order.lines.order_by("pk"))
    values = [amount(one, order.currency).minor for one in lines]
    weights = values if any(values) else [one.quantity_thousandths for one in lines]
    shares = dict(zip((one.pk for one in lines), share(carriage, weights), strict=True))
    portion = shares[line.pk]
    # minor units of the portion over the ordered quantity, in ten-thousandths of the major unit
    scaled = int(portion.decimal * 10_000) * 1000
    return line.unit_cost_ten_thousandths + round_half_up(scaled, line.quantity_thousandths)


def amount(line: OrderLine, currency: str) -> Money:
    """The amount of one line as ordered."""
    return UnitPrice(line.unit_cost_ten_thousandths, currency).times(line.quantity_thousandths)


def total(order: Order) -> Money:
    """All lines and the freight, as ordered."""
    lines = (amount(line, order.currency) for line in order.lines.all())
    return Money.sum(lines, order.currency) + Money(order.carriage_minor, order.currency)
