"""What a forecast refuses, and what it is handed instead of chance.

Sources
    None; the bounds are those of a week.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

HOURS_OF_A_WEEK = 168
HOURS_OF_A_DAY = 24


class DatesError(ValueError):
    """A forecast that can't be made; the message is one sentence for the person."""


class Chance(Protocol):
    """A generator of the caller's; `random.Random` is one."""

    def random(self) -> float:
        """A number from 0 up to but not including 1."""
        ...


Stream = Callable[[str], Chance]
"""A generator of its own for each name, always the same one for the same name: what is common to two forecasts stays common."""
