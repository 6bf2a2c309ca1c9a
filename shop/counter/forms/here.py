"""What may be typed when a box is opened, and of a unit that is here."""

from __future__ import annotations

import datetime as dt
from typing import Any, TypedDict

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from shop.counter.actions import AccessoryTaken
from shop.counter.forms.intake import date_given, promised, read_accessories
from shop.counter.models import Job, PackingState
from shop.counter.stages import Outcome
from shop.frame.formwork import PlainForm, TextField
from shop.keeping.fields import PhotosField


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


class PromiseForm(PlainForm):
    """The date on which it is ready, as the customer is told."""

    promised_for = date_given("Ready by")

    def clean_promised_for(self) -> dt.date | None:
        """A day of the near future."""
        return promised(self.cleaned_data["promised_for"])


class WordForm(PlainForm):
    """The date by which the customer hears what is wrong with it."""

    word_by = date_given("First word by")

    def clean_word_by(self) -> dt.date | None:
        """A day of the near future."""
        return promised(self.cleaned_data["word_by"])
