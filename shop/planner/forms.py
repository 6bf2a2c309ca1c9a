"""What may be typed at the planner, and the sentence that says what is wrong with it."""

from __future__ import annotations

from django import forms
from django.core.exceptions import ValidationError

from shop.frame.formwork import BareForm, PlainForm, TextField
from shop.premises.forms.shop import HoursField

NO_PLACE = "Write the place as a number from 1 on."


class EveningForm(BareForm):
    """How many hours there are, and from when. Asked with GET: it changes nothing."""

    hours = HoursField(label="Hours I have", initial="2.5")
    begins = forms.TimeField(
        label="From",
        initial="19:00",
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "Write the time as 19:00."},
    )

    def clean_hours(self) -> int:
        """Some time at all."""
        minutes: int = self.cleaned_data["hours"]
        if not minutes:
            raise ValidationError("Write how many hours there are, such as 2.5.")
        return minutes


class PlaceForm(PlainForm):
    """A job's place in the queue."""

    place = forms.IntegerField(
        label="Place",
        min_value=1,
        max_value=9999,
        widget=forms.NumberInput(attrs={"class": "w-short", "inputmode": "numeric"}),
        error_messages={
            "invalid": NO_PLACE,
            "min_value": NO_PLACE,
            "max_value": NO_PLACE,
            "required": NO_PLACE,
        },
    )


class FeedKeyForm(PlainForm):
    """A key to the calendar."""

    label = forms.CharField(
        label="Which device",
        max_length=60,
        help_text="Such as “my phone”: so that you know which one to withdraw.",
    )
    names = forms.BooleanField(label="With customers’ names", required=False)


class LetterForm(PlainForm):
    """A reminder as it is to go."""

    to = forms.EmailField(
        label="To", max_length=254, error_messages={"invalid": "Write the whole e-mail address."}
    )
    subject = forms.CharField(label="Subject", max_length=200)
    body = TextField(label="Letter", rows=9, max_length=5000)
