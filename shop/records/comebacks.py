"""Comebacks: the same unit with a like complaint, inside the warranty on its repair. Found by itself, decided by a person."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from shop.counter.models import Job, Unit
from shop.counter.stages import Outcome, Stage
from shop.frame import clock
from shop.frame.profile import the_profile
from shop.handbook.words import stored_form
from shop.records.remedies import shared, telling_words, weights_of

LIKE_ENOUGH = 0.4
"""The share of what the new complaint says, weighed by rarity, that the old one must say too. Common practice, no source."""

LOOKED_AT = 5


@dataclass(frozen=True, slots=True)
class Likely:
    """The earlier job that a unit seems to come back from, and how its warranty stands on the day."""

    earlier: Job
    days_home: int
    warranty_until: dt.date


def likely_comeback(
    unit: Unit, complaint: str, *, on: dt.date | None = None, job: Job | None = None
) -> Likely | None:
    """The earlier job of this unit that the complaint seems to come back from, the newest first; None where there is none.

    `job` is the one that asks: only jobs before it count, on the day it came.
    """
    day = on or (clock.day_of(job.booked_in_at) if job and job.booked_in_at else clock.today())
    warranty = dt.timedelta(days=the_profile().warranty_days)
    ended = Job.objects.filter(
        unit=unit,
        stage=Stage.GONE_HOME,
        outcome__in=[Outcome.REPAIRED, Outcome.PARTLY],
        ended_at__isnull=False,
    )
    if job is not None:
        ended = ended.filter(pk__lt=job.pk)
    words = telling_words(complaint)
    if not words:
        return None
    weights = weights_of(words)
    for earlier in ended.order_by("-ended_at")[:LOOKED_AT]:
        home = clock.day_of(earlier.ended_at or earlier.stage_since)
        if not home <= day <= home + warranty:
            continue
        if shared([stored_form(earlier.complaint)], words, weights) >= LIKE_ENOUGH * sum(weights):
            return Likely(earlier, (day - home).days, home + warranty)
    return None
