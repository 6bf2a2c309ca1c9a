"""What may be typed at the counter, and the sentence for what may not."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from shop.counter import queries
from shop.counter.actions import AccessoryTaken, Intake, UnitDescribed
from shop.counter.keys import name_key
from shop.counter.models import Customer, HowItCame, Kind, ProtectionClass, Unit
from shop.frame import clock
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.handbook.money import UnitPrice
from shop.keeping.fields import PhotosField

MOST_UNITS = 12
FIRST_YEAR = 1880
MOST_ACCESSORIES = 30
NO_MAKER = "Say who made it; “unknown” will do."
NO_MODEL = "Say which model it is; “unknown” will do."


def date_given(label: str) -> forms.DateField:
    """A date that may be left empty."""
    return forms.DateField(
        label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), required=False
    )


def promised(day: dt.date | None) -> dt.date | None:
    """Neither in the past nor more than three years ahead."""
    today = clock.today()
    if day is not None and not today <= day <= today + dt.timedelta(days=3 * 366):
        raise ValidationError("A promise lies between today and three years from now.")
    return day


class ComingForm(PlainForm):
    """What is asked once of all units that come together."""

    address = TextField(
        required=False,
        max_length=500,
        rows=3,
        label="Address of the customer",
        help_text="As on a letter; none is written down yet.",
    )

    def __init__(self, *args: Any, customer: Customer, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not the_profile().asks_address or customer.address or customer.is_shop:
            del self.fields["address"]

    def address_typed(self) -> str:
        """The address, empty where none was asked for; call once the form is valid."""
        return str(self.cleaned_data.get("address") or "")


class ArrivalForm(ComingForm):
    """How the units of one booking came."""

    how_it_came = forms.ChoiceField(
        label="How it came",
        choices=[
            (HowItCame.CARRIED_IN, "Carried in"),
            (HowItCame.PARCEL, "By parcel"),
            (HowItCame.FETCHED, "Fetched"),
        ],
        initial=HowItCame.CARRIED_IN,
        widget=forms.Select(attrs={"class": "w-medium"}),
    )


class AnnouncementForm(ComingForm):
    """A parcel on its way."""

    carrier = forms.CharField(
        max_length=60, required=False, widget=forms.TextInput(attrs={"class": "w-medium"})
    )
    tracking = forms.CharField(
        label="Tracking number",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"class": "w-medium"}),
    )


class UnitFactsForm(PlainForm):
    """What a unit is. Who made it and which model it is must be said; “unknown” will do."""

    maker = forms.CharField(
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off", "list": "makers"}),
        error_messages={"required": NO_MAKER},
    )
    model = forms.CharField(
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": NO_MODEL},
    )
    kind = forms.ChoiceField(
        choices=[("", "Choose the kind"), *Kind.choices],
        required=False,
        label="Kind of unit",
        help_text="A model that is known has it already.",
    )
    serial = forms.CharField(
        max_length=80,
        required=False,
        label="Serial number",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    mains = forms.BooleanField(required=False, initial=True, label="Runs on AC power")
    line_voltage = forms.IntegerField(
        required=False,
        min_value=6,
        max_value=480,
        label="Line voltage",
        widget=forms.NumberInput(attrs={"class": "w-short"}),
    )
    protection_class = forms.ChoiceField(
        choices=ProtectionClass, required=False, initial=ProtectionClass.UNKNOWN, label="Protection class"
    )
    year_made = forms.IntegerField(
        required=False,
        min_value=FIRST_YEAR,
        label="Year of make",
        help_text="Empty if nobody knows.",
        error_messages=dict.fromkeys(("invalid", "min_value"), "Write the year, such as 1978."),
        widget=forms.NumberInput(attrs={"class": "w-short"}),
    )

    def clean_maker(self) -> str:
        """A name with at least one letter or digit."""
        return _named(self.cleaned_data["maker"], NO_MAKER)

    def clean_model(self) -> str:
        """A model number with at least one letter or digit."""
        return _named(self.cleaned_data["model"], NO_MODEL)

    def clean_year_made(self) -> int | None:
        """A year that has begun."""
        year: int | None = self.cleaned_data["year_made"]
        if year is not None and year > clock.today().year:
            raise ValidationError("That year has not come yet.")
        return year

    def ask_for_kind(self) -> None:
        """A model that the shop has not met needs its kind: cautions, checks and advice hang on it."""
        data = self.cleaned_data
        if self.errors.keys() & {"maker", "model", "kind"} or data.get("kind"):
            return
        known = queries.model_of(data.get("maker") or "", data.get("model") or "")
        if known is None:
            self.add_error("kind", "Choose what kind of unit it is: its cautions hang on it.")
        else:
            data["kind"] = known.kind

    def described(self) -> UnitDescribed:
        """The unit as it is described; call once the form is valid."""
        data = self.cleaned_data
        return UnitDescribed(
            maker=data["maker"],
            model=data["model"],
            kind=data.get("kind") or Kind.OTHER,
            serial=data.get("serial") or "",
            mains=bool(data.get("mains")),
            line_voltage=data.get("line_voltage") if data.get("mains") else None,
            protection_class=data.get("protection_class") or ProtectionClass.UNKNOWN,
            year_made=data.get("year_made"),
        )


def _named(typed: str, sentence: str) -> str:
    if typed and not name_key(typed):
        raise ValidationError(sentence)
    return typed


class JobFactsForm(PlainForm):
    """What is agreed when a unit comes in, and how it looks."""

    complaint = TextField(
        label="Complaint, in the customer’s words",
        rows=3,
        max_length=8000,
        error_messages={"required": "Write down what the customer complains of."},
    )
    condition = TextField(
        required=False, rows=2, max_length=4000, help_text="Scratches, missing knobs, smell of smoke."
    )
    agreed_value = SumField(
        required=False, label="Agreed value", help_text="What it is worth, if it is lost."
    )
    limit = SumField(required=False, label="Agreed limit", help_text="Go ahead up to this, before tax.")
    bench_fee = SumField(required=False, label="Bench fee", help_text="For finding the fault, before tax.")
    wants_parts_back = forms.BooleanField(required=False, label="Wants the replaced parts back")


class IntakeForm(UnitFactsForm, JobFactsForm):
    """One unit with its complaint. `customer` decides which known units are offered."""

    known = forms.ChoiceField(required=False, label="Which unit", widget=forms.RadioSelect)
    same_unit = forms.CharField(
        required=False, max_length=20, label="Is it the same unit?", widget=forms.RadioSelect
    )
    accessories = forms.CharField(
        required=False,
        max_length=1500,
        label="Came with",
        help_text="With commas: cord, remote, feet, manual",
    )
    shelf = forms.CharField(required=False, max_length=40, widget=forms.TextInput(attrs={"class": "w-short"}))
    accessories_shelf = forms.CharField(
        required=False,
        max_length=40,
        label="Shelf of what came with it",
        help_text="Empty: beside the unit.",
        widget=forms.TextInput(attrs={"class": "w-short"}),
    )
    photos = PhotosField(label="Photographs")
    first_word_by = date_given("First word by")

    def __init__(self, *args: object, customer: Customer, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.customer = customer
        self._ask_what_the_shop_wants()
        self.units = {str(unit.pk): unit for unit in queries.units_of(customer)[:12]}
        if self.data.get(self.add_prefix("known")):
            # nobody is asked what a unit is that the shop knows
            self.fields["maker"].required = self.fields["model"].required = False
        known: Any = self.fields["known"]
        known.choices = [*((pk, str(unit)) for pk, unit in self.units.items()), ("", "Another unit")]
        self.recognised: list[Unit] = []
        self.initial.setdefault("line_voltage", the_profile().line_voltage)
        if not self.is_bound:
            # the hands stay on the keyboard: what is asked first has the focus
            self.fields["known" if self.units else "maker"].widget.attrs["autofocus"] = True

    def _ask_what_the_shop_wants(self) -> None:
        shop = the_profile()
        asked = {"year_made": shop.asks_year, "first_word_by": shop.asks_first_word}
        for name in [name for name, wanted in asked.items() if not wanted]:
            del self.fields[name]
        fee = shop.bench_fee_ten_thousandths
        if fee is not None and not self.customer.is_shop:
            self.initial.setdefault("bench_fee", UnitPrice(fee, shop.currency).times(1000))

    def clean_first_word_by(self) -> dt.date | None:
        """A day of the near future."""
        return promised(self.cleaned_data["first_word_by"])

    def clean(self) -> dict[str, object]:
        """Find the unit that is meant; ask when one of that serial number belongs to somebody else."""
        data = super().clean() or self.cleaned_data
        if data.get("known"):
            data["unit"] = self.units.get(data["known"])
            return data
        if not self.errors.keys() & {"maker", "model", "serial"}:
            data["unit"] = self._recognise(data)
        if data.get("unit") is None:
            self.ask_for_kind()
        return data

    def _recognise(self, data: dict[str, Any]) -> Unit | None:
        self.recognised = queries.units_like(data["maker"], data["model"], data.get("serial") or "")
        mine = [unit for unit in self.recognised if unit.owner_id == self.customer.pk]
        if mine:
            return mine[0]
        if not self.recognised:
            return None
        self.offer_same_unit(self.recognised)
        answer = self.data.get(self.add_prefix("same_unit"), "")
        if answer == "new":
            return None
        for unit in self.recognised:
            if answer == str(unit.pk):
                return unit
        self.add_error(
            "same_unit",
            "A unit with this serial number is known under another owner: say whether it is this one.",
        )
        return None

    def offer_same_unit(self, units: list[Unit]) -> None:
        """Ask whether it is one of these, sold on since."""
        widget: Any = self.fields["same_unit"].widget
        widget.choices = [
            *((str(unit.pk), f"Yes: {unit}, of {unit.owner.name} until now") for unit in units),
            ("new", "No, another unit with the same number"),
        ]

    @property
    def photos_again(self) -> bool:
        """Whether photographs were chosen, which no browser keeps where a form is shown again."""
        return self.is_bound and bool(self.files and self.files.getlist(self.add_prefix("photos")))

    def unit_described(self) -> Unit | UnitDescribed:
        """The unit this form means, or the description of a new one; call once the form is valid."""
        data = self.cleaned_data
        if data.get("unit") is not None:
            unit: Unit = data["unit"]
            return unit
        return self.described()

    def clean_accessories(self) -> list[AccessoryTaken]:
        """Names between commas; each at most 120 characters."""
        return read_accessories(self.cleaned_data["accessories"])

    def intake(self) -> Intake:
        """What the action takes; call once the form is valid."""
        data = self.cleaned_data
        shelf = data["accessories_shelf"]
        return Intake(
            unit=self.unit_described(),
            complaint=data["complaint"],
            condition=data["condition"],
            shelf=data["shelf"],
            accessories=tuple(AccessoryTaken(name=one.name, stands_at=shelf) for one in data["accessories"]),
            agreed_value_minor=data["agreed_value"],
            limit_minor=data["limit"],
            bench_fee_minor=data["bench_fee"],
            wants_parts_back=data["wants_parts_back"],
            photos=tuple(data["photos"]),
            first_word_by=data.get("first_word_by"),
        )


def read_accessories(typed: str) -> list[AccessoryTaken]:
    """The accessories between commas or on lines of their own. Raises ValidationError for a name that is too long."""
    names = [name.strip() for name in typed.replace("\n", ",").replace(";", ",").split(",")]
    names = [name for name in names if name]
    if len(names) > MOST_ACCESSORIES:
        raise ValidationError(f"Up to {MOST_ACCESSORIES} accessories can be listed.")
    if any(len(name) > 120 for name in names):
        raise ValidationError("One accessory is longer than 120 characters; put commas between them.")
    return [AccessoryTaken(name=name) for name in names]
