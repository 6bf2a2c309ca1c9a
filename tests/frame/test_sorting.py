"""Lists stand in the order of any column, by plain links. The orders were worked out by hand."""

from __future__ import annotations

import pytest
from django.http import QueryDict
from django.template import Context, Template

from shop.frame.sorting import sorted_by

COLUMNS = {"name": lambda row: row[0], "count": lambda row: row[1]}
ROWS = [("beta", 2), ("Alpha", 10), ("", 3), ("alpha", None)]


@pytest.mark.parametrize(
    "asked, expected",
    [
        ("", [0, 1, 2, 3]),
        ("sort=nothing-of-the-kind", [0, 1, 2, 3]),
        ("sort=name", [1, 3, 0, 2]),
        ("sort=name&down", [0, 1, 3, 2]),
        ("sort=count", [0, 2, 1, 3]),
        ("sort=count&down", [1, 2, 0, 3]),
    ],
)
def test_rows_stand_by_the_column_asked_for_and_blanks_last_either_way(
    asked: str, expected: list[int]
) -> None:
    assert sorted_by(QueryDict(asked), ROWS, COLUMNS).rows == [ROWS[at] for at in expected]


def test_a_head_leads_to_its_order_then_to_the_other_way_and_keeps_the_filter() -> None:
    def head(asked: str) -> str:
        order = sorted_by(QueryDict(asked), ROWS, COLUMNS)
        return Template('{% load house %}{% sort_head order "name" "Name" %}').render(
            Context({"order": order})
        )

    first = head("q=belt&before=7")
    assert 'href="?q=belt&amp;sort=name"' in first
    assert "aria-sort" not in first
    up = head("q=belt&sort=name")
    assert 'href="?q=belt&amp;sort=name&amp;down"' in up
    assert 'aria-sort="ascending"' in up
    down = head("q=belt&sort=name&down")
    assert 'href="?q=belt&amp;sort=name"' in down
    assert 'aria-sort="descending"' in down
