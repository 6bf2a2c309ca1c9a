"""What may be typed at the counter, and the sentence for what may not."""

from __future__ import annotations

import datetime as dt
from functools import cached_property
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from shop.counter import queries
from shop.counter.actions import AccessoryTaken, Intake, UnitDescribed
from shop.counter.keys import name_key, phone_key
from shop.counter.models import Customer, HowItCame, Job, Kind, PackingState, ProtectionClass, Unit
from shop.counter.stages import Outcome
from shop.frame import clock
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.keeping.fields import PhotosField

MOST_UNITS = 12
MOST_ACCESSORIES = 30
NO_MAKER = "Say who made it; “unknown” will do."
NO_MODEL = "Say which model it is; “unknown” will do."


class CustomerFacts(TypedDict):
    """How a customer is reached, as `add_customer` and `change_customer` take it."""

    name: str
    organisation: str
    phone: str
    email: str
    address: str
    country: str
    note: str


class CustomerForm(PlainForm):
    """A customer as the counter writes one down."""

    name = forms.CharField(max_length=160, widget=forms.TextInput(attrs={"autocomplete": "off"}))
    organisation = forms.CharField(label="Organization", max_length=160, required=False)
    phone = forms.CharField(
        max_length=60, required=False, widget=forms.TextInput(attrs={"type": "tel", "class": "w-medium"})
    )
    email = forms.EmailField(label="E-mail", required=False, max_length=254)
    address = TextField(required=False, max_length=500, help_text="As on a letter; printed as typed.")
    country = forms.CharField(
        required=False,
        max_length=2,
        help_text="Two letters, only if abroad.",
        widget=forms.TextInput(attrs={"class": "w-tiny"}),
    )
    note = TextField(required=False, rows=2, max_length=2000, help_text="For the shop only.")

    def clean_name(self) -> str:
        """A name has at least one letter or digit."""
        name: str = self.cleaned_data["name"]
        if not name_key(name):
            raise ValidationError("Type a name with at least one letter.")
        return name

    def clean_phone(self) -> str:
        """Any way of writing a phone number, as long as there are digits in it."""
        phone: str = self.cleaned_data["phone"]
        if phone and not phone_key(phone):
            raise ValidationError("A phone number has digits in it.")
        return phone

    def clean_country(self) -> str:
        """An ISO 3166 code of two letters, or nothing."""
        country: str = self.cleaned_data["country"].upper()
        if country and not (len(country) == 2 and country.isascii() and country.isalpha()):
            raise ValidationError("Two letters, such as DE or GB.")
        return country

    def details(self) -> CustomerFacts:
        """The keyword arguments of `add_customer` and `change_customer`."""
        data = self.cleaned_data
        return {
            "name": data["name"],
            "organisation": data["organisation"],
            "phone": data["phone"],
            "email": data["email"],
            "address": data["address"],
            "country": data["country"],
            "note": data["note"],
        }


class NewCustomerForm(CustomerForm):
    """Adding one: a likely double is offered, and `sure` says that it is somebody else."""

    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        if not self.is_bound:
            # the name was typed in the search already: the hands go on with the next field
            self.fields["phone" if self.initial.get("name") else "name"].widget.attrs["autofocus"] = True

    def is_valid(self) -> bool:
        """Right, and nobody whom the shop knows already."""
        return super().is_valid() and not self.doubles

    @cached_property
    def doubles(self) -> list[Customer]:
        """Customers who may be the same person; none once the counter has said that they are not."""
        if not self.is_bound or self.errors or self.cleaned_data.get("sure"):
            return []
        return queries.likely_doubles(
            name=self.cleaned_data["name"], phone=self.cleaned_data["phone"], email=self.cleaned_data["email"]
        )


class ArrivalForm(PlainForm):
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


