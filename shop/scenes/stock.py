"""What lies in the demo shop's drawers when it opens."""

from __future__ import annotations

import datetime as dt

from shop.frame.models import Staff
from shop.handbook.money import UnitPrice
from shop.stockroom import actions as stockroom
from shop.stockroom.models import Part

Row = tuple[str, str, str, str, str, int, str, str]


def lay_in_stock(rows: list[Row], *, by: Staff, at: dt.datetime, currency: str) -> dict[str, Part]:
    """Add every part of the list and receive what is in its drawer; the parts by number."""
    parts: dict[str, Part] = {}
    for number, description, designation, kind, drawer, count, cost, price in rows:
        part = stockroom.add_part(
            number=number,
            description=description,
            designation=designation,
            quantity_kind=kind,
            drawer=drawer,
            price_ten_thousandths=UnitPrice.parse(price, currency).ten_thousandths if price else None,
            by=by,
            at=at,
        )
        stockroom.receive(
            part=part,
            quantity_thousandths=count * 1000,
            unit_cost_ten_thousandths=UnitPrice.parse(cost, currency).ten_thousandths,
            by=by,
            at=at,
        )
        parts[number] = part
    return parts
