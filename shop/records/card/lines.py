"""Written lines of every kind that are shown alike, in one query: findings, conclusions, what was temporarily installed, …"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Case, CharField, F, Model, QuerySet, Value, When

from shop.bench.models import (
    Conclusion,
    FailureMode,
    Finding,
    LeftOff,
    Overruled,
    SafetyWaiver,
    Temporary,
    Ticked,
)
from shop.counter.models import Job
from shop.counter.stages import Outcome


@dataclass(frozen=True, slots=True)
class Line:
    """One written line of any kind: a finding, a waiver, a suggestion overruled, a conclusion."""

    kind: str
    pk: int
    at: dt.datetime
    who: str
    struck_at: dt.datetime | None
    struck_reason: str
    text: str
    more: tuple[str, str, str, str]

    @property
    def mode(self) -> str:
        """How it failed, in words: of a conclusion."""
        return FailureMode(self.more[1]).label if self.more[1] else ""

    @property
    def outcome(self) -> str:
        """How the job ended, in words: of a conclusion."""
        return Outcome(self.more[3]).label if self.more[3] else ""


_KINDS: tuple[tuple[str, type[Model], str, tuple[str, str, str, str]], ...] = (
    ("finding", Finding, "text", ("", "", "", "")),
    ("conclusion", Conclusion, "failed", ("position", "mode", "remedy", "outcome")),
    ("waiver", SafetyWaiver, "reason", ("", "", "", "")),
    ("overruled", Overruled, "reason", ("rule", "", "", "")),
    ("temporary", Temporary, "what", ("where", "back", "", "")),
    ("left_off", LeftOff, "text", ("", "", "", "")),
    ("ticked", Ticked, "step", ("checklist", "left_out", "", "")),
)
"""What it is called, its table, the column of its text, and the columns of what else it says."""


_BACK = Case(When(back_at__isnull=False, then=Value("put back")), default=Value(""), output_field=CharField())
"""Whether what was temporarily installed is put back, as a word."""


def lines_of(job: Job) -> list[Line]:
    """The lines of a job in the order of writing."""
    first, *rest = [_rows_of(job, *kind) for kind in _KINDS]
    return [_line(row) for row in first.union(*rest, all=True).order_by("at", "pk_of")]


def _rows_of(job: Job, kind: str, table: type[Model], text: str, more: Sequence[str]) -> QuerySet[Any, Any]:
    blank = Value("", output_field=CharField())
    columns: dict[str, Any] = {"": blank, "back": _BACK}
    written = table._default_manager.filter(job=job).annotate(
        kind_of=Value(kind, output_field=CharField()),
        pk_of=F("id"),
        said=F(text),
        first=F("by__first_name"),
        last=F("by__last_name"),
        user=F("by__username"),
        **{f"more_{at}": columns.get(name, F(name)) for at, name in enumerate(more)},
    )
    rows: QuerySet[Any, Any] = written.order_by().values_list(
        *("kind_of", "pk_of", "at", "first", "last", "user", "struck_at", "struck_reason"),
        *("said", "more_0", "more_1", "more_2", "more_3"),
    )
    return rows


def _line(row: Sequence[Any]) -> Line:
    kind, pk, at, first, last, user, struck_at, struck_reason, said, *more = row
    who = f"{first or ''} {last or ''}".strip() or user or ""
    return Line(kind, pk, at, who, struck_at, struck_reason, said, (more[0], more[1], more[2], more[3]))