class AnnouncementForm(PlainForm):
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

    def clean_maker(self) -> str:
        """A name with at least one letter or digit."""
        return _named(self.cleaned_data["maker"], NO_MAKER)

    def clean_model(self) -> str:
        """A model number with at least one letter or digit."""
        return _named(self.cleaned_data["model"], NO_MODEL)

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

    def __init__(self, *args: object, customer: Customer, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.customer = customer
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


class ReceivedFacts(TypedDict):
    """What is seen when the box of an announced unit is opened, as `receive_expected` takes it."""

    packing_state: str
    packing_note: str
    condition: str
    packing_kept_at: str
    locks_found: str
    accessories: list[AccessoryTaken]
    missing: list[int]
    shelf: str
    photos: list[UploadedFile]


class ReceiveForm(PlainForm):
    """An expected unit, when its box is opened."""

    packing_state = forms.ChoiceField(
        label="State of the packing",
        choices=PackingState.choices,
        widget=forms.RadioSelect,
    )
    packing_note = TextField(
        required=False,
        rows=2,
        max_length=4000,
        label="What is to be said of it",
        help_text="Crushed corner, no cushion, label.",
    )
    condition = TextField(required=False, rows=2, max_length=4000, label="Condition of the unit")
    here = forms.MultipleChoiceField(
        label="Announced: uncheck what is not in the box",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    accessories = forms.CharField(
        required=False, max_length=1500, label="Came with", help_text="With commas."
    )
    locks_found = forms.CharField(
        label="Transport locks found",
        max_length=120,
        required=False,
        help_text="Screws, clamps, a locked arm: they go back in before it travels.",
    )
    packing_kept_at = forms.CharField(
        label="Packing kept at",
        max_length=60,
        required=False,
        widget=forms.TextInput(attrs={"class": "w-middle"}),
    )
    shelf = forms.CharField(required=False, max_length=40, widget=forms.TextInput(attrs={"class": "w-short"}))
    photos = PhotosField(label="Photographs: the six sides unopened, the packing, the unit")

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.announced = list(job.accessories.order_by("id"))
        if not self.announced:
            del self.fields["here"]
            return
        choices = [(str(one.pk), one.name) for one in self.announced]
        here: Any = self.fields["here"]
        here.choices = choices
        self.initial.setdefault("here", [pk for pk, _ in choices])
        self.fields["accessories"].label = "Came with it, besides"

    def clean_accessories(self) -> list[AccessoryTaken]:
        """Names between commas."""
        return read_accessories(self.cleaned_data["accessories"])

    def clean(self) -> dict[str, object]:
        """Damage is put into words: a claim against the carrier hangs on them."""
        data = super().clean() or self.cleaned_data
        if data.get("packing_state") == PackingState.DAMAGED and not data.get("packing_note"):
            self.add_error("packing_note", "Say what is damaged; a claim against the carrier hangs on it.")
        return data

    def facts(self) -> ReceivedFacts:
        """What was seen when the box was opened."""
        data = self.cleaned_data
        return {
            "packing_state": data["packing_state"],
            "packing_note": data["packing_note"],
            "condition": data["condition"],
            "packing_kept_at": data["packing_kept_at"],
            "locks_found": data["locks_found"],
            "accessories": data["accessories"],
            "missing": [one.pk for one in self.announced if str(one.pk) not in data["here"]]
            if self.announced
            else [],
            "shelf": data["shelf"],
            "photos": data["photos"],
        }


class ShelfForm(PlainForm):
    shelf = forms.CharField(max_length=40, widget=forms.TextInput(attrs={"class": "w-short"}))


class AccessoryForm(PlainForm):
    name = forms.CharField(max_length=120, label="Accessory")
    stands_at = forms.CharField(
        max_length=40, required=False, label="Shelf", widget=forms.TextInput(attrs={"class": "w-short"})
    )


class MendAccessoryForm(AccessoryForm):
    missing = forms.BooleanField(required=False, label="It is not here")


class PhotosForm(PlainForm):
    photos = PhotosField(
        label="Photographs", required=True, error_messages={"required": "Choose a photograph first."}
    )
    caption = forms.CharField(max_length=200, required=False)

    def clean_photos(self) -> list[object]:
        """At least one."""
        photos: list[Any] = self.cleaned_data["photos"]
        if not photos:
            raise ValidationError("Choose a photograph first.")
        return photos


class UnopenedForm(PlainForm):
    outcome = forms.ChoiceField(
        label="Why it goes back",
        choices=[
            (Outcome.DECLINED, "The customer thought better of it"),
            (Outcome.UNREPAIRED, "Returned unrepaired"),
            (Outcome.BEYOND, "Beyond economic repair"),
        ],
        widget=forms.RadioSelect,
    )


def _date_given(label: str) -> forms.DateField:
    return forms.DateField(
        label=label, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), required=False
    )


def _promised(day: dt.date | None) -> dt.date | None:
    """Neither in the past nor more than three years ahead."""
    today = clock.today()
    if day is not None and not today <= day <= today + dt.timedelta(days=3 * 366):
        raise ValidationError("A promise lies between today and three years from now.")
    return day


class PromiseForm(PlainForm):
    """The date on which it is ready, as the customer is told."""

    promised_for = _date_given("Ready by")

    def clean_promised_for(self) -> dt.date | None:
        """A day of the near future."""
        return _promised(self.cleaned_data["promised_for"])


class WordForm(PlainForm):
    """The date by which the customer hears what is wrong with it."""

    word_by = _date_given("First word by")

    def clean_word_by(self) -> dt.date | None:
        """A day of the near future."""
        return _promised(self.cleaned_data["word_by"])
