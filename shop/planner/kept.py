"""Which promises came true, and when."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable

from shop.counter import promising
from shop.counter.models import Job, Promise
from shop.frame import clock
from shop.handbook.dates.kept import LOOKED_AT, Gone


def gone(what: str) -> list[Gone]:
    """The last promises that had a forecast beside them, as far as they can be judged, the oldest first."""
    given = Promise.objects.filter(what=what, day__isnull=False, safe__isnull=False).order_by("-id")
    rows = list(given.select_related("job")[: 2 * LOOKED_AT])
    came = came_true(rows)
    told = []
    for one in reversed(rows):
        start = clock.day_of(one.at)
        if one.safe is not None:
            took = (came(one) or clock.today()) - start
            told.append(Gone((one.safe - start).days, max(took.days, 0), ended=came(one) is not None))
    return told


def came_true(promises: list[Promise]) -> Callable[[Promise], dt.date | None]:
    """The shop's day on which a promise came true, or None; one query for all of them."""
    heard = promising.first_words({one.job_id for one in promises})

    def day(one: Promise) -> dt.date | None:
        job: Job = one.job
        at = job.ready_at if one.what == Promise.What.READY else heard.get(one.job_id, job.ready_at)
        return clock.day_of(at) if at else None

    return day
