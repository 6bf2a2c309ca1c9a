"""How the search's rows come into the database: one statement a row on SQLite, whole columns at once on PostgreSQL.

On SQLite nothing lies between a statement and its table, and the index follows by triggers. To PostgreSQL every statement is a
way there and back, and a row that comes by `COPY` costs both sides a quarter of one that comes by `INSERT`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager, nullcontext
from typing import Any, Protocol

from django.db import connection

from shop.handbook.words import stored_vector
from shop.records.searching.index_tables import BOUND, INDEXED, UNINDEXED, UNWATCHED, WATCHED
from shop.records.searching.rows import Row

# ruff: noqa: S608  (the names are constants of this module)

TABLES = ("records_searchwords", "records_searchtexts", "records_knownserial", "records_searchrow")
"""What hangs on the search's rows or stands beside them, then the rows themselves."""

INDEXES = ("records_fts", "records_serial_fts")

_ROW = ("id", "job_id", "model_id", "facets")
_WORDS = ("id", "words")
_SHOWN = ("id", "shown")

Counted = tuple[str, int, str]
"""A word, in how many jobs more it stands, and how it was written where it is new."""


class Store(Protocol):
    """One database's way to write what the search keeps."""

    def add(self, rows: Iterable[Row]) -> Sequence[Row]:
        """Write rows that were not there, with their words and texts; these rows."""

    def change_words(self, rows: Sequence[Row]) -> None:
        """Write the words of rows anew."""

    def keep_texts(self, rows: Sequence[Row]) -> None:
        """Write what is shown of rows, whether or not something stood there."""

    def keep_serials(self, serials: Sequence[tuple[int, str]]) -> None:
        """Write folded serial numbers by unit, each unit once, whether or not one stood there."""

    def count(self, more: Sequence[Counted], fewer: Sequence[tuple[str, int]]) -> None:
        """Add to the words' counts, and take away from those of words that are known."""

    def together(self) -> AbstractContextManager[object]:
        """Within, statements need not wait for each other's answers; what one of them refuses may be said at the end."""

    def clear(self) -> None:
        """Empty the search, before it is built anew."""

    def tidy(self) -> None:
        """Put in order some of what changing many rows left behind."""

    def complete(self) -> None:
        """Make whole what `clear` left for the end, after the rows of all jobs were added."""


def _insert(table: str, columns: Sequence[str]) -> str:
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(['%s'] * len(columns))})"


_KEEP_TEXT = f"{_insert('records_searchtexts', _SHOWN)} ON CONFLICT (id) DO UPDATE SET shown = excluded.shown"
_OR_ADD = "ON CONFLICT (word) DO UPDATE SET documents = records_term.documents + excluded.documents"
_OR_CHANGE = "ON CONFLICT (unit_id) DO UPDATE SET serial = excluded.serial"


def _row(row: Row) -> tuple[object, ...]:
    return (row.id, row.job_id, row.model_id, row.facets)


def _words(row: Row) -> tuple[object, ...]:
    return (row.id, row.words)


def _run_many(sql: str, arguments: Sequence[Sequence[Any]]) -> None:
    if arguments:
        with connection.cursor() as cursor:
            cursor.executemany(sql, arguments)


