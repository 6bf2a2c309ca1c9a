"""Dispatch's news: parcels that stand here unopened, and what was left behind by a unit that has gone home."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.db.models import Exists, OuterRef, Q, Subquery

from shop.counter.models import Accessory, Job
from shop.counter.stages import Stage
from shop.dispatch.models import GoingBack
from shop.frame.models import Role, Staff
from shop.frame.news import Piece, since
from shop.frame.rooms import open_door

MOST = 20


def parcels(staff: Staff) -> Iterator[Piece]:
    """Units whose parcel has arrived and was not opened, and what was found after its unit had gone home."""
    if not staff.has_role(Role.COUNTER):
        return
    # nobody has said yet that it went after its unit
    answered = GoingBack.objects.filter(accessory=OuterRef("pk"))
    found = Accessory.here.filter(~Exists(answered), job=OuterRef("pk")).order_by("-id")
    left = Q(stage=Stage.GONE_HOME, stage_since__gte=since(), left_behind__isnull=False)
    jobs = Job.objects.annotate(
        left_behind=Subquery(found.values("pk")[:1]), left_behind_called=Subquery(found.values("name")[:1])
    ).filter(Q(stage=Stage.EXPECTED, inbound__arrived_at__isnull=False) | left)
    for job in jobs.select_related("inbound", "customer", "unit__model__maker").order_by("-id")[:MOST]:
        yield _came(job) if job.stage == Stage.EXPECTED else _left_behind(job)


def _came(job: Job) -> Piece:
    assert job.inbound is not None  # noqa: S101 - asked for above
    opened = job.inbound.opened_at is not None
    stands = "not booked in, though its parcel was opened" if opened else "not opened yet"
    return Piece(
        key=f"parcel:{job.inbound.pk}:{job.pk}{':opened' if opened else ''}",
        icon="truck",
        title=f"A parcel came: {job.number}",
        words=f"{job.unit.model} of {job.customer.name}, {stands}.",
        at=job.inbound.arrived_at or job.stage_since,
        address=open_door("counter:receive", job.number),
    )


def _left_behind(job: Any) -> Piece:
    return Piece(
        key=f"left-behind:{job.left_behind}",
        icon="package",
        title=f"Still here of {job.number}: {job.left_behind_called}",
        words=f"{job.unit.model} of {job.customer.name} has gone home without it.",
        at=job.ended_at or job.stage_since,
        address=open_door("dispatch:job", job.number),
    )
