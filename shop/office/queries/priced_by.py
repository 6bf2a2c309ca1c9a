"""What a job is priced by besides its lines, and what of it the owner has not set yet: a new shop is told where."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q, Subquery

from shop.counter.models import Job
from shop.office.models import LabourRate, OutOfState, TaxRule


@dataclass(frozen=True, slots=True)
class Unset:
    """One thing that is not set: what comes of it, and the owner's page where it is set, by URL name."""

    sentence: str
    door: str
    called: str


@dataclass(frozen=True, slots=True)
class PricedBy:
    """The contract that has the unit shipped out of the state, if there is one, and what is not set on that day."""

    contract: str
    unset: tuple[Unset, ...]


NO_RATES = Unset("No hourly rate is set, so hours can’t be priced.", "office:rates", "Hourly rates")
NO_TAXES = Unset("No tax rule is set, so nothing is taxed.", "office:taxes", "Taxes")


def priced_by(job: Job, *, on: dt.date) -> PricedBy:
    """What prices the job on that day, in one query."""
    rules = TaxRule.objects.filter(Q(to_date__isnull=True) | Q(to_date__gte=on), from_date__lte=on)
    found = Job.objects.values_list(
        Subquery(OutOfState.objects.filter(job=OuterRef("pk")).values("contract")[:1]),
        Exists(LabourRate.objects.filter(from_date__lte=on)),
        Exists(rules),
    ).get(pk=job.pk)
    contract, has_rates, has_taxes = found
    lacking = ((NO_RATES, has_rates), (NO_TAXES, has_taxes))
    return PricedBy(contract or "", tuple(unset for unset, is_set in lacking if not is_set))
