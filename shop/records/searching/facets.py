"""The filters with their counts: how many of the newest matches each would leave."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from shop.bench.models import FailureMode
from shop.counter.models import Kind, UnitModel
from shop.counter.stages import Outcome
from shop.records.searching.engine import Counted
from shop.records.searching.question import Filters
from shop.records.searching.rows import day_of

MOST_OPTIONS = 8


@dataclass(frozen=True, slots=True)
class Option:
    """One filter: its value in the address, its words, how many matches it leaves, whether it is on."""

    value: str
    label: str
    count: int
    on: bool = False


@dataclass(frozen=True, slots=True)
class Facet:
    """One row of filters. `name` is its name in the address."""

    name: str
    title: str
    options: list[Option]


def facets_of(counted: Sequence[Counted], filters: Filters) -> list[Facet]:
    """The rows of filters for these matches; a row with one choice that is not on says nothing and is left out."""
    _, _, models, kinds, modes, outcomes = zip(*counted, strict=True) if counted else ((),) * 6
    years = [day_of(one[0]).year for one in counted]
    rows = [
        _facet("kind", "Kind", kinds, filters.kind, lambda value: Kind(value).label),
        _facet("mode", "How it failed", modes, filters.mode, lambda value: FailureMode(value).label),
        _facet("outcome", "Outcome", outcomes, filters.outcome, lambda value: Outcome(value).label),
        _facet("model", "Model", models, filters.model, _model_names(models)),
        _facet("year", "Year", years, int(filters.year) if filters.year else "", str),
    ]
    return [row for row in rows if len(row.options) > 1 or any(option.on for option in row.options)]


def _model_names(models: Iterable[int]) -> Callable[[int], str]:
    wanted = [pk for pk, _ in Counter(models).most_common(MOST_OPTIONS)]
    found = UnitModel.objects.select_related("maker").in_bulk(wanted)
    return lambda pk: str(found[pk]) if pk in found else "another model"


def _facet(
    name: str,
    title: str,
    values: Iterable[object],
    on: object,
    label: Callable[..., str],
) -> Facet:
    counts = Counter(value for value in values if value != "")
    common = counts.most_common(MOST_OPTIONS)
    if name == "year":
        common.sort(key=lambda pair: -int(str(pair[0])))
    options = [
        Option(str(value), label(value), count, on=bool(on) and value == on) for value, count in common
    ]
    return Facet(name, title, options)
