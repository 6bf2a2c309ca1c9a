"""Plots as plain SVG made on the server: printable, without script, each with the table of its figures beside it.

Nothing in them is styled inline; the classes stand in the style sheets. `bars` lie, one below the other, and keep the size of
their letters; `pairs` stand side by side over a common zero line and scale as a whole.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import accumulate

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

ROW = 44
LONGEST_BAR = 72
"""Of a hundred; the rest is for the figure at its end."""

LONGEST_LABEL = 44
"""So many letters stand above a bar on a phone."""


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

    @property
    def bar(self) -> Bar:
        """The same as a bar."""
        return Bar(self.label, self.count, f"{self.count} ({self.percent} %)")


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
    """Horizontal bars, each below its label, the longest as wide as there is room. Nothing for no rows.

    Lengths are shares of the width and letters keep their size, so that a phone, a screen and a sheet of paper show the same.
    """
    if not rows:
        return SafeString("")
    most = max(row.value for row in rows) or 1
    drawn = format_html_join(
        "",
        '<text class="plot-label" y="{}">{}</text><rect class="plot-bar" y="{}" width="{}%" height="{}"/>'
        '<text class="plot-value" x="{}%" dx="8" y="{}">{}</text>',
        (
            (
                *(at * ROW + 16, _short(row.label), at * ROW + 22, _length(row.value, most), ROW - 30),
                *(_length(row.value, most), at * ROW + 34, row.said),
            )
            for at, row in enumerate(rows)
        ),
    )
    return format_html(
        '<svg class="plot" role="img" height="{}" aria-label="{}">{}</svg>',
        len(rows) * ROW,
        f"{title}: {', '.join(f'{row.label} {row.said}' for row in rows)}",
        drawn,
    )


def _length(value: float, most: float) -> float:
    return round(max(value, 0) / most * LONGEST_BAR, 1)


def _short(label: str) -> str:
    return label if len(label) <= LONGEST_LABEL else f"{label[: LONGEST_LABEL - 1]}…"


WIDE, HIGH, FOOT, LEFT = 720, 240, 26, 74
STEPS = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Pair:
    """What stands over one label: two values in minor units, drawn side by side."""

    label: str
    first: int
    second: int
    spoken: str


def pairs(
    rows: Sequence[Pair], *, title: str, names: tuple[str, str], ticks_as: Callable[[int], str]
) -> SafeString:
    """Draw pairs of bars over a common zero line; `ticks_as` writes a value of the scale. Negative bars hang below."""
    top = max([*(bar.first for bar in rows), *(bar.second for bar in rows), 1])
    low = min([*(bar.first for bar in rows), *(bar.second for bar in rows), 0])
    step = _step(top - low)
    low_tick, top_tick = low // step * step, -(-top // step) * step
    scale = (HIGH - FOOT - 12) / (top_tick - low_tick)

    def y(value: int) -> float:
        return round(12 + (top_tick - value) * scale, 1)

    lines = format_html_join(
        "",
        '<line class="plot-line" x1="{}" x2="{}" y1="{}" y2="{}"/><text class="plot-tick" x="{}" y="{}">{}</text>',
        (
            (LEFT, WIDE, y(tick), y(tick), LEFT - 8, y(tick) + 4, ticks_as(tick))
            for tick in range(low_tick, top_tick + 1, step)
        ),
    )
    slot = (WIDE - LEFT) / max(len(rows), 1)
    width = round(min(slot * 0.36, 26), 1)
    drawn = format_html_join(
        "",
        '<g role="listitem" aria-label="{}"><rect class="plot-first" x="{}" y="{}" width="{}" height="{}"/>'
        '<rect class="plot-second" x="{}" y="{}" width="{}" height="{}"/><text class="plot-label" x="{}" y="{}">{}</text></g>',
        (
            (
                bar.spoken,
                round(LEFT + slot * at + slot / 2 - width - 1, 1), min(y(bar.first), y(0)), width, _tall(y, bar.first),
                round(LEFT + slot * at + slot / 2 + 1, 1), min(y(bar.second), y(0)), width, _tall(y, bar.second),
                round(LEFT + slot * at + slot / 2, 1), HIGH - 6, bar.label,
            )
            for at, bar in enumerate(rows)
        ),
    )  # fmt: skip
    return format_html(
        '<svg class="plot" viewBox="0 0 {} {}" role="list" aria-label="{}">{}{}</svg>'
        '<p class="plot-key"><span class="plot-key-first">{}</span><span class="plot-key-second">{}</span></p>',
        WIDE,
        HIGH,
        title,
        lines,
        drawn,
        *names,
    )


def _tall(y: Callable[[int], float], value: int) -> float:
    return round(abs(y(0) - y(value)), 1)


def _step(span: int) -> int:
    """A round step that divides the span into at most six."""
    size = 1
    while True:
        for one in STEPS:
            if span <= one * size * 5:
                return one * size
        size *= 10
