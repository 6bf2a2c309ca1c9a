"""Dates given to the customer: which stand, what they hang on, whether they were kept, and what rooms above say to them.

A finish date is given only once the fault is known and parts are in or ordered; before that, the day by which the
customer hears from the shop. What is known of fault and parts, and what the forecast offers, rooms above tell through the
functions hung up here.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from shop.counter.models import Job, Promise, StageMove
from shop.counter.stages import HEARD

What = Promise.What


@dataclass(frozen=True, slots=True)
class Offer:
    """A date as the forecast has it: as likely as not, and in 85 cases of 100; and a sentence on what that rests on."""

    likely: dt.date
    safe: dt.date
    rests_on: str = ""


Objection = Callable[[Job], str]
Offering = Callable[[Job, str], Offer | None]
_objections: list[Objection] = []
_offerings: list[Offering] = []


def object_to_finish(objection: Objection) -> None:
    """Have a room above say, in a sentence, why a job can't be promised a finish date yet; an empty one for no reason."""
    if objection not in _objections:
        _objections.append(objection)


def offer_dates(offering: Offering) -> None:
    """Have a room above offer dates."""
    if offering not in _offerings:
        _offerings.append(offering)


def why_no_finish(job: Job) -> str:
    """Why no finish date can be given yet; empty where it can."""
    return next((said for objection in _objections if (said := objection(job))), "")


def offered(job: Job, what: str) -> Offer | None:
    """What the forecast offers; None where it says nothing."""
    return next((offer for offering in _offerings if (offer := offering(job, what))), None)


def standing(jobs: Iterable[int]) -> dict[int, dict[str, Promise]]:
    """The promise that stands of each kind, by job; one that was taken back is none. One query."""
    found: dict[int, dict[str, Promise]] = defaultdict(dict)
    for one in Promise.objects.filter(job__in=list(jobs)).order_by("id"):
        if one.day is None:
            found[one.job_id].pop(one.what, None)
        else:
            found[one.job_id][one.what] = one
    return found


def first_words(jobs: Iterable[int]) -> dict[int, dt.datetime]:
    """When the customer of each job first heard of it: its estimate, or that it is ready. One query."""
    heard: dict[int, dt.datetime] = {}
    moves = StageMove.objects.filter(job__in=list(jobs), to_stage__in=HEARD).order_by("at", "id")
    for job, at in moves.values_list("job_id", "at"):
        heard.setdefault(job, at)
    return heard
