"""Lists of jobs, fifty a page by key: all of them newest first, or one mover's by how long they have waited."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame.formwork import whole_number
from shop.frame.sorting import MOST
from shop.frame.whose_move import WhoseMove
from shop.handbook.words import Asked, AskedWord, Way
from shop.records.first_screen import of_mover
from shop.records.models import SearchRow
from shop.records.searching.engine import engine
from shop.records.searching.question import Filters

PAGE = 50

COLUMNS: dict[str, Callable[[Job], Any]] = {
    "job": lambda job: job.number,
    "unit": lambda job: str(job.unit.model),
    "customer": lambda job: job.customer.name,
    "complaint": lambda job: job.complaint,
    "stage": lambda job: list(Stage).index(Stage(job.stage)),
    "came": lambda job: job.booked_in_at or job.announced_at,
    "waits": lambda job: job.stage_since,
    "promised": lambda job: job.promised_for,
}
"""How a job stands in each column of a list."""


@dataclass(frozen=True, slots=True)
class JobPage:
    """One page of a list, and the keys of its neighbours: query strings, empty where there is none."""

    jobs: list[Job]
    newer: str = ""
    older: str = ""


def asked_by(filters: Filters) -> Asked:
    """The question that only filters ask."""
    return Asked(tuple(AskedWord("", (Way((one,)),)) for one in filters.tokens()))


def newest_jobs(filters: Filters, *, before: int | None = None, after: int | None = None) -> JobPage:
    """A page of jobs in date order, the newest first."""
    asked = asked_by(filters)
    if after is not None:
        found = engine().oldest_after(asked, PAGE + 1, after=after)
        rows = found[:PAGE][::-1]
        newer, older = len(found) > PAGE, bool(rows)
    else:
        found = engine().newest(asked, PAGE + 1, before=before)
        rows = found[:PAGE]
        newer, older = before is not None and bool(rows), len(found) > PAGE
    return JobPage(
        _in_order(rows),
        f"after={rows[0]}" if newer else "",
        f"before={rows[-1]}" if older else "",
    )


def jobs_to_sort(filters: Filters, mover: str) -> list[Job]:
    """The jobs that a list in another order shows: one mover's, the longest waiting, or the newest of all."""
    if mover:
        return list(of_mover(WhoseMove(mover))[:MOST])
    return _in_order(engine().newest(asked_by(filters), MOST))


def waiting_jobs(mover: str, *, from_key: str = "") -> JobPage:
    """A page of open jobs that are this mover's move, the longest waiting first."""
    jobs = of_mover(WhoseMove(mover))
    if key := _waiting_key(from_key):
        since, pk = key
        jobs = jobs.filter(Q(stage_since__gt=since) | Q(stage_since=since, pk__gt=pk))
    found = list(jobs[: PAGE + 1])
    last = found[PAGE - 1] if len(found) > PAGE else None
    return JobPage(
        found[:PAGE], older=f"from={int(last.stage_since.timestamp() * 10**6)}.{last.pk}" if last else ""
    )


def _waiting_key(typed: str) -> tuple[dt.datetime, int] | None:
    micro, _, pk = typed.partition(".")
    moment, after = whole_number(micro), whole_number(pk)
    if moment is None or after is None:
        return None
    try:
        since = dt.datetime.fromtimestamp(0, dt.UTC) + dt.timedelta(microseconds=moment)
    except OverflowError:
        return None
    return since, after


def _in_order(rows: list[int]) -> list[Job]:
    """The jobs of these search rows in their order, with what a list line shows; two queries."""
    of_row = dict(SearchRow.objects.filter(pk__in=rows).values_list("pk", "job_id"))
    found = whole_lines().in_bulk(list(of_row.values()))
    return [found[of_row[row]] for row in rows if of_row.get(row) in found]


def whole_lines() -> QuerySet[Job]:
    """Jobs with what a line of a list shows."""
    return Job.objects.select_related("customer", "unit__model__maker")


def all_jobs(filters: Filters) -> Iterator[Job]:
    """Every job of a list, oldest first: a file that is brought in again has its jobs in the order in which they came."""
    asked, after = asked_by(filters), 0
    while rows := engine().oldest_after(asked, 1000, after=after):
        yield from _in_order(rows)
        after = rows[-1]


def all_found(asked: Asked) -> Iterator[Job]:
    """Every job that matches, newest first, read a thousand at a time."""
    before = None
    while rows := engine().newest(asked, 1000, before=before):
        yield from _in_order(rows)
        before = rows[-1]
