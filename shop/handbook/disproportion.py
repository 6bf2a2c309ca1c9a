"""How much more often something is seen than expected, told so that a few lucky cases say little.

Sources
    G. N. Norén, J. Hopstadius, A. Bate, "Shrinkage observed-to-expected ratios for robust and transparent large-scale pattern
    discovery", Statistical Methods in Medical Research 22 (2013): (O + ½) / (E + ½), whose posterior is a gamma distribution of
    shape O + ½ and rate E + ½; its lower end by their approximation, log2 ratio - 3.3 (O + ½)^-½ - 2 (O + ½)^-3/2.
    That fewer than five cases say nothing: common practice, no source.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

FEWEST = 5
HALF = 0.5


@dataclass(frozen=True, slots=True)
class Ratio:
    """How many times as often as expected, shrunk towards once; and the lower end of its 95 % range."""

    times: float
    at_least: float

    @property
    def surely_more(self) -> bool:
        """Whether even the lower end is more than expected."""
        return self.at_least > 1


def shrunk_ratio(observed: int, expected: float) -> Ratio | None:
    """The ratio of what was observed to what was expected; None for fewer than five. Raises ValueError for nonsense."""
    if observed < 0 or not (math.isfinite(expected) and expected >= 0):
        raise ValueError("What is counted and what is expected are not negative.")
    if observed < FEWEST:
        return None
    seen = observed + HALF
    times = seen / (expected + HALF)
    return Ratio(times, times * 2.0 ** (-3.3 * seen**-0.5 - 2 * seen**-1.5))
