"""What went back to suppliers, and what donor units have given and still have."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from django.db.models import QuerySet

from shop.counter.models import Customer, Unit
from shop.stockroom.models import LedgerEntry, PartSentBack, StillInside

MOST = 100


@dataclass(slots=True)
class DonorStore:
    """A donor unit: what was taken out of it, and what can still be had."""

    donor: Unit
    taken: list[LedgerEntry] = field(default_factory=list)
    inside: list[StillInside] = field(default_factory=list)


def credits_owed() -> list[PartSentBack]:
    """What went back and was not credited, the oldest first."""
    return list(_whole().filter(credited_at=None).order_by("id")[:MOST])


def credits_settled() -> list[PartSentBack]:
    """What was credited or refused, the newest first."""
    return list(_whole().filter(credited_at__isnull=False).order_by("-credited_at")[:MOST])


def donor_units() -> QuerySet[Unit]:
    """Units that parts may be taken from: marked as donors, or the shop's own."""
    donors = Unit.objects.filter(is_donor=True).values("pk")
    own = Unit.objects.filter(owner__in=Customer.objects.filter(is_shop=True)).values("pk")
    both = Unit.objects.filter(pk__in=donors.union(own), merged_into=None)
    return both.select_related("model__maker").order_by("-id")


def donor_stores() -> list[DonorStore]:
    """Every donor unit as a store of parts, in three queries."""
    units = list(donor_units()[:MOST])
    taken, inside = defaultdict(list), defaultdict(list)
    entries = LedgerEntry.objects.filter(donor__in=units).select_related("part").order_by("-id")[: 10 * MOST]
    for entry in entries:
        taken[entry.donor_id].append(entry)
    for one in StillInside.objects.filter(donor__in=units, gone_at=None).order_by("id")[: 10 * MOST]:
        inside[one.donor_id].append(one)
    return [DonorStore(unit, taken[unit.pk], inside[unit.pk]) for unit in units]


def _whole() -> QuerySet[PartSentBack]:
    return PartSentBack.objects.select_related("part", "supplier", "job", "order_line__order")
