"""The ways by which a unit left: parcels and collections at the counter, in one query."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import CharField, DateTimeField, Value

from shop.counter.models import Job
from shop.dispatch.models import CollectionJob, ParcelJob


@dataclass(frozen=True, slots=True)
class WayHome:
    """One way by which the unit left: a parcel, or a collection at the counter."""

    kind: str
    pk: int
    at: dt.datetime | None
    who: str
    tracking: str
    state: str


_NEVER = (Value(None, output_field=DateTimeField()), Value(None, output_field=DateTimeField()))


def ways_home_of(job: Job) -> list[WayHome]:
    """Parcels and the collection; nothing, without asking, before the unit was ready."""
    if job.ready_at is None:
        return []
    parcels = ParcelJob.objects.filter(job=job).values_list(
        Value("parcel", output_field=CharField()),
        "parcel_id",
        "parcel__handed_over_at",
        "parcel__carrier__name",
        "parcel__tracking",
        "parcel__delivered_at",
        "parcel__lost_at",
        "parcel__unpacked_at",
    )
    collected = CollectionJob.objects.filter(job=job).values_list(
        Value("collection", output_field=CharField()),
        "collection_id",
        "collection__at",
        "collection__collected_by",
        "collection__shown",
        "collection__at",
        *_NEVER,
    )
    return [_way_home(row) for row in parcels.order_by().union(collected.order_by(), all=True)]


def _way_home(row: Sequence[Any]) -> WayHome:
    kind, pk, at, who, tracking, delivered, lost, unpacked = row
    if kind == "collection":
        return WayHome(kind, pk, at, who, "", "collected")
    states = (
        (unpacked, "opened again"),
        (lost, "lost"),
        (delivered, "delivered"),
        (at, "on its way"),
        (True, "packed"),
    )
    return WayHome(kind, pk, at, who or "", tracking or "", next(state for so, state in states if so))
