"""What a database must be able to answer, and the two that do: SQLite with FTS5, PostgreSQL with tsvector.

Questions come as the handbook's `Asked`; words are stored and asked in the same folded form on both, so that both give the same
rows in the same order. The statements are written by hand, because each is measured against the bare query it stands for.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Protocol, cast

from django.db import connection

from shop.handbook.words import Asked, fts5_query, stored_vector, tsquery
from shop.records.searching.index_tables import COLUMNS, INDEXED, UNINDEXED, UNWATCHED, WATCHED
from shop.records.searching.rows import Row

_TEXTS = ", ".join(f"w.{name}" for name in COLUMNS)
_LATEST_ID = 1 << 62


class Engine(Protocol):
    """One database's way to answer."""

    def newest(self, asked: Asked, limit: int, *, before: int | None = None) -> list[int]:
        """Ids of the newest rows that match, before the row with the id `before` if given."""

    def oldest_after(self, asked: Asked, limit: int, *, after: int) -> list[int]:
        """Ids of the rows that match and come next after the row `after`, oldest first."""

    def facets(self, asked: Asked, limit: int) -> list[str]:
        """What the filters count by of each of the newest matches, in any order: as many as there are, up to `limit`."""

    def forms(self, asked: Asked, limit: int) -> list[tuple[int, str]]:
        """The newest matches with all their words, lines broken between columns, newest first: for ranking."""

    def complaints(self, asked: Asked, limit: int) -> list[tuple[int, str, str]]:
        """The newest matches as (job id, complaint, findings), both as they are stored: for finding like jobs."""

    def units_with_serial(self, part: str, limit: int) -> list[int]:
        """The newest units whose folded serial number holds `part`, three signs or more."""

    def put_words(self, rows: Iterable[Row]) -> None:
        """Write the words of rows that have none yet."""

    def change_words(self, rows: Iterable[Row]) -> None:
        """Write the words of rows anew."""

    def clear(self) -> None:
        """Empty the index and its words, before they are built anew."""

    def complete(self) -> None:
        """Make whole what `clear` left for the end, after the words of all jobs were put in."""


def _run(sql: str, arguments: Sequence[Any]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, arguments)
        return list(cursor.fetchall())


def _run_many(sql: str, arguments: Sequence[Sequence[Any]]) -> None:
    if arguments:
        with connection.cursor() as cursor:
            cursor.executemany(sql, arguments)


def _parted(rows: Sequence[tuple[Any, ...]]) -> list[str]:
    """The one text that a database's concatenation answers with, taken apart."""
    return rows[0][0].split(" ") if rows[0][0] else []


def _forms(rows: Sequence[tuple[Any, ...]]) -> list[tuple[int, str]]:
    """Ids with their columns as one text: joined here, because SQLite takes as long to join as to find them."""
    return [(row, "\n".join(texts)) for row, *texts in rows]


TABLES = ("records_searchwords", "records_searchtexts", "records_knownserial")
"""What hangs on the search's rows or stands beside them."""

INDEXES = ("records_fts", "records_serial_fts")


