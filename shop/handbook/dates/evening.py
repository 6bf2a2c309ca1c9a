"""What to do with an evening: which jobs fit into the hours there are, in which order, and why each.

Sources
    None: the order of the reasons is common practice. That ten hours a week are best spent on what is promised, on what
    others waited for, and on what can be finished, every bench knows. Quiet from nine in the evening on: house rules; the
    shop may name another hour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shop.handbook.dates.refused import HOURS_OF_A_DAY, DatesError

QUICK_HOURS = 1.0
WORTH_STARTING = 0.5
QUIET_FROM = 21.0


class Why(StrEnum):
    """Why a job is for tonight, the strongest first."""

    AT_RISK = "at_risk"
    PART_CAME = "part_came"
    YES_CAME = "yes_came"
    QUICK = "quick"
    LEFT_OFF = "left_off"
    SAME_KIND = "same_kind"
    LOUD = "loud"
    NEXT = "next"


QUIET_UNTIL = 7.0
"""Hour of the clock until which the night lasts: common practice, no source; local rules come first."""
STRENGTHS = {Why.AT_RISK: 0, Why.PART_CAME: 1, Why.YES_CAME: 2, Why.QUICK: 3, Why.LEFT_OFF: 4}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A job that waits for nothing but the bench, in its place in the queue: hours left, its kind, and what speaks for it."""

    key: str
    hours: float
    kind: str = ""
    why: frozenset[Why] = frozenset()
    loud: bool = False


@dataclass(frozen=True, slots=True)
class Pick:
    """A job of the evening: how long it is meant to be worked on, whether that finishes it, and the reasons."""

    key: str
    hours: float
    finishes: bool
    why: tuple[Why, ...]


def evening(
    queue: Sequence[Candidate], hours: float, *, begins: float = 19.0, quiet_from: float = QUIET_FROM
) -> list[Pick]:
    """Fill the hours with jobs: the strongest reasons first, the queue's order between equals, the last perhaps begun only.

    `begins` and `quiet_from` are hours of the clock. Loud work comes before it gets quiet, and what can't be, waits for
    another evening. Raises DatesError for hours that no evening has.
    """
    if not 0 < hours <= HOURS_OF_A_DAY:
        raise DatesError(f"An evening has more than 0 and at most {HOURS_OF_A_DAY} hours.")
    left, loud_left = hours, max(quiet_from - begins, 0.0) if begins >= QUIET_UNTIL else 0.0
    chosen: list[tuple[Candidate, float]] = []
    for one in _by_reason(queue):
        room = min(left, loud_left) if one.loud else left
        if room >= min(one.hours, WORTH_STARTING) and room > 0:
            spent = min(one.hours, room)
            chosen.append((one, spent))
            left -= spent
            loud_left -= spent if one.loud else 0.0
    return _ordered(chosen, begins, quiet_from)


def _by_reason(queue: Sequence[Candidate]) -> list[Candidate]:
    """The strongest reason first; next to each job those of its kind that have no reason of their own."""
    strongest = sorted(enumerate(queue), key=lambda pair: (_strength(pair[1]), pair[0]))
    ordered: list[Candidate] = []
    rest = [one for _, one in strongest]
    while rest:
        first = rest.pop(0)
        ordered.append(first)
        if first.kind and _strength(first) == len(STRENGTHS):
            alike = [one for one in rest if one.kind == first.kind]
            ordered += alike
            rest = [one for one in rest if one.kind != first.kind]
    return ordered


def _strength(one: Candidate) -> int:
    reasons = {*one.why, *([Why.QUICK] if one.hours <= QUICK_HOURS else [])}
    return min((STRENGTHS.get(why, len(STRENGTHS)) for why in reasons), default=len(STRENGTHS))


def _ordered(chosen: Sequence[tuple[Candidate, float]], begins: float, quiet_from: float) -> list[Pick]:
    """Loud work first where the evening goes on into the quiet hours; then as chosen."""
    ends = begins + sum(spent for _, spent in chosen)
    late = ends > quiet_from
    ordered = sorted(chosen, key=lambda pair: not pair[0].loud) if late else list(chosen)
    picks: list[Pick] = []
    kinds: list[str] = []
    for one, spent in ordered:
        why = _reasons(one, spent, alike=bool(one.kind) and one.kind in kinds, late=late)
        picks.append(Pick(one.key, spent, one.hours <= spent, why))
        kinds.append(one.kind)
    return picks


def _reasons(one: Candidate, spent: float, *, alike: bool, late: bool) -> tuple[Why, ...]:
    why = set(one.why)
    if one.hours <= QUICK_HOURS and one.hours <= spent:
        why.add(Why.QUICK)
    if alike:
        why.add(Why.SAME_KIND)
    if one.loud and late:
        why.add(Why.LOUD)
    return tuple(reason for reason in Why if reason in why) or (Why.NEXT,)
