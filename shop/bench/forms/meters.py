"""One of the shop's meters: its name, its calibration, and what its maker says of each range."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from shop.bench.models import Meter
from shop.frame import clock
from shop.frame.formwork import PlainForm, whole_number
from shop.handbook import meters
from shop.handbook.quantities import Kind, Unreadable, engineering, parse

MOST_RANGES = 60
BLANK_ROWS = 3
COLUMNS = ("kind", "full", "digit", "accuracy")


@dataclass(frozen=True, slots=True)
class RangeTyped:
    """One range in base units: full scale, the worth of one digit, ± percent of reading + digits."""

    quantity: str
    full_scale: Decimal
    resolution: Decimal
    percent: Decimal
    digits: int


class MeterFacts(TypedDict):
    """A meter with its ranges, as `keep_meter` takes it."""

    name: str
    serial: str
    calibrated_on: dt.date | None
    calibration_due: dt.date | None
    ranges: list[RangeTyped]


class MeterForm(PlainForm):
    """A meter with as many rows as it has ranges, and a few empty ones."""

    name = forms.CharField(max_length=80, label="Name", error_messages={"required": "What is it called?"})
    serial = forms.CharField(max_length=60, label="Serial number", required=False)
    calibrated_on = forms.DateField(
        label="Calibrated on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": "Type a date."},
    )
    calibration_due = forms.DateField(
        label="Calibration due",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": "Type a date."},
    )
    rows = forms.IntegerField(required=False, min_value=0, max_value=MOST_RANGES, widget=forms.HiddenInput)

    def __init__(self, *args: object, meter: Meter | None = None, **kwargs: object) -> None:
        known = list(meter.ranges.all()) if meter is not None else []
        if meter is not None:
            kwargs["initial"] = {name: getattr(meter, name) for name in _OWN} | _as_typed(known)
        super().__init__(*args, **kwargs)
        self.meter = meter
        self.count = min(self._rows_posted() or len(known) + BLANK_ROWS, MOST_RANGES)
        self.initial["rows"] = self.count
        for at in range(self.count):
            self._add_row(at)

    def _rows_posted(self) -> int:
        return (whole_number(self.data.get("rows", ""), digits=3) if self.is_bound else None) or 0

    def _add_row(self, at: int) -> None:
        kinds = [("", "—"), *((kind.value, kind.label) for kind in Kind)]
        labels = {"full": "Up to", "digit": "One digit", "accuracy": "Accuracy"}
        self.fields[f"r{at}_kind"] = forms.ChoiceField(label="Quantity", choices=kinds, required=False)
        for name, label in labels.items():
            self.fields[f"r{at}_{name}"] = forms.CharField(
                label=label,
                max_length=60,
                required=False,
                widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": _EXAMPLES[name]}),
            )

    def ranges(self) -> Iterator[list[BoundField]]:
        """The rows' fields."""
        for at in range(self.count):
            yield [self[f"r{at}_{name}"] for name in COLUMNS]

    def clean_calibrated_on(self) -> dt.date | None:
        """Not in the future."""
        day: dt.date | None = self.cleaned_data["calibrated_on"]
        if day is not None and day > clock.today():
            raise ValidationError("A calibration can't have been made in the future.")
        return day

    def clean(self) -> dict[str, object]:
        """Read every row that was filled in."""
        data = super().clean() or self.cleaned_data
        on, due = data.get("calibrated_on"), data.get("calibration_due")
        if on and due and due < on:
            self.add_error("calibration_due", "It is due before it was made.")
        data["read_ranges"] = [one for at in range(self.count) if (one := self._range(data, at)) is not None]
        return data

    def _range(self, data: dict[str, Any], at: int) -> RangeTyped | None:
        kind, *typed = (data.get(f"r{at}_{name}") or "" for name in COLUMNS)
        if not any(typed):
            return None
        if not kind:
            self.add_error(f"r{at}_kind", "Choose what this range measures.")
            return None
        full, digit = (self._value(f"r{at}_{name}", data, kind) for name in ("full", "digit"))
        try:
            accuracy = meters.parse_accuracy(data.get(f"r{at}_accuracy") or "")
        except Unreadable as error:
            self.add_error(f"r{at}_accuracy", str(error))
            return None
        if full is None or digit is None:
            return None
        try:
            meters.Range(Kind(kind), full, digit, accuracy)
        except meters.MeterError as error:
            self.add_error(f"r{at}_digit", str(error))
            return None
        return RangeTyped(kind, full, digit, accuracy.percent, accuracy.digits)

    def _value(self, name: str, data: dict[str, Any], kind: str) -> Decimal | None:
        try:
            quantity = parse(data.get(name) or "", Kind(kind))
        except Unreadable as error:
            self.add_error(name, str(error))
            return None
        if quantity.known is None:
            self.add_error(name, "Over range is no end of a range.")
        return quantity.known

    def facts(self) -> MeterFacts:
        """The meter that was typed."""
        data = self.cleaned_data
        return {
            "name": data["name"],
            "serial": data["serial"],
            "calibrated_on": data["calibrated_on"],
            "calibration_due": data["calibration_due"],
            "ranges": data["read_ranges"],
        }


_OWN = ("name", "serial", "calibrated_on", "calibration_due")
_EXAMPLES = {"full": "40 V", "digit": "10 mV", "accuracy": "0.5 % + 3"}


def _as_typed(ranges: list[Any]) -> dict[str, object]:
    typed: dict[str, Any] = {}
    for at, one in enumerate(ranges):
        symbol = Kind(one.quantity).symbol
        typed |= {
            f"r{at}_kind": one.quantity,
            f"r{at}_full": engineering(one.full_scale, symbol),
            f"r{at}_digit": engineering(one.resolution, symbol),
            f"r{at}_accuracy": str(meters.Accuracy(one.percent_of_reading, one.digits)),
        }
    return typed
