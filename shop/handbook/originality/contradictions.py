"""Traces that can't both be right, found two at a time, reading by reading, and never dropped.

Each reading of a stamp, a repair label or an untouched part bounds the days on which the unit can have been built; so
does its build window. Two bounds without a day in common contradict each other. A further reading or trace adds pairs
and takes none away, so no contradiction ever vanishes; it may only cease to be the whole truth about its traces.

Sources
    Intervals that meet two by two have a day in common: E. Helly, 1923 (from memory). Hence pairs are enough.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, product

from ..datecodes.candidates import in_full
from .evidence import Evidence, Window, in_words

WINDOW = "the build window"


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two statements on when the unit was built that have no day in common.

    ``early`` names the one that has it built too soon for ``late``. ``settled`` is True when no other reading of the
    two traces would do: then one of them is wrong, or they don't belong together.
    """

    early: str
    late: str
    sentence: str
    settled: bool


@dataclass(frozen=True, slots=True)
class Statement:
    """What one reading of one trace says of the build."""

    name: str
    bound: Window


def statements(evidence: Evidence) -> list[Statement]:
    """What each reading of a trace says of the build; none for a part that may have been fitted at any time."""
    bounds = [(candidate, evidence.build_bound(candidate)) for candidate in evidence.candidates]
    return [
        Statement(f"{evidence.name} as {in_words(candidate)}", bound) for candidate, bound in bounds if bound
    ]


def contradictions(built: Window, traces: Iterable[Evidence]) -> tuple[Contradiction, ...]:
    """All pairs of readings that contradict each other or the build window, in the order of the traces."""
    said = [[Statement(WINDOW, built)], *(statements(trace) for trace in traces)]
    found: list[Contradiction] = []
    for one, other in combinations(said, 2):
        settled = no_way_out(one, other)
        for left, right in product(one, other):
            clash = _clash(left, right, settled=settled) or _clash(right, left, settled=settled)
            if clash:
                found.append(clash)
    return tuple(found)


def no_way_out(one: Sequence[Statement], other: Sequence[Statement]) -> bool:
    """Whether two traces both speak of the build and no reading of the one meets any of the other."""
    pairs = list(product(one, other))
    return bool(pairs) and not any(left.bound.meets(right.bound) for left, right in pairs)


def _clash(early: Statement, late: Statement, *, settled: bool) -> Contradiction | None:
    gap = early.bound.gap_before(late.bound)
    if not gap:
        return None
    name = early.name[:1].upper() + early.name[1:]
    sentence = f"{name} has the unit built by {in_full(gap[0])}, {late.name} not before {in_full(gap[1])}."
    return Contradiction(early.name, late.name, sentence, settled)
