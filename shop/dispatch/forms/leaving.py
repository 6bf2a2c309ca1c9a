"""Forms of what leaves: accessories checked, parcels packed and handed over, collections."""

from __future__ import annotations

import re
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.counter.models import Job
from shop.counter.stages import CHOSEN_OUTCOMES
from shop.dispatch import queries
from shop.dispatch.forms.fields import CountryField, MeasureField, SizeField, WeightField, plain_text
from shop.dispatch.lithium import TAKEN_OUT, CellSaid, said_of
from shop.dispatch.measures import grams_in, hint, mm_of
from shop.dispatch.models import Box, Carrier, Collection
from shop.frame import clock
from shop.frame.formwork import BareForm, PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.handbook.parcels import ParcelError
from shop.keeping.fields import DrawnField
from shop.office.pricing import rules_on

SIDES = ("length", "width", "height")
MOST_CELLS = 100
_HS_CODE = re.compile(r"\d{6,12}")


class AccessoryForm(PlainForm):
    """Whether one accessory goes back."""

    included = forms.ChoiceField(
        choices=[("yes", "Goes back"), ("no", "Does not go back")],
        widget=forms.RadioSelect,
        label="Does it go back?",
    )
    explanation = forms.CharField(
        max_length=300, required=False, label="If not, why", widget=plain_text("w-middle")
    )


class WithJobs(PlainForm):
    """Which of the customer's ready units leave together."""

    jobs = forms.MultipleChoiceField(
        label="Units", widget=forms.CheckboxSelectMultiple(attrs={"class": "tiles-list"})
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.ready = {one.number: one for one in queries.ready_together(job)}
        field: Any = self.fields["jobs"]
        field.choices = [(number, f"{number}: {one.unit}") for number, one in self.ready.items()]
        self.initial.setdefault("jobs", [job.number])
        field.error_messages["required"] = "Check at least one unit."

    def clean_jobs(self) -> list[Job]:
        """The jobs themselves."""
        return [self.ready[number] for number in self.cleaned_data["jobs"]]


class ParcelFacts(TypedDict):
    """A parcel, as `pack` takes it."""

    jobs: list[Job]
    box: Box | None
    length_mm: int
    width_mm: int
    height_mm: int
    weight_grams: int
    double_boxed: bool
    address: str
    country: str
    carrier: Carrier | None
    declared_value_minor: int | None
    lithium: str
    lithium_needs_mark: bool
    customs_description: str
    customs_origin: str
    customs_hs_code: str


class PackForm(WithJobs):
    """A parcel: its size and weight with the box, and where it goes."""

    box = forms.ModelChoiceField(
        Box.objects.filter(retired_at=None).order_by("name"),
        required=False,
        empty_label="Another one",
        help_text="A box of the shop’s gives its size.",
    )
    length = MeasureField(required=False)
    width = MeasureField(required=False)
    height = MeasureField(required=False)
    weight = WeightField(
        label="Weight with the box",
        help_text=hint("As the scale says: 27.5 · 27 lb 8 oz", "As the scale says: 12.5 · 850 g"),
    )
    double_boxed = forms.BooleanField(required=False, label="A box in a box")
    address = TextField(rows=5, max_length=500, help_text="Printed as it stands here.")
    country = CountryField(min_length=2, label="Country, two letters")
    carrier = forms.ModelChoiceField(
        Carrier.objects.filter(retired_at__isnull=True), required=False, empty_label="Not decided"
    )
    declared_value = SumField(required=False)
    lithium_chemistry = forms.ChoiceField(
        required=False,
        label="Lithium cells inside",
        choices=[
            ("", "None"),
            ("ion", "Lithium-ion"),
            ("metal", "Lithium metal"),
            ("out", "Taken out before packing"),
        ],
        widget=forms.Select(attrs={"class": "w-middle"}),
    )
    lithium_content = forms.CharField(
        required=False,
        max_length=40,
        label="What stands on one",
        widget=plain_text("w-short"),
        help_text="8.1 Wh · 3.7 V 2200 mAh · 0.3 g",
    )
    lithium_count = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=MOST_CELLS,
        initial=1,
        label="How many",
        widget=plain_text("w-tiny", inputmode="numeric"),
        error_messages={"invalid": "Type a whole number."},
    )
    lithium_battery = forms.BooleanField(required=False, label="A battery of several cells")
    lithium_button = forms.BooleanField(required=False, label="Button cells")
    lithium_damaged = forms.BooleanField(required=False, label="Swollen, damaged or hot")
    lithium_cleared = forms.BooleanField(
        required=False, label="The carrier has agreed, and it is packed by its rules for dangerous goods"
    )
    customs_description = forms.CharField(
        required=False, max_length=200, label="Contents for customs", widget=plain_text()
    )
    customs_origin = CountryField(required=False, label="Country of origin")
    customs_hs_code = forms.CharField(
        required=False, max_length=15, label="HS code", widget=plain_text("w-short", inputmode="numeric")
    )

    def clean_customs_hs_code(self) -> str:
        """Six digits at least, with or without dots."""
        code = self.cleaned_data["customs_hs_code"].replace(".", "").replace(" ", "")
        if code and not _HS_CODE.fullmatch(code):
            raise ValidationError("An HS code has six digits or more, such as 8519.81.")
        return str(code)

    def clean(self) -> dict[str, object]:
        """Sides from the box where none are typed; lithium by the rule; customs where the parcel goes abroad."""
        data = super().clean() or self.cleaned_data
        self._clean_sides(data)
        self.cell = self._clean_lithium(data)
        country = data.get("country")
        if country and country != the_profile().country.upper():
            for name, sentence in (
                ("customs_description", "Customs asks what is inside."),
                ("customs_origin", "Customs asks in which country it was made."),
                ("customs_hs_code", "Customs asks for the HS code."),
                ("declared_value", "Customs asks for its value."),
            ):
                if name not in self.errors and data.get(name) in {None, ""}:
                    self.add_error(name, sentence)
        return data

    def _clean_sides(self, data: dict[str, object]) -> None:
        if data.get("box") is not None and not any(data.get(side) for side in SIDES):
            return
        for side in SIDES:
            if side not in self.errors and data.get(side) is None:
                self.add_error(side, f"{side.capitalize()} is missing.")

    def _clean_lithium(self, data: dict[str, Any]) -> CellSaid | None:
        chemistry = data.get("lithium_chemistry")
        if chemistry not in {"ion", "metal"}:
            return None
        if data.get("lithium_damaged"):
            self.add_error(
                "lithium_damaged",
                "It does not go into a parcel: take it out, or ask the carrier and somebody trained in dangerous goods.",
            )
            return None
        try:
            said = said_of(
                chemistry=chemistry,
                content=data.get("lithium_content") or "",
                count=data.get("lithium_count") or 1,
                is_battery=data.get("lithium_battery", False),
                is_button=data.get("lithium_button", False),
                is_damaged=False,
            )
        except ParcelError as error:
            self.add_error("lithium_content", str(error))
            return None
        if not said.answer.is_small and not data.get("lithium_cleared"):
            self.add_error("lithium_cleared", said.answer.why)
        return said

    def facts(self) -> ParcelFacts:
        """The parcel that was packed, in whole millimetres and grams; its sides from the box where none are typed."""
        data = self.cleaned_data
        length, width, height = (
            mm_of(data[side]) if data[side] is not None else getattr(data["box"], f"{side}_mm")
            for side in SIDES
        )
        return {
            "jobs": data["jobs"],
            "box": data["box"],
            "length_mm": length,
            "width_mm": width,
            "height_mm": height,
            "weight_grams": grams_in(data["weight"]),
            "double_boxed": data["double_boxed"],
            "address": data["address"],
            "country": data["country"],
            "carrier": data["carrier"],
            "declared_value_minor": data["declared_value"],
            "lithium": TAKEN_OUT
            if data["lithium_chemistry"] == "out"
            else self.cell.words
            if self.cell
            else "",
            "lithium_needs_mark": self.cell.needs_mark if self.cell else False,
            "customs_description": data["customs_description"],
            "customs_origin": data["customs_origin"],
            "customs_hs_code": data["customs_hs_code"],
        }


