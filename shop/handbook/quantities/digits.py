"""The digits of a typed number: sign, decimal point or comma, power of ten.

Sources
    The SI brochure, 9th edition, 5.4.4 (from memory): point or comma is the decimal sign, and neither separates
    thousands. A comma before exactly three digits is refused all the same: some countries write thousands that way.
"""

from __future__ import annotations

import re

from .quantity import Unreadable

GREATEST_POWER = 30
"""Of ten, in a number typed with an exponent: the range of the SI prefixes."""

DIGITS = r"(?:[0-9]{1,20}(?:[.,][0-9]{0,20})?|[.,][0-9]{1,20})"
"""Pattern of a number without sign and without power of ten."""

PLAIN = re.compile(rf"([+-]?)\s*({DIGITS})(?:[eE]([+-]?[0-9]{{1,9}}))?\s*([^0-9]*)").fullmatch
"""Sign, digits, power of ten, and what stands behind the number."""


def number_in(sign: str, digits: str, power: str | None) -> str:
    """The number as Decimal reads it, from its sign, digits and power of ten.

    Raises Unreadable for a comma of two meanings and for a power out of bounds.
    """
    whole, comma, part = digits.partition(",")
    if comma and len(part) == 3 and whole.strip("0"):
        raise Unreadable(
            f"“{digits}” could be {whole}.{part} or {whole}{part}: type a point, or no separator at all."
        )
    number = sign + digits.replace(",", ".")
    if power is None:
        return number
    if abs(int(power)) > GREATEST_POWER:
        raise Unreadable(f"Ten to the power of {power} is beyond every meter.")
    return f"{number}E{power}"
