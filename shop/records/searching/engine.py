"""What a database must be able to answer, and the two that do: SQLite with FTS5, PostgreSQL with tsvector.

Questions come as the handbook's `Asked`; words are stored and asked in the same folded form on both, so that both give the same
rows in the same order. The statements are written by hand, because each is measured against the bare query it stands for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Protocol, cast

from django.db import connection

from shop.handbook.words import Asked, AskedWord, fts5_query, tsquery
from shop.records.searching.rows import BETWEEN, token

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
        """The newest matches with all their words, each kind on lines of its own, newest first: for ranking."""

    def complaints(self, asked: Asked, limit: int) -> list[tuple[int, str, str]]:
        """The newest matches as (job id, complaint, findings), both as they are stored: for finding like jobs."""

    def units_with_serial(self, part: str, limit: int) -> list[int]:
        """The newest units whose folded serial number holds `part`, three signs or more."""


def _run(sql: str, arguments: Sequence[Any]) -> list[tuple[Any, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(sql, arguments)
        return list(cursor.fetchall())


def _parted(rows: Sequence[tuple[Any, ...]]) -> list[str]:
    """The one text that a database's concatenation answers with, taken apart."""
    return rows[0][0].split(" ") if rows[0][0] else []


def _complaint_and_findings(words: str) -> tuple[str, str]:
    _, complaint, findings, _ = words.split(BETWEEN, 3)
    return complaint, findings


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
        sql = f"SELECT w.id, w.words FROM {inner} f CROSS JOIN records_searchwords w ON w.id = f.rowid"  # noqa: S608
        return cast("list[tuple[int, str]]", _run(sql, [fts5_query(asked), limit]))

    def complaints(self, asked: Asked, limit: int) -> list[tuple[int, str, str]]:
        """See `Engine.complaints`."""
        inner = f"({self._match} ORDER BY rowid DESC LIMIT %s)"
        sql = (
            f"SELECT r.job_id, w.words FROM {inner} f "  # noqa: S608
            "CROSS JOIN records_searchrow r ON r.id = f.rowid CROSS JOIN records_searchwords w ON w.id = f.rowid"
        )
        found = _run(sql, [fts5_query(asked), limit])
        return [(job, *_complaint_and_findings(words)) for job, words in found]

    def units_with_serial(self, part: str, limit: int) -> list[int]:
        """See `Engine.units_with_serial`."""
        sql = "SELECT rowid FROM records_serial_fts WHERE records_serial_fts MATCH %s ORDER BY rowid DESC LIMIT %s"
        return [row[0] for row in _run(sql, [f'"{part}"', limit])]


class PostgreSQL:
    """A tsvector of the same words, cast and never parsed; the planner walks the ids or the GIN index."""

    def newest(self, asked: Asked, limit: int, *, before: int | None = None) -> list[int]:
        """See `Engine.newest`."""
        if not asked:
            sql = "SELECT id FROM records_searchrow WHERE id < %s ORDER BY id DESC LIMIT %s"
            return [row[0] for row in _run(sql, [before or _LATEST_ID, limit])]
        return [row[0] for row in _run(*_found(asked, limit, beyond=("<", before or _LATEST_ID)))]

    def oldest_after(self, asked: Asked, limit: int, *, after: int) -> list[int]:
        """See `Engine.oldest_after`."""
        if not asked:
            sql = "SELECT id FROM records_searchrow WHERE id > %s ORDER BY id LIMIT %s"
            return [row[0] for row in _run(sql, [after, limit])]
        return [row[0] for row in _run(*_found(asked, limit, beyond=(">", after)))]

    def facets(self, asked: Asked, limit: int) -> list[str]:
        """See `Engine.facets`."""
        if not asked:
            inner = "(SELECT facets FROM records_searchrow ORDER BY id DESC LIMIT %s) f"
            return _parted(_run(f"SELECT string_agg(facets, ' ') FROM {inner}", [limit]))  # noqa: S608
        inner, arguments = _found(asked, limit)
        sql = f"SELECT string_agg(r.facets, ' ') FROM ({inner}) f JOIN records_searchrow r ON r.id = f.id"  # noqa: S608
        return _parted(_run(sql, arguments))

    def forms(self, asked: Asked, limit: int) -> list[tuple[int, str]]:
        """See `Engine.forms`."""
        return cast("list[tuple[int, str]]", _run(*_found(asked, limit, columns="w.id, w.words")))

    def complaints(self, asked: Asked, limit: int) -> list[tuple[int, str, str]]:
        """See `Engine.complaints`."""
        columns = "w.id, r.job_id, w.words"
        found = _run(*_found(asked, limit, columns=columns, tables=_ROWS_AND_WORDS))
        return [(job, *_complaint_and_findings(words)) for _, job, words in found]

    def units_with_serial(self, part: str, limit: int) -> list[int]:
        """See `Engine.units_with_serial`."""
        sql = "SELECT unit_id FROM records_knownserial WHERE serial LIKE %s ORDER BY unit_id DESC LIMIT %s"
        return [row[0] for row in _run(sql, [f"%{part}%", limit])]


