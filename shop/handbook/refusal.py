"""What the handbook's arithmetic refuses to work with, and the one sentence it says.

Sources
    None: arithmetic needs numbers that can be. The bounds are our own choice, wide of everything that a bench meets.
"""

from __future__ import annotations

from decimal import Decimal

from .in_words import plain
from .quantities.si import engineering

LARGEST = Decimal("1E12")
SMALLEST = Decimal("1E-18")
"""No value of a bench is larger or, above nothing, smaller; between them no sum runs out of digits."""


class Refused(ValueError):
    """A value that can't be; the message is one sentence for the person."""


def refuse_unless_finite(refusal: type[Refused] = Refused, **values: Decimal) -> None:
    """Raise for the first value that isn't a number of a size that a bench meets, by its name."""
    for name, value in values.items():
        if not value.is_finite():
            raise refusal(f"The {name.replace('_', ' ')} must be a number.")
        if abs(value) > LARGEST:
            raise refusal(f"The {name.replace('_', ' ')} is beyond everything that a bench measures.")


def refuse_unless_positive(refusal: type[Refused] = Refused, **values: Decimal) -> None:
    """Raise for the first value that isn't a positive number of a size that a bench meets, by its name."""
    for name, value in values.items():
        if not (value.is_finite() and value > 0):
            raise refusal(f"The {name.replace('_', ' ')} must be a positive number.")
        if not SMALLEST <= value <= LARGEST:
            raise refusal(f"The {name.replace('_', ' ')} is beyond everything that a bench measures.")


def refuse_outside(
    low: Decimal | int, high: Decimal | int, unit: str, refusal: type[Refused] = Refused, **values: Decimal
) -> None:
    """Raise for the first value, in the base unit, that doesn't lie between the two bounds, both included."""
    refuse_unless_finite(refusal, lower_bound=Decimal(low), upper_bound=Decimal(high))
    for name, value in values.items():
        if not (value.is_finite() and low <= value <= high):
            said = _between(Decimal(low), Decimal(high), unit)
            raise refusal(f"The {name.replace('_', ' ')} must lie within {said}.")


def _between(low: Decimal, high: Decimal, unit: str) -> str:
    """Two bounds in words; each with its own prefix where one of them would be a row of zeros."""
    if unit and any(bound and not Decimal("0.001") <= abs(bound) < 1_000_000 for bound in (low, high)):
        return " to ".join(engineering(bound, unit, 4) for bound in (low, high))
    return f"{plain(low)} to {plain(high)} {unit}".rstrip()
