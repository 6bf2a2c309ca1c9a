"""Forms of the shop's own tables: boxes, carriers, their rules and rates; and of parcels that came damaged."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal, InvalidOperation
from typing import TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.dispatch.forms.fields import MeasureField, NumberField, SizeField, plain_text
from shop.dispatch.measures import grams_of, hint
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.handbook.money import Money, MoneyError
from shop.keeping.fields import PhotosField

MOST_RATES = 60


class BoxFacts(TypedDict):
    """A box, as `add_box` takes it."""

    name: str
    length_mm: int
    width_mm: int
    height_mm: int
    wall: str
    ect: int | None
    burst: int | None
    weight_grams: int


class BoxForm(PlainForm):
    """A box that the shop keeps."""

    name = forms.CharField(max_length=80, widget=plain_text("w-middle"), help_text="Large, double wall.")
    size = SizeField(label="Outside", help_text=hint("24 x 20 x 12", "60 x 50 x 30"))
    wall = forms.ChoiceField(
        choices=[("single", "Single wall"), ("double", "Double wall")],
        initial="single",
        widget=forms.RadioSelect,
    )
    ect = forms.IntegerField(
        label="Edge crush, lb/in",
        required=False,
        min_value=1,
        max_value=200,
        widget=plain_text("w-tiny", inputmode="numeric"),
        help_text=hint("From the maker’s stamp.", "From an American maker’s stamp: 1 kN/m is 5.7 lb/in."),
        error_messages={"invalid": "Type a whole number."},
    )
    burst = forms.IntegerField(
        label="Burst, lb/in²",
        required=False,
        help_text=hint("", "100 kPa is 14.5 lb/in²."),
        min_value=1,
        max_value=2000,
        widget=plain_text("w-tiny", inputmode="numeric"),
        error_messages={"invalid": "Type a whole number."},
    )
    weight = MeasureField(label="Weight, empty", required=False)

    def facts(self) -> BoxFacts:
        """The box that was typed, in whole millimetres and grams."""
        data = self.cleaned_data
        sides = data["size"].to("cm")
        return {
            "name": data["name"],
            "length_mm": round(sides.length * 10),
            "width_mm": round(sides.width * 10),
            "height_mm": round(sides.height * 10),
            "wall": data["wall"],
            "ect": data["ect"],
            "burst": data["burst"],
            "weight_grams": grams_of(data["weight"]) if data["weight"] is not None else 0,
        }


class CarrierFacts(TypedDict):
    """What is known of a carrier, as `add_carrier` and `change_carrier` take it."""

    name: str
    tracking_link: str
    claim_days: int | None
    checks_s10: bool


class CarrierForm(PlainForm):
    """A carrier."""

    name = forms.CharField(max_length=80, widget=plain_text("w-middle"))
    tracking_link = forms.CharField(
        max_length=300,
        required=False,
        widget=plain_text("w-long", spellcheck="false"),
        help_text="Its page, with {tracking} where the number goes.",
    )
    claim_days = forms.IntegerField(
        label="Claims within",
        required=False,
        min_value=1,
        max_value=365,
        widget=plain_text("w-tiny", inputmode="numeric"),
        error_messages={"invalid": "Type the days as a whole number."},
    )
    checks_s10 = forms.BooleanField(
        label="Its numbers are postal ones (UPU S10): check the last digit", required=False
    )

    def facts(self) -> CarrierFacts:
        """The carrier that was typed."""
        data = self.cleaned_data
        return {
            "name": data["name"],
            "tracking_link": data["tracking_link"],
            "claim_days": data["claim_days"],
            "checks_s10": data["checks_s10"],
        }


class CarrierRuleFacts(TypedDict):
    """How a carrier weighs and prices, as `add_carrier_rule` takes it."""

    from_date: dt.date
    units: str
    divisor: Decimal
    rounding: str
    threshold: Decimal | None
    max_length: Decimal | None
    max_length_girth: Decimal | None
    max_weight: Decimal | None
    rates: list[tuple[Decimal, int]]
    source: str


class CarrierRuleForm(PlainForm):
    """How a carrier weighs and prices from a day on."""

    from_date = forms.DateField(label="From", widget=forms.DateInput(attrs={"type": "date"}))
    units = forms.ChoiceField(
        label="Measured in",
        choices=[("in_lb", "inches and pounds"), ("cm_kg", "centimeters and kilograms")],
        initial="in_lb",
        widget=forms.RadioSelect,
    )
    divisor = NumberField(
        label="Divisor", help_text=hint("139 in³ a pound · 5000 cm³ a kilogram", "5000 cm³ a kilogram")
    )
    rounding = forms.ChoiceField(
        label="Each side is rounded",
        choices=[("up", "Up"), ("nearest", "To the nearest"), ("none", "Not at all")],
        initial="up",
        widget=forms.RadioSelect,
    )
    threshold = NumberField(
        label="Only above this volume", required=False, help_text=hint("1728 in³", "28 000 cm³")
    )
    max_length = NumberField(label="Longest side allowed", required=False)
    max_length_girth = NumberField(label="Length and girth allowed", required=False)
    max_weight = NumberField(label="Heaviest allowed", required=False)
    rates = TextField(
        rows=6,
        required=False,
        max_length=3000,
        label="Rates",
        help_text="A line each: up to this weight, a space, the price. 1 9.80",
    )
    source = forms.CharField(
        max_length=200, required=False, widget=plain_text("w-long"), help_text="Which tariff."
    )

    def clean_from_date(self) -> dt.date:
        """A day that the program can still count."""
        day: dt.date = self.cleaned_data["from_date"]
        if not 1980 <= day.year <= 2100:
            raise ValidationError("Choose a day between 1980 and 2100.")
        return day

    def clean_divisor(self) -> Decimal:
        """A divisor there must be."""
        divisor: Decimal | None = self.cleaned_data["divisor"]
        if divisor is None:
            raise ValidationError("Divisor is missing.")
        return divisor

    def clean_rates(self) -> list[tuple[Decimal, int]]:
        """Each line a weight and a price, ascending."""
        lines = [line.split() for line in self.cleaned_data["rates"].splitlines() if line.strip()]
        if len(lines) > MOST_RATES:
            raise ValidationError(f"Up to {MOST_RATES} lines of rates are kept.")
        rates = []
        for at, words in enumerate(lines, start=1):
            try:
                weight, price = words
                rates.append(
                    (Decimal(weight.replace(",", ".")), Money.parse(price, the_profile().currency).minor)
                )
            except (ValueError, InvalidOperation, MoneyError):
                raise ValidationError(
                    f"Line {at} is not a weight, a space and a price, such as 1 9.80."
                ) from None
        weights = [weight for weight, _ in rates]
        if any(not weight.is_finite() or weight <= 0 for weight in weights) or weights != sorted(
            set(weights)
        ):
            raise ValidationError("The weights go up from line to line.")
        if any(minor < 0 for _, minor in rates):
            raise ValidationError("A price can't be less than nothing.")
        return rates

    def facts(self) -> CarrierRuleFacts:
        """The rule that was typed."""
        data = self.cleaned_data
        return {
            "from_date": data["from_date"],
            "units": data["units"],
            "divisor": data["divisor"],
            "rounding": data["rounding"],
            "threshold": data["threshold"],
            "max_length": data["max_length"],
            "max_length_girth": data["max_length_girth"],
            "max_weight": data["max_weight"],
            "rates": data["rates"],
            "source": data["source"],
        }


class InboundPhotosForm(PlainForm):
    """Photographs of the packing of a parcel that came."""

    photos = PhotosField(label="Photographs")
    caption = forms.CharField(
        max_length=200, required=False, widget=plain_text("w-long"), help_text="Corner crushed, left."
    )


class DamageForm(PlainForm):
    """What goes to the carrier."""

    found = TextField(
        rows=5,
        max_length=4000,
        label="What is damaged",
        help_text="Box, cushion, unit: what you saw, in the order in which you opened it.",
    )
    claimed = SumField(required=False, label="Claimed", help_text="Empty: named later.")
