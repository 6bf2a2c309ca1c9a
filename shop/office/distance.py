"""Contracts at a distance with consumers: mailed in, in the EU or the United Kingdom. An aid; the shop decides."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from shop.counter.models import HowItCame, Job
from shop.frame import clock
from shop.frame.profile import the_profile
from shop.handbook.law.distance import BY_PROFILE, DistanceLaw
from shop.office.legal import reads_gross
from shop.office.models import Authorisation
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
    """A contract concluded at a distance: when, until when it may be taken back, and whether work may begin before."""

    law: DistanceLaw
    answer: Authorisation
    concluded: dt.date
    last_day: dt.date
    begins_early: bool

    def stands_open(self, on: dt.date) -> bool:
        """Whether it may still be taken back on a day."""
        return on <= self.last_day

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
    for given in reversed(answers):
        if given.answer == Authorisation.Answer.WITHDRAWN:
            return None
        if given.answer in AGREEING and given.how not in HERE:
            day = clock.day_of(given.at)
            return Contract(law, given, day, law.last_day(day), bool(given.begins_early))
    return None


def shop_line() -> str:
    """The shop in one line: name, address, telephone, e-mail."""
    shop = the_profile()
    return ", ".join(part for part in (shop.name, *shop.address.splitlines(), shop.phone, shop.email) if part)
