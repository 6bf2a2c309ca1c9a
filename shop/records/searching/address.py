"""The search page's address: what a person chose, read from the query string, and the addresses of the choices next to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from shop.bench.models import FailureMode
from shop.counter.models import Kind
from shop.counter.stages import Outcome
from shop.frame.formwork import whole_number
from shop.records.searching.answering import BEST, NEWEST, PAGE, RANKED_AMONG, Asking
from shop.records.searching.question import Filters

LONGEST_TYPED = 400
_KNOWN: dict[str, frozenset[str]] = {
    "kind": frozenset(Kind.values),
    "mode": frozenset(FailureMode.values),
    "outcome": frozenset(Outcome.values),
    "stage": frozenset({"open", "ended"}),
}
_NUMBERS = ("model", "maker", "customer", "unit")
_FLAGS = ("evidence", "comeback")
FILTERS = (*_KNOWN, "year", *_NUMBERS, *_FLAGS)
_PLACE = ("before", "after", "page")


def asking_from(asked: QueryDict, *, typing: bool = False) -> Asking:
    """Read the query string; a value that makes no sense asks for nothing."""
    order = BEST if asked.get("order") == BEST else NEWEST
    return Asking(
        text=asked.get("q", "").replace("\0", " ").strip("\r\n"),
        filters=filters_from(asked),
        order=order,
        before=_number(asked.get("before")),
        after=_number(asked.get("after")),
        page=min(_number(asked.get("page")) or 1, RANKED_AMONG // PAGE),
        typing=typing,
        exactly="exactly" in asked,
    )


def filters_from(asked: QueryDict) -> Filters:
    """The filters in a query string."""
    chosen: dict[str, Any] = {
        name: value for name, known in _KNOWN.items() if (value := asked.get(name, "")) in known
    }
    year = _number(asked.get("year"))
    if year is not None and 1000 <= year <= 9999:
        chosen["year"] = str(year)
    chosen |= {name: _number(asked.get(name)) for name in _NUMBERS}
    chosen |= {name: True for name in _FLAGS if asked.get(name)}
    return Filters(**chosen)


def _number(typed: str | None) -> int | None:
    return whole_number(typed or "") or None


@dataclass(frozen=True, slots=True)
class Address:
    """The present query string, and what it becomes with one thing changed."""

    asked: QueryDict

    def with_(self, **changes: object) -> str:
        """A query string with these values instead; None takes one away. Where one stands on the list is forgotten."""
        changed = self.asked.copy()
        for name in _PLACE:
            changed.pop(name, None)
        _change(changed, changes)
        return f"?{changed.urlencode()}"

    def at(self, **place: object) -> str:
        """The same search at another place of its list."""
        return self.with_(**place)

    @property
    def kept(self) -> list[tuple[str, str]]:
        """What a form with the box must carry along so that filters and order stay."""
        return self._chosen(*FILTERS, "order")

    @property
    def query(self) -> str:
        """What is worth saving: text, filters, order."""
        saved = QueryDict(mutable=True)
        saved.update(dict(self._chosen("q", *FILTERS, "order")))
        return saved.urlencode()

    def _chosen(self, *names: str) -> list[tuple[str, str]]:
        return [(name, value) for name in names if (value := self.asked.get(name, ""))]


def _change(changed: QueryDict, changes: Mapping[str, object]) -> None:
    for name, value in changes.items():
        if value is None:
            changed.pop(name, None)
        else:
            changed[name] = str(value)
