"""The filters with their counts: how many of the newest matches each would leave."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shop.bench.models import FailureMode
from shop.counter.models import Kind, UnitModel
from shop.counter.stages import Outcome
from shop.records.searching.question import Filters

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


def facets_of(texts: Sequence[str], filters: Filters) -> list[Facet]:
    """The rows of filters for these matches; a row with one choice that is not on says nothing and is left out."""
    columns = zip(*(text.split(".") for text in texts), strict=True) if texts else [()] * 5
    models, kinds, modes, outcomes, years = map(Counter, columns)
    rows = [
        _facet("kind", "Kind", kinds, filters.kind, lambda value: Kind(value).label),
        _facet("mode", "How it failed", modes, filters.mode, lambda value: FailureMode(value).label),
        _facet("outcome", "Outcome", outcomes, filters.outcome, lambda value: Outcome(value).label),
        _facet("model", "Model", models, str(filters.model or ""), _model_names(models)),
        _facet("year", "Year", years, filters.year, str),
    ]
    return [row for row in rows if len(row.options) > 1 or any(option.on for option in row.options)]


def _model_names(models: Counter[str]) -> Callable[[str], str]:
    wanted = [int(pk) for pk, _ in models.most_common(MOST_OPTIONS)]
    found = UnitModel.objects.select_related("maker").in_bulk(wanted)
    return lambda pk: str(found[int(pk)]) if int(pk) in found else "another model"


def _facet(name: str, title: str, counts: Counter[str], on: str, label: Callable[[str], str]) -> Facet:
    common = [(value, count) for value, count in counts.most_common(MOST_OPTIONS + 1) if value][:MOST_OPTIONS]
    if name == "year":
        common.sort(key=lambda pair: -int(pair[0]))
    options = [Option(value, label(value), count, on=value == on) for value, count in common]
    return Facet(name, title, options)
