"""Guards: what the database itself never lets happen, declared beside the model and put into the book as triggers.

    class Payment(models.Model):
        guard = AppendOnly()

    class Invoice(models.Model):
        guard = Frozen(when="{row}.issued_at IS NOT NULL", movable=("settled_at",))

A guard says what may change and when, never which columns are frozen: those are read from the table itself, minus the
movable ones, so that a new column is frozen with its table. The triggers lie in the book's file and hold for every program
that opens it, whatever pragmas its connection has: `REPLACE`, `INSERT OR REPLACE`, `UPDATE OR REPLACE` and upserts that
would displace a guarded row are refused, too (SQLite's REPLACE deletes what is in its way without firing a delete trigger).
Where the model is `sealed`, its personal columns may be emptied together with their salt, and in no other way.

`migrate` (the shop's own command) lifts all guards, migrates, and puts them back whatever came of it: SQLite makes a table
anew for most changes, and could not while triggers speak of it. What else stands beside Django's tables, such as the full-
text index, is hung up here with `beside` and treated alike. All triggers are named `house_…`, so that they are found
without a list.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.apps import apps
from django.db.models import JSONField

from shop.frame import seals

if TYPE_CHECKING:
    from django.db import models
    from django.db.backends.base.base import BaseDatabaseWrapper

PREFIX = "house_"
SENTENCE = "{table}: what is written stays as it was written"

# ruff: noqa: S608  (the names of tables and columns come from the models, the conditions from the guards beside them)


@dataclass(frozen=True, slots=True, kw_only=True)
class Frozen:
    """Refuse UPDATE and DELETE of rows for which `when` holds.

    `when` is SQL with `{row}` for the row that is asked about; empty, it holds for every row. `movable` columns may still change.
    `once` names movable columns that are set once and never again, each only where its SQL holds of the new row.
    """

    when: str = ""
    movable: tuple[str, ...] = ()
    updates: bool = True
    once: tuple[tuple[str, str], ...] = ()

    def holds(self, row: str) -> str:
        """SQL that is true where the row (OLD, NEW or an alias) is guarded; empty where every row is."""
        return self.when.format(row=row)


class AppendOnly(Frozen):
    """Refuse every UPDATE and DELETE."""


def never_deleted() -> Frozen:
    """Refuse every DELETE; rows may change, and be struck out."""
    return Frozen(updates=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class FrozenWith(Frozen):
    """Refuse INSERT, UPDATE and DELETE of rows whose parent is frozen.

    `through` is the column that names the parent, `when` is SQL with `{row}` for the parent's row. On PostgreSQL the trigger
    first waits for whoever holds the parent's row, so that nothing slips in beside the act that freezes it.
    """

    parent: str
    through: str

    def holds(self, row: str) -> str:
        """SQL that is true where the parent of the row is frozen."""
        condition = self.when.format(row="parent")
        return f"EXISTS (SELECT 1 FROM {self.parent} parent WHERE parent.id = {row}.{self.through} AND ({condition}))"


@dataclass(frozen=True, slots=True)
class Beside:
    """Something in the book that no model knows: how it is made (or whatever of it is missing), and how it is lifted."""

    table: str
    make: Callable[[BaseDatabaseWrapper], None]
    lift: Callable[[BaseDatabaseWrapper], None]


_beside: list[Beside] = []


def beside(thing: Beside) -> None:
    """Have something made with the guards and lifted with them; a room calls this in its `apps.py`."""
    if thing not in _beside:
        _beside.append(thing)


def guarded() -> list[tuple[type[models.Model], Frozen]]:
    """Every guarded model with its guard, in the order of their tables."""
    found = [(model, getattr(model, "guard", None)) for model in apps.get_models()]
    return sorted(
        ((model, guard) for model, guard in found if isinstance(guard, Frozen)),
        key=lambda pair: pair[0]._meta.db_table,
    )


# --- putting them up and taking them down -------------------------------------------------------------------


def put_up(connection: BaseDatabaseWrapper) -> None:
    """Put every guard of every table that is there into the book, as it is declared now; what stood before goes."""
    take_down(connection)
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        if connection.vendor == "postgresql":
            cursor.execute(REFUSE_ON_POSTGRESQL)
        for model, guard in guarded():
            if model._meta.db_table in there:
                for statement in statements(connection, model, guard):
                    cursor.execute(statement)
    for thing in _beside:
        if thing.table in there:
            thing.make(connection)


def take_down(connection: BaseDatabaseWrapper) -> None:
    """Take every guard out of the book, and what else could be in the way of a change of its tables."""
    with connection.cursor() as cursor:
        for name, table, _sql in standing(connection):
            on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
            cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')
        there = set(connection.introspection.table_names(cursor))
    for thing in _beside:
        if thing.table in there:
            thing.lift(connection)


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take the guards away for a while. For test teardown and for bringing a book back, nowhere else."""
    if connection.vendor == "postgresql":
        with _disabled_on_postgresql(connection):
            yield
        return
    kept = standing(connection)
    with connection.cursor() as cursor:
        for name, _table, _sql in kept:
            cursor.execute(f'DROP TRIGGER "{name}"')
        try:
            yield
        finally:
            for _name, _table, sql in kept:
                cursor.execute(sql)


