"""A reading with its uncertainty against one limit, and several verdicts made into one.

Sources
    Guard-band reading of a limit (a verdict only where the whole span lies on one side): the decision rule of
    ILAC-G8 / ISO/IEC Guide 98-4 in its plainest form (from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from .readings import Span


class Verdict(StrEnum):
    """What one test came to; the value is what a table keeps."""

    PASSED = "passed"
    NOT_DONE = "not_done"
    TOO_CLOSE = "too_close"
    FAILED = "failed"

    @property
    def label(self) -> str:
        """The verdict within a sentence."""
        return "too close to call" if self is Verdict.TOO_CLOSE else self.value.replace("_", " ")


_GRAVITY = {Verdict.PASSED: 0, Verdict.NOT_DONE: 1, Verdict.TOO_CLOSE: 2, Verdict.FAILED: 3}


@dataclass(frozen=True, slots=True)
class Finding:
    """One reading judged: its verdict, how bad it is among its like (larger is worse), and its half sentence."""

    verdict: Verdict
    badness: Decimal
    clause: str


def at_most(span: Span, limit: Decimal, *, inclusive: bool = True) -> Verdict:
    """Whether the whole span stays at or under the limit; inclusive: a value equal to the limit passes."""
    if span.high < limit or (inclusive and span.high == limit):
        return Verdict.PASSED
    if span.low > limit or (not inclusive and span.low == limit):
        return Verdict.FAILED
    return Verdict.TOO_CLOSE


def at_least(span: Span, limit: Decimal, *, inclusive: bool = True) -> Verdict:
    """Whether the whole span stays at or above the limit; inclusive: a value equal to the limit passes."""
    if span.low > limit or (inclusive and span.low == limit):
        return Verdict.PASSED
    if span.high < limit or (not inclusive and span.high == limit):
        return Verdict.FAILED
    return Verdict.TOO_CLOSE


def gravest(verdicts: Iterable[Verdict]) -> Verdict:
    """The verdict that decides among several: one failure fails, one open question leaves it open."""
    return max(verdicts, key=_GRAVITY.__getitem__)


def worst(findings: Iterable[Finding]) -> Finding:
    """The finding that decides a test: the gravest verdict, then the largest badness, then the first read."""
    return max(findings, key=lambda finding: (_GRAVITY[finding.verdict], finding.badness))
