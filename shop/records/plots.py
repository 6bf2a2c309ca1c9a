"""Plots as plain SVG made on the server: printable, without script, each with the table of its figures beside it.

Nothing in them is styled inline; the classes stand in `records.css`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

WIDTH = 640
ROW = 30
LABEL = 230
VALUE = 90


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: what it stands for, its figure, and the figure in words (empty: the figure itself)."""

    label: str
    value: float
    words: str = ""

    @property
    def said(self) -> str:
        """The figure as it is written at the bar."""
        return self.words or f"{self.value:g}"


@dataclass(frozen=True, slots=True)
class ParetoRow:
    """One row of a Pareto table: the count, its share and the shares so far, in per cent."""

    label: str
    count: int
    percent: int
    so_far: int


def pareto(counts: Sequence[tuple[str, int]], *, most: int = 10) -> list[ParetoRow]:
    """The most frequent first, the rest taken together as the last row; shares of all, rounded half up."""
    ordered = sorted(counts, key=lambda pair: (-pair[1], pair[0]))
    shown, rest = ordered[:most], sum(count for _, count in ordered[most:])
    if rest:
        shown = [*shown, ("all others", rest)]
    total = sum(count for _, count in shown)
    sums = accumulate(count for _, count in shown)
    return [
        ParetoRow(label, count, _percent(count, total), _percent(so_far, total))
        for (label, count), so_far in zip(shown, sums, strict=True)
    ]


def _percent(part: int, whole: int) -> int:
    return (200 * part + whole) // (2 * whole) if whole else 0


def bars(title: str, rows: Sequence[Bar]) -> SafeString:
    """Horizontal bars, the longest as wide as there is room. Nothing for no rows."""
    if not rows:
        return SafeString("")
    most = max(row.value for row in rows) or 1
    room = WIDTH - LABEL - VALUE
    drawn = format_html_join(
        "",
        '<text class="plot-label" x="{}" y="{}">{}</text><rect class="plot-bar" x="{}" y="{}" width="{}" height="{}"/>'
        '<text class="plot-value" x="{}" y="{}">{}</text>',
        (
            (
                *(LABEL - 10, at * ROW + 20, _short(row.label)),
                *(LABEL, at * ROW + 6, _length(row.value, most, room), ROW - 12),
                *(LABEL + _length(row.value, most, room) + 8, at * ROW + 20, row.said),
            )
            for at, row in enumerate(rows)
        ),
    )
    return format_html(
        '<svg class="plot" role="img" viewBox="0 0 {} {}" aria-label="{}">{}</svg>',
        WIDTH,
        len(rows) * ROW,
        f"{title}: {', '.join(f'{row.label} {row.said}' for row in rows)}",
        drawn,
    )


def _length(value: float, most: float, room: int) -> float:
    return round(max(value, 0) / most * room, 1)


def _short(label: str) -> str:
    return label if len(label) <= 30 else f"{label[:29]}…"
