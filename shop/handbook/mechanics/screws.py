"""Screws by measured diameter and pitch: every thread that fits, old Japanese and British ones among them.

Sources
    ISO coarse pitches: ISO 261 (from memory). Old Japanese M3 × 0.6, M4 × 0.75, M5 × 0.9 (JIS before it took ISO's
    pitches), and M1.7, M2.3, M2.6: from memory. Unified: diameter 0.060 + 0.013 · n inch, ASME B1.1 (from memory). BA:
    pitch 0.9ⁿ mm, diameter 6 · pitch^1.2, BS 93 (from memory). 5/16 and 3/8 UNC
    and UNF: the same. BSW 1/8 to 3/8: BS 84; 1/4 and 3/8 have the pitch of UNC, at 55° (from memory).
    A screw measures 0 to 0.15 mm under its nominal diameter; a comb gauge tells pitches 0.03 mm apart: common practice.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from ..refusal import refuse_outside

UNDER_MM = Decimal("0.2")
OVER_MM = Decimal("0.05")
PITCH_WITHIN_MM = Decimal("0.03")
_INCH = Decimal("25.4")
_WHITWORTH = "BSW, 55°"


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread: its name, diameter and pitch in mm, and the family it belongs to."""

    name: str
    diameter_mm: Decimal
    pitch_mm: Decimal
    family: str

    @property
    def per_inch(self) -> Decimal:
        """Threads to an inch."""
        return _INCH / self.pitch_mm


def _metric() -> list[Thread]:
    iso = "1.4 0.3;1.6 0.35;2 0.4;2.5 0.45;3 0.5;3.5 0.6;4 0.7;5 0.8;6 1;8 1.25"
    old = "1.7 0.35;2.3 0.4;2.6 0.45;3 0.6;4 0.75;5 0.9"
    found = []
    for family, rows in (("ISO metric", iso), ("older Japanese and German", old)):
        for row in rows.split(";"):
            diameter, pitch = row.split()
            found.append(Thread(f"M{diameter} × {pitch}", Decimal(diameter), Decimal(pitch), family))
    return found


def _unified() -> list[Thread]:
    rows = "2 56 UNC;2 64 UNF;3 48 UNC;4 40 UNC;4 48 UNF;5 40 UNC;6 32 UNC;6 40 UNF;8 32 UNC;8 36 UNF;10 24 UNC;10 32 UNF"
    found = []
    for row in rows.split(";"):
        number, per_inch, family = row.split()
        diameter = (Decimal("0.060") + Decimal("0.013") * int(number)) * _INCH
        found.append(Thread(f"#{number}-{per_inch} {family}", diameter, _INCH / int(per_inch), family))
    for name, thirty_seconds, turns, family in (
        ("1/4-20 UNC", 8, 20, "UNC"),
        ("1/4-28 UNF", 8, 28, "UNF"),
        ("5/16-18 UNC", 10, 18, "UNC"),
        ("5/16-24 UNF", 10, 24, "UNF"),
        ("3/8-16 UNC", 12, 16, "UNC"),
        ("3/8-24 UNF", 12, 24, "UNF"),
        ("1/8 BSW", 4, 40, _WHITWORTH),
        ("5/32 BSW", 5, 32, _WHITWORTH),
        ("3/16 BSW", 6, 24, _WHITWORTH),
        ("1/4 BSW", 8, 20, _WHITWORTH),
        ("5/16 BSW", 10, 18, _WHITWORTH),
        ("3/8 BSW", 12, 16, _WHITWORTH),
    ):
        found.append(Thread(name, _INCH * thirty_seconds / 32, _INCH / turns, family))
    return found


def _british() -> list[Thread]:
    rows = (
        "0 6.0 1.00;2 4.7 0.81;3 4.1 0.73;4 3.6 0.66;5 3.2 0.59;6 2.8 0.53;7 2.5 0.48;8 2.2 0.43;10 1.7 0.35"
    )
    return [
        Thread(f"{number} BA", Decimal(diameter), Decimal(pitch), "BA, 47.5°")
        for number, diameter, pitch in (row.split() for row in rows.split(";"))
    ]


THREADS: tuple[Thread, ...] = (*_metric(), *_unified(), *_british())


def threads_like(diameter_mm: Decimal, pitch_mm: Decimal) -> tuple[Thread, ...]:
    """Every thread of the table that a screw of this outside diameter and pitch may have, the nearest first; may be empty."""
    refuse_outside(1, 10, "mm", diameter=diameter_mm)
    refuse_outside(Decimal("0.2"), 2, "mm", pitch=pitch_mm)
    fitting = [
        one
        for one in THREADS
        if -OVER_MM <= one.diameter_mm - diameter_mm <= UNDER_MM
        and abs(one.pitch_mm - pitch_mm) <= PITCH_WITHIN_MM
    ]
    return tuple(
        sorted(fitting, key=lambda one: abs(one.pitch_mm - pitch_mm) * 5 + abs(one.diameter_mm - diameter_mm))
    )
