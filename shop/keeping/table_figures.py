"""What the database's planner knows of the tables: without figures it takes a table of a million rows for one of a few."""

from __future__ import annotations

from django.db import connection

LOOKED_AT = 1000
"""Rows that are looked at for each index (SQLite's documentation of PRAGMA analysis_limit)."""


def inform_the_planner() -> None:
    """Bring the planner's figures up to date where they are wanting; milliseconds. A PostgreSQL server does so by itself.

    SQLite has none before it is asked once; then it sees itself which tables have changed much (PRAGMA optimize).
    """
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute(f"PRAGMA analysis_limit={LOOKED_AT}")
        cursor.execute("SELECT 1 FROM sqlite_master WHERE name = 'sqlite_stat1'")
        cursor.execute("PRAGMA optimize" if cursor.fetchone() else "ANALYZE")
