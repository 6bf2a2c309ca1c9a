"""Readings: what a value should have been, and what came of it. Sources: each module names its own.

``expect`` reads an expectation as typed, ``judge`` holds a reading against it.
"""

from __future__ import annotations

from .expected import JUNCTIONS, Expected, about, at_least, at_most, expect
from .judging import Incomparable, Judgement, Verdict, judge

__all__ = [
    "JUNCTIONS",
    "Expected",
    "Incomparable",
    "Judgement",
    "Verdict",
    "about",
    "at_least",
    "at_most",
    "expect",
    "judge",
]
