"""Lengths, weights and stamps of boxes in the shop's measure, and plain numbers of rules."""

from __future__ import annotations

from decimal import Decimal

from django import template

from shop.dispatch.measures import burst, edge_crush, size, weight
from shop.frame import spelling

register = template.Library()
register.filter("parcel_size", size)
register.filter("parcel_weight", weight)
register.filter("edge_crush", edge_crush)
register.filter("burst", burst)


@register.filter
def trimmed(number: Decimal | None) -> str:
    """A number without trailing zeros or exponent, with the decimal mark in force; empty for none."""
    return "" if number is None else spelling.typed(f"{number.normalize():f}")