class PlanForm(BareForm):
    """A unit whose box is looked for."""

    size = SizeField(label="The unit’s size", help_text=hint("17 x 14 x 6", "43 x 36 x 15"))
    weight = WeightField(label="Its weight", help_text=hint("28 lb · 12.7 kg", "12.7 kg"))
    cushion = MeasureField(
        required=False, label="Cushion on each side", help_text=hint("Empty: two inches.", "Empty: 5 cm.")
    )
    fragile = forms.BooleanField(required=False, label="Fragile: glass, long shafts, a heavy transformer")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for name in ("size", "weight"):
            self.fields[name].error_messages["required"] = f"{self.fields[name].label} is missing."


class HandOverForm(PlainForm):
    """Giving a parcel to its carrier."""

    carrier = forms.ModelChoiceField(
        Carrier.objects.filter(retired_at__isnull=True), required=False, empty_label="Somebody else"
    )
    tracking = forms.CharField(
        max_length=60, required=False, label="Tracking number", widget=plain_text(spellcheck="false")
    )
    tell = forms.BooleanField(label="Write to the customer that it is on its way", required=False)


class LostForm(PlainForm):
    """The carrier has lost it."""

    tell = forms.BooleanField(label="Write to the customer", required=False)


class CollectForm(WithJobs):
    """Handing over at the counter, signed off."""

    shown = forms.ChoiceField(label="Who is it?", choices=Collection.ShownBy, widget=forms.RadioSelect)
    collected_by = forms.CharField(
        max_length=160, label="Name of whoever collects it", widget=plain_text("w-long")
    )
    received = forms.BooleanField(
        label="Everything listed was handed over",
        required=False,
    )
    drawing = DrawnField()

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, job=job, **kwargs)
        self.may_be_drawn = rules_on(clock.today()).drawn_signature

    def clean(self) -> dict[str, object]:
        """Ticked, or signed on the screen where the shop has switched that on."""
        data = super().clean() or self.cleaned_data
        if not self.may_be_drawn:
            data["drawing"] = None
        if not data.get("received") and data.get("drawing") is None and "drawing" not in self.errors:
            other = ", or let them sign in the box" if self.may_be_drawn else ""
            self.add_error("received", f"Check that everything was handed over{other}.")
        return data


class KeepHereForm(PlainForm):
    outcome = forms.ChoiceField(
        choices=[(one.value, one.label) for one in CHOSEN_OUTCOMES],
        label="How it ended",
        widget=forms.Select(attrs={"class": "w-middle"}),
    )
    sure = forms.BooleanField(
        label="The shop may keep or dispose of it; the law’s notices were given where they are due",
        error_messages={"required": "Check that the shop may keep it. The program does not decide that."},
    )
