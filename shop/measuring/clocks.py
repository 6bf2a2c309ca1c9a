"""How times are taken: each call by itself, after one untimed round, median and 95th percentile by nearest rank."""

from __future__ import annotations

import os
import platform
import sqlite3
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from shop.handbook.counting import percentile

T = TypeVar("T")
CLOCKS: dict[str, Callable[[], float]] = {"wall": time.perf_counter, "cpu": time.process_time}
"""`wall` is what a person waits; `cpu` is what the process itself used, for a machine that others work on as well."""

ROUNDS = 3
LONGEST_SECONDS = 20.0


@dataclass(frozen=True, slots=True)
class Times:
    """Milliseconds of many calls."""

    median: float
    p95: float
    most: float
    calls: int

    def plain(self) -> dict[str, float]:
        """For JSON, in milliseconds with three decimals."""
        return {
            "median_ms": round(self.median, 3),
            "p95_ms": round(self.p95, 3),
            "max_ms": round(self.most, 3),
            "calls": self.calls,
        }


def timed(
    call: Callable[[T], object], arguments: Sequence[T], *, clock: str = "wall", rounds: int = ROUNDS
) -> Times:
    """Time `call` for each argument, `rounds` times over; a round is broken off after twenty seconds in all."""
    now = CLOCKS[clock]
    begun = time.perf_counter()
    for argument in arguments:
        call(argument)
        if time.perf_counter() - begun > LONGEST_SECONDS / 2:
            break
    spent: list[float] = []
    begun = time.perf_counter()
    for _ in range(rounds):
        for argument in arguments:
            start = now()
            call(argument)
            spent.append((now() - start) * 1000)
            if time.perf_counter() - begun > LONGEST_SECONDS:
                return times_of(spent)
    return times_of(spent)


def side_by_side(
    calls: Mapping[str, tuple[Callable[[Any], Any], Sequence[Any]]],
    *,
    clock: str = "wall",
    rounds: int = ROUNDS,
) -> dict[str, Times]:
    """Time several calls by turns, one argument of each after the other, so that a busy moment falls on all of them alike.

    Each call has had all its arguments once before. Broken off, after a whole turn, when twenty seconds for each call are over.
    """
    now = CLOCKS[clock]
    spent: dict[str, list[float]] = {name: [] for name in calls}
    for call, arguments in calls.values():
        for argument in arguments:
            call(argument)
    begun, turns = time.perf_counter(), rounds * max(len(arguments) for _, arguments in calls.values())
    for turn in range(turns):
        for name, (call, arguments) in calls.items():
            start = now()
            call(arguments[turn % len(arguments)])
            spent[name].append((now() - start) * 1000)
        if time.perf_counter() - begun > LONGEST_SECONDS * len(calls):
            break
    return {name: times_of(found) for name, found in spent.items()}


def times_of(spent: Sequence[float]) -> Times:
    """Median and 95th percentile of milliseconds taken."""
    return Times(percentile(spent, 0.5), percentile(spent, 0.95), max(spent), len(spent))


def machine() -> dict[str, object]:
    """Where the figures were taken."""
    return {
        "system": platform.platform(),
        "processor": platform.machine(),
        "python": sys.version.split()[0],
        "processors": os.cpu_count(),
        "sqlite": sqlite3.sqlite_version,
        "load": [round(load, 1) for load in os.getloadavg()] if hasattr(os, "getloadavg") else [],
    }
