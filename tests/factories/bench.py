"""Jobs on a test shop's bench, a model file with test points, and meters."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from typing import Any

from shop.bench import actions
from shop.bench.forms.meters import RangeTyped
from shop.bench.models import Meter
from shop.counter.models import Job, OriginalPart, TestPoint, UnitModel
from shop.frame.models import Staff
from tests.factories.counter import UnitFactory, UnitModelFactory, booked_in
from tests.factories.making import RowFactory

POINTS = (
    ("TP4", "TP4, motor supply", "voltage_dc", "playing", "12 V ± 5 %", "rail", ""),
    ("Motor: drive", "capstan motor: drive", "voltage_dc", "playing", "2 to 4 V", "drive", ""),
    ("Motor: winding", "capstan motor: winding", "resistance", "unplugged", "8 to 20 ohm", "load", ""),
    ("Line out L", "Line out", "voltage_ac", "315 Hz", "580 mV ± 10 %", "signal", "L"),
    ("Line out R", "Line out", "voltage_ac", "315 Hz", "580 mV ± 10 %", "signal", "R"),
)


class DeckFactory(UnitModelFactory):
    """A tape deck of 1978 to 1982."""

    class Meta:
        model = UnitModel
        django_get_or_create = ("maker", "folded")

    name = "TD-880"
    folded = "td88o"
    kind = "tape_deck"
    built_from = dt.date(1978, 1, 1)
    built_to = dt.date(1982, 12, 31)


class TestPointFactory(RowFactory[TestPoint]):
    __test__ = False

    class Meta:
        model = TestPoint

    name = "TP4"
    quantity = "voltage_dc"


def a_deck(**more: Any) -> UnitModel:
    """A model with five test points and two originals."""
    model = DeckFactory(**more)
    for at, (name, where, quantity, condition, expected, role, channel) in enumerate(POINTS):
        TestPointFactory(
            model=model,
            name=name,
            where=where,
            quantity=quantity,
            condition=condition,
            expected=expected,
            role=role,
            channel=channel,
            position=at,
        )
    OriginalPart.objects.create(model=model, position="Q701", designation="2SC1815-GR")
    OriginalPart.objects.create(model=model, position="Q702", designation="2SA1015-GR", matched_with="Q701")
    return model


def on_the_bench(by: Staff, **more: Any) -> Job:
    """A deck on the bench, its cautions read."""
    unit = more.pop("unit", None) or UnitFactory(model=a_deck())
    job = booked_in(unit=unit, by=by, complaint="Slows down after ten minutes.", **more)
    actions.take_to_bench(job=job, by=by)
    return job


def a_meter(by: Staff, **more: Any) -> Meter:
    """A hand-held meter: 40 V in steps of 10 mV, ±(0.5 % + 3 digits); 40 MΩ in steps of 10 kΩ."""
    ranges = [
        RangeTyped("voltage_dc", Decimal(40), Decimal("0.01"), Decimal("0.5"), 3),
        RangeTyped("voltage_ac", Decimal(4), Decimal("0.001"), Decimal(1), 5),
        RangeTyped("resistance", Decimal("40E6"), Decimal("10E3"), Decimal(1), 5),
    ]
    return actions.keep_meter(**{"name": "Bench meter", "by": by, "ranges": ranges} | more)


def readings(job: Job, by: Staff, *values: str, **more: Any) -> None:
    """Readings at the test points of the job's model, in their order."""
    for point, typed in zip(job.unit.model.test_points.all(), values, strict=False):
        actions.add_reading(
            job=job,
            by=by,
            typed=typed,
            quantity=point.quantity,
            where=point.where,
            condition=point.condition,
            expected=point.expected,
            test_point=point,
            channel=point.channel,
            role=point.role,
            **more,
        )
