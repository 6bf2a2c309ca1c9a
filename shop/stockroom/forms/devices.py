"""Forms of measured devices: one written down, a pair asked for, a set fitted."""

from __future__ import annotations

from decimal import Decimal
from typing import TypedDict, Unpack

from django import forms
from django.core.exceptions import ValidationError

from shop.counter.models import Job
from shop.frame.formwork import BareForm, PlainForm, TextWords
from shop.frame.number_field import NumberField
from shop.handbook.matching import Basis
from shop.handbook.quantities import Kind, Unreadable, parse
from shop.stockroom.forms.fields import PartNumberField, WholeField, plain_text


class MeasuredField(forms.CharField):
    """A measured value as the bench types it; the clean value is exact and in the base unit, or None."""

    def __init__(self, *, kind: Kind, **kwargs: Unpack[TextWords]) -> None:
        self.kind = kind
        kwargs.setdefault("max_length", 30)
        kwargs.setdefault("widget", plain_text("w-short", inputmode="decimal"))
        super().__init__(**kwargs)

    def clean(self, value: object) -> Decimal | None:
        """Read the value, or say in one sentence why it can't be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse(text, self.kind).known
        except Unreadable as error:
            raise ValidationError(str(error)) from error


class DeviceFacts(TypedDict):
    """A measured device, as `keep_device` takes it."""

    label: str
    hfe: Decimal | None
    vbe_volts: Decimal | None
    test_current: str
    celsius: Decimal | None
    group: str
    date_lot: str


class DeviceForm(PlainForm):
    """One measured device."""

    label = forms.CharField(
        max_length=40, widget=plain_text("w-short"), help_text="What is stuck on it: 1, 2, A7."
    )
    hfe = MeasuredField(kind=Kind.GAIN, label="hFE", required=False)
    vbe = MeasuredField(kind=Kind.VOLTAGE_DC, label="V_BE", required=False, help_text="612 mV")
    test_current = forms.CharField(
        label="At",
        max_length=40,
        required=False,
        widget=plain_text("w-short"),
        help_text="Test current: 1 mA",
    )
    celsius = MeasuredField(kind=Kind.TEMPERATURE, label="Room", required=False, help_text="21 °C")
    group = forms.CharField(label="Gain group", max_length=10, required=False, widget=plain_text("w-tiny"))
    date_lot = forms.CharField(label="Date lot", max_length=20, required=False, widget=plain_text("w-short"))

    def clean_test_current(self) -> str:
        """A current, kept as typed."""
        text: str = self.cleaned_data["test_current"]
        if text:
            try:
                parse(text, Kind.CURRENT_DC)
            except Unreadable as error:
                raise ValidationError(str(error)) from error
        return text

    def facts(self) -> DeviceFacts:
        """The device that was measured; V_BE in volts, the room in °C."""
        data = self.cleaned_data
        return {
            "label": data["label"],
            "hfe": data["hfe"],
            "vbe_volts": data["vbe"],
            "test_current": data["test_current"],
            "celsius": data["celsius"],
            "group": data["group"],
            "date_lot": data["date_lot"],
        }


def _all_say(said: str) -> dict[str, str]:
    """One sentence for everything that is no such number."""
    return dict.fromkeys(("invalid", "min_value", "max_value", "required"), said)


class PairForm(BareForm):
    """Which pairs are looked for."""

    within = NumberField(
        label="hFE within",
        min_value=Decimal(0),
        max_value=Decimal(100),
        initial="5",
        widget=plain_text("w-tiny", inputmode="decimal"),
        error_messages=_all_say("Type percent, such as 5."),
    )
    vbe_within = NumberField(
        label="V_BE within",
        required=False,
        min_value=Decimal(0),
        max_value=Decimal(1000),
        widget=plain_text("w-tiny", inputmode="decimal"),
        error_messages=_all_say("Type millivolts, such as 10."),
    )
    wanted = WholeField(label="How many pairs", least=1, most=10, example="2", initial=1)
    basis = forms.ChoiceField(
        label="Percent",
        choices=[(Basis.OF_LOWER.value, "of the lower hFE"), (Basis.OF_MEAN.value, "of the mean")],
        initial=Basis.OF_LOWER.value,
        required=False,
        widget=forms.Select(attrs={"class": "w-short"}),
    )
    other = PartNumberField(
        label="With a complementary part", required=False, help_text="Its number; empty: pairs of one type."
    )


class FitDevicesForm(PlainForm):
    """On which job a set is fitted."""

    job = forms.CharField(label="On job", max_length=20, widget=plain_text("w-short"), help_text="26-0417-Z")
    position = forms.CharField(
        max_length=60, required=False, widget=plain_text("w-short"), help_text="Q701, Q702"
    )

    def clean_job(self) -> Job:
        """The job of that number."""
        typed = self.cleaned_data["job"].strip().upper()
        job = Job.objects.filter(number=typed).first()
        if job is None:
            raise ValidationError(f"There is no job {typed[:20]}.")
        return job
