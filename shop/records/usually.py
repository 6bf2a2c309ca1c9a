"""One line for the counter while a complaint is typed: what it usually is, how long it took, what was charged.

It says nothing where it would rest on too little.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from shop.handbook.counting import percentile, wilson
from shop.office.models import InvoiceLine
from shop.records.model_files import bench_seconds
from shop.records.remedies import ENOUGH, Advice

LEAST_SHARE = 0.2
"""The lower end of the share of like jobs below which nothing is usual. Common practice, no source."""

LEAST_KNOWN = 3
"""From so many jobs on a median of hours or of sums is told. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Usual:
    """What most like jobs had, of how many; median bench time in seconds and median sum before tax, where enough tell."""

    what: str
    hits: int
    tries: int
    hours: int | None
    charged_minor: int | None
    currency: str


def usual_of(advice: Advice) -> Usual | None:
    """The line to an advice; None below five like jobs, or where no remedy is usual among them. Two queries at most."""
    if not advice.remedies or advice.like_jobs < ENOUGH:
        return None
    first = advice.remedies[0]
    hits, tries = len(first.every_job), advice.like_jobs
    if wilson(hits, tries).lower < LEAST_SHARE:
        return None
    what = f"{first.failed}, {first.mode.lower()}" if first.failed else first.remedy[:80]
    return Usual(
        what,
        hits,
        tries,
        _median(bench_seconds(first.every_job).values()),
        _median(_charged(first.every_job).values()),
        first.currency,
    )


def _charged(jobs: Iterable[int]) -> dict[int, int]:
    """What issued invoices charged for each of these jobs before tax, in minor units; credit notes taken off."""
    lines = InvoiceLine.objects.filter(job__in=list(jobs), invoice__issued_at__isnull=False)
    charged: dict[int, int] = defaultdict(int)
    for job, minor in lines.values_list("job_id", "amount_minor"):
        if job is not None:
            charged[job] += minor
    return charged


def _median(values: Iterable[int]) -> int | None:
    told = [value for value in values if value > 0]
    return percentile(told, 0.5) if len(told) >= LEAST_KNOWN else None
