"""What is drawn over a photograph or on an empty sheet: kept in fractions of the picture, so that it fits every size of it.

A mark is `{"shape": "arrow", "x1": …, "y1": …, "x2": …, "y2": …}`. An arrow points from the first point to the second; a
circle has its center in the first and goes through the second; a line and a box have their ends or corners there. A pen's
mark has `"points": [[x, y], …]` instead, and words stand at their first point, with `"words"`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import hypot, isfinite

MOST_MARKS = 60
MOST_POINTS = 4000
"""Of all lines drawn by hand on one picture; a browser leaves out points that lie on the way."""
LONGEST_WORDS = 60
BETWEEN_TWO = ("arrow", "circle", "line", "box")
SHAPES = (*BETWEEN_TWO, "pen", "words")
POINTS = ("x1", "y1", "x2", "y2")

Mark = dict[str, object]


class UnreadableMarks(ValueError):
    """What was sent are no marks; the message is one sentence for the person."""


def read_marks(text: str) -> list[Mark]:
    """Marks as a browser sends them, as JSON; only what a mark consists of is kept. Raises UnreadableMarks."""
    try:
        sent = json.loads(text or "[]")
    except (ValueError, RecursionError):
        raise UnreadableMarks("The marks could not be read; draw them again.") from None
    if not isinstance(sent, list) or len(sent) > MOST_MARKS:
        raise UnreadableMarks(f"Up to {MOST_MARKS} marks can be drawn on one picture.")
    marks = [_read_mark(one) for one in sent]
    if sum(len(_points(one)) for one in marks) > MOST_POINTS:
        raise UnreadableMarks("Too much is drawn by hand on this picture; take the last lines back.")
    return marks


def _read_mark(sent: object) -> Mark:
    if isinstance(sent, dict):
        if sent.get("shape") in BETWEEN_TWO:
            return {"shape": sent["shape"], **{name: _fraction(sent.get(name)) for name in POINTS}}
        if sent.get("shape") == "pen":
            return {"shape": "pen", "points": _read_points(sent.get("points"))}
        if sent.get("shape") == "words":
            return {
                "shape": "words",
                "x1": _fraction(sent.get("x1")),
                "y1": _fraction(sent.get("y1")),
                "words": _read_words(sent.get("words")),
            }
    raise _wrong()


def _wrong() -> UnreadableMarks:
    return UnreadableMarks("One of the marks could not be read; draw it again.")


def _fraction(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= 1:
        raise _wrong()
    return round(float(value), 4)


def _read_points(sent: object) -> list[list[float]]:
    if not isinstance(sent, list) or not 2 <= len(sent) <= MOST_POINTS:
        raise _wrong()
    if not all(isinstance(point, list) and len(point) == 2 for point in sent):
        raise _wrong()
    return [[_fraction(x), _fraction(y)] for x, y in sent]


def _read_words(sent: object) -> str:
    words = " ".join(sent.split()) if isinstance(sent, str) else ""
    if not words or not words.isprintable():
        raise _wrong()
    if len(words) > LONGEST_WORDS:
        raise UnreadableMarks(
            f"Words on a picture have up to {LONGEST_WORDS} letters; longer ones go into the caption."
        )
    return words


def _points(mark: Mapping[str, object]) -> list[list[float]]:
    points = mark.get("points")
    return points if isinstance(points, list) else []


def words_on(marks: Iterable[Mapping[str, object]]) -> str:
    """What is written on a picture, as one line."""
    return " ".join(str(one["words"]) for one in marks if one.get("shape") == "words")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A mark in the picture's own pixels, as SVG draws it; `head` is the arrow's, `path` the line to be drawn, or empty."""

    shape: str
    x1: float
    y1: float
    radius: float = 0
    path: str = ""
    head: str = ""
    words: str = ""
    size: float = 0


def drawn(marks: Iterable[Mapping[str, object]], width: int, height: int) -> list[Drawn]:
    """The marks of a picture of that size, ready to be drawn."""
    size = max(width, height) / 28
    return [_draw(one, width, height, size) for one in marks if one.get("shape") in SHAPES]


def _draw(mark: Mapping[str, object], width: int, height: int, size: float) -> Drawn:
    shape = str(mark["shape"])
    if shape == "pen":
        points = [(x * width, y * height) for x, y in _points(mark)]
        return Drawn(shape, 0, 0, path="M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points))
    x1, y1, x2, y2 = (
        _number(mark.get(name)) * side for name, side in zip(POINTS, (width, height) * 2, strict=True)
    )
    at = (shape, round(x1, 1), round(y1, 1))
    if shape == "words":
        return Drawn(*at, words=str(mark["words"]), size=round(size, 1))
    if shape == "box":
        return Drawn(*at, path=f"M{x1:.1f} {y1:.1f}H{x2:.1f}V{y2:.1f}H{x1:.1f}Z")
    if shape == "circle":
        return Drawn(*at, radius=round(hypot(x2 - x1, y2 - y1), 1))
    head = _head(x1, y1, x2, y2, size) if shape == "arrow" else ""
    return Drawn(*at, path=f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}", head=head)


def _number(value: object) -> float:
    return float(value) if isinstance(value, int | float) and isfinite(value) else 0.0


def _head(x1: float, y1: float, x2: float, y2: float, size: float) -> str:
    length = hypot(x2 - x1, y2 - y1)
    if not length:
        return ""
    along = ((x2 - x1) / length, (y2 - y1) / length)
    foot = (x2 - along[0] * size, y2 - along[1] * size)
    sides = [(foot[0] - side * along[1] * size / 2, foot[1] + side * along[0] * size / 2) for side in (1, -1)]
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in (sides[0], (x2, y2), sides[1]))
