"""The shop's meters: one is written down, put right, or taken out of use."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.bench.forms.meters import RangeTyped
from shop.bench.models import Meter, MeterRange
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal


def keep_meter(
    *,
    name: str,
    by: Staff,
    meter: Meter | None = None,
    serial: str = "",
    calibrated_on: dt.date | None = None,
    calibration_due: dt.date | None = None,
    ranges: Sequence[RangeTyped] = (),
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Meter:
    """Write a meter down with its ranges, or put one right; the ranges given replace those it had."""
    with acting(by=by, at=at, once=entry) as act:
        others = Meter.objects.filter(name__iexact=name.strip())
        if meter is not None:
            others = others.exclude(pk=meter.pk)
        if others.exists():
            raise Refusal("Another meter has that name already.", field="name")
        verb = "meter.changed" if meter is not None else "meter.added"
        meter = meter or Meter()
        meter.name, meter.serial = name.strip(), serial.strip()
        meter.calibrated_on, meter.calibration_due = calibrated_on, calibration_due
        meter.save()
        meter.ranges.all().delete()
        MeterRange.objects.bulk_create(
            MeterRange(
                meter=meter,
                quantity=one.quantity,
                full_scale=one.full_scale,
                resolution=one.resolution,
                percent_of_reading=one.percent,
                digits=one.digits,
            )
            for one in ranges
        )
        act.record(verb, subject=meter, ranges=len(ranges))
    return meter


def retire_meter(
    *, meter: Meter, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Meter:
    """Take a meter out of use, or back into it; readings made with it keep its name."""
    with acting(by=by, at=at, once=entry) as act:
        back = meter.retired_at is not None
        meter.retired_at = None if back else act.at
        meter.save(update_fields=["retired_at"])
        act.record("meter.taken_back" if back else "meter.retired", subject=meter)
    return meter
