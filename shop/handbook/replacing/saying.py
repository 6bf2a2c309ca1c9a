"""What is said of a part in another's place: for, against, or under a condition.

Sources
    None: words.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Weight(StrEnum):
    """How much a remark weighs."""

    NO = "no"
    MIND = "mind"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Remark:
    """One remark: its weight and a sentence."""

    weight: Weight
    sentence: str


def no(sentence: str) -> Remark:
    """A reason why the part may not stand in."""
    return Remark(Weight.NO, sentence)


def mind(sentence: str) -> Remark:
    """A condition under which it may."""
    return Remark(Weight.MIND, sentence)


def not_known(sentence: str) -> Remark:
    """What can't be judged because it wasn't told."""
    return Remark(Weight.NOT_KNOWN, sentence)


def verdict(remarks: Iterable[Remark]) -> str:
    """All remarks in a few words; never a bare yes where something wasn't told."""
    weights = {one.weight for one in remarks}
    if Weight.NO in weights:
        return "may not stand in"
    if Weight.NOT_KNOWN in weights:
        return "can’t be said before the rest is known"
    return "may stand in, with conditions" if Weight.MIND in weights else "may stand in by these numbers"