class SQLite:
    """FTS5: matches come in the order of their ids by themselves, so the newest end the search early."""

    _match = "SELECT rowid FROM records_fts WHERE records_fts MATCH %s"

    def newest(self, asked: Asked, limit: int, *, before: int | None = None) -> list[int]:
        """See `Engine.newest`."""
        if not asked:
            sql = "SELECT id FROM records_searchrow WHERE id < %s ORDER BY id DESC LIMIT %s"
            return [row[0] for row in _run(sql, [before or _LATEST_ID, limit])]
        sql = f"{self._match} AND rowid < %s ORDER BY rowid DESC LIMIT %s"
        return [row[0] for row in _run(sql, [fts5_query(asked), before or _LATEST_ID, limit])]

    def oldest_after(self, asked: Asked, limit: int, *, after: int) -> list[int]:
        """See `Engine.oldest_after`."""
        if not asked:
            sql = "SELECT id FROM records_searchrow WHERE id > %s ORDER BY id LIMIT %s"
            return [row[0] for row in _run(sql, [after, limit])]
        sql = f"{self._match} AND rowid > %s ORDER BY rowid LIMIT %s"
        return [row[0] for row in _run(sql, [fts5_query(asked), after, limit])]

    def facets(self, asked: Asked, limit: int) -> list[str]:
        """See `Engine.facets`."""
        if not asked:
            inner = "(SELECT facets FROM records_searchrow ORDER BY id DESC LIMIT %s)"
            return _parted(_run(f"SELECT group_concat(facets, ' ') FROM {inner}", [limit]))  # noqa: S608
        inner = f"({self._match} ORDER BY rowid DESC LIMIT %s)"
        sql = (
            f"SELECT group_concat(r.facets, ' ') FROM {inner} f "  # noqa: S608
            "CROSS JOIN records_searchrow r ON r.id = f.rowid"
        )
        return _parted(_run(sql, [fts5_query(asked), limit]))

    def forms(self, asked: Asked, limit: int) -> list[tuple[int, str]]:
        """See `Engine.forms`."""
        inner = f"({self._match} ORDER BY rowid DESC LIMIT %s)"
        sql = f"SELECT w.id, {_TEXTS} FROM {inner} f CROSS JOIN records_searchwords w ON w.id = f.rowid"  # noqa: S608
        return _forms(_run(sql, [fts5_query(asked), limit]))

    def complaints(self, asked: Asked, limit: int) -> list[tuple[int, str, str]]:
        """See `Engine.complaints`."""
        inner = f"({self._match} ORDER BY rowid DESC LIMIT %s)"
        sql = (
            f"SELECT r.job_id, w.complaint, w.findings FROM {inner} f "  # noqa: S608
            "CROSS JOIN records_searchrow r ON r.id = f.rowid CROSS JOIN records_searchwords w ON w.id = f.rowid"
        )
        return cast("list[tuple[int, str, str]]", _run(sql, [fts5_query(asked), limit]))

    def units_with_serial(self, part: str, limit: int) -> list[int]:
        """See `Engine.units_with_serial`."""
        sql = "SELECT rowid FROM records_serial_fts WHERE records_serial_fts MATCH %s ORDER BY rowid DESC LIMIT %s"
        return [row[0] for row in _run(sql, [f'"{part}"', limit])]

    def put_words(self, rows: Iterable[Row]) -> None:
        """See `Engine.put_words`; triggers keep the index."""
        marks = ", ".join(["%s"] * (len(COLUMNS) + 1))
        sql = f"INSERT INTO records_searchwords (id, {', '.join(COLUMNS)}) VALUES ({marks})"  # noqa: S608
        _run_many(sql, [(row.id, row.tokens, *row.texts) for row in rows])

    def change_words(self, rows: Iterable[Row]) -> None:
        """See `Engine.change_words`; triggers keep the index."""
        changes = ", ".join(f"{name} = %s" for name in COLUMNS)
        sql = f"UPDATE records_searchwords SET {changes} WHERE id = %s"  # noqa: S608
        _run_many(sql, [(row.tokens, *row.texts, row.id) for row in rows])

    def clear(self) -> None:
        """See `Engine.clear`: the index is emptied at once, and left alone until all words are there."""
        with connection.cursor() as cursor:
            for statement in UNWATCHED:
                cursor.execute(statement)
            for table in (*TABLES, "records_searchrow"):
                cursor.execute(f"DELETE FROM {table}")  # noqa: S608
            for index in INDEXES:
                cursor.execute(f"INSERT INTO {index}({index}) VALUES ('delete-all')")  # noqa: S608

    def complete(self) -> None:
        """See `Engine.complete`: read in one go, the index takes a third of the time, some four seconds for 100,000 jobs."""
        with connection.cursor() as cursor:
            for index in INDEXES:
                cursor.execute(f"INSERT INTO {index}({index}) VALUES ('rebuild')")  # noqa: S608
            for statement in WATCHED:
                cursor.execute(statement)


