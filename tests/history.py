"""A long history, cheaply: what the demo shop has finished, many times over, with everything that hangs on it.

Copies are rows of their own: their keys and the keys they point to are moved up by a whole turn, what is unique is made so, and
all of it was seven years earlier. Nothing that is open is copied, so that the shop of today, and its last years, are the same
however long its history is. Made by one statement a table.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.apps import apps
from django.db import connection, models, transaction

from shop.counter.models import Customer, InboundParcel, Job, ModelNote, ModelPaper
from shop.counter.stages import ENDED
from shop.frame.guards import lifted
from shop.frame.models import JournalEntry, Staff
from shop.keeping.models import IssuedPaper, Message, Picture, StoredFile
from shop.office.models import Estimate, Invoice
from shop.press.models import Letterhead
from shop.records.models import Batch, BroughtRow, Merge, SearchRow
from shop.stockroom.models import Order, Part

# ruff: noqa: S608  (names come from the models)

ROOTS: tuple[type[models.Model], ...] = (
    Customer,
    Picture,
    StoredFile,
    IssuedPaper,
    JournalEntry,
    Message,
    Order,
)
LEFT = {Batch, BroughtRow, Merge, Staff, Part, ModelPaper, ModelNote, Letterhead}

FINISHED: dict[type[models.Model], dict[str, Any]] = {
    # the shop itself is a customer of which there is one
    Customer: {"is_shop": False},
    Job: {"stage__in": list(ENDED)},
    Invoice: {"settled_at__isnull": False},
    Estimate: {"state__in": ["accepted", "partly", "declined", "replaced"]},
    InboundParcel: {"opened_at__isnull": False},
    Message: {"sent_at__isnull": False},
    Order: {"closed_at__isnull": False},
}
"""Rows that are over by what they themselves say; all others are where whatever they hang on is."""


DAYS = 2557
"""Seven years."""


def growing() -> list[type[models.Model]]:
    """The tables that grow with the history, each behind those it points to."""
    found: list[type[models.Model]] = []
    every = [
        model
        for model in apps.get_models(include_auto_created=True)
        if model.__module__.startswith("shop.") and model not in LEFT and model._meta.managed
    ]
    seen = set(ROOTS)
    while True:
        more = [one for one in every if one not in seen and any(to in seen for _, to in _points(one))]
        if not more:
            break
        seen.update(more)
    left = [model for model in every if model in seen]
    while left:
        ready = [one for one in left if not any(to in left and to is not one for _, to in _points(one))]
        assert ready, f"They point at each other: {left}"
        found += ready
        left = [one for one in left if one not in ready]
    return found


def _points(model: type[models.Model]) -> Iterator[tuple[Any, type[models.Model]]]:
    for field in model._meta.concrete_fields:
        if field.is_relation and field.related_model is not None:
            yield field, field.related_model


class History:
    """What the shop has finished so far, to be written again and again, each time under keys of its own."""

    def __init__(self) -> None:
        self.tables = growing()
        self.ids: dict[type[models.Model], set[Any]] = {}
        self.step: dict[type[models.Model], int] = {}
        self.times = 0
        for model in self.tables:
            self.ids[model] = _over(model, self.ids)
            most = model._base_manager.aggregate(most=models.Max(model._meta.pk.attname))["most"]
            self.step[model] = self.step.get(Job, 0) if model is SearchRow else (most or 0) + 1

    def write(self, times: int) -> int:
        """Write it so many times more; how many jobs there are then."""
        postgresql = connection.vendor == "postgresql"
        turns = range(self.times + 1, self.times + times + 1)
        with transaction.atomic(), connection.cursor() as cursor, lifted(connection):
            if postgresql:
                cursor.execute("SET LOCAL session_replication_role = replica")
            for model in self.tables:
                if self.ids[model]:
                    cursor.execute(_copy(model, self.ids[model], self.step, turns))
            if postgresql:
                cursor.execute("SET LOCAL session_replication_role = origin")
        self.times += times
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        return Job.objects.count()


def _over(model: type[models.Model], ids: dict[type[models.Model], set[Any]]) -> set[Any]:
    """The keys of those rows that are over: they say so, and hang on nothing that is not."""
    pk = model._meta.pk.attname
    hangs = [(field.attname, to) for field, to in _points(model) if to in ids and to is not model]
    rows = model._base_manager.filter(**FINISHED.get(model, {})).values_list(pk, *(name for name, _ in hangs))
    return {
        row[0]
        for row in rows
        if all(key is None or key in ids[to] for key, (_, to) in zip(row[1:], hangs, strict=True))
    }


def _copy(model: type[models.Model], ids: set[Any], step: dict[type[models.Model], int], turns: range) -> str:
    table, pk = model._meta.db_table, model._meta.pk.column
    columns = [field.column for field in model._meta.concrete_fields]
    numbered = set(_numbered(model))
    made = ", ".join(_made(model, field, step, numbered) for field in model._meta.concrete_fields)
    if connection.vendor == "postgresql" and table == "records_searchwords":
        columns.append("vector")
        made += ', t."vector"'
    names = ", ".join(f'"{column}"' for column in columns)
    keys = ", ".join(f"'{key}'" if isinstance(key, str) else str(key) for key in sorted(ids))
    numbers = f"WITH RECURSIVE n(n) AS (SELECT {turns.start} UNION ALL SELECT n + 1 FROM n WHERE n < {turns.stop - 1})"
    return (
        f'INSERT INTO "{table}" ({names}) {numbers} SELECT {made} FROM n CROSS JOIN "{table}" t '
        f'WHERE t."{pk}" IN ({keys}) ORDER BY n.n, t."{pk}"'
    )


def _numbered(model: type[models.Model]) -> Iterator[str]:
    """The column of each unique key that is made unique by counting on."""
    pointing = {field.name for field, to in _points(model) if to in growing()}
    for key in model._meta.constraints:
        if isinstance(key, models.UniqueConstraint) and not pointing & set(key.fields):
            fields = [model._meta.get_field(name) for name in key.fields]
            numbers = [one for one in fields if isinstance(one, models.IntegerField) and not one.is_relation]
            texts = [one for one in fields if isinstance(one, models.CharField)]
            yield from (one.column for one in (numbers or texts)[-1:])


def _made(  # noqa: PLR0911  (a table of cases)
    model: type[models.Model], field: Any, step: dict[type[models.Model], int], numbered: set[str]
) -> str:
    column = f't."{field.column}"'
    if field.is_relation and field.related_model in step:
        earlier = f" - {DAYS << 24}" if field.related_model is SearchRow else ""
        return f"{column} + n.n * {step[field.related_model]}{earlier}"
    if isinstance(field, models.DateField):
        return _earlier(column, field)
    if model is Job and field.name == "year":
        return f"{column} - 7"
    if model is SearchRow and field.primary_key:
        # days, then the job: shop.records.searching.rows.id_on
        return f"{column} + n.n * {step[Job]} - {DAYS << 24}"
    if field.primary_key:
        return f"{column} + n.n * {step[model]}"
    if field.name == "job_id" and not field.is_relation:
        return f"{column} + n.n * {step[Job]}"
    counted = field.column in numbered
    if counted and isinstance(field, models.IntegerField):
        return f"{column} + n.n * 100000"
    if isinstance(field, models.UUIDField) and (field.unique or field.name == "entry"):
        return "gen_random_uuid()" if connection.vendor == "postgresql" else "lower(hex(randomblob(16)))"
    if (field.unique or counted) and isinstance(field, models.CharField):
        longer = f"substr({column}, 1, {max(1, field.max_length - 8)}) || '~' || n.n"
        return f"CASE WHEN {column} = '' THEN '' ELSE {longer} END"
    return column


def _earlier(column: str, field: Any) -> str:
    if connection.vendor == "postgresql":
        kind = "timestamptz" if isinstance(field, models.DateTimeField) else "date"
        return f"({column} - interval '{DAYS} days')::{kind}"
    if isinstance(field, models.DateTimeField):
        return f"strftime('%Y-%m-%d %H:%M:%f', {column}, '-{DAYS} days')"
    return f"date({column}, '-{DAYS} days')"
