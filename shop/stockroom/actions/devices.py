"""Measured devices: kept for matching, fitted as a set, thrown away."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from decimal import Decimal

from shop.counter.models import Job
from shop.counter.stages import ENDED
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.stockroom.actions.fitting import fit_part
from shop.stockroom.models import MatchedDevice, Part, PartFitted, PartState


def keep_device(
    *,
    part: Part,
    label: str,
    by: Staff | None,
    hfe: Decimal | None = None,
    vbe_volts: Decimal | None = None,
    test_current: str = "",
    celsius: Decimal | None = None,
    group: str = "",
    date_lot: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> MatchedDevice:
    """Write down what one device of the drawer measures, under the label that is stuck on it."""
    if not label.strip():
        raise Refusal("Give it a label, such as a number on a dot.", field="label")
    if hfe is None and vbe_volts is None:
        raise Refusal("Write down at least its hFE or its V_BE.", field="hfe")
    if hfe is not None and hfe <= 0:
        raise Refusal("The hFE is above zero.", field="hfe")
    with acting(by=by, at=at, once=once_key) as act:
        if MatchedDevice.objects.filter(part=part, label=label.strip()).exists():
            raise Refusal(f"There is a device {label.strip()} of {part.number} already.", field="label")
        device = MatchedDevice.objects.create(
            part=part,
            label=label.strip(),
            group=group.strip(),
            date_lot=date_lot.strip(),
            hfe=hfe,
            vbe_volts=vbe_volts,
            test_current=test_current.strip(),
            celsius=celsius,
            measured_at=act.at,
            by=by,
        )
        act.record("device.kept", subject=part, device=device.pk)
        act.made(device)
    return device


def fit_devices(
    *,
    devices: Sequence[MatchedDevice],
    job: Job,
    by: Staff,
    position: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[PartFitted]:
    """Fit a matched set on a job: each kind is taken out of its drawer, and the devices are kept no longer."""
    if not devices:
        raise Refusal("Choose at least one device.")
    if job.stage in ENDED:
        raise Refusal(f"{job.number} has ended; nothing is fitted on it any more.", field="job")
    with acting(by=by, at=at, once=once_key) as act:
        ids = [device.pk for device in devices]
        free = MatchedDevice.objects.filter(pk__in=ids, gone_at=None)
        if free.update(gone_at=act.at, used_on=job) != len(set(ids)):
            raise Refusal("One of them was used or scrapped just now.")
        fitted, in_order = [], sorted(devices, key=lambda device: device.pk)
        for part in sorted({device.part for device in devices}, key=lambda one: one.pk):
            mine = [device for device in in_order if device.part_id == part.pk]
            fitted.append(_fit(part, mine, job, by, position))
        act.record("devices.fitted", subject=job, jobs=[job.pk], devices=sorted(ids))
    return fitted


def discard_device(
    *,
    device: MatchedDevice,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> None:
    """A measured device is not there any more: its measurement counts no longer. The stock is booked by itself."""
    with acting(by=by, at=at, once=once_key) as act:
        if not MatchedDevice.objects.filter(pk=device.pk, gone_at=None).update(gone_at=act.at):
            raise Refusal("It was used or scrapped already.")
        act.record("device.discarded", subject=device.part, device=device.pk)


def _fit(part: Part, devices: list[MatchedDevice], job: Job, by: Staff, position: str) -> PartFitted:
    labels = ", ".join(device.label for device in devices)
    return fit_part(
        job=job,
        by=by,
        part=part,
        description=f"{part.description} {part.designation}, matched: {labels}"[:200],
        quantity_thousandths=1000 * len(devices),
        state=_state_of(part),
        position=position,
    )


def _state_of(part: Part) -> str:
    """New, unless nothing in the drawer is."""
    level = getattr(part, "level", None)
    if level is None:
        return PartState.NEW
    level.refresh_from_db()
    none_new = level.second_hand_thousandths and level.second_hand_thousandths == level.quantity_thousandths
    return PartState.SALVAGED if none_new else PartState.NEW