class PostgreSQL:
    """A tsvector of the same words, cast and never parsed; the planner walks the ids or the GIN index."""

    _match = "SELECT id FROM records_searchwords WHERE vector @@ %s::tsquery"

    def newest(self, asked: Asked, limit: int, *, before: int | None = None) -> list[int]:
        """See `Engine.newest`."""
        if not asked:
            sql = "SELECT id FROM records_searchrow WHERE id < %s ORDER BY id DESC LIMIT %s"
            return [row[0] for row in _run(sql, [before or _LATEST_ID, limit])]
        sql = f"{self._match} AND id < %s ORDER BY {_by_id(asked)} DESC LIMIT %s"
        return [row[0] for row in _run(sql, [tsquery(asked), before or _LATEST_ID, limit])]

    def oldest_after(self, asked: Asked, limit: int, *, after: int) -> list[int]:
        """See `Engine.oldest_after`."""
        if not asked:
            sql = "SELECT id FROM records_searchrow WHERE id > %s ORDER BY id LIMIT %s"
            return [row[0] for row in _run(sql, [after, limit])]
        sql = f"{self._match} AND id > %s ORDER BY {_by_id(asked)} LIMIT %s"
        return [row[0] for row in _run(sql, [tsquery(asked), after, limit])]

    def facets(self, asked: Asked, limit: int) -> list[str]:
        """See `Engine.facets`."""
        if not asked:
            inner = "(SELECT facets FROM records_searchrow ORDER BY id DESC LIMIT %s) f"
            return _parted(_run(f"SELECT string_agg(facets, ' ') FROM {inner}", [limit]))  # noqa: S608
        inner = f"({self._match} ORDER BY {_by_id(asked)} DESC LIMIT %s)"
        sql = f"SELECT string_agg(r.facets, ' ') FROM {inner} f JOIN records_searchrow r ON r.id = f.id"  # noqa: S608
        return _parted(_run(sql, [tsquery(asked), limit]))

    def forms(self, asked: Asked, limit: int) -> list[tuple[int, str]]:
        """See `Engine.forms`."""
        sql = (
            f"SELECT id, {', '.join(COLUMNS)} FROM records_searchwords "  # noqa: S608
            f"WHERE vector @@ %s::tsquery ORDER BY {_by_id(asked)} DESC LIMIT %s"
        )
        return _forms(_run(sql, [tsquery(asked), limit]))

    def complaints(self, asked: Asked, limit: int) -> list[tuple[int, str, str]]:
        """See `Engine.complaints`."""
        sql = (
            "SELECT r.job_id, w.complaint, w.findings FROM records_searchwords w "
            "JOIN records_searchrow r ON r.id = w.id WHERE w.vector @@ %s::tsquery ORDER BY w.id DESC LIMIT %s"
        )
        return cast("list[tuple[int, str, str]]", _run(sql, [tsquery(asked), limit]))

    def units_with_serial(self, part: str, limit: int) -> list[int]:
        """See `Engine.units_with_serial`."""
        sql = "SELECT unit_id FROM records_knownserial WHERE serial LIKE %s ORDER BY unit_id DESC LIMIT %s"
        return [row[0] for row in _run(sql, [f"%{part}%", limit])]

    def put_words(self, rows: Iterable[Row]) -> None:
        """See `Engine.put_words`."""
        marks = ", ".join(["%s"] * (len(COLUMNS) + 1))
        sql = (
            f"INSERT INTO records_searchwords (id, {', '.join(COLUMNS)}, vector) "  # noqa: S608
            f"VALUES ({marks}, %s::tsvector)"
        )
        _run_many(sql, [(row.id, row.tokens, *row.texts, _vector(row)) for row in rows])

    def change_words(self, rows: Iterable[Row]) -> None:
        """See `Engine.change_words`."""
        changes = ", ".join(f"{name} = %s" for name in COLUMNS)
        sql = f"UPDATE records_searchwords SET {changes}, vector = %s::tsvector WHERE id = %s"  # noqa: S608
        _run_many(sql, [(row.tokens, *row.texts, _vector(row), row.id) for row in rows])

    def clear(self) -> None:
        """See `Engine.clear`: the indexes are dropped, and made in one go when all words are there."""
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute(f"TRUNCATE {', '.join(TABLES)}, records_searchrow")
            for statement in UNINDEXED:
                cursor.execute(statement)
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")

    def complete(self) -> None:
        """See `Engine.complete`; what the planner knows of the words is brought up to date as well."""
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for statement in INDEXED:
                cursor.execute(statement)
            cursor.execute(f"ANALYZE {', '.join(TABLES)}, records_searchrow, records_term")
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")


def _by_id(asked: Asked) -> str:
    """What PostgreSQL orders by: the id, or where few jobs can match a sum, which no index is ordered by.

    The planner takes a unit's or a customer's token for as frequent as a word, and walks all ids in search of it.
    """
    few = any(way.words[0].startswith(("u_", "c_")) for word in asked.words for way in word.ways)
    return "id + 0" if few else "id"


def _vector(row: Row) -> str:
    return stored_vector(row.tokens, *row.texts)


def engine() -> Engine:
    """The engine of the database that the shop lies in."""
    return PostgreSQL() if connection.vendor == "postgresql" else SQLite()
