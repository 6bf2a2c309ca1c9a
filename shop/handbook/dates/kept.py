"""Promises kept and broken, how sure that is, and how much wider the next ones must be.

Sources
    Wilson's interval: as in `counting`. Below thirty a share is noise: common practice, no source. Widening by what the
    earlier forecasts missed: the idea of V. Vovk, A. Gammerman and G. Shafer, "Algorithmic Learning in a Random World"
    (from memory), that the next miss is like the earlier ones; how slowly it is believed: own choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, isfinite

from shop.handbook.counting import Interval, percentile, wilson

ENOUGH = 30
LOOKED_AT = 60
AS_FORECAST = tuple(0.3 + 0.7 * at / 50 for at in range(51)) + tuple(1.1 + 0.1 * at for at in range(9))
"""Sixty promises of a forecast that holds: 85 of a hundred within the day, as if the shop had given them before."""
NARROWEST = 0.7
WIDEST = 4.0


@dataclass(frozen=True, slots=True)
class Record:
    """How many promises were kept, of all whose day has come."""

    kept: int
    given: int

    @property
    def percent(self) -> int:
        """The share kept in whole per cent, rounded half up; 0 of none."""
        return (200 * self.kept + self.given) // (2 * self.given) if self.given else 0

    @property
    def interval(self) -> Interval:
        """Wilson's interval of the share, at 95 %."""
        return wilson(self.kept, self.given)

    @property
    def is_noise(self) -> bool:
        """Whether there are too few to tell."""
        return self.given < ENOUGH


@dataclass(frozen=True, slots=True)
class Gone:
    """One promise: days from the forecast to the day it named, and days that it took, or has taken so far."""

    said: int
    took: int
    ended: bool = True


def widening(promises: Sequence[Gone], share: float = 0.85) -> float:
    """By how much the days of a forecast must be multiplied so that the share is kept again; 1 where it is kept, and without
    any promise; a little less where nearly all are kept, because then they are longer than they need be.

    The newest last; those still open count once they are late. A promise of the same day counts as one of a day.
    """
    told = [one for one in promises if one.ended or one.took > one.said][-LOOKED_AT:]
    missed = [max(one.took, 0) / max(one.said, 1) for one in told]
    return min(max(percentile([*missed, *AS_FORECAST], share), NARROWEST), WIDEST)


def widened(days: int, factor: float) -> int:
    """So many days times the factor, rounded half up. Raises ValueError for a factor that is no number."""
    if not isfinite(factor):
        raise ValueError("Days are widened by a number.")
    return floor(days * factor + 0.5)
