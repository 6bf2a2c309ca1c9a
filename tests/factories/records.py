"""Jobs with a history: found, concluded, with parts and traces, some of them long gone home."""

from __future__ import annotations

import datetime as dt
from typing import Any

from shop.bench.models import Conclusion, Evidence, EvidenceKind, FailureMode, Finding, Stint
from shop.counter.models import Job
from shop.counter.stages import Outcome, Stage
from shop.records.searching.upkeep import refresh
from shop.stockroom.models import PartFitted
from tests.factories.counter import UnitFactory, booked_in


def day(number: int) -> dt.datetime:
    """A morning of January 2026, when the histories of the tests begin."""
    return dt.datetime(2026, 1, number, 10, tzinfo=dt.UTC)


def past_job(
    *,
    complaint: str,
    findings: list[str] | None = None,
    failed: str | None = None,
    mode: str = FailureMode.WORN,
    remedy: str = "replaced",
    outcome: str = Outcome.REPAIRED,
    parts: list[str] | None = None,
    marking: str = "",
    hours: float = 0.0,
    cost_ten_thousandths: int = 0,
    at: dt.datetime | None = None,
    days: int = 5,
    home: bool = True,
    **unit: Any,
) -> Job:
    """One job as it lies in the history. `hours` of bench time; it went home `days` after it came."""
    at = at or dt.datetime(2026, 3, 2, 9, tzinfo=dt.UTC)
    job = booked_in(complaint=complaint, unit=unit.pop("unit", None) or UnitFactory(**unit), at=at)
    by = job.accepted_by
    for text in findings or []:
        Finding.objects.create(job=job, text=text, at=at, by=by)
    if failed is not None:
        Conclusion.objects.create(
            job=job, failed=failed, mode=mode, remedy=remedy, outcome=outcome, at=at, by=by
        )
    for part in parts or []:
        PartFitted.objects.create(
            job=job,
            description=part,
            currency="USD",
            at=at,
            by=by,
            unit_cost_ten_thousandths=cost_ten_thousandths,
        )
    if marking:
        Evidence.objects.create(
            job=job, kind=EvidenceKind.DEVICE, where="Q701", marking=marking, at=at, by=by
        )
    if hours:
        Stint.objects.create(job=job, started_at=at, stopped_at=at + dt.timedelta(hours=hours), at=at, by=by)
    if home:
        send_home(job, at=at + dt.timedelta(days=days), outcome=outcome)
    refresh([job.pk])
    return job


def send_home(job: Job, *, at: dt.datetime, outcome: str = Outcome.REPAIRED) -> None:
    """Put a job at its end, as books from before this program show it."""
    Job.objects.filter(pk=job.pk).update(
        stage=Stage.GONE_HOME,
        whose_move=Stage.GONE_HOME.row.whose_move,
        stage_since=at,
        ready_at=at,
        ended_at=at,
        outcome=outcome,
    )
    job.refresh_from_db()