def _run_all(statements: Sequence[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


class SQLite:
    """Triggers keep both indexes."""

    def add(self, rows: Iterable[Row]) -> Sequence[Row]:
        """See `Store.add`."""
        added = list(rows)
        _run_many(_insert("records_searchrow", _ROW), [_row(row) for row in added])
        _run_many(_insert("records_searchwords", _WORDS), [_words(row) for row in added])
        self.keep_texts(added)
        return added

    def change_words(self, rows: Sequence[Row]) -> None:
        """See `Store.change_words`."""
        sql = "UPDATE records_searchwords SET words = %s WHERE id = %s"
        _run_many(sql, [(row.words, row.id) for row in rows])

    def keep_texts(self, rows: Sequence[Row]) -> None:
        """See `Store.keep_texts`."""
        _run_many(_KEEP_TEXT, [(row.id, row.shown) for row in rows])

    def keep_serials(self, serials: Sequence[tuple[int, str]]) -> None:
        """See `Store.keep_serials`."""
        _run_many(f"{_insert('records_knownserial', ('unit_id', 'serial'))} {_OR_CHANGE}", serials)

    def count(self, more: Sequence[Counted], fewer: Sequence[tuple[str, int]]) -> None:
        """See `Store.count`."""
        _run_many(f"{_insert('records_term', ('word', 'documents', 'written'))} {_OR_ADD}", more)
        sql = "UPDATE records_term SET documents = documents - %s WHERE word = %s"
        _run_many(sql, [(by, word) for word, by in fewer])

    def together(self) -> AbstractContextManager[object]:
        """See `Store.together`; no statement waits."""
        return nullcontext()

    def clear(self) -> None:
        """See `Store.clear`: the index is emptied at once, and left alone until all words are there."""
        _run_all(
            [
                *UNWATCHED,
                *(f"DELETE FROM {table}" for table in TABLES),
                *(f"INSERT INTO {index}({index}) VALUES ('delete-all')" for index in INDEXES),
            ]
        )

    def tidy(self) -> None:
        """See `Store.tidy`: FTS5 puts some pages of its trees together (its documentation, “The 'merge' Command”)."""
        _run_all([f"INSERT INTO {index}({index}, rank) VALUES ('merge', 50)" for index in INDEXES])

    def complete(self) -> None:
        """See `Store.complete`: read in one go, the index takes a third of the time, some four seconds for 100,000 jobs."""
        _run_all([*(f"INSERT INTO {index}({index}) VALUES ('rebuild')" for index in INDEXES), *WATCHED])


class PostgreSQL:
    """Many rows or one: columns travel whole."""

    def add(self, rows: Iterable[Row]) -> Sequence[Row]:
        """See `Store.add`. While one row is made here, the database reads the one before."""
        added: list[Row] = []
        _copy("records_searchwords", (*_WORDS, "vector"), map(_words_and_vector, _noted(rows, added)))
        _copy("records_searchrow", _ROW, map(_row, added))
        _copy("records_searchtexts", _SHOWN, [(row.id, row.shown) for row in added])
        return added

    def change_words(self, rows: Sequence[Row]) -> None:
        """See `Store.change_words`."""
        sql = "UPDATE records_searchwords SET words = %s, vector = %s::tsvector WHERE id = %s"
        _run_many(sql, [(row.words, stored_vector(row.tokens, *row.texts), row.id) for row in rows])

    def keep_texts(self, rows: Sequence[Row]) -> None:
        """See `Store.keep_texts`."""
        _run_many(_KEEP_TEXT, [(row.id, row.shown) for row in rows])

    def keep_serials(self, serials: Sequence[tuple[int, str]]) -> None:
        """See `Store.keep_serials`."""
        sql = f"INSERT INTO records_knownserial (unit_id, serial) SELECT * FROM unnest(%s::bigint[], %s::text[]) {_OR_CHANGE}"
        _run_columns(sql, serials)

    def count(self, more: Sequence[Counted], fewer: Sequence[tuple[str, int]]) -> None:
        """See `Store.count`."""
        added = "SELECT * FROM unnest(%s::text[], %s::int[], %s::text[])"
        _run_columns(f"INSERT INTO records_term (word, documents, written) {added} {_OR_ADD}", more)
        _run_columns(
            "UPDATE records_term SET documents = records_term.documents - less.by "
            "FROM unnest(%s::text[], %s::int[]) AS less (word, by) WHERE records_term.word = less.word",
            fewer,
        )

    @contextmanager
    def together(self) -> Iterator[None]:
        """See `Store.together`: libpq's pipeline, in which no `COPY` may stand."""
        with connection.wrap_database_errors, connection.connection.pipeline():
            yield

    def clear(self) -> None:
        """See `Store.clear`: indexes and foreign keys are dropped, and made in one go when all words are there."""
        _run_all(["SET CONSTRAINTS ALL IMMEDIATE", f"TRUNCATE {', '.join(TABLES)}", *UNINDEXED])
        _unbind()
        _run_all(["SET CONSTRAINTS ALL DEFERRED"])

    def tidy(self) -> None:
        """See `Store.tidy`; a PostgreSQL server does it by itself."""

    def complete(self) -> None:
        """See `Store.complete`; what the planner knows of the words is brought up to date as well."""
        _run_all(["SET CONSTRAINTS ALL IMMEDIATE", *INDEXED])
        _unbind()
        _run_all([*BOUND, f"ANALYZE {', '.join(TABLES)}, records_term", "SET CONSTRAINTS ALL DEFERRED"])


def _unbind() -> None:
    """Drop the foreign keys of the search's tables, whatever they are called."""
    tables = ", ".join(f"'{table}'::regclass" for table in TABLES)
    sql = f"SELECT conrelid::regclass::text, conname FROM pg_constraint WHERE contype = 'f' AND conrelid IN ({tables})"
    with connection.cursor() as cursor:
        cursor.execute(sql)
        named = cursor.fetchall()
    quote = connection.ops.quote_name
    _run_all([f"ALTER TABLE {table} DROP CONSTRAINT {quote(name)}" for table, name in named])


def _noted(rows: Iterable[Row], noted: list[Row]) -> Iterator[Row]:
    for row in rows:
        noted.append(row)
        yield row


def _words_and_vector(row: Row) -> tuple[object, ...]:
    return (*_words(row), stored_vector(row.tokens, *row.texts))


def _copy(table: str, columns: Sequence[str], rows: Iterable[tuple[object, ...]]) -> None:
    with (
        connection.cursor() as cursor,
        cursor.copy(f"COPY {table} ({', '.join(columns)}) FROM STDIN") as copy,
    ):
        for row in rows:
            copy.write_row(row)


def _run_columns(sql: str, rows: Sequence[Sequence[object]]) -> None:
    """Run a statement that takes each column of the rows as one array."""
    if rows:
        with connection.cursor() as cursor:
            cursor.execute(sql, [list(column) for column in zip(*rows, strict=True)])


def store() -> Store:
    """The store of the database that the shop lies in."""
    return PostgreSQL() if connection.vendor == "postgresql" else SQLite()
