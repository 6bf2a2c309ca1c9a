"""Arrows and circles on a photograph: kept in fractions of the picture, so that they fit every size of it.

A mark is `{"shape": "arrow", "x1": …, "y1": …, "x2": …, "y2": …}`. An arrow points from the first point to the second; a
circle has its centre in the first and goes through the second.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from math import hypot
from typing import Any

MOST_MARKS = 24
SHAPES = ("arrow", "circle")
POINTS = ("x1", "y1", "x2", "y2")


class UnreadableMarks(ValueError):
    """What was sent are no marks; the message is one sentence for the person."""


def read_marks(text: str) -> list[dict[str, object]]:
    """Marks as a browser sends them, as JSON; only what a mark consists of is kept. Raises UnreadableMarks."""
    try:
        sent = json.loads(text or "[]")
    except ValueError:
        raise UnreadableMarks("The marks could not be read; draw them again.") from None
    if not isinstance(sent, list) or len(sent) > MOST_MARKS:
        raise UnreadableMarks(f"Up to {MOST_MARKS} marks can be drawn on one picture.")
    return [_read_mark(one) for one in sent]


def _read_mark(sent: object) -> dict[str, object]:
    wrong = UnreadableMarks("One of the marks could not be read; draw it again.")
    if not isinstance(sent, dict) or sent.get("shape") not in SHAPES:
        raise wrong
    points: dict[str, float] = {}
    for name in POINTS:
        value = sent.get(name)
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
            raise wrong
        points[name] = round(float(value), 4)
    return {"shape": sent["shape"], **points}


@dataclass(frozen=True, slots=True)
class Drawn:
    """A mark in the picture's own pixels, as SVG draws it; `head` is the arrow's head, or empty."""

    shape: str
    x1: float
    y1: float
    x2: float
    y2: float
    radius: float
    head: str


def drawn(marks: list[dict[str, object]], width: int, height: int) -> list[Drawn]:
    """The marks of a picture of that size, ready to be drawn."""
    size = max(width, height) / 28
    return [_draw(one, width, height, size) for one in marks if one.get("shape") in SHAPES]


def _draw(mark: dict[str, Any], width: int, height: int, size: float) -> Drawn:
    x1, x2 = mark["x1"] * width, mark["x2"] * width
    y1, y2 = mark["y1"] * height, mark["y2"] * height
    length = hypot(x2 - x1, y2 - y1)
    head = ""
    if mark["shape"] == "arrow" and length:
        along, across = ((x2 - x1) / length, (y2 - y1) / length), (-(y2 - y1) / length, (x2 - x1) / length)
        foot = (x2 - along[0] * size, y2 - along[1] * size)
        sides = [
            (foot[0] + side * across[0] * size / 2, foot[1] + side * across[1] * size / 2) for side in (1, -1)
        ]
        head = " ".join(f"{x:.1f},{y:.1f}" for x, y in (sides[0], (x2, y2), sides[1]))
    return Drawn(
        mark["shape"], round(x1, 1), round(y1, 1), round(x2, 1), round(y2, 1), round(length, 1), head
    )
