"""Database triggers that keep written facts as they were, on SQLite and PostgreSQL, and the migration operations that make them.

`AppendOnly("table")` refuses every UPDATE and DELETE. `Frozen("table", when="OLD.issued_at IS NOT NULL")` refuses them once
the condition holds on the old row; `except_columns` are the few that may still change. All triggers are named `house_…`, so
`lifted()` finds them without a registry.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from django.db.migrations.operations.base import Operation

if TYPE_CHECKING:
    from django.db.backends.base.base import BaseDatabaseWrapper


def _both(*conditions: str) -> str:
    return " AND ".join(f"({condition})" for condition in conditions if condition)


def _sqlite(table: str, when: str, guarded: str, sentence: str) -> list[str]:
    refuse = f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
    changed = f"WHEN {both}" if (both := _both(when, guarded)) else ""
    standing = f"WHEN {when}" if when else ""
    return [
        f"CREATE TRIGGER house_{table}_no_update BEFORE UPDATE ON {table} {changed} {refuse}",
        f"CREATE TRIGGER house_{table}_no_delete BEFORE DELETE ON {table} {standing} {refuse}",
    ]


_REFUSE_ON_POSTGRESQL = """
CREATE OR REPLACE FUNCTION house_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION '%', TG_ARGV[0] USING ERRCODE = 'integrity_constraint_violation'; END $$
"""


def _postgresql(table: str, when: str, guarded: str, sentence: str) -> list[str]:
    refuse = f"EXECUTE FUNCTION house_refuse('{sentence}')"
    changed = f"WHEN ({both})" if (both := _both(when, guarded)) else ""
    standing = f"WHEN ({when})" if when else ""
    statements = [
        _REFUSE_ON_POSTGRESQL,
        f"CREATE TRIGGER house_{table}_no_update BEFORE UPDATE ON {table} FOR EACH ROW {changed} {refuse}",
        f"CREATE TRIGGER house_{table}_no_delete BEFORE DELETE ON {table} FOR EACH ROW {standing} {refuse}",
    ]
    if not when:
        statements.append(
            f"CREATE TRIGGER house_{table}_no_truncate BEFORE TRUNCATE ON {table} FOR EACH STATEMENT {refuse}"
        )
    return statements


class Frozen(Operation):
    """Refuse UPDATE and DELETE of rows for which `when` (SQL over OLD) holds; `except_columns` may still change."""

    reversible = True
    reduces_to_sql = True

    def __init__(
        self,
        table: str,
        *,
        when: str = "",
        except_columns: tuple[str, ...] = (),
        columns: tuple[str, ...] = (),
    ) -> None:
        if except_columns and not columns:
            raise ValueError("Name the guarded columns when some may change.")
        self.table, self.when = table, when
        self.except_columns, self.columns = except_columns, columns

    @property
    def sentence(self) -> str:
        return f"{self.table}: what is written stays as it was written"

    def state_forwards(self, app_label: str, state: Any) -> None:
        """Triggers are no part of Django's model state."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        # a later migration that alters the table makes the guard again: SQLite lost it with the old table
        self.database_backwards(app_label, schema_editor, from_state, to_state)
        vendor = schema_editor.connection.vendor
        different = "IS NOT" if vendor == "sqlite" else "IS DISTINCT FROM"
        guarded = " OR ".join(
            f"NEW.{c} {different} OLD.{c}" for c in self.columns if c not in self.except_columns
        )
        make = {"sqlite": _sqlite, "postgresql": _postgresql}[vendor]
        for statement in make(self.table, self.when, guarded, self.sentence):
            schema_editor.execute(statement, params=None)

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        on = f" ON {self.table}" if schema_editor.connection.vendor == "postgresql" else ""
        for what in ("update", "delete", "truncate"):
            schema_editor.execute(f"DROP TRIGGER IF EXISTS house_{self.table}_no_{what}{on}", params=None)

    def describe(self) -> str:
        return f"Freeze rows of {self.table}"

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        kwargs = {"when": self.when, "except_columns": self.except_columns, "columns": self.columns}
        return self.__class__.__qualname__, [self.table], {k: v for k, v in kwargs.items() if v}


class AppendOnly(Frozen):
    """Refuse every UPDATE and DELETE of a table."""

    def describe(self) -> str:
        return f"Make {self.table} append-only"


class NeverDeleted(Frozen):
    """Refuse every DELETE of a table; rows may be struck out."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        make = {"sqlite": _sqlite, "postgresql": _postgresql}[schema_editor.connection.vendor]
        for statement in make(self.table, "", "", self.sentence):
            if "no_update" not in statement:
                schema_editor.execute(statement, params=None)

    def describe(self) -> str:
        return f"Never delete rows of {self.table}"


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take the house's triggers away for a while. For test teardown and for restoring a backup, nowhere else."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT DISTINCT c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid WHERE t.tgname LIKE 'house\\_%'"
            )
            tables = [row[0] for row in cursor.fetchall()]
            for table in tables:
                cursor.execute(f'ALTER TABLE "{table}" DISABLE TRIGGER USER')
            try:
                yield
            finally:
                for table in tables:
                    cursor.execute(f'ALTER TABLE "{table}" ENABLE TRIGGER USER')
            return
        cursor.execute(
            "SELECT name, sql FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'house\\_%' ESCAPE '\\'"
        )
        kept = cursor.fetchall()
        for name, _sql in kept:
            cursor.execute(f"DROP TRIGGER {name}")
        try:
            yield
        finally:
            for _name, sql in kept:
                cursor.execute(sql)
