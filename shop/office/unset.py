"""What jobs are priced by and the owner has not set yet: a new shop is told where, before a refusal tells it."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from django.db.models import Q

from shop.office.models import LabourRate, TaxRule


@dataclass(frozen=True, slots=True)
class Unset:
    """One thing that is not set: what comes of it, and the owner's page where it is set, by URL name."""

    sentence: str
    door: str
    called: str


def unset_on(day: dt.date) -> list[Unset]:
    """What holds nowhere on that day: hourly rates, tax rules. Two queries."""
    found = []
    if not LabourRate.objects.filter(from_date__lte=day).exists():
        found.append(
            Unset("No hourly rate is set, so hours can’t be priced.", "office:rates", "Hourly rates")
        )
    rules = TaxRule.objects.filter(from_date__lte=day)
    if not rules.filter(Q(to_date__isnull=True) | Q(to_date__gte=day)).exists():
        found.append(Unset("No tax rule is set, so nothing is taxed.", "office:taxes", "Taxes"))
    return found
