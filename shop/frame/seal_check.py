"""Seals held against the rows that they were made of: what differs is named by table, row and columns.

The journal is walked a piece at a time, and of the rows that it speaks of one bit each is remembered, so that a book of a
million rows takes no more room here than a short list. Afterwards every row that ought to be sealed is looked for among them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial

from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations import RemoveField, RenameField

from shop.frame import seals
from shop.frame.guards import Frozen
from shop.frame.models import JournalEntry
from shop.frame.seals import SALT, SEALS, Seal

ENTRIES_AT_ONCE = 200
ROWS_AT_ONCE = 1000


@dataclass(frozen=True, slots=True)
class Difference:
    """A row that is not what was sealed: `columns` those that differ, none where it is the row as a whole."""

    table: str
    row: int
    columns: tuple[str, ...]
    sentence: str


def differences() -> Iterator[Difference]:
    """Hold every seal against its row, and look for rows without one. Nothing is told of a book that is as it was written."""
    walk = _Walk()
    yield from walk.on()
    for model in seals.sealed_models():
        yield from walk.without_seal(model)


class Rows:
    """A set of row numbers, a bit each, kept in pages where there are any."""

    PAGE = 8192

    def __init__(self) -> None:
        self._pages: dict[int, bytearray] = defaultdict(partial(bytearray, self.PAGE // 8))

    def add(self, number: int) -> None:
        """Remember a number."""
        page, bit = divmod(number, self.PAGE)
        self._pages[page][bit // 8] |= 1 << bit % 8

    def __contains__(self, number: int) -> bool:
        page, bit = divmod(number, self.PAGE)
        return page in self._pages and bool(self._pages[page][bit // 8] & 1 << bit % 8)


@dataclass
class _Walk:
    """A walk along the journal that can be taken up again where entries were added meanwhile."""

    sequence: int = 0
    seen: dict[str, Rows] = field(default_factory=lambda: defaultdict(Rows))

    def on(self) -> Iterator[Difference]:
        """From where it stands to the journal's end."""
        entries = JournalEntry.objects.filter(data__has_key=SEALS).order_by("sequence")
        while some := list(
            entries.filter(sequence__gt=self.sequence).values_list("sequence", "data")[:ENTRIES_AT_ONCE]
        ):
            by_table: dict[str, list[tuple[int, Seal]]] = defaultdict(list)
            for sequence, data in some:
                for seal in seals.unfold(data[SEALS]):
                    by_table[seal.table].append((sequence, seal))
                    self.seen[seal.table].add(seal.row)
            for table, made in by_table.items():
                yield from self._compared(table, made)
            self.sequence = some[-1][0]

    def without_seal(self, model: type[models.Model]) -> Iterator[Difference]:
        """Rows of a table that its guard holds and that the walk has not met."""
        table = model._meta.label_lower
        for some in guarded_rows(model):
            if unknown := [row for row in some if row not in self.seen[table]]:
                # they may have been written since the walk came by
                yield from self.on()
                for row in unknown:
                    if row not in self.seen[table]:
                        yield Difference(
                            table, row, (), f"{table} {row} stands in the book, but no entry sealed it."
                        )

    # --- one table's seals --------------------------------------------------------------------------------------

    def _compared(self, table: str, made: Sequence[tuple[int, Seal]]) -> Iterator[Difference]:
        try:
            model = seals.model_of(table)
            covered = seals.covered(model)
            with transaction.atomic():
                rows = dict(seals.read(model, sorted({seal.row for _, seal in made}), covered))
        except (LookupError, DatabaseError) as error:
            yield Difference(table, 0, (), f"{table} can’t be held against its seals: {error}")
            return
        erased = _erased(table, [row for row, values in rows.items() if values.get(SALT) == ""])
        for sequence, seal in made:
            if seal.row not in rows:
                said = f"{table} {seal.row} is gone; entry {sequence} sealed it."
                yield Difference(table, seal.row, (), said)
            else:
                yield from self._row(sequence, seal, rows[seal.row], model, told=seal.row in erased)

    def _row(
        self,
        sequence: int,
        seal: Seal,
        values: Mapping[str, object],
        model: type[models.Model],
        *,
        told: bool,
    ) -> Iterator[Difference]:
        """One row against one seal; `told` where an act says that what was personal in it was erased."""
        where = f"{seal.table} {seal.row}"
        if seal.apart and values.get(SALT) == "" and not told:
            columns = tuple(sorted(seal.apart))
            said = f"{where}: {', '.join(columns)} were emptied, and the journal knows nothing of it."
            yield Difference(seal.table, seal.row, columns, said)
        differing = tuple(name for name in seal.digests if not self._holds(seal, name, values, model))
        if differing:
            said = f"{', '.join(differing)} {'is' if len(differing) == 1 else 'are'}"
            said = f"{where}: {said} not what entry {sequence} sealed."
            yield Difference(seal.table, seal.row, differing, said)

    def _holds(self, seal: Seal, name: str, values: Mapping[str, object], model: type[models.Model]) -> bool:
        now = self._called_now(model, name)
        if now is None:
            return True
        if now not in values:
            return False
        if name not in seal.apart:
            return seals.digest(seal.table, seal.row, name, values[now]) == seal.digests[name]
        salt = str(values[SALT])
        if not salt:
            column = next(one for one in model._meta.concrete_fields if one.name == now)
            return bool(values[now] == seals.empty_value(column))
        return seals.digest(seal.table, seal.row, name, values[now], salt) == seal.digests[name]

    # --- names of before ----------------------------------------------------------------------------------------

    def _called_now(self, model: type[models.Model], name: str) -> str | None:
        """How a column is called today; None where it was dropped, or may be moved by now; as it was where nobody knows."""
        fields = {one.name for one in model._meta.concrete_fields}
        if name not in fields:
            name = self._followed(model, name, fields)
        if name not in fields:
            return None if (model._meta.label_lower, name) in self._history.dropped else name
        return name if name in seals.covered(model) else None

    def _followed(self, model: type[models.Model], name: str, until: set[str]) -> str:
        sealed = seals.declared(model)
        was = sealed.was if sealed else {}
        passed = {name}
        while name not in until:
            name = was.get(name) or self._history.renamed.get((model._meta.label_lower, name)) or name
            if name in passed:
                break
            passed.add(name)
        return name

    @cached_property
    def _history(self) -> _History:
        return _History.of_this_book()


