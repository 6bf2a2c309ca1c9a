"""Rows of a list in the order of any column, by links in its heads: it works without a script, and says where it stands.

A view names its columns and how a row stands in each; `sorted_by` reads `?sort=` and `?down`:

    COLUMNS = {"unit": lambda job: job.unit.model, "came": lambda job: job.booked_in_at}
    order = sorted_by(request.GET, rows, COLUMNS)

and the template draws each head with `{% sort_head order "unit" "Unit" %}`. Sorted are the rows that are handed in: a view
hands in so many that a page stays cheap, and the page says how many they were.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.http import QueryDict

T = TypeVar("T")

MOST = 200
"""Rows that are sorted at once."""


@dataclass(frozen=True, slots=True)
class Order(Generic[T]):
    """The rows in order, the column they stand by (empty: as they came), and the address to keep."""

    rows: list[T]
    by: str
    down: bool
    kept: str

    def address(self, column: str) -> str:
        """Where the head of a column leads: to its order, then to the other way round."""
        turned = "&down" if self.by == column and not self.down else ""
        return f"?{self.kept}{'&' if self.kept else ''}sort={column}{turned}"

    def stands(self, column: str) -> str:
        """How a column stands, in the words of `aria-sort`; nothing where the rows stand by another."""
        if column != self.by:
            return ""
        return "descending" if self.down else "ascending"


def wanted(asked: QueryDict, columns: Mapping[str, object]) -> str:
    """The column that is asked for, where there is one of that name."""
    column = asked.get("sort", "")
    return column if column in columns else ""


def sorted_by(asked: QueryDict, rows: Sequence[T], columns: Mapping[str, Callable[[T], Any]]) -> Order[T]:
    """The rows by the column that is asked for; blanks stand last either way, and equals as they came."""
    by, down = wanted(asked, columns), "down" in asked
    ordered = list(rows)
    if by:
        keyed = [(_key(columns[by](row)), row) for row in rows]
        filled = sorted((one for one in keyed if one[0] is not None), key=lambda one: one[0], reverse=down)
        ordered = [row for _key_of, row in filled] + [row for key, row in keyed if key is None]
    kept = asked.copy()
    for name in ("sort", "down", "before", "after", "from"):
        kept.pop(name, None)
    return Order(ordered, by, down, kept.urlencode())


def _key(value: Any) -> Any:
    """What a value is compared by: texts without regard to case; None for a blank."""
    if isinstance(value, str):
        return value.casefold() or None
    return value
