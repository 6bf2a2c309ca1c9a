"""Contracts at a distance with consumers: mailed in, in the EU or the United Kingdom. An aid; the shop decides."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from shop.counter.models import HowItCame, Job
from shop.counter.stages import Outcome
from shop.frame import clock
from shop.frame.profile import the_profile
from shop.handbook.law.distance import BY_PROFILE, DistanceLaw
from shop.office.legal import reads_gross
from shop.office.models import Authorisation, Estimate
from shop.office.pricing import rules_on

AGREEING = {
    Authorisation.Answer.YES,
    Authorisation.Answer.PARTLY,
    Authorisation.Answer.MORE,
    Authorisation.Answer.UP_TO,
    Authorisation.Answer.DIAGNOSIS,
}
HERE = {Authorisation.How.IN_PERSON, Authorisation.How.SIGNED, Authorisation.How.DRAWN}
"""Ways of answering for which the customer stands in the shop."""


@dataclass(frozen=True, slots=True)
class Contract:
    """A contract concluded at a distance: when, until when it may be taken back, and whether work may begin before.

    `requested_minor`: up to this sum, before tax, work was asked to begin early, by this answer or one that it adds to.
    `informed`: whether an estimate told the consumer of the right; without, its period is longer. `performed`: the repair is
    done entirely, at the consumer's request, which ends the right.
    """

    law: DistanceLaw
    answer: Authorisation
    concluded: dt.date
    last_day: dt.date
    begins_early: bool
    requested_minor: int = 0
    informed: bool = True
    performed: bool = False

    def stands_open(self, on: dt.date) -> bool:
        """Whether it may still be taken back on a day."""
        return on <= self.last_day and not self.performed

    def must_wait(self, on: dt.date) -> bool:
        """Whether work has to wait: nobody asked for it to begin within the period."""
        return not self.begins_early and self.stands_open(on)


def distance_law(job: Job) -> DistanceLaw | None:
    """The law on distance contracts that a job's contract falls under; None where it is none, or the shop has it switched off."""
    law = BY_PROFILE.get(the_profile().law_profile)
    mailed = job.how_it_came == HowItCame.PARCEL and reads_gross(job.customer)
    return law if law is not None and mailed and rules_on(clock.today()).distance_aids else None


def contract_of(
    job: Job, answers: Sequence[Authorisation] | None = None, *, law: DistanceLaw | None = None
) -> Contract | None:
    """The latest contract of the job that was concluded at a distance and not taken back; None where there is none.

    `law`: that of the job, for somebody who has asked already.
    """
    law = law or distance_law(job)
    if law is None:
        return None
    if answers is None:
        answers = list(Authorisation.objects.filter(job=job).order_by("at", "id"))
    standing = _concluded(answers)
    if not standing:
        return None
    given = standing[-1]
    asked = [one.authorised_minor for one in standing if one.begins_early]
    day = clock.day_of(given.at)
    told = day if given.estimate is not None else _informed_on(job)
    return Contract(
        law,
        given,
        day,
        law.last_day(day, told),
        bool(given.begins_early),
        requested_minor=asked[-1] if asked else 0,
        informed=told is not None,
        performed=bool(given.begins_early) and job.ready_at is not None and job.outcome == Outcome.REPAIRED,
    )


def _concluded(answers: Sequence[Authorisation]) -> list[Authorisation]:
    """The answers by which something is agreed at a distance, in order: none that was withdrawn or refused afterwards."""
    standing: list[Authorisation] = []
    for given in answers:
        refused = given.answer == Authorisation.Answer.NO
        if given.answer == Authorisation.Answer.WITHDRAWN or (refused and given.estimate_id is None):
            standing = []
        elif refused:
            standing = [one for one in standing if one.estimate_id != given.estimate_id]
        elif given.answer in AGREEING and given.how not in HERE:
            standing.append(given)
    return standing


def _informed_on(job: Job) -> dt.date | None:
    """The day on which the first estimate of the job told of the right; None where none was given."""
    first = Estimate.objects.filter(job=job, given_at__isnull=False).order_by("given_at").first()
    return clock.day_of(first.given_at) if first is not None and first.given_at is not None else None


def shop_line() -> str:
    """The shop in one line: name, address, telephone, e-mail."""
    shop = the_profile()
    return ", ".join(part for part in (shop.name, *shop.address.splitlines(), shop.phone, shop.email) if part)
