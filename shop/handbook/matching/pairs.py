"""Choosing pairs out of measured devices: as many as are wanted, the worst of them as close as can be.

Sources
    hFE within 5 % for a pair that is chosen: common practice, no source. Largest set of disjoint pairs: see ``disjoint``.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import combinations

from ..in_words import plain
from .disjoint import has_disjoint
from .sets import Device, millivolts
from .spread import Basis, MatchingError, exact_percent_apart, two_decimals

MOST_DEVICES = 60
"""A tray of devices; more would keep the person waiting."""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two devices that match: the lower hFE first, their difference in percent (exact) and in V_BE (None: unknown)."""

    low: Device
    high: Device
    apart: Fraction
    basis: Basis
    vbe_apart_volt: Decimal | None

    @property
    def percent(self) -> Decimal:
        """The difference in hFE, in percent to two decimals."""
        return two_decimals(self.apart)

    @property
    def sentence(self) -> str:
        """The pair in words."""
        vbe = "" if self.vbe_apart_volt is None else f"; V_BE {millivolts(self.vbe_apart_volt)} mV apart"
        values = " and ".join(plain(device.hfe) for device in (self.low, self.high) if device.hfe)
        return f"{self.low.name} and {self.high.name}: hFE {values}, {self.percent} % {self.basis}{vbe}."


def find_pairs(
    devices: Sequence[Device],
    *,
    within_percent: Decimal = Decimal(5),
    basis: Basis = Basis.OF_LOWER,
    vbe_within_volt: Decimal | None = None,
    wanted: int = 1,
    complementary: bool = False,
) -> tuple[Pair, ...]:
    """Up to ``wanted`` pairs, no device twice: as many as there are, then the least worst difference, then the closest.

    Two devices pair when they are of one type (or of opposite polarity), their hFE lie within the percentage, and their
    V_BE within the limit if there is one. The answer does not depend on the order of the devices. Raises MatchingError.
    """
    _must_be_pairable(devices, wanted)
    measured = sorted((device for device in devices if device.hfe is not None), key=lambda one: one.name)
    possible = [_pair(one, other, basis) for one, other in _partners(measured, complementary=complementary)]
    close = [
        pair
        for pair in possible
        if pair.apart <= within_percent
        and (
            vbe_within_volt is None
            or (pair.vbe_apart_volt is not None and pair.vbe_apart_volt <= vbe_within_volt)
        )
    ]
    return tuple(_chosen(sorted(close, key=_closeness), wanted))


def _partners(devices: Sequence[Device], *, complementary: bool) -> Iterator[tuple[Device, Device]]:
    """The devices two by two that go together by their designations."""
    types = {device.name: device.types() for device in devices}
    polarities = {device.name: device.polarity() for device in devices}
    for one, other in combinations(devices, 2):
        mine, theirs = polarities[one.name], polarities[other.name]
        if complementary:
            if mine and theirs and mine is theirs.opposite:
                yield one, other
        elif types[one.name] & types[other.name]:
            yield one, other


def _must_be_pairable(devices: Sequence[Device], wanted: int) -> None:
    if wanted < 1:
        raise MatchingError("At least one pair must be wanted.")
    if len(devices) > MOST_DEVICES:
        raise MatchingError(f"Pairs are chosen out of at most {MOST_DEVICES} devices at a time.")
    names = [device.name for device in devices]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise MatchingError(f"Two devices are called {twice[0]}: give each its own name.")


def _pair(one: Device, other: Device, basis: Basis) -> Pair:
    low, high = sorted((one, other), key=lambda device: (device.hfe or 0, device.name))
    vbe = None
    if one.vbe_volt is not None and other.vbe_volt is not None:
        vbe = abs(abs(one.vbe_volt) - abs(other.vbe_volt))
    values = [device.hfe for device in (low, high) if device.hfe is not None]
    return Pair(low, high, exact_percent_apart(values, basis), basis, vbe)


def _closeness(pair: Pair) -> tuple[Fraction, bool, Decimal, str, str]:
    vbe = pair.vbe_apart_volt
    return pair.apart, vbe is None, vbe or Decimal(0), pair.low.name, pair.high.name


def _chosen(possible: Sequence[Pair], wanted: int) -> Iterator[Pair]:
    """The closest pairs among the shortest beginning of the list that has enough disjoint ones."""
    edges = [(pair.low.name, pair.high.name) for pair in possible]
    while wanted and not has_disjoint(edges, wanted):
        wanted -= 1
    enough = bisect_left(
        range(len(edges) + 1), x=True, key=lambda length: has_disjoint(edges[:length], wanted)
    )
    left = edges[:enough]
    for pair in possible[:enough]:
        edge = (pair.low.name, pair.high.name)
        if not wanted:
            return
        if edge not in left:
            continue
        others = [one for one in left if not set(one) & set(edge)]
        if has_disjoint(others, wanted - 1):
            yield pair
            left, wanted = others, wanted - 1
        else:
            left = [one for one in left if one != edge]
