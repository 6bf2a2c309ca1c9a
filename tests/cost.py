"""What a page asks of the database, counted and not timed: the same on every machine, however busy it is.

On SQLite the steps of its virtual machine, on PostgreSQL the rows that the statements' plans read (`EXPLAIN (ANALYZE)`), with
walks through whole tables switched off where an index could serve, because a table of some thousand rows is walked for its
smallness alone.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.db import connection
from django.test import Client

STEPS = 20
"""Of SQLite's machine, between two counts."""


@dataclass(slots=True)
class Cost:
    """What was counted in all, and by statement, values left out."""

    total: int = 0
    by_statement: dict[str, int] = field(default_factory=dict)

    def add(self, sql: str, count: int) -> None:
        """Count what one statement cost."""
        self.total += count
        plain = re.sub(r"\s+", " ", sql)
        self.by_statement[plain] = self.by_statement.get(plain, 0) + count

    def beyond(self, other: Cost, *, times: float, more: int) -> dict[str, tuple[int, int]]:
        """The statements that cost more here than there, by so many times and so much."""
        return {
            re.sub(r"^SELECT .*? FROM ", "SELECT … FROM ", sql): (other.by_statement.get(sql, 0), count)
            for sql, count in self.by_statement.items()
            if count > other.by_statement.get(sql, 0) * times + more
        }


def cost_of(client: Client, address: str, *, warm: bool = True) -> Cost:
    """Open the page and count; before that once to warm what is kept in the program."""
    if warm:
        client.get(address)
    cost = Cost()
    with _counting(cost):
        answer = client.get(address)
        if answer.streaming:
            b"".join(answer)
    assert answer.status_code in {200, 302}, (address, answer.status_code)
    return cost


@contextmanager
def _counting(cost: Cost) -> Iterator[None]:
    counted = _on_sqlite(cost) if connection.vendor == "sqlite" else _on_postgresql(cost)
    with counted:
        yield


@contextmanager
def _on_sqlite(cost: Cost) -> Iterator[None]:
    connection.ensure_connection()
    steps = 0

    def step() -> int:
        nonlocal steps
        steps += 1
        return 0

    def run(execute: Any, sql: str, parameters: Any, many: bool, context: Any) -> Any:
        nonlocal steps
        steps = 0
        connection.connection.set_progress_handler(step, STEPS)
        try:
            # Django reads rows as they are asked for: the whole answer is counted by asking once more, in one piece
            if sql.lstrip().upper().startswith(("SELECT", "WITH")):
                connection.connection.execute(*_for_sqlite(sql, parameters)).fetchall()
            cost.add(sql, steps * STEPS)
        finally:
            connection.connection.set_progress_handler(None, 0)
        return execute(sql, parameters, many, context)

    with connection.execute_wrapper(run):
        yield


def _for_sqlite(sql: str, parameters: Any) -> tuple[str, Any]:
    given = tuple(
        connection.ops.adapt_unknown_value(one) if hasattr(one, "tzinfo") else one for one in parameters or ()
    )
    return (sql.replace("%s", "?").replace("%%", "%"), given) if parameters else (sql, ())


@contextmanager
def _on_postgresql(cost: Cost) -> Iterator[None]:
    def run(execute: Any, sql: str, parameters: Any, many: bool, context: Any) -> Any:
        if sql.lstrip("( ").upper().startswith(("SELECT", "WITH")) and "FOR UPDATE" not in sql:
            raw = connection.connection.cursor()
            raw.execute("SET LOCAL enable_seqscan = off")
            raw.execute(f"EXPLAIN (ANALYZE, TIMING OFF, SUMMARY OFF, FORMAT JSON) {sql}", parameters)
            told = raw.fetchone()[0]
            cost.add(sql, _read((json.loads(told) if isinstance(told, str) else told)[0]["Plan"]))
        return execute(sql, parameters, many, context)

    with connection.execute_wrapper(run):
        yield


def _read(plan: dict[str, Any]) -> int:
    """How many rows the scans of a plan looked at."""
    looked = 0.0
    if "Scan" in plan["Node Type"]:
        looked = sum(
            plan.get(name, 0)
            for name in ("Actual Rows", "Rows Removed by Filter", "Rows Removed by Index Recheck")
        ) * plan.get("Actual Loops", 1)
    return int(looked) + sum(_read(part) for part in plan.get("Plans", []))
