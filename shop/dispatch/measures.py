"""Lengths and weights as the shop writes them: inches and pounds, or centimetres and kilograms.

An inch is 25.4 mm and a pound 453.59237 g, both exactly (international yard and pound agreement of 1959).
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Protocol

from shop.handbook.parcels import Weight
from shop.premises.models import Measures
from shop.premises.profile import the_profile


class HasSides(Protocol):
    """A box or a parcel, in whole millimetres."""

    length_mm: int
    width_mm: int
    height_mm: int


MM_PER_INCH = Decimal("25.4")
GRAMS_PER_POUND = Decimal("453.59237")


def length(mm: int) -> str:
    """A length in whole millimetres, to a tenth: `24 in`, `61 cm`."""
    if the_profile().measures == Measures.IMPERIAL:
        return f"{_tenths(Decimal(mm) / MM_PER_INCH)} in"
    return f"{_tenths(Decimal(mm) / 10)} cm"


def size(of: HasSides) -> str:
    """The three sides of a box or a parcel, the unit once: `24 × 20 × 12 in`."""
    written = [length(mm).split() for mm in (of.length_mm, of.width_mm, of.height_mm)]
    return f"{' × '.join(number for number, _ in written)} {written[0][1]}"


def weight(grams: int) -> str:
    """A weight in grams, to a tenth: `45 lb`, `20.4 kg`."""
    if the_profile().measures == Measures.IMPERIAL:
        return f"{_tenths(Decimal(grams) / GRAMS_PER_POUND)} lb"
    return f"{_tenths(Decimal(grams) / 1000)} kg"


def mm_of(value: Decimal) -> int:
    """Whole millimetres of a length typed in the shop's measure, rounded half up."""
    factor = MM_PER_INCH if the_profile().measures == Measures.IMPERIAL else Decimal(10)
    return int((value * factor).to_integral_value(ROUND_HALF_UP))


def grams_of(value: Decimal) -> int:
    """Whole grams of a weight typed in the shop's measure, rounded half up."""
    factor = GRAMS_PER_POUND if the_profile().measures == Measures.IMPERIAL else Decimal(1000)
    return int((value * factor).to_integral_value(ROUND_HALF_UP))


def grams_in(weight: Weight) -> int:
    """Whole grams of a weight in any unit, rounded half up."""
    return int((weight.to("kg").value * 1000).to_integral_value(ROUND_HALF_UP))


def _tenths(value: Decimal) -> str:
    text = str(value.quantize(Decimal("0.1"), ROUND_HALF_UP))
    return text.removesuffix(".0")
