"""What a new shop still has to write down before its papers say what they should."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists
from django.urls import reverse

from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.office.models import LabourRate, TaxRule
from shop.premises.models import Terms


@dataclass(frozen=True, slots=True)
class Missing:
    """One thing that is not written down yet, what happens without it, and the page where it is."""

    what: str
    without: str
    address: str


def still_missing(staff: Staff) -> list[Missing]:
    """What the owner has to see to; nothing once rates and taxes stand. One query.

    Terms and web address alone are no reason to ask: a shop may do without.
    """
    if not staff.is_owner:
        return []
    there = (
        Staff.objects.filter(pk=staff.pk)
        .annotate(
            rates=Exists(LabourRate.objects.all()),
            taxes=Exists(TaxRule.objects.all()),
            terms=Exists(Terms.objects.all()),
        )
        .values("rates", "taxes", "terms")
        .get()
    )
    if there["rates"] and there["taxes"]:
        return []
    wanted = (
        (there["rates"], "Hourly rates", "Until then hours cost nothing.", "office:rates"),
        (there["taxes"], "Taxes", "Until then nothing is taxed, and invoices say so.", "office:taxes"),
        (there["terms"], "Terms", "Until then papers carry none.", "premises:terms"),
        (
            the_profile().web_address,
            "Web address",
            "Until then a camera opens nothing from a tag.",
            "premises:profile",
        ),
    )
    return [Missing(what, without, reverse(door)) for done, what, without, door in wanted if not done]