@dataclass
class _History:
    """What the migrations that this book went through did to names of columns."""

    renamed: dict[tuple[str, str], str] = field(default_factory=dict)
    dropped: set[tuple[str, str]] = field(default_factory=set)

    @classmethod
    def of_this_book(cls) -> _History:
        """Read from the migrations themselves, so that nobody has to tell it twice."""
        found, loader = cls(), MigrationLoader(connection)
        for room, name in loader.graph.nodes:
            if (room, name) not in loader.applied_migrations:
                continue
            for step in loader.get_migration(room, name).operations:
                if isinstance(step, RenameField):
                    found.renamed[f"{room}.{step.model_name_lower}", step.old_name] = step.new_name
                elif isinstance(step, RemoveField):
                    found.dropped.add((f"{room}.{step.model_name_lower}", step.name))
        return found


def _erased(table: str, rows: Sequence[int]) -> set[int]:
    """Those of the rows whose personal columns were erased by an act that says so."""
    told = JournalEntry.objects.filter(verb="person.erased", subject_type=table, subject_id__in=rows)
    return {row for row in told.values_list("subject_id", flat=True) if row is not None}


def guarded_rows(model: type[models.Model]) -> Iterator[list[int]]:
    """The ids of a table's rows that its guard holds, in short queries."""
    guard: Frozen = model.guard  # type: ignore[attr-defined]
    quoted, holds = model._meta.db_table, guard.holds("there") or "1 = 1"
    last = 0
    while True:
        with connection.cursor() as cursor:
            cursor.execute(
                f"SELECT there.id FROM {quoted} there WHERE ({holds}) AND there.id > %s ORDER BY there.id LIMIT {ROWS_AT_ONCE}",  # noqa: S608  (of the models and the guards beside them)
                [last],
            )
            some = [int(row[0]) for row in cursor.fetchall()]
        if not some:
            return
        yield some
        last = some[-1]
