"""What the audio bench refuses to work with, and the one sentence it says.

Sources
    None: arithmetic needs numbers that can be.
"""

from __future__ import annotations

from decimal import Decimal

from .. import refusal


class AudioError(refusal.Refused):
    """A value or a marking that can't be; the message is one sentence for the person."""


def refuse_unless_positive(**values: Decimal) -> None:
    """Raise AudioError for the first value that isn't a positive number of a bench's size, by its name."""
    refusal.refuse_unless_positive(AudioError, **values)


def refuse_unless_finite(**values: Decimal) -> None:
    """Raise AudioError for the first value that isn't a number of a bench's size, by its name."""
    refusal.refuse_unless_finite(AudioError, **values)


def refuse_outside(low: Decimal | int, high: Decimal | int, unit: str, **values: Decimal) -> None:
    """Raise AudioError for the first value that doesn't lie between the two bounds."""
    refusal.refuse_outside(low, high, unit, AudioError, **values)
