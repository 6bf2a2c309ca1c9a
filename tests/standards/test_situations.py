"""150 situations of a bench: the hint that a good colleague gives, and where nothing may be said.

Each situation names its source; nearly all are common practice. They were written down before the rules were.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from shop.handbook.isolation import RULES, Fact, suggest
from shop.handbook.quantities import Kind, parse
from shop.handbook.readings import expect, judge

SITUATIONS = Path(__file__).parents[1] / "bench" / "situations"
TABLES = ("opened", "put_aside", "other_words")
RIGHT = 0.9
"""So many of a half must be right."""


def situations(half: str) -> list[dict[str, Any]]:
    """One half of the table."""
    rows: list[dict[str, Any]] = json.loads((SITUATIONS / f"{half}.json").read_text("utf-8"))
    return rows


def fact(at: int, row: dict[str, str]) -> Fact:
    """A reading as it was typed."""
    kind = Kind(row["quantity"])
    reading = parse(row["typed"], kind)
    expected = row.get("expected", "")
    return Fact(
        id=at,
        where=row["place"],
        quantity=reading,
        kind=kind,
        judgement=judge(reading, expect(expected, kind)) if expected else None,
        channel=row.get("channel", ""),
        condition=row.get("state", ""),
        against=row.get("against", ""),
    )


def said(readings: Sequence[dict[str, str]]) -> set[str]:
    """The rules that speak."""
    return {one.rule for one in suggest(fact(at, row) for at, row in enumerate(readings))}


def wrong(half: str) -> dict[str, list[str]]:
    """The situations of a half in which a colleague would have said something else, with what was said."""
    found: dict[str, list[str]] = {}
    for row in situations(half):
        unknown = {one["quantity"] for one in row["readings"]} - set(Kind)
        rules = unknown or said(row["readings"])
        must = {row["expect"]} - {""}
        if not must <= rules or rules - must - set(row["also"]):
            found[row["name"]] = sorted(rules)
    return found


@pytest.mark.parametrize("half", TABLES)
def test_nine_of_ten_situations_are_read_as_a_colleague_would(half):
    rows = situations(half)
    mistaken = wrong(half)
    assert len(mistaken) <= (1 - RIGHT) * len(rows), mistaken


@pytest.mark.parametrize("half", TABLES)
def test_nothing_is_said_where_nothing_may_be(half):
    silent = {row["name"] for row in situations(half) if not row["expect"]}
    assert len(silent) == (10 if half == "other_words" else 20)
    assert not silent & set(wrong(half))


def test_each_rule_names_its_source_and_when_it_does_not_hold():
    assert all(rule.source and rule.counter.endswith(".") for rule in RULES)
    assert len({rule.name for rule in RULES}) == len(RULES)
