"""Bench hours: what a job of its kind takes in all, and how much of that is left once some is done.

Sources
    Pulling a thin group's mean towards the mean of the larger group that holds it: B. Efron and C. Morris, "Stein's
    paradox in statistics", Scientific American 236 (1977). Means are of logarithms, because repair times lean to the
    right. Strengths and what is assumed before anything is known: common practice, no source.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

STRENGTH = 5.0
"""The larger group counts as so many jobs of the smaller one; the prior, as so many of the shop's."""

PRIOR_HOURS = 2.5
PRIOR_SHAPE = (0.25, 0.4, 0.55, 0.7, 0.85, 1.0, 1.2, 1.45, 1.8, 2.5, 4.0)
"""Multiples of the typical hours: a logarithmic normal of deviation 0.8, at the middles of eleven equal parts."""

LEAST_HOURS = 0.05
MOST_HOURS = 1000.0
MOST_SHAPES = 400
"""So many of the newest jobs say how hours scatter; more would cost time and tell no more."""


@dataclass(frozen=True, slots=True)
class Taken:
    """What one ended job took: bench hours, and the groups it belongs to, the largest first."""

    hours: float
    groups: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Basis:
    """What the hours rest on: how many jobs of the shop, and of the narrowest group that had any, with its name."""

    jobs: int
    group: str = ""
    like: int = 0


@dataclass(frozen=True, slots=True)
class Hours:
    """What earlier jobs took: the typical hours of each group, and the multiples of it that really came, rising."""

    typical_of_shop: float
    shape: tuple[float, ...]
    strength: float
    jobs: int
    logs: dict[str, tuple[int, float]] = field(default_factory=dict)

    @property
    def mean(self) -> float:
        """The mean hours of the shop's jobs, which lie above the typical ones."""
        return self.typical_of_shop * sum(self.shape) / len(self.shape)

    def typical(self, groups: Sequence[str]) -> float:
        """The typical hours, shrunk from the shop's through each narrower group in turn."""
        mean = math.log(self.typical_of_shop)
        for group in groups:
            count, total = self.logs.get(group, (0, 0.0))
            if count:
                mean = (total + self.strength * mean) / (count + self.strength)
        return math.exp(mean)

    def basis(self, groups: Sequence[str]) -> Basis:
        """How many jobs stand behind the typical hours."""
        for group in reversed(groups):
            if count := self.logs.get(group, (0, 0.0))[0]:
                return Basis(self.jobs, group, count)
        return Basis(self.jobs)

    def left(self, groups: Sequence[str], done: float, chances: Sequence[float]) -> list[float]:
        """Hours still to do, one for each chance: of the like jobs that took longer than `done`, less what was done.

        A job that outlasts all of them is taken to need between a tenth and a half of what it had so far.
        """
        typical, shape = self.typical(groups), self.shape
        if done <= 0:
            count = len(shape)
            return [shape[int(u * count)] * typical for u in chances]
        first = bisect_right(shape, done / typical)
        count = len(shape) - first
        if not count:
            return [done * (0.1 + 0.4 * u) for u in chances]
        return [max(shape[first + int(u * count)] * typical - done, LEAST_HOURS) for u in chances]


def hours_of(past: Iterable[Taken], *, strength: float = STRENGTH, prior: float = PRIOR_HOURS) -> Hours:
    """Learn from ended jobs, the newest last. `strength` 0 takes the past alone, as it stands.

    Jobs without bench time tell nothing of it and are left out; so is what can't be, as after a clock was set back.
    """
    taken = [one for one in past if LEAST_HOURS <= one.hours <= MOST_HOURS]
    logs: dict[str, list[float]] = defaultdict(list)
    for one in taken:
        for group in one.groups:
            logs[group].append(math.log(one.hours))
    total = sum(math.log(one.hours) for one in taken)
    weight = len(taken) + strength
    of_shop = math.exp((total + strength * math.log(prior)) / weight) if weight else prior
    known = Hours(
        of_shop, (), strength, len(taken), {name: (len(some), sum(some)) for name, some in logs.items()}
    )
    return Hours(of_shop, _shape(known, taken[-MOST_SHAPES:]), strength, len(taken), known.logs)


def _shape(known: Hours, taken: Sequence[Taken]) -> tuple[float, ...]:
    """The multiples of the typical hours, rising; a thin past is filled up with those of the prior."""
    seen = sorted(one.hours / known.typical(one.groups) for one in taken)
    if not taken or len(seen) < 4 * known.strength:
        return tuple(sorted([*seen, *PRIOR_SHAPE]))
    return tuple(seen)
