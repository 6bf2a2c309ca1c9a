"""The look can be read: contrast of the colour tokens, in both themes, computed from the style sheet itself.

Source of the formulas and limits: W3C, Web Content Accessibility Guidelines 2.2, definitions of "relative luminance"
and "contrast ratio", success criteria 1.4.3 (AA, 4.5:1), 1.4.6 (AAA, 7:1) and 1.4.11 (edges and focus, 3:1).
The house asks 7:1 of all text, which covers the bench's own rule.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings

TOKENS = Path(settings.BASE_DIR) / "static" / "css" / "tokens.css"
DEVICE_DARK = ':root:not([data-theme="light"])'
CHOSEN_DARK = ':root[data-theme="dark"]'

PAPERS = ["desk", "card", "well", "hover", "manila", "field"]
MOVES = ["bench", "customer", "supplier", "carrier", "done"]
VERDICTS = ["good", "bad", "near"]

TEXT = [
    *[(ink, paper) for ink in ["ink", "ink-soft", "link", "bad-ink"] for paper in PAPERS],
    *[(f"{name}-ink", f"{name}-wash") for name in [*MOVES, *VERDICTS]],
    *[(f"{name}-ink", paper) for name in MOVES for paper in ["desk", "card", "well", "manila"]],
    *[("ink", f"{name}-wash") for name in [*MOVES, *VERDICTS]],
    *[("link", f"{name}-wash") for name in VERDICTS],
    ("ink", "mark"),
    ("card", "ink"),
    ("act-ink", "act"),
    ("act-ink", "act-hover"),
    ("danger-ink", "danger"),
    ("danger-ink", "danger-hover"),
    ("caution-ink", "caution"),
    ("drawer-ink", "drawer"),
    ("drawer-soft", "drawer"),
]
EDGES = [
    *[(mark, paper) for mark in ["edge", "focus"] for paper in PAPERS],
    ("act", "card"),
    ("act", "desk"),
    ("danger", "card"),
    ("focus", "focus-gap"),
    ("drawer-edge", "drawer"),
    ("drawer-focus", "drawer"),
    ("caution-ink", "caution"),
]


def block(selector: str) -> dict[str, str]:
    """Return the six-digit colours that the rule of `selector` sets, by token name."""
    css = TOKENS.read_text(encoding="utf-8")
    found = re.search(re.escape(selector) + r" \{\n(.*?)\n\s*\}", css, re.DOTALL)
    assert found, f"{selector} is missing from {TOKENS.name}"
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6})\b", found[1]))


THEMES = {"light": block(":root"), "dark": block(":root") | block(CHOSEN_DARK)}


def luminance(colour: str) -> float:
    """Return the relative luminance of `#rrggbb`, 0 to 1 (WCAG 2.2)."""
    red, green, blue = (
        value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4
        for value in (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21 (WCAG 2.2)."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_ratios_that_the_guidelines_name() -> None:
    # WCAG 2.2: 21:1 for black on white is the greatest ratio there is, 1:1 the least. #767676 is the lightest grey
    # that reaches 4.5:1 on white (common practice, no source); one step lighter does not.
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#8f1717", "#8f1717") == pytest.approx(1)
    assert contrast("#767676", "#ffffff") >= 4.5 > contrast("#777777", "#ffffff")


@pytest.mark.parametrize("theme", THEMES)
def test_every_text_reaches_seven_to_one_on_every_paper_it_may_lie_on(theme: str) -> None:
    colours = THEMES[theme]
    weak = {f"{a} on {b}": round(contrast(colours[a], colours[b]), 2) for a, b in TEXT}
    assert {pair: ratio for pair, ratio in weak.items() if ratio < 7} == {}


@pytest.mark.parametrize("theme", THEMES)
def test_edges_of_controls_and_the_focus_ring_reach_three_to_one(theme: str) -> None:
    colours = THEMES[theme]
    weak = {f"{a} on {b}": round(contrast(colours[a], colours[b]), 2) for a, b in EDGES}
    assert {pair: ratio for pair, ratio in weak.items() if ratio < 3} == {}


def test_the_device_and_the_switch_give_the_same_dark() -> None:
    css = TOKENS.read_text(encoding="utf-8")
    rules = [
        re.search(re.escape(selector) + r" \{\n(.*?)\n\s*\}", css, re.DOTALL)[1].split("\n")  # type: ignore[index]
        for selector in (DEVICE_DARK, CHOSEN_DARK)
    ]
    assert [line.strip() for line in rules[0]] == [line.strip() for line in rules[1]]


def test_dark_answers_for_every_colour_of_light_or_keeps_it_on_purpose() -> None:
    same_in_both = {"drawer-focus", "drawer-ink", "pen", "code-ground", "code-ink"}
    assert set(THEMES["light"]) - set(block(CHOSEN_DARK)) <= same_in_both


def test_style_sheets_take_their_colours_from_the_tokens() -> None:
    css = TOKENS.parent
    sheets = [css / "base.css", css / "layout.css", css / "bench.css", *(css / "components").glob("*.css")]
    bare = {
        sheet.name: re.sub(r"/\*.*?\*/", "", sheet.read_text("utf-8"), flags=re.DOTALL) for sheet in sheets
    }
    strays = {
        f"{name}: {colour}"
        for name, text in bare.items()
        for colour in re.findall(r"#[0-9a-fA-F]{3,8}\b", text)
    }
    # the shop's mark is the same picture by day and by night
    assert strays <= {"layout.css: #eeddb2", "layout.css: #b23a2e", "layout.css: #17352d"}
