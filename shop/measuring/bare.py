"""The bare queries that the search is held against: plain tables and an FTS5 index of the same texts, nothing else.

Bundle A: the newest twenty with their row and a snippet, a count that stops at 1,001, the faults of the newest 1,000.
Bundle B: the best twenty of the newest 2,000 by FTS5's own bm25, the same count, the faults of the newest 10,000.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.db import connection

_TABLES = """
PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF; PRAGMA cache_size=-200000;
CREATE TABLE job(id INTEGER PRIMARY KEY, customer INT, maker TEXT, model TEXT, fault TEXT, came TEXT,
    complaint TEXT, findings TEXT, parts TEXT, token TEXT);
CREATE TABLE facet(id INTEGER PRIMARY KEY, fault INT, model INT);
CREATE VIRTUAL TABLE words USING fts5(complaint, findings, parts, token, content='job', content_rowid='id', prefix='3');
"""
_NEWEST = (
    "SELECT j.id, j.customer, j.maker, j.model, j.fault, j.came, snippet(words, 1, '<b>', '</b>', '..', 12) FROM words "
    "JOIN job j ON j.id = words.rowid WHERE words MATCH ? ORDER BY words.rowid DESC LIMIT 20"
)
_BEST = (
    "SELECT j.id, j.customer, j.maker, j.model, j.fault, j.came FROM (SELECT r FROM (SELECT rowid r, bm25(words) s "
    "FROM words WHERE words MATCH ? ORDER BY rowid DESC LIMIT 2000) ORDER BY s LIMIT 20) x JOIN job j ON j.id = x.r"
)
_COUNT = "SELECT count(*) FROM (SELECT 1 FROM words WHERE words MATCH ? LIMIT 1001)"
_FACET = (
    "SELECT x.fault, count(*) FROM (SELECT rowid r FROM words WHERE words MATCH ? ORDER BY rowid DESC LIMIT {}) f "
    "JOIN facet x ON x.id = f.r GROUP BY 1"
)

_SOURCE = """
SELECT j.id, j.customer_id, k.name, m.name, c.failed, j.booked_in_at, j.complaint, f.text || ' ' || c.failed || ' ' || c.remedy,
    (SELECT group_concat(p.description, ' ') FROM stockroom_partfitted p WHERE p.job_id = j.id), 'm' || m.id, m.id
FROM counter_job j JOIN counter_unit u ON u.id = j.unit_id JOIN counter_unitmodel m ON m.id = u.model_id
JOIN counter_maker k ON k.id = m.maker_id JOIN bench_finding f ON f.job_id = j.id JOIN bench_conclusion c ON c.job_id = j.id
ORDER BY j.id
"""


class Bare:
    """The plain tables in a file of their own."""

    def __init__(self, path: Path) -> None:
        self.connection = sqlite3.connect(path, isolation_level=None)
        self.connection.executescript("PRAGMA mmap_size=4294967296")

    @classmethod
    def build(cls, path: Path) -> Bare:
        """Copy the shop's texts and index them."""
        path.unlink(missing_ok=True)
        bare = cls(path)
        to = bare.connection
        to.executescript(_TABLES)
        faults: dict[str, int] = {}
        to.execute("BEGIN")
        for rows in _chunks():
            to.executemany("INSERT INTO job VALUES (?,?,?,?,?,?,?,?,?,?)", [row[:10] for row in rows])
            facets = [(row[0], faults.setdefault(row[4], len(faults)), row[10]) for row in rows]
            to.executemany("INSERT INTO facet VALUES (?,?,?)", facets)
        to.execute("INSERT INTO words(words) VALUES ('rebuild')")
        to.execute("INSERT INTO words(words) VALUES ('optimize')")
        to.execute("COMMIT")
        to.execute("ANALYZE")
        return bare

    def newest(self, match: str) -> None:
        """Bundle A."""
        for sql in (_NEWEST, _COUNT, _FACET.format(1000)):
            self.connection.execute(sql, (match,)).fetchall()

    def best(self, match: str) -> None:
        """Bundle B."""
        for sql in (_BEST, _COUNT, _FACET.format(10_000)):
            self.connection.execute(sql, (match,)).fetchall()


def _chunks() -> Iterator[list[tuple[Any, ...]]]:
    with connection.cursor() as cursor:
        cursor.execute(_SOURCE)
        while rows := cursor.fetchmany(5000):
            yield rows
