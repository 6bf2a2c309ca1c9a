"""What the audio bench refuses to work with, and the one sentence it says.

Sources
    None: arithmetic needs numbers that can be.
"""

from __future__ import annotations

from decimal import Decimal


class AudioError(ValueError):
    """A value or a marking that can't be; the message is one sentence for the person."""


def refuse_unless_positive(**values: Decimal) -> None:
    """Raise AudioError for the first value that isn't a positive number, by its name."""
    for name, value in values.items():
        if not (value.is_finite() and value > 0):
            raise AudioError(f"The {name.replace('_', ' ')} must be a positive number.")


def refuse_unless_finite(**values: Decimal) -> None:
    """Raise AudioError for the first value that isn't a number, by its name."""
    for name, value in values.items():
        if not value.is_finite():
            raise AudioError(f"The {name.replace('_', ' ')} must be a number.")
