"""Units that are ready to go back, and parcels of them."""

from __future__ import annotations

from typing import Any

from shop.bench import actions as bench
from shop.counter import actions as counter
from shop.counter.models import Accessory, InboundParcel, Job, UnitModel
from shop.counter.stages import Outcome
from shop.dispatch import actions
from shop.dispatch.models import Parcel
from shop.frame.models import Staff
from tests.factories.counter import CustomerFactory, UnitFactory, UnitModelFactory, booked_in


def a_battery_set(**more: Any) -> UnitModel:
    """A model that does not run on mains, so that no safety check stands at its way home."""
    return UnitModelFactory(**{"name": "PR-7", "mains": False, "protection_class": "III"} | more)


def ready(by: Staff, *, accessories: tuple[str, ...] = (), **more: Any) -> Job:
    """A job that the bench has called ready."""
    unit = more.pop("unit", None) or UnitFactory(
        model=more.pop("model", None) or a_battery_set(),
        owner=more.pop("owner", None) or CustomerFactory(regular=True),
        mains=False,
    )
    came = [counter.AccessoryTaken(name=name) for name in accessories]
    job = booked_in(unit=unit, by=by, accessories=came, **more)
    bench.take_to_bench(job=job, by=by)
    bench.conclude(job=job, failed="belt", mode="worn", remedy="replaced", outcome=Outcome.REPAIRED, by=by)
    bench.call_ready(job=job, by=by)
    return job


def check_all(job: Job, by: Staff) -> None:
    """Everything that came with a unit goes back."""
    for accessory in Accessory.objects.filter(job=job):
        actions.check_accessory(accessory=accessory, included=True, by=by)


def packed(job: Job, by: Staff, **facts: Any) -> Parcel:
    """A parcel of one job: 24 x 20 x 12 in and 45 lb."""
    size = {"length_mm": 610, "width_mm": 508, "height_mm": 305, "weight_grams": 20_412}
    return actions.pack(customer=job.customer, jobs=[job], by=by, **size | facts)


def came_damaged(by: Staff, **more: Any) -> InboundParcel:
    """An announced parcel that was opened and found damaged."""
    unit = UnitFactory()
    intake = counter.Intake(unit=unit, complaint="Hums.")
    (job,) = counter.announce(
        customer=unit.owner, intakes=[intake], by=by, carrier="Tern Post", tracking="RR473124829GB"
    )
    counter.receive_expected(
        job=job, by=by, packing_state="damaged", packing_note="Left corner crushed.", **more
    )
    return InboundParcel.objects.get(jobs=job)