@contextmanager
def _disabled_on_postgresql(connection: BaseDatabaseWrapper) -> Iterator[None]:
    tables = sorted({table for _name, table, _sql in standing(connection)})
    with connection.cursor() as cursor:
        # a table can't be altered while foreign keys wait to be looked at
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
        for table in tables:
            cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
        try:
            yield
        finally:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')


def standing(connection: BaseDatabaseWrapper) -> list[tuple[str, str, str]]:
    """The triggers of the house that are in the book: name, table, and on SQLite the statement that made it."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT t.tgname, c.relname, pg_get_triggerdef(t.oid) FROM pg_trigger t "
                "JOIN pg_class c ON c.oid = t.tgrelid WHERE t.tgname LIKE 'house\\_%' AND NOT t.tgisinternal "
                "ORDER BY 1, 2"
            )
        else:
            cursor.execute(
                "SELECT name, tbl_name, sql FROM sqlite_master WHERE type = 'trigger' "
                "AND name LIKE 'house\\_%' ESCAPE '\\' ORDER BY name"
            )
        return [(str(name), str(table), str(sql)) for name, table, sql in cursor.fetchall()]


# --- what they are made of ----------------------------------------------------------------------------------


def statements(connection: BaseDatabaseWrapper, model: type[models.Model], guard: Frozen) -> list[str]:
    """What puts up the guard of one table, as its columns are now."""
    table = model._meta.db_table
    columns = columns_of(connection, table)
    if connection.vendor == "sqlite":
        changed = _changed(guard, columns, "IS NOT", _erased(model, columns, "'{}'"))
        return _sqlite(table, guard, columns, changed, _unique_keys(connection, table))
    changed = _changed(guard, columns, "IS DISTINCT FROM", _erased(model, columns, "'{}'::jsonb"))
    return _postgresql(table, guard, changed)


def columns_of(connection: BaseDatabaseWrapper, table: str) -> list[str]:
    """The names of a table's columns as they stand in the book, in its order.

    Django's own description of a table is a hundred times as dear on SQLite: it reads the statement that made the table.
    """
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)} LIMIT 0")
        return [str(column[0]) for column in cursor.description]


def _both(*conditions: str) -> str:
    return " AND ".join(f"({condition})" for condition in conditions if condition)


def _erased(model: type[models.Model], columns: Sequence[str], empty_json: str) -> dict[str, str]:
    """The columns that may be emptied, all at once, each with SQL that is true where it is: what is personal, and its salt."""
    emptied: dict[str, str] = {}
    for field in seals.erasable(model):
        column = field.column or field.name
        empty = empty_json if isinstance(field, JSONField) else "''"
        emptied[column] = f'NEW."{column}" IS NULL' if field.null else f'NEW."{column}" = {empty}'
    return {column: sql for column, sql in emptied.items() if column in columns}


def _changed(guard: Frozen, columns: Sequence[str], different: str, erased: dict[str, str]) -> str:
    """SQL that is true where a frozen column changes; empty where every change is refused."""
    if not guard.movable and not erased:
        return ""

    def any_of(names: Iterable[str]) -> str:
        return " OR ".join(f'NEW."{name}" {different} OLD."{name}"' for name in names)

    frozen = any_of(name for name in columns if name not in guard.movable and name not in erased)
    if not erased:
        return frozen
    return f"{frozen} OR (({any_of(erased)}) AND NOT ({' AND '.join(erased.values())}))"


def _sqlite(
    table: str, guard: Frozen, columns: Sequence[str], changed: str, unique: Sequence[_Key]
) -> list[str]:
    refuse = f"BEGIN SELECT RAISE(ABORT, '{SENTENCE.format(table=table)}'); END"
    name = f"{PREFIX}{table}_no"
    old, new = guard.holds("OLD"), guard.holds("NEW")
    made = {"delete": f"BEFORE DELETE ON {table} {_when(old)}"}
    if guard.updates:
        either = f"{old} OR {new}" if isinstance(guard, FrozenWith) else old
        made["update"] = f"BEFORE UPDATE ON {table} {_when(_both(either, changed))}"
    if isinstance(guard, FrozenWith):
        made["insert"] = f"BEFORE INSERT ON {table} {_when(new)}"
    if guard.once:
        made["set"] = f"BEFORE UPDATE ON {table} {_when(_both(old, _set_wrongly(guard, 'IS NOT')))}"
    if unique:
        # a row of the same key that is guarded would be deleted by REPLACE without a word
        in_the_way = f"SELECT 1 FROM {table} there WHERE {_both(guard.holds('there'), _same(unique))}"
        made["replace"] = f"BEFORE INSERT ON {table} WHEN EXISTS ({in_the_way})"
        another = f"{in_the_way} AND there.rowid <> OLD.rowid"
        keys = ", ".join(f'"{column}"' for column in columns if any(key.speaks_of(column) for key in unique))
        made["displace"] = f"BEFORE UPDATE OF {keys} ON {table} WHEN EXISTS ({another})"
    return [f"CREATE TRIGGER {name}_{what} {how} {refuse}" for what, how in made.items()]


def _set_wrongly(guard: Frozen, different: str) -> str:
    """SQL that is true where a column that is set once is set again, taken back, or set too early."""
    return " OR ".join(
        f'(NEW."{name}" {different} OLD."{name}" AND NOT '
        f'(OLD."{name}" IS NULL AND NEW."{name}" IS NOT NULL AND ({condition.format(row="NEW")})))'
        for name, condition in guard.once
    )


def _when(condition: str) -> str:
    return f"WHEN {condition}" if condition else ""


@dataclass(frozen=True, slots=True)
class _Key:
    """A unique key of a table: its columns, and the condition of its index where it is a partial one."""

    columns: tuple[str, ...]
    condition: str = ""

    def speaks_of(self, column: str) -> bool:
        """Whether a change of the column could make the key another row's."""
        return column in self.columns or f'"{column}"' in self.condition


