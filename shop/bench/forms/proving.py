"""The soak test, and calling a job ready."""

from __future__ import annotations

from decimal import Decimal
from typing import Unpack

from django import forms
from django.core.exceptions import ValidationError

from shop.bench.forms.entry import BenchForm
from shop.bench.forms.lines import BENCH_OUTCOMES
from shop.bench.models import SoakTest
from shop.frame.formwork import TextWords
from shop.frame.number_field import NumberField
from shop.handbook.quantities import Kind, Unreadable, parse


class MeasuredField(forms.CharField):
    """A value as a meter shows it; its clean value is exact, in the base unit of `kind`, or None."""

    def __init__(self, *, kind: Kind, **kwargs: Unpack[TextWords]) -> None:
        self.kind = kind
        kwargs.setdefault("max_length", 40)
        kwargs.setdefault("widget", forms.TextInput(attrs={"class": "w-short", "autocomplete": "off"}))
        super().__init__(**kwargs)

    def clean(self, value: object) -> Decimal | None:
        """Read the value, or say in one sentence why it can't be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            quantity = parse(text, self.kind)
        except Unreadable as error:
            raise ValidationError(str(error)) from error
        if quantity.known is None or quantity.over_range:
            raise ValidationError("Over range tells nothing here; choose a larger range.")
        return quantity.known


class SoakForm(BenchForm):
    """How long it runs, and how often somebody looks at it."""

    hours = NumberField(
        label="How long",
        min_value=Decimal("0.1"),
        max_value=Decimal(336),
        max_digits=5,
        decimal_places=2,
        initial=Decimal(4),
        widget=forms.TextInput(attrs={"class": "w-tiny", "inputmode": "decimal"}),
        error_messages={
            "invalid": "Type the hours as a number, such as 4 or 0.5.",
            "min_value": "A soak test lasts six minutes at least.",
            "max_value": "A soak test lasts two weeks at most.",
        },
    )
    check_every = forms.IntegerField(
        label="Check every",
        min_value=1,
        max_value=1440,
        initial=30,
        widget=forms.TextInput(attrs={"class": "w-tiny", "inputmode": "numeric"}),
        error_messages={
            "invalid": "Type whole minutes.",
            "min_value": "Once a minute at most.",
            "max_value": "Check on it once a day at least.",
        },
    )
    unattended = forms.BooleanField(
        label="It may run while nobody is there",
        required=False,
        help_text="Otherwise what runs past a check that was due doesn’t count.",
    )


class SoakCheckForm(BenchForm):
    """A look at a unit on soak test."""

    temperature = MeasuredField(kind=Kind.TEMPERATURE, label="Temperature", required=False)
    dc_offset = MeasuredField(kind=Kind.VOLTAGE_DC, label="DC offset", required=False, help_text="12 mV")
    came_back = forms.BooleanField(label="The fault came back", required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)


class SoakEndForm(BenchForm):
    """How the soak test ended."""

    result = forms.ChoiceField(
        label="How it ended",
        choices=[(one.value, one.label) for one in SoakTest.Result if one.value],
        widget=forms.RadioSelect,
        error_messages={"required": "Say how the soak test ended."},
    )
    note = forms.CharField(label="Note", max_length=2000, required=False)


class ReadyForm(BenchForm):
    """Ready without a soak test; how it ended is asked where no conclusion says it."""

    outcome = forms.ChoiceField(
        label="How it ended", choices=BENCH_OUTCOMES, required=False, widget=forms.RadioSelect
    )
