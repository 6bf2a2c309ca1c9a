"""What may be typed at dispatch, and the sentence for what may not."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from shop.counter.models import Job
from shop.counter.stages import Outcome
from shop.dispatch import queries
from shop.dispatch.measures import grams_of, mm_of
from shop.dispatch.models import Carrier, Collection
from shop.premises.formwork import PlainForm, SumField, TextField

LARGEST = Decimal(1000)


class MeasureField(forms.CharField):
    """A length or weight in the shop's measure, with up to two decimals; more than nothing."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 12)
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"inputmode": "decimal", "class": "w-short", "autocomplete": "off"}),
        )
        super().__init__(**kwargs)

    def clean(self, value: Any) -> Decimal:  # type: ignore[override]
        """Read the number, or say in one sentence why it can't be right."""
        text = (super().clean(value) or "").strip().replace(",", ".")
        try:
            number = Decimal(text)
        except InvalidOperation:
            raise ValidationError("Type a number, such as 24 or 24.5.") from None
        if not number.is_finite() or not 0 < number <= LARGEST:
            raise ValidationError("This is more than nothing and at most 1,000.")
        return number


class AccessoryForm(PlainForm):
    """Whether one accessory goes back."""

    included = forms.ChoiceField(
        choices=[("yes", "Goes back"), ("no", "Does not go back")],
        widget=forms.RadioSelect,
        label="Does it go back?",
    )
    explanation = forms.CharField(max_length=300, required=False, label="If not, why")


class WithJobs(PlainForm):
    """Which of the customer's ready units leave together."""

    jobs = forms.MultipleChoiceField(label="Units", widget=forms.CheckboxSelectMultiple)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.ready = {one.number: one for one in queries.ready_together(job)}
        field: Any = self.fields["jobs"]
        field.choices = [(number, f"{number}: {one.unit}") for number, one in self.ready.items()]
        self.initial.setdefault("jobs", [job.number])
        field.error_messages["required"] = "Tick at least one unit."

    def clean_jobs(self) -> list[Job]:
        """The jobs themselves."""
        return [self.ready[number] for number in self.cleaned_data["jobs"]]


class PackForm(WithJobs):
    """A parcel: its size and weight with the box, and where it goes."""

    length = MeasureField()
    width = MeasureField()
    height = MeasureField()
    weight = MeasureField(label="Weight with the box")
    double_boxed = forms.BooleanField(required=False, label="A box in a box")
    address = TextField(rows=4, max_length=500, help_text="Printed as it stands here.")
    country = forms.CharField(max_length=2, min_length=2, widget=forms.TextInput(attrs={"class": "w-tiny"}))
    carrier = forms.ModelChoiceField(
        Carrier.objects.filter(retired_at__isnull=True), required=False, empty_label="Not decided"
    )
    declared_value = SumField(required=False)
    lithium = forms.CharField(
        required=False,
        max_length=200,
        label="Lithium cells inside",
        help_text="Which, and that the box is marked.",
    )
    customs_description = forms.CharField(required=False, max_length=200, label="Contents for customs")
    customs_origin = forms.CharField(
        required=False,
        max_length=2,
        label="Country of origin",
        widget=forms.TextInput(attrs={"class": "w-tiny"}),
    )
    customs_hs_code = forms.CharField(
        required=False, max_length=12, label="HS code", widget=forms.TextInput(attrs={"class": "w-short"})
    )

    def parcel(self) -> dict[str, Any]:
        """The keyword arguments of `pack`."""
        data = self.cleaned_data
        return {
            "jobs": data["jobs"],
            "length_mm": mm_of(data["length"]),
            "width_mm": mm_of(data["width"]),
            "height_mm": mm_of(data["height"]),
            "weight_grams": grams_of(data["weight"]),
            "double_boxed": data["double_boxed"],
            "address": data["address"],
            "country": data["country"],
            "carrier": data["carrier"],
            "declared_value_minor": data["declared_value"],
            "lithium": data["lithium"],
            "customs_description": data["customs_description"],
            "customs_origin": data["customs_origin"],
            "customs_hs_code": data["customs_hs_code"],
        }


class HandOverForm(PlainForm):
    carrier = forms.ModelChoiceField(
        Carrier.objects.filter(retired_at__isnull=True), required=False, empty_label="Somebody else"
    )
    tracking = forms.CharField(
        max_length=60,
        required=False,
        label="Tracking number",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )


class CollectForm(WithJobs):
    """Handing over at the counter, signed off."""

    shown = forms.ChoiceField(label="Who is it?", choices=Collection.ShownBy, widget=forms.RadioSelect)
    collected_by = forms.CharField(max_length=160, label="Name of whoever collects it")
    received = forms.BooleanField(
        label="Everything listed was handed over",
        error_messages={"required": "Tick that everything was handed over."},
    )


class KeepHereForm(PlainForm):
    outcome = forms.ChoiceField(choices=[(one.value, one.label) for one in Outcome], label="How it ended")
    sure = forms.BooleanField(
        label="The shop may keep or dispose of it; the law’s notices were given where they are due",
        error_messages={"required": "Tick that the shop may keep it. The program does not decide that."},
    )