def _same(unique: Sequence[_Key]) -> str:
    """SQL that is true where the row `there` has a key of the new row."""
    return " OR ".join(
        _both(
            *(f'there."{name}" = NEW."{name}"' for name in key.columns),
            _of(key.condition, "there"),
            _of(key.condition, "NEW"),
        )
        for key in unique
    )


def _of(condition: str, row: str) -> str:
    """The condition of a partial index, asked of a row: Django writes its columns in double quotes."""
    return re.sub(r'(?:"\w+"\.)?("\w+")', rf"{row}.\1", condition)


def _unique_keys(connection: BaseDatabaseWrapper, table: str) -> list[_Key]:
    """The keys by which a row of SQLite's could stand in another's way: primary key and unique indexes."""
    keys: list[_Key] = []
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA table_info({table})")
        primary = tuple(row[1] for row in sorted(cursor.fetchall(), key=lambda row: row[5]) if row[5])
        if primary:
            keys.append(_Key(primary))
        cursor.execute(f"PRAGMA index_list({table})")
        for _number, index, is_unique, _origin, partial in sorted(cursor.fetchall(), key=lambda row: row[1]):
            if not is_unique:
                continue
            cursor.execute(f'PRAGMA index_info("{index}")')
            columns = tuple(row[2] for row in cursor.fetchall())
            if None in columns:
                raise ValueError(
                    f"{table} is guarded, and its key {index} is made of an expression: not known how."
                )
            condition = ""
            if partial:
                cursor.execute("SELECT sql FROM sqlite_master WHERE type = 'index' AND name = %s", [index])
                condition = cursor.fetchone()[0].partition(" WHERE ")[2]
            if _Key(columns, condition) not in keys:
                keys.append(_Key(columns, condition))
    return keys


