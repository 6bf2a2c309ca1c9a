"""Whether the guards stand as they are declared, and nothing else stands beside them: what the night asks of the book."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from shop.frame.guards import PREFIX, REFUSE_ON_POSTGRESQL, guarded, standing, statements

if TYPE_CHECKING:
    from django.db.backends.base.base import BaseDatabaseWrapper
    from django.db.backends.utils import CursorWrapper


def missing(connection: BaseDatabaseWrapper) -> list[str]:
    """The tables whose guard doesn't stand as it is declared: gone, made differently, or switched off."""
    there = {name: sql for name, _table, sql in standing(connection)}
    with connection.cursor() as cursor:
        tables = set(connection.introspection.table_names(cursor))
    look = _stands_on_postgresql if connection.vendor == "postgresql" else _stands_on_sqlite
    return [
        model._meta.db_table
        for model, guard in guarded()
        if model._meta.db_table in tables
        and not look(connection, model._meta.db_table, statements(connection, model, guard), there)
    ]


def strange(connection: BaseDatabaseWrapper) -> list[tuple[str, str]]:
    """Triggers on guarded tables that the house did not declare: table and name."""
    declared: set[str] = set()
    with connection.cursor() as cursor:
        there = set(connection.introspection.table_names(cursor))
        tables = {model._meta.db_table for model, _guard in guarded()} & there
        cursor.execute(
            "SELECT c.relname, t.tgname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid WHERE NOT t.tgisinternal"
            if connection.vendor == "postgresql"
            else "SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger'"
        )
        found = {(str(table), str(name)) for table, name in cursor.fetchall()}
    for model, guard in guarded():
        if model._meta.db_table in tables:
            declared.update(_names(statements(connection, model, guard)))
    return sorted((table, name) for table, name in found if table in tables and name not in declared)


def _names(wanted: Sequence[str]) -> list[str]:
    return [named[1] for one in wanted if (named := _NAMED.match(one))]


def _stands_on_sqlite(
    _connection: BaseDatabaseWrapper, _table: str, wanted: Sequence[str], there: dict[str, str]
) -> bool:
    """SQLite keeps the statement that made a trigger word for word."""
    return all(
        " ".join(there.get(name, "").split()) == " ".join(sql.split()) for name, sql in _by_name(wanted)
    )


def _by_name(wanted: Sequence[str]) -> Iterator[tuple[str, str]]:
    return zip(_names(wanted), (one for one in wanted if _NAMED.match(one)), strict=True)


def _stands_on_postgresql(
    connection: BaseDatabaseWrapper, table: str, wanted: Sequence[str], there: dict[str, str]
) -> bool:
    """PostgreSQL spells a trigger in its own way: the same is put on an empty table of the same columns, and the two compared."""
    with connection.cursor() as cursor:
        if not all(_function_stands(cursor, one) for one in (REFUSE_ON_POSTGRESQL, *wanted)):
            return False
        cursor.execute(
            "SELECT 1 FROM pg_trigger WHERE tgrelid = to_regclass(%s) AND tgname LIKE 'house\\_%%' "
            "AND tgenabled NOT IN ('O', 'A')",
            [f"public.{table}"],
        )
        if cursor.fetchone():
            return False
        # a temporary table of the same name goes before the other, so that the statements can be used as they are
        cursor.execute(f'CREATE TEMPORARY TABLE "{table}" (LIKE public."{table}")')
        try:
            for _name, sql in _by_name(wanted):
                cursor.execute(sql)
            cursor.execute(
                "SELECT tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE tgrelid = to_regclass(%s)",
                [f"pg_temp.{table}"],
            )
            made = dict(cursor.fetchall())
        finally:
            cursor.execute(f'DROP TABLE pg_temp."{table}"')
    return all(_without_schema(there.get(name, "")) == _without_schema(sql) for name, sql in made.items())


def _without_schema(definition: str) -> str:
    return re.sub(r" ON \w+\.", " ON ", definition)


def _function_stands(cursor: CursorWrapper, statement: str) -> bool:
    """Whether the function that a statement makes is there, word for word; true for a statement that makes none."""
    if not (made := _FUNCTION.search(statement)):
        return True
    cursor.execute("SELECT prosrc FROM pg_proc WHERE proname = %s", [made[1]])
    row = cursor.fetchone()
    return row is not None and row[0].split() == made[2].split()


_NAMED = re.compile(rf"CREATE TRIGGER ({PREFIX}\w+)")
_FUNCTION = re.compile(r"FUNCTION (\w+)\(\) .*?\$\$(.*)\$\$", re.DOTALL)
