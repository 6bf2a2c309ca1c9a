"""Letters, the tax standing of a customer, and what is to be known of a unit that nobody fetches."""

from __future__ import annotations

import datetime as dt
from typing import TypedDict

from django import forms

from shop.counter.models import TaxStanding
from shop.frame.formwork import PlainForm
from shop.office.forms.rules import DayField
from shop.office.models import LeftHere, Letter


class StatementForm(PlainForm):
    """From when until when."""

    starts = DayField(label="From")
    ends = DayField(label="Until")

    def clean(self) -> dict[str, object]:
        """In order."""
        data = super().clean() or self.cleaned_data
        if data.get("starts") and data.get("ends") and data["ends"] < data["starts"]:
            self.add_error("ends", "The statement ends before it starts.")
        return data


class TaxStandingForm(PlainForm):
    """How tax applies to a customer."""

    tax_standing = forms.ChoiceField(
        label="Taxed", choices=TaxStanding, widget=forms.Select(attrs={"class": "w-middle"})
    )
    tax_number = forms.CharField(
        max_length=40,
        required=False,
        label="VAT number or certificate",
        widget=forms.TextInput(attrs={"class": "w-middle"}),
    )

    def clean(self) -> dict[str, object]:
        """Who is not taxed as usual has a number or a certificate."""
        data = super().clean() or self.cleaned_data
        if data.get("tax_standing") != TaxStanding.ORDINARY and not data.get("tax_number"):
            self.add_error("tax_number", "Note the certificate, or the VAT number, that it is based on.")
        return data


class SentFacts(TypedDict):
    """How a letter went, as `note_sent` takes it."""

    sent_on: dt.date
    sent_how: str
    received_on: dt.date | None


class SentForm(PlainForm):
    """When and how a letter went, and when it was received."""

    sent_on = DayField(label="Sent on")
    sent_how = forms.ChoiceField(
        label="How", choices=Letter.Sent, widget=forms.Select(attrs={"class": "w-middle"})
    )
    received_on = DayField(
        label="Received on", required=False, help_text="Where it is known, such as from the return receipt."
    )

    @classmethod
    def of(cls, letter: Letter) -> SentForm:
        """Filled in with what is noted, under a prefix of its own."""
        shown = {name: getattr(letter, name) or None for name in ("sent_on", "sent_how", "received_on")}
        return cls(prefix=f"l{letter.pk}", initial=shown)

    def facts(self) -> SentFacts:
        """What was noted."""
        data = self.cleaned_data
        return {
            "sent_on": data["sent_on"],
            "sent_how": data["sent_how"],
            "received_on": data["received_on"],
        }


class LeftFacts(TypedDict):
    """What is known of a unit that nobody fetches, as `note_left_here` takes it."""

    stored_by_agreement: bool
    summary_signed: bool
    sign_posted: bool
    disputed: bool
    sale_day: dt.date | None
    sale_place: str


class LeftForm(PlainForm):
    """What the laws on unclaimed goods ask to be known."""

    stored_by_agreement = forms.BooleanField(required=False, label="It is stored here by agreement")
    summary_signed = forms.BooleanField(
        required=False, label="At intake the owner signed that the summary of the lien was read"
    )
    sign_posted = forms.BooleanField(required=False, label="The sign was posted at intake")
    disputed = forms.BooleanField(required=False, label="The customer disputes the charges")
    sale_day = DayField(required=False, label="Day of a sale, if one is intended")
    sale_place = forms.CharField(required=False, max_length=200, label="Time and place of it")

    @classmethod
    def of(cls, left: LeftHere | None) -> LeftForm:
        """Filled in with what is noted."""
        shown = {name: getattr(left, name) for name in cls.base_fields if left and name != "once"}
        return cls(initial=shown)

    def facts(self) -> LeftFacts:
        """What was noted."""
        data = self.cleaned_data
        return {
            "stored_by_agreement": data["stored_by_agreement"],
            "summary_signed": data["summary_signed"],
            "sign_posted": data["sign_posted"],
            "disputed": data["disputed"],
            "sale_day": data["sale_day"],
            "sale_place": data["sale_place"],
        }
