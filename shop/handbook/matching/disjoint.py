"""Whether so many pairs without a common member can be picked out of a list: Edmonds' largest matching.

A device that could go to two partners must not be given to the wrong one. Starting from any picked pairs, a path that
alternates between pairs not picked and picked, from one free device to another, gives one pair more; Edmonds' point is
that an odd ring on the way is shrunk to one place, so that no such path is missed.

Sources
    J. Edmonds, Paths, trees and flowers, 1965 (from memory).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

Edge = tuple[str, str]


def has_disjoint(edges: Iterable[Edge], wanted: int) -> bool:
    """Whether at least ``wanted`` of the edges can be picked so that none share an end."""
    return wanted <= 0 or _Search(edges).reaches(wanted)


class _Search:
    """One growing matching over numbered places; ``mate`` holds each place's partner or -1."""

    def __init__(self, edges: Iterable[Edge]) -> None:
        numbers: dict[str, int] = {}
        self.near: list[list[int]] = []
        for one, other in edges:
            for name in (one, other):
                if name not in numbers:
                    numbers[name] = len(numbers)
                    self.near.append([])
            self.near[numbers[one]].append(numbers[other])
            self.near[numbers[other]].append(numbers[one])
        self.mate = [-1] * len(self.near)
        self.base: list[int] = []
        self.came_from: list[int] = []

    def reaches(self, wanted: int) -> bool:
        """Grow the matching until it has so many pairs, or until no path makes it larger."""
        pairs = 0
        for place in range(len(self.near)):
            if pairs >= wanted:
                break
            if self.mate[place] == -1:
                pairs += self._augment(self._path_from(place))
        return pairs >= wanted

    def _augment(self, end: int) -> bool:
        """Swap picked and unpicked pairs along the path that ends here."""
        found = end != -1
        while end != -1:
            before = self.came_from[end]
            following = self.mate[before]
            self.mate[end], self.mate[before] = before, end
            end = following
        return found

    def _path_from(self, root: int) -> int:
        """The free place at the far end of an alternating path from the root, or -1."""
        self.base = list(range(len(self.near)))
        self.came_from = [-1] * len(self.near)
        reached = {root}
        queue = deque([root])
        while queue:
            here = queue.popleft()
            for there in self.near[here]:
                if self.base[here] == self.base[there] or self.mate[here] == there:
                    continue
                if there == root or (self.mate[there] != -1 and self.came_from[self.mate[there]] != -1):
                    self._shrink(here, there, reached, queue)
                elif self.came_from[there] == -1:
                    self.came_from[there] = here
                    if self.mate[there] == -1:
                        return there
                    reached.add(self.mate[there])
                    queue.append(self.mate[there])
        return -1

    def _shrink(self, here: int, there: int, reached: set[int], queue: deque[int]) -> None:
        """Treat the odd ring that here and there close as one place."""
        common = self._common_base(here, there)
        ring: set[int] = set()
        self._mark(here, common, there, ring)
        self._mark(there, common, here, ring)
        for place in range(len(self.near)):
            if self.base[place] in ring:
                self.base[place] = common
                if place not in reached:
                    reached.add(place)
                    queue.append(place)

    def _mark(self, place: int, common: int, child: int, ring: set[int]) -> None:
        while self.base[place] != common:
            ring |= {self.base[place], self.base[self.mate[place]]}
            self.came_from[place] = child
            child = self.mate[place]
            place = self.came_from[child]

    def _common_base(self, one: int, other: int) -> int:
        seen = set()
        while True:
            one = self.base[one]
            seen.add(one)
            if self.mate[one] == -1:
                break
            one = self.came_from[self.mate[one]]
        while self.base[other] not in seen:
            other = self.came_from[self.mate[self.base[other]]]
        return self.base[other]
