"""Dispatch's news: parcels that stand here unopened, and what was left behind by a unit that has gone home."""

from __future__ import annotations

from collections.abc import Iterator

from shop.counter.models import Accessory, Job
from shop.counter.stages import Stage
from shop.dispatch.models import GoingBack
from shop.frame.models import Role, Staff
from shop.frame.news import Piece, since
from shop.frame.rooms import open_door

MOST = 20


def parcels(staff: Staff) -> Iterator[Piece]:
    """Units whose parcel has arrived and was not opened."""
    if not staff.has_role(Role.COUNTER):
        return
    here = Job.objects.filter(stage=Stage.EXPECTED, inbound__arrived_at__isnull=False)
    for job in here.select_related("inbound", "customer", "unit__model__maker").order_by("-id")[:MOST]:
        assert job.inbound is not None  # noqa: S101 - asked for above
        opened = job.inbound.opened_at is not None
        stands = "not booked in, though its parcel was opened" if opened else "not opened yet"
        yield Piece(
            key=f"parcel:{job.inbound.pk}:{job.pk}{':opened' if opened else ''}",
            icon="truck",
            title=f"A parcel came: {job.number}",
            words=f"{job.unit.model} of {job.customer.name}, {stands}.",
            at=job.inbound.arrived_at or job.stage_since,
            address=open_door("counter:receive", job.number),
        )


def left_behind(staff: Staff) -> Iterator[Piece]:
    """Accessories that were found after their unit had gone home: nobody has said yet that they went after it."""
    if not staff.has_role(Role.COUNTER):
        return
    lately = Job.objects.filter(stage=Stage.GONE_HOME, stage_since__gte=since())
    found = Accessory.here.filter(job__in=lately).exclude(pk__in=GoingBack.objects.values("accessory"))
    for one in found.select_related("job__customer", "job__unit__model__maker").order_by("-id")[:MOST]:
        job = one.job
        yield Piece(
            key=f"left-behind:{one.pk}",
            icon="package",
            title=f"Still here of {job.number}: {one.name}",
            words=f"{job.unit.model} of {job.customer.name} has gone home without it.",
            at=job.ended_at or job.stage_since,
            address=open_door("dispatch:job", job.number),
        )
