"""Quantities and unit prices of the stockroom as a person writes them."""

from __future__ import annotations

from django import template

from shop.frame import spelling
from shop.frame.profile import the_profile
from shop.handbook.money import UnitPrice
from shop.stockroom.forms.fields import quantity_typed

register = template.Library()
register.filter("typed_quantity", quantity_typed)


@register.filter
def unit_price(ten_thousandths: int | None) -> str:
    """A price of one, in the shop's money with its sign; empty for none."""
    if ten_thousandths is None:
        return ""
    return spelling.money(UnitPrice(ten_thousandths, the_profile().currency))


@register.filter
def unit_amount(ten_thousandths: int | None) -> str:
    """A price of one without its sign, for columns."""
    if ten_thousandths is None:
        return ""
    return spelling.amount(UnitPrice(ten_thousandths, the_profile().currency))
