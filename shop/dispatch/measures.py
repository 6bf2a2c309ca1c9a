"""Lengths and weights as the shop writes them: inches and pounds, or centimeters and kilograms.

An inch is 25.4 mm and a pound 453.59237 g, both exactly (international yard and pound agreement of 1959).
"""

from __future__ import annotations

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Protocol

from django.utils.functional import lazy

from shop.frame import spelling
from shop.frame.models import Measures
from shop.frame.profile import the_profile
from shop.handbook.parcels import Weight


class HasSides(Protocol):
    """A box or a parcel, in whole millimetres."""

    length_mm: int
    width_mm: int
    height_mm: int


_DECIMAL_POINT = re.compile(r"(?<=\d)\.(?=\d)")
MM_PER_INCH = Decimal("25.4")
GRAMS_PER_POUND = Decimal("453.59237")
KILONEWTON_PER_METRE = Decimal("0.1751268")
"""One pound-force an inch (NIST SP 811, appendix B.8: 1.751268 E+02 N/m)."""
KILOPASCAL = Decimal("6.894757")
"""One pound-force a square inch (NIST SP 811, appendix B.8: 6.894757 E+00 kPa)."""


def by_measure(imperial: str, metric: str) -> str:
    """The words that hold in the shop's measure."""
    return imperial if the_profile().measures == Measures.IMPERIAL else metric


def _hint(imperial: str, metric: str) -> str:
    return _DECIMAL_POINT.sub(spelling.decimal_mark(), by_measure(imperial, metric))


hint = lazy(_hint, str)
"""`by_measure` as a form's hint, its numbers with the mark in force: chosen when it is shown, not when the form is written."""


def length(mm: int) -> str:
    """A length in whole millimetres, to a tenth: `24 in`, `61 cm`."""
    if the_profile().measures == Measures.IMPERIAL:
        return f"{spelling.tenths(Decimal(mm) / MM_PER_INCH)} in"
    return f"{spelling.tenths(Decimal(mm) / 10)} cm"


def size(of: HasSides) -> str:
    """The three sides of a box or a parcel, the unit once: `24 × 20 × 12 in`."""
    written = [length(mm).split() for mm in (of.length_mm, of.width_mm, of.height_mm)]
    return f"{' × '.join(number for number, _ in written)} {written[0][1]}"


def weight(grams: int) -> str:
    """A weight in grams, to a tenth: `45 lb`, `20.4 kg`."""
    if the_profile().measures == Measures.IMPERIAL:
        return f"{spelling.tenths(Decimal(grams) / GRAMS_PER_POUND)} lb"
    return f"{spelling.tenths(Decimal(grams) / 1000)} kg"


def edge_crush(pounds_an_inch: int) -> str:
    """The edge crush resistance that American makers stamp: `44 lb/in`, `7.7 kN/m (44 lb/in)`."""
    metric = spelling.tenths(pounds_an_inch * KILONEWTON_PER_METRE)
    return by_measure(f"{pounds_an_inch} lb/in", f"{metric} kN/m ({pounds_an_inch} lb/in)")


def burst(pounds_a_square_inch: int) -> str:
    """The burst strength that American makers stamp: `275 lb/in²`, `1896 kPa (275 lb/in²)`."""
    metric = round(pounds_a_square_inch * KILOPASCAL)
    return by_measure(f"{pounds_a_square_inch} lb/in²", f"{metric} kPa ({pounds_a_square_inch} lb/in²)")


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
