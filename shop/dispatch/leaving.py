"""What must be settled before a unit leaves: every accessory that came in is going back, or its absence is explained."""

from __future__ import annotations

from shop.counter.models import Accessory, Job
from shop.dispatch.models import GoingBack


def unchecked(job: Job) -> list[Accessory]:
    """Accessories that nobody has checked yet."""
    checked = GoingBack.objects.filter(accessory__job=job).values("accessory")
    return list(Accessory.here.filter(job=job).exclude(pk__in=checked).order_by("id"))


def holds_back(job: Job) -> str | None:
    """Why a unit may not leave yet: something that came with it is neither packed nor explained."""
    if missing := unchecked(job):
        names = ", ".join(accessory.name for accessory in missing)
        return (
            f"Came with {job.number} and not checked yet: {names}. Say that it goes back, or why it does not."
        )
    return None
