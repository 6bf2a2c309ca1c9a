"""Sizes and weights as the shops in inches type them."""

from __future__ import annotations

from decimal import Decimal

import pint

from shop.handbook.parcels import (
    Size,
    Weight,
    parse_size,
    parse_weight,
)

UNITS = pint.UnitRegistry(non_int_type=Decimal)


def inches(text: str) -> Size:
    return parse_size(text, "in")


def pounds(text: str) -> Weight:
    return parse_weight(text, "lb")
