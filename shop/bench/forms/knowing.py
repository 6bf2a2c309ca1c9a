"""The largest capacitor with its bleeder, and a set of devices that must match."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.forms import BoundField

from shop.bench.forms.entry import BenchForm
from shop.bench.forms.proving import MeasuredField
from shop.bench.models import Reservoir
from shop.handbook.matching import Device, MatchingError, SetKind, SetReport, check_set
from shop.handbook.quantities import Kind, engineering

MOST_IN_A_SET = 4


class ReservoirForm(BenchForm):
    """What the wait before hands go in is computed from."""

    where = forms.CharField(
        label="Capacitor",
        max_length=60,
        required=False,
        help_text="C801",
        widget=forms.TextInput(attrs={"class": "w-short", "autocapitalize": "characters"}),
    )
    volt = MeasuredField(
        kind=Kind.VOLTAGE_DC,
        label="Charged to",
        help_text="63 V",
        error_messages={"required": "Say how far it is charged."},
    )
    farad = MeasuredField(
        kind=Kind.CAPACITANCE,
        label="Capacitance",
        help_text="10 mF, 4700 µF",
        error_messages={"required": "Say how large it is."},
    )
    ohm = MeasuredField(
        kind=Kind.RESISTANCE,
        label="Bleeder across it",
        help_text="2k2",
        error_messages={"required": "Say what discharges it; without a bleeder no wait can be computed."},
    )

    def __init__(self, *args: Any, known: Reservoir | None, **kwargs: Any) -> None:
        if known is not None:
            kwargs["initial"] = {
                "where": known.where,
                "volt": engineering(known.volt, "V"),
                "farad": engineering(known.farad, "F"),
                "ohm": engineering(known.ohm, "Ω"),
            }
        super().__init__(*args, **kwargs)

    def clean(self) -> dict[str, Any]:
        """Every value is above zero."""
        data = super().clean() or self.cleaned_data
        for name in ("volt", "farad", "ohm"):
            value = data.get(name)
            if value is not None and value <= 0:
                self.add_error(name, "This must be more than nothing.")
        return data


class MatchedSetForm(BenchForm):
    """Two to four devices, compared by the rule of why they must match."""

    kind = forms.ChoiceField(
        label="Why they must match",
        choices=[(one.value, str(one).capitalize()) for one in SetKind],
        initial=SetKind.OUTPUT_PAIR.value,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose why they must match."},
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.report: SetReport | None = None
        plain = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        for at in range(MOST_IN_A_SET):
            self.fields[f"d{at}_name"] = forms.CharField(
                label="Position", max_length=30, required=False, widget=forms.TextInput(attrs=plain)
            )
            self.fields[f"d{at}_marking"] = forms.CharField(
                label="Marking", max_length=40, required=False, widget=forms.TextInput(attrs=plain)
            )
            self.fields[f"d{at}_lot"] = forms.CharField(
                label="Date lot", max_length=20, required=False, widget=forms.TextInput(attrs=plain)
            )
            self.fields[f"d{at}_hfe"] = MeasuredField(kind=Kind.GAIN, label="hFE", required=False)
            self.fields[f"d{at}_vbe"] = MeasuredField(kind=Kind.DIODE, label="V_BE", required=False)

    def rows(self) -> Iterator[list[BoundField]]:
        """The devices' fields, row by row."""
        for at in range(MOST_IN_A_SET):
            yield [self[f"d{at}_{name}"] for name in ("name", "marking", "lot", "hfe", "vbe")]

    def clean(self) -> dict[str, Any]:
        """Compare the devices that were filled in."""
        data = super().clean() or self.cleaned_data
        if self.errors:
            return data
        try:
            devices = list(self._devices(data))
            self.report = check_set(SetKind(data["kind"]), devices)
        except MatchingError as error:
            raise ValidationError(str(error)) from error
        data["marking"] = ", ".join(device.marking for device in devices)
        return data

    def _devices(self, data: dict[str, Any]) -> Iterator[Device]:
        for at in range(MOST_IN_A_SET):
            marking = data.get(f"d{at}_marking") or ""
            if not marking:
                if any(data.get(f"d{at}_{name}") for name in ("name", "lot", "hfe", "vbe")):
                    raise MatchingError("Copy the marking of every device that is compared.")
                continue
            yield Device(
                name=data[f"d{at}_name"] or f"Device {at + 1}",
                marking=marking,
                lot=data[f"d{at}_lot"],
                hfe=data[f"d{at}_hfe"],
                vbe_volt=data[f"d{at}_vbe"],
            )

    def values(self) -> dict[str, Any]:
        """As `add_matched_set` takes them."""
        return {"report": self.report, "marking": self.cleaned_data["marking"]}
