"""The full-text index beside the search words, made by migrations: FTS5 on SQLite, tsvector and trigrams on PostgreSQL.

SQLite: an FTS5 table reads its words from `records_searchwords` and is kept by triggers on it, inside the same transaction. Only
three-letter beginnings have an index of their own; longer ones are answered through the table of terms. `columnsize=0`: ranking
is done by the handbook, not by FTS5. Whoever makes a migration that re-makes one of the two tables on SQLite repeats the
operation at its end, because the triggers go with the old table.

PostgreSQL: a column `vector` of type tsvector that the upkeep writes (cast, never parsed), with a GIN index.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.migrations.operations.base import Operation

COLUMNS = ("words",)

COLUMNS_APART = ("tokens", "complaint", "findings", "conclusion", "parts", "marks")
"""How the words stood until they were put together into one: for the migrations of that time."""

# ruff: noqa: S608  (the names are constants of this module)


def _watched(columns: Sequence[str]) -> list[str]:
    names = ", ".join(columns)
    new = ", ".join(f"new.{name}" for name in columns)
    old = ", ".join(f"old.{name}" for name in columns)
    return [
        f"""CREATE TRIGGER IF NOT EXISTS records_words_added AFTER INSERT ON records_searchwords BEGIN
            INSERT INTO records_fts(rowid, {names}) VALUES (new.id, {new}); END""",
        f"""CREATE TRIGGER IF NOT EXISTS records_words_gone AFTER DELETE ON records_searchwords BEGIN
            INSERT INTO records_fts(records_fts, rowid, {names}) VALUES ('delete', old.id, {old}); END""",
        f"""CREATE TRIGGER IF NOT EXISTS records_words_changed AFTER UPDATE ON records_searchwords BEGIN
            INSERT INTO records_fts(records_fts, rowid, {names}) VALUES ('delete', old.id, {old});
            INSERT INTO records_fts(rowid, {names}) VALUES (new.id, {new}); END""",
        """CREATE TRIGGER IF NOT EXISTS records_serial_added AFTER INSERT ON records_knownserial BEGIN
            INSERT INTO records_serial_fts(rowid, serial) VALUES (new.unit_id, new.serial); END""",
        """CREATE TRIGGER IF NOT EXISTS records_serial_gone AFTER DELETE ON records_knownserial BEGIN
            INSERT INTO records_serial_fts(records_serial_fts, rowid, serial) VALUES ('delete', old.unit_id, old.serial); END""",
        """CREATE TRIGGER IF NOT EXISTS records_serial_changed AFTER UPDATE ON records_knownserial BEGIN
            INSERT INTO records_serial_fts(records_serial_fts, rowid, serial) VALUES ('delete', old.unit_id, old.serial);
            INSERT INTO records_serial_fts(rowid, serial) VALUES (new.unit_id, new.serial); END""",
    ]


WATCHED = _watched(COLUMNS)
"""On SQLite: triggers by which both indexes follow their tables, inside the same transaction."""

UNWATCHED = [
    f"DROP TRIGGER IF EXISTS records_{table}_{event}"
    for table in ("words", "serial")
    for event in ("added", "gone", "changed")
]


def _sqlite(columns: Sequence[str]) -> list[str]:
    return [
        f"""CREATE VIRTUAL TABLE IF NOT EXISTS records_fts USING fts5({", ".join(columns)}, content='records_searchwords',
            content_rowid='id', tokenize="ascii tokenchars '_'", prefix='3', columnsize=0)""",
        """CREATE VIRTUAL TABLE IF NOT EXISTS records_serial_fts USING fts5(serial, content='records_knownserial',
            content_rowid='unit_id', tokenize='trigram', columnsize=0)""",
        *_watched(columns),
    ]


_SQLITE_BACK = [
    *UNWATCHED,
    "DROP TABLE IF EXISTS records_fts",
    "DROP TABLE IF EXISTS records_serial_fts",
]

INDEXED = [
    "CREATE INDEX IF NOT EXISTS records_words_vector ON records_searchwords USING gin (vector)",
    "CREATE INDEX IF NOT EXISTS records_serial_trigrams ON records_knownserial USING gin (serial gin_trgm_ops)",
]
"""On PostgreSQL: both indexes."""

UNINDEXED = [f"DROP INDEX IF EXISTS {name}" for name in ("records_words_vector", "records_serial_trigrams")]

BOUND = [
    f"ALTER TABLE {table} ADD CONSTRAINT {table}_of_{parent} FOREIGN KEY ({column}) REFERENCES {parent} (id) "
    "DEFERRABLE INITIALLY DEFERRED"
    for table, column, parent in (
        ("records_searchrow", "job_id", "counter_job"),
        ("records_searchrow", "model_id", "counter_unitmodel"),
        ("records_searchwords", "id", "records_searchrow"),
        ("records_searchtexts", "id", "records_searchrow"),
        ("records_knownserial", "unit_id", "counter_unit"),
    )
]
"""On PostgreSQL: the foreign keys that Django's migrations make, each row of which is looked at by itself as it comes."""

# Words are compared by code, as SQLite compares them, so that a range of beginnings is the same on both.
_POSTGRESQL = [
    "CREATE EXTENSION IF NOT EXISTS pg_trgm",
    "ALTER TABLE records_searchwords ADD COLUMN IF NOT EXISTS vector tsvector NOT NULL DEFAULT ''",
    "ALTER TABLE records_searchwords ALTER COLUMN vector SET STATISTICS 1000",
    'ALTER TABLE records_term ALTER COLUMN word TYPE varchar(44) COLLATE "C"',
    *INDEXED,
]
_POSTGRESQL_BACK = [
    *UNINDEXED,
    "ALTER TABLE records_searchwords DROP COLUMN IF EXISTS vector",
]


class FullTextIndex(Operation):
    """Make the full-text index of the search words, or whatever of it is missing."""

    reversible = True
    reduces_to_sql = True

    def __init__(self, *columns: str) -> None:
        self.columns = columns or COLUMNS

    def state_forwards(self, app_label: str, state: Any) -> None:
        """The index is no part of Django's model state."""

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        self._make(schema_editor)

    def database_backwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        self._drop(schema_editor)

    def describe(self) -> str:
        return "Make the full-text index of the search words"

    def _make(self, schema_editor: Any) -> None:
        on_sqlite = schema_editor.connection.vendor == "sqlite"
        for statement in _sqlite(self.columns) if on_sqlite else _POSTGRESQL:
            schema_editor.execute(statement, params=None)

    def _drop(self, schema_editor: Any) -> None:
        on_sqlite = schema_editor.connection.vendor == "sqlite"
        for statement in _SQLITE_BACK if on_sqlite else _POSTGRESQL_BACK:
            schema_editor.execute(statement, params=None)
