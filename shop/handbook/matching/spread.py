"""How far apart values are in percent, of which of two possible wholes.

Sources
    Percent has no one meaning: 96 and 106 are 10.42 % apart of the lower and 9.90 % of the mean (arithmetic).
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from fractions import Fraction


class MatchingError(ValueError):
    """Devices that can't be compared or paired; the message is one sentence for the person."""


class Basis(StrEnum):
    """What a difference is a percentage of. For more than two values the highest and the lowest count."""

    OF_LOWER = "of the lower"
    OF_MEAN = "of the mean"


def exact_percent_apart(values: Sequence[Decimal], basis: Basis) -> Fraction:
    """The highest value less the lowest, in percent, exact; raises MatchingError for none or for one not above zero."""
    if not values or any(not value.is_finite() or value <= 0 for value in values):
        raise MatchingError("A spread in percent needs values above zero.")
    low, high = Fraction(min(values)), Fraction(max(values))
    whole = low if basis is Basis.OF_LOWER else (low + high) / 2
    return 100 * (high - low) / whole


def percent_apart(values: Sequence[Decimal], basis: Basis) -> Decimal:
    """The spread in percent to two decimals, half up: 96 and 106 are 10.42 of the lower, 9.90 of the mean."""
    return two_decimals(exact_percent_apart(values, basis))


def two_decimals(value: Fraction) -> Decimal:
    """A fraction rounded half up to two decimals."""
    hundredths = (Decimal(value.numerator * 100) / Decimal(value.denominator)).to_integral_value(
        ROUND_HALF_UP
    )
    return hundredths.scaleb(-2).quantize(Decimal("0.01"))
