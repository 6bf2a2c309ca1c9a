"""Figures drawn as inline SVG: bars that print, scale and can be read aloud. Colours come from classes of the style sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

WIDE, HIGH, FOOT, LEFT = 720, 240, 26, 74
STEPS = (1, 2, 5)


@dataclass(frozen=True, slots=True)
class Bars:
    """What stands over one label: two values in minor units, drawn side by side."""

    label: str
    first: int
    second: int
    spoken: str


def bar_plot(
    bars: Sequence[Bars], *, title: str, names: tuple[str, str], ticks_as: Callable[[int], str]
) -> SafeString:
    """Draw pairs of bars over a common zero line; `ticks_as` writes a value of the scale. Negative bars hang below."""
    top = max([*(bar.first for bar in bars), *(bar.second for bar in bars), 1])
    low = min([*(bar.first for bar in bars), *(bar.second for bar in bars), 0])
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
    slot = (WIDE - LEFT) / max(len(bars), 1)
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
            for at, bar in enumerate(bars)
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
