"""The filters with their counts: how many of the newest matches each would leave."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from shop.bench.models import FailureMode
from shop.counter.models import Kind, UnitModel
from shop.counter.stages import Outcome
from shop.records.searching.question import Filters

MOST_OPTIONS = 8
COLUMNS = 5


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


@dataclass(frozen=True, slots=True)
class Tally:
    """How many of the matches have each kind, failure mode and so on; empty text where nothing is known."""

    models: Counter[str]
    kinds: Counter[str]
    modes: Counter[str]
    outcomes: Counter[str]
    years: Counter[str]

    @property
    def named_models(self) -> list[int]:
        """The models whose names the filters show."""
        return [int(pk) for pk, _ in self.models.most_common(MOST_OPTIONS)]


def tally(texts: Sequence[str]) -> Tally:
    """Count matches by what the filters count by (`shop.records.searching.rows.facets_text`).

    A row that an older program wrote says nothing until the search is built anew.
    """
    rows = [columns for text in texts if len(columns := text.split(".")) == COLUMNS]
    return Tally(*map(Counter, zip(*rows, strict=True) if rows else [()] * COLUMNS))


def facets_of(counted: Tally, filters: Filters, models: Mapping[int, UnitModel]) -> list[Facet]:
    """The rows of filters; a row with one choice that is not on says nothing and is left out. `models` are those to be named."""
    rows = [
        _facet("kind", "Kind", counted.kinds, filters.kind, lambda value: Kind(value).label),
        _facet("mode", "How it failed", counted.modes, filters.mode, lambda value: FailureMode(value).label),
        _facet(
            "outcome", "How it ended", counted.outcomes, filters.outcome, lambda value: Outcome(value).label
        ),
        _facet("model", "Model", counted.models, str(filters.model or ""), _name_among(models)),
        _facet("year", "Year", counted.years, filters.year, str),
    ]
    return [row for row in rows if len(row.options) > 1 or any(option.on for option in row.options)]


def _name_among(models: Mapping[int, UnitModel]) -> Callable[[str], str]:
    return lambda pk: str(models[int(pk)]) if int(pk) in models else "another model"


def _facet(name: str, title: str, counts: Counter[str], on: str, label: Callable[[str], str]) -> Facet:
    common = [(value, count) for value, count in counts.most_common(MOST_OPTIONS + 1) if value][:MOST_OPTIONS]
    if name == "year":
        common.sort(key=lambda pair: -int(pair[0]))
    options = [Option(value, label(value), count, on=value == on) for value, count in common]
    return Facet(name, title, options)