_ROWS_AND_WORDS = "records_searchrow r JOIN records_searchwords w ON w.id = r.id"


def _found(
    asked: Asked,
    limit: int,
    *,
    columns: str = "w.id",
    tables: str = "records_searchwords w",
    beyond: tuple[str, int] = ("<", _LATEST_ID),
) -> tuple[str, list[Any]]:
    """PostgreSQL's statement for the matches on one side of a row, the nearest first; the first of the columns is the id.

    A question for one model is asked as two: for the model's own jobs, which are walked by an index of theirs, and for the
    others that speak of it. In one, the planner walks through all jobs for it, which takes four times as long and more.
    """
    sign, edge = beyond
    way = "DESC" if sign == "<" else "ASC"

    def part(tables: str, condition: str, key: str, by: str) -> str:
        return (
            f"SELECT {columns} FROM {tables} WHERE {condition} AND {key} {sign} %s "  # noqa: S608
            f"ORDER BY {by} {way} LIMIT %s"
        )

    match = "w.vector @@ %s::tsquery"
    # The planner takes a unit's or a customer's token for as frequent as a word, and walks all ids in search of it;
    # no index is ordered by a sum.
    few = _is_of_few(asked)
    parted = None if few else _of_one_model(asked)
    if parted is None:
        return part(tables, match, "w.id", "w.id + 0" if few else "w.id"), [tsquery(asked), edge, limit]
    model, rest, elsewhere = parted
    condition = f"r.model_id = %s AND {match}" if rest else "r.model_id = %s"
    sql = part(_ROWS_AND_WORDS, condition, "r.id", "r.id")
    arguments = [model, *([tsquery(rest)] if rest else []), edge, limit]
    if elsewhere is None:
        return sql, arguments
    others = part(tables, match, "w.id", "w.id")
    spoken = f"{tsquery(elsewhere)} & !{token('m', model)}"
    return (
        f"SELECT * FROM (({sql}) UNION ALL ({others})) found ORDER BY 1 {way} LIMIT %s",  # noqa: S608
        [*arguments, spoken, edge, limit, limit],
    )


def _of_one_model(asked: Asked) -> tuple[int, Asked, Asked | None] | None:
    """A question that one word limits to one model: its id, what else is asked, and the question for jobs that speak of it.

    The last is None where the word can mean nothing but the model.
    """
    for at, word in enumerate(asked.words):
        models = [way for way in word.ways if way.words[0].startswith("m_")]
        if len(models) != 1:
            continue
        before, after = asked.words[:at], asked.words[at + 1 :]
        ways = tuple(way for way in word.ways if way is not models[0])
        spoken = replace(asked, words=(*before, AskedWord(word.typed, ways), *after)) if ways else None
        rest = replace(asked, words=(*before, *after))
        return int(models[0].words[0].removeprefix("m_")), rest, spoken
    return None


def _is_of_few(asked: Asked) -> bool:
    """Whether only the few jobs of some units or customers can match."""
    return any(way.words[0].startswith(("u_", "c_")) for word in asked.words for way in word.ways)


def engine() -> Engine:
    """The engine of the database that the shop lies in."""
    return PostgreSQL() if connection.vendor == "postgresql" else SQLite()
