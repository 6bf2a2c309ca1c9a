"""The full-text index beside the search words: FTS5 on SQLite, tsvector and trigrams on PostgreSQL.

It is made when migrations are done, with the guards.

SQLite: an FTS5 table reads its words from `records_searchwords` and is kept by triggers on it, inside the same transaction. Only
three-letter beginnings have an index of their own; longer ones are answered through the table of terms. `columnsize=0`: ranking
is done by the handbook, not by FTS5. SQLite makes a table anew for most changes, and its triggers go with
the old one; so they are lifted before migrations and made again after them, as the guards are.

PostgreSQL: a column `vector` of type tsvector that the upkeep writes (cast, never parsed), with a GIN index.
"""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

from shop.frame.guards import Beside

WATCHED = [
    """CREATE TRIGGER IF NOT EXISTS records_words_added AFTER INSERT ON records_searchwords BEGIN
            INSERT INTO records_fts(rowid, words) VALUES (new.id, new.words); END""",
    """CREATE TRIGGER IF NOT EXISTS records_words_gone AFTER DELETE ON records_searchwords BEGIN
            INSERT INTO records_fts(records_fts, rowid, words) VALUES ('delete', old.id, old.words); END""",
    """CREATE TRIGGER IF NOT EXISTS records_words_changed AFTER UPDATE ON records_searchwords BEGIN
            INSERT INTO records_fts(records_fts, rowid, words) VALUES ('delete', old.id, old.words);
            INSERT INTO records_fts(rowid, words) VALUES (new.id, new.words); END""",
    """CREATE TRIGGER IF NOT EXISTS records_serial_added AFTER INSERT ON records_knownserial BEGIN
            INSERT INTO records_serial_fts(rowid, serial) VALUES (new.unit_id, new.serial); END""",
    """CREATE TRIGGER IF NOT EXISTS records_serial_gone AFTER DELETE ON records_knownserial BEGIN
            INSERT INTO records_serial_fts(records_serial_fts, rowid, serial) VALUES ('delete', old.unit_id, old.serial); END""",
    """CREATE TRIGGER IF NOT EXISTS records_serial_changed AFTER UPDATE ON records_knownserial BEGIN
            INSERT INTO records_serial_fts(records_serial_fts, rowid, serial) VALUES ('delete', old.unit_id, old.serial);
            INSERT INTO records_serial_fts(rowid, serial) VALUES (new.unit_id, new.serial); END""",
]
"""On SQLite: triggers by which both indexes follow their tables, inside the same transaction."""

UNWATCHED = [
    f"DROP TRIGGER IF EXISTS records_{table}_{event}"
    for table in ("words", "serial")
    for event in ("added", "gone", "changed")
]


_SQLITE = [
    """CREATE VIRTUAL TABLE IF NOT EXISTS records_fts USING fts5(words, content='records_searchwords',
            content_rowid='id', tokenize="ascii tokenchars '_'", prefix='3', columnsize=0)""",
    """CREATE VIRTUAL TABLE IF NOT EXISTS records_serial_fts USING fts5(serial, content='records_knownserial',
            content_rowid='unit_id', tokenize='trigram', columnsize=0)""",
    *WATCHED,
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
]
_BY_CODE = ['ALTER TABLE records_term ALTER COLUMN word TYPE varchar(44) COLLATE "C"']
_SORTED_BY_CODE = (
    "SELECT 1 FROM information_schema.columns "
    "WHERE table_name = 'records_term' AND column_name = 'word' AND collation_name = 'C'"
)


def _make(connection: BaseDatabaseWrapper) -> None:
    """Make the full-text index, or whatever of it is missing."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            statements = _SQLITE
        else:
            cursor.execute(_SORTED_BY_CODE)
            statements = [*_POSTGRESQL, *([] if cursor.fetchone() else _BY_CODE), *INDEXED]
        for statement in statements:
            cursor.execute(statement)


def _lift(connection: BaseDatabaseWrapper) -> None:
    """Take away what would be in the way of a table that is made anew."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            for statement in UNWATCHED:
                cursor.execute(statement)


_PASSAGES = [
    """CREATE VIRTUAL TABLE IF NOT EXISTS records_passage_fts USING fts5(words, content='records_passage',
            content_rowid='id', tokenize="ascii tokenchars '_'", prefix='3', columnsize=0)""",
    """CREATE TRIGGER IF NOT EXISTS records_passage_added AFTER INSERT ON records_passage BEGIN
            INSERT INTO records_passage_fts(rowid, words) VALUES (new.id, new.words); END""",
    """CREATE TRIGGER IF NOT EXISTS records_passage_gone AFTER DELETE ON records_passage BEGIN
            INSERT INTO records_passage_fts(records_passage_fts, rowid, words) VALUES ('delete', old.id, old.words); END""",
]
_PASSAGES_GONE = [f"DROP TRIGGER IF EXISTS records_passage_{event}" for event in ("added", "gone")]
# Words alone, without their places: what stands side by side is looked for in what was found.
_PASSAGE_VECTORS = [
    """ALTER TABLE records_passage ADD COLUMN IF NOT EXISTS vector tsvector
            GENERATED ALWAYS AS (array_to_tsvector(array_remove(regexp_split_to_array(words, '[[:space:]]+'), ''))) STORED""",
    "CREATE INDEX IF NOT EXISTS records_passage_vector ON records_passage USING gin (vector)",
]


def _make_passages(connection: BaseDatabaseWrapper) -> None:
    with connection.cursor() as cursor:
        for statement in _PASSAGES if connection.vendor == "sqlite" else _PASSAGE_VECTORS:
            cursor.execute(statement)


def _lift_passages(connection: BaseDatabaseWrapper) -> None:
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            for statement in _PASSAGES_GONE:
                cursor.execute(statement)


PASSAGES = Beside("records_passage", _make_passages, _lift_passages)
"""The index of passages beside the jobs: their words never change, they come and go whole."""

FULL_TEXT = Beside("records_searchwords", _make, _lift)
