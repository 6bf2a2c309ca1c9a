"""What a sentence proposes for the record, with the very words it rests on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum


class Kind(StrEnum):
    """What may be written down from a sentence."""

    READING = "reading"
    FINDING = "finding"
    TRACE = "trace"
    DEVICE = "device"
    PART = "part"
    WORK = "work"
    TEMPORARY = "temporary"
    CONDITION = "condition"
    MISSING = "missing"
    CONCLUSION = "conclusion"
    TEST = "test"
    TIME = "time"
    TODO = "todo"
    QUESTION = "question"


NEVER_IN_ALL = frozenset({Kind.CONCLUSION, Kind.TEST, Kind.PART, Kind.TIME})
"""Taken one by one: a verdict of a person, a pass, what comes from stock, and time, which is billed."""


@dataclass(frozen=True, slots=True)
class Said:
    """A value as it was said: in the base unit (``V``, ``ohm``, ``F``), or ``open`` and ``short`` without a number.

    ``start`` and ``end`` are where in the sentence its words stand; ``about`` where the speaker said so.
    """

    number: Decimal | None
    unit: str
    start: int
    end: int
    about: bool = False
    doubtful: bool = False
    power: int = 0
    """The power of ten that its unit was said with: -3 for millivolts."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """One line for the record that nobody has taken yet.

    ``facts`` are words by key (place, channel, against, what, how, did, designation, original, date, minutes, who).
    ``asks`` are the keys that must be asked before it can be taken; ``words`` is the sentence from ``start`` to ``end``.
    """

    kind: Kind
    words: str
    start: int
    end: int
    facts: Mapping[str, str] = field(default_factory=dict)
    value: Said | None = None
    expected: Said | None = None
    asks: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether nothing is left to be asked."""
        return not self.asks

    @property
    def with_all(self) -> bool:
        """Whether one touch for all that is sure may take it."""
        return self.sure and self.kind not in NEVER_IN_ALL
