"""Bench time that looks wrong: forgotten stops, and two stints of one person at the same time. Nothing is mended here."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from shop.bench.models import Stint
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import clock
from shop.handbook import labour
from shop.office.pricing import as_handbook_stint

LOOKED_BACK = dt.timedelta(days=60)
MOST_STINTS = 800


@dataclass(frozen=True, slots=True)
class StintTrouble:
    """What looks wrong, in a sentence, with the stints that it concerns."""

    sentence: str
    stints: tuple[Stint, ...]


def stint_troubles(*, now: dt.datetime | None = None) -> list[StintTrouble]:
    """What looks wrong with the bench time of the last sixty days, of all jobs."""
    moment = now or clock.now()
    recent = Stint.objects.filter(struck_at__isnull=True, started_at__gte=moment - LOOKED_BACK)
    return _troubles(recent.select_related("job", "by").order_by("-started_at")[:MOST_STINTS], moment)


def stint_troubles_of(job: Job, *, now: dt.datetime | None = None) -> list[StintTrouble]:
    """What looks wrong with the bench time of one job, overlaps with the same person's work elsewhere included."""
    moment = now or clock.now()
    mine = list(Stint.objects.filter(job=job, struck_at__isnull=True).select_related("job", "by"))
    if not mine:
        return []
    beside = Stint.objects.filter(
        struck_at__isnull=True,
        by__in={stint.by_id for stint in mine},
        started_at__lt=max(stint.stopped_at or moment for stint in mine),
        started_at__gte=min(stint.started_at for stint in mine) - dt.timedelta(days=1),
    ).exclude(job=job)
    found = _troubles([*mine, *beside.select_related("job", "by")[:MOST_STINTS]], moment)
    return [one for one in found if any(stint.job_id == job.pk for stint in one.stints)]


def _troubles(stints: Iterable[Stint], now: dt.datetime) -> list[StintTrouble]:
    by_key = {str(stint.pk): stint for stint in stints}
    notices = labour.notice([as_handbook_stint(stint) for stint in by_key.values()], now=now)
    return [
        StintTrouble(notice.sentence, tuple(by_key[key] for key in notice.keys))
        for notice in notices
        if _matters(notice, [by_key[key] for key in notice.keys])
    ]


def _matters(notice: labour.Notice, stints: list[Stint]) -> bool:
    """A long stint that a person has put right is right. A clock that runs is only odd when it has run very long, or on a
    unit that is ready: what it counts comes on no invoice."""
    match notice.trouble:
        case labour.Trouble.RUNNING:
            is_long = notice.seconds > labour.LONG_STINT.total_seconds()
            return is_long or any(stint.job.stage == Stage.READY for stint in stints)
        case labour.Trouble.LONG | labour.Trouble.EMPTY:
            return not any(stint.mended for stint in stints)
        case _:
            return True