REFUSE_ON_POSTGRESQL = """
CREATE OR REPLACE FUNCTION house_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation'; END $$
"""


def _postgresql(table: str, guard: Frozen, changed: str) -> list[str]:
    if isinstance(guard, FrozenWith):
        return _with_parent_on_postgresql(table, guard, changed)
    refuse = f"EXECUTE FUNCTION house_refuse('{SENTENCE.format(table=table)}')"
    name, holds = f"{PREFIX}{table}_no", guard.holds("OLD")
    made = [
        f"CREATE TRIGGER {name}_delete BEFORE DELETE ON {table} FOR EACH ROW {_when_(holds)} {refuse}",
    ]
    if guard.updates:
        when = _when_(_both(holds, changed))
        made.append(f"CREATE TRIGGER {name}_update BEFORE UPDATE ON {table} FOR EACH ROW {when} {refuse}")
    if guard.once:
        made += _set_once_on_postgresql(table, guard)
    if not holds:
        made.append(f"CREATE TRIGGER {name}_truncate BEFORE TRUNCATE ON {table} FOR EACH STATEMENT {refuse}")
    return made


def _set_once_on_postgresql(table: str, guard: Frozen) -> list[str]:
    """As with a parent: what asks other rows stands in a function."""
    function = f"{PREFIX}{table}_set"
    wrong = _both(guard.holds("OLD"), _set_wrongly(guard, "IS DISTINCT FROM"))
    refuse = (
        f"RAISE EXCEPTION '{SENTENCE.format(table=table)}' USING ERRCODE = 'integrity_constraint_violation'"
    )
    body = f"BEGIN IF {wrong} THEN {refuse}; END IF; RETURN NEW; END"
    return [
        f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ {body} $$",
        f"CREATE TRIGGER {PREFIX}{table}_no_set BEFORE UPDATE ON {table} FOR EACH ROW EXECUTE FUNCTION {function}()",
    ]


def _when_(condition: str) -> str:
    return f"WHEN ({condition})" if condition else ""


def _with_parent_on_postgresql(table: str, guard: FrozenWith, changed: str) -> list[str]:
    """PostgreSQL allows no subquery in a trigger's WHEN, so there a function asks."""
    function, name = f"{PREFIX}{table}_stands", f"{PREFIX}{table}_no"
    refuse = (
        f"RAISE EXCEPTION '{SENTENCE.format(table=table)}' USING ERRCODE = 'integrity_constraint_violation'"
    )
    body = "".join(
        f"IF TG_OP <> '{unless}' THEN PERFORM 1 FROM {guard.parent} WHERE id = {row}.{guard.through} FOR SHARE; "
        f"IF {guard.holds(row)} THEN {refuse}; END IF; END IF; "
        for row, unless in (("OLD", "INSERT"), ("NEW", "DELETE"))
    )
    ask = f"FOR EACH ROW {{}} EXECUTE FUNCTION {function}()"
    give_back = "IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW;"
    return [
        f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body}{give_back} END $$",
        f"CREATE TRIGGER {name}_insert BEFORE INSERT ON {table} {ask.format('')}",
        f"CREATE TRIGGER {name}_update BEFORE UPDATE ON {table} {ask.format(_when_(changed))}",
        f"CREATE TRIGGER {name}_delete BEFORE DELETE ON {table} {ask.format('')}",
    ]
