"""Dispatch's verbs and things as the journal tells them."""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import reverse

from shop.dispatch.models import Carrier, Parcel
from shop.frame.wording import Name

WORDS = {
    "inbound.arrived": "noted that a parcel is here",
    "damage.reported": "made a damage report, {claimed_minor} claimed",
    "accessory.checked": "checked what came with a unit; it goes back: {included}",
    "parcel.packed": "packed a parcel of {grams} g",
    "parcel.unpacked": "opened a parcel again before it left",
    "parcel.handed_over": "handed a parcel to its carrier",
    "parcel.delivered": "noted that a parcel was delivered",
    "parcel.lost": "noted that a parcel is lost",
    "job.collected": "handed a unit over at the counter, {shown}",
    "box.added": "wrote a box down",
    "box.retired": "keeps a box no longer",
    "carrier.added": "wrote a carrier down",
    "carrier.changed": "corrected a carrier’s details: {fields}",
    "carrier_rule.added": "wrote a carrier’s rule in effect from {from_date}",
    "carrier_rule.withdrawn": "withdrew a carrier’s rule that was to take effect on {from_date}",
}


def parcel_names(ids: Iterable[int]) -> dict[int, Name]:
    """Parcels by id, with their page."""
    parcels = Parcel.objects.filter(pk__in=list(ids))
    return {one.pk: Name(str(one), reverse("dispatch:parcel", args=[one.pk])) for one in parcels}


def carrier_names(ids: Iterable[int]) -> dict[int, Name]:
    """Carriers by id, with their page."""
    carriers = Carrier.objects.filter(pk__in=list(ids))
    return {one.pk: Name(one.name, reverse("dispatch:carrier", args=[one.pk])) for one in carriers}


NAMERS = {"dispatch.parcel": parcel_names, "dispatch.carrier": carrier_names}
