"""Database triggers that keep written facts as they were, on SQLite and PostgreSQL, and the migration operations that make them.

`AppendOnly("table")` refuses every UPDATE and DELETE. `Frozen("table", when="OLD.issued_at IS NOT NULL")` refuses them once
the condition holds on the old row; `except_columns` are the few that may still change. `FrozenWith` refuses INSERT, UPDATE and
DELETE of rows whose parent row is frozen. `Thawed` takes a table's triggers away, for a migration that makes others. All triggers
are named `house_…`, so `lifted()` finds them without a registry.
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
        vendor = schema_editor.connection.vendor
        different = "IS NOT" if vendor == "sqlite" else "IS DISTINCT FROM"
        guarded = " OR ".join(
            f"NEW.{c} {different} OLD.{c}" for c in self.columns if c not in self.except_columns
        )
        self._drop(schema_editor)
        make = {"sqlite": _sqlite, "postgresql": _postgresql}[vendor]
        for statement in make(self.table, self.when, guarded, self.sentence):
            schema_editor.execute(statement, params=None)

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        self._drop(schema_editor)

    def _drop(self, schema_editor: Any) -> None:
        """Take the triggers away where they stand: a guard is repeated after SQLite has made a table anew."""
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
        self._drop(schema_editor)
        make = {"sqlite": _sqlite, "postgresql": _postgresql}[schema_editor.connection.vendor]
        for statement in make(self.table, "", "", self.sentence):
            if "no_update" not in statement:
                schema_editor.execute(statement, params=None)

    def describe(self) -> str:
        return f"Never delete rows of {self.table}"


class FrozenWith(Frozen):
    """Refuse INSERT, UPDATE and DELETE of rows that belong to a frozen parent.

    `through` is the column that names the parent, `when` is SQL over the parent's row under the name `parent`:
    `FrozenWith("office_invoiceline", parent="office_invoice", through="invoice_id", when="parent.issued_at IS NOT NULL")`.
    PostgreSQL allows no subquery in a trigger's WHEN, so there a function asks; it first waits for whoever holds the parent's
    row, so that nothing slips in beside the act that freezes it.
    """

    def __init__(
        self,
        table: str,
        *,
        parent: str,
        through: str,
        when: str,
        except_columns: tuple[str, ...] = (),
        columns: tuple[str, ...] = (),
    ) -> None:
        super().__init__(table, when=when, except_columns=except_columns, columns=columns)
        self.parent, self.through = parent, through

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        self._drop(schema_editor)
        make = {"sqlite": self._sqlite, "postgresql": self._postgresql}[schema_editor.connection.vendor]
        for statement in make():
            schema_editor.execute(statement, params=None)

    def _drop(self, schema_editor: Any) -> None:
        super()._drop(schema_editor)
        on = f" ON {self.table}" if schema_editor.connection.vendor == "postgresql" else ""
        schema_editor.execute(f"DROP TRIGGER IF EXISTS house_{self.table}_no_insert{on}", params=None)

    def describe(self) -> str:
        return f"Freeze rows of {self.table} with their {self.parent}"

    def deconstruct(self) -> tuple[str, list[Any], dict[str, Any]]:
        name, args, kwargs = super().deconstruct()
        return name, args, {**kwargs, "parent": self.parent, "through": self.through}

    def _changed(self, different: str) -> str:
        return " OR ".join(
            f"NEW.{c} {different} OLD.{c}" for c in self.columns if c not in self.except_columns
        )

    def _frozen(self, row: str) -> str:
        return f"EXISTS (SELECT 1 FROM {self.parent} parent WHERE parent.id = {row}.{self.through} AND ({self.when}))"  # noqa: S608

    def _sqlite(self) -> list[str]:
        refuse = f"BEGIN SELECT RAISE(ABORT, '{self.sentence}'); END"
        name, either = f"house_{self.table}_no", f"{self._frozen('OLD')} OR {self._frozen('NEW')}"
        changed = _both(either, self._changed("IS NOT"))
        return [
            f"CREATE TRIGGER {name}_insert BEFORE INSERT ON {self.table} WHEN {self._frozen('NEW')} {refuse}",
            f"CREATE TRIGGER {name}_update BEFORE UPDATE ON {self.table} WHEN {changed} {refuse}",
            f"CREATE TRIGGER {name}_delete BEFORE DELETE ON {self.table} WHEN {self._frozen('OLD')} {refuse}",
        ]

    def _postgresql(self) -> list[str]:
        function, name = f"house_{self.table}_stands", f"house_{self.table}_no"
        refuse = f"RAISE EXCEPTION '{self.sentence}' USING ERRCODE = 'integrity_constraint_violation'"
        body = "".join(
            f"IF TG_OP <> '{unless}' THEN PERFORM 1 FROM {self.parent} WHERE id = {row}.{self.through} FOR SHARE; "
            f"IF {self._frozen(row)} THEN {refuse}; END IF; END IF; "
            for row, unless in (("OLD", "INSERT"), ("NEW", "DELETE"))
        )
        when = f"WHEN ({changed})" if (changed := self._changed("IS DISTINCT FROM")) else ""
        ask = f"FOR EACH ROW {{}} EXECUTE FUNCTION {function}()"
        give_back = "IF TG_OP = 'DELETE' THEN RETURN OLD; END IF; RETURN NEW;"
        return [
            f"CREATE OR REPLACE FUNCTION {function}() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN {body}{give_back} END $$",
            f"CREATE TRIGGER {name}_insert BEFORE INSERT ON {self.table} {ask.format('')}",
            f"CREATE TRIGGER {name}_update BEFORE UPDATE ON {self.table} {ask.format(when)}",
            f"CREATE TRIGGER {name}_delete BEFORE DELETE ON {self.table} {ask.format('')}",
        ]


class Thawed(Frozen):
    """Take away the triggers of a table that is about to get others; nothing comes back when it is undone."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        self._drop(schema_editor)

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        """The guards that stood before are made by the migration that made them."""

    def describe(self) -> str:
        return f"Let rows of {self.table} change while its guards are made anew"


@contextmanager
def lifted(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """Take the house's triggers away for a while. For test teardown and for restoring a backup, nowhere else."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT DISTINCT c.relname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid WHERE t.tgname LIKE 'house\\_%'"
            )
            tables = [row[0] for row in cursor.fetchall()]
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
