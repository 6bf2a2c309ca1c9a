"""The opening form: the shop, how it reckons, its owner, and its next numbers."""

from __future__ import annotations

import zoneinfo
from typing import Any, ClassVar

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies
from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError

from shop.counter.actions import JOB_SERIES
from shop.opening.country import country_of_this_machine, customs_of, zone_of_this_machine
from shop.premises import clock
from shop.premises.models import ShopProfile, Staff

LARGEST_NUMBER = 9_999_999
SERIES = {JOB_SERIES: "next_job", "invoice": "next_invoice", "credit_note": "next_credit_note"}


def first_guess() -> dict[str, Any]:
    """Return what the form starts with, by what this machine says of its country and time zone."""
    customs = customs_of(country_of_this_machine(), clock.today())
    names = ("country", "currency", "paper_size", "measures", "line_voltage", "line_frequency", "law_profile")
    guess: dict[str, Any] = {name: getattr(customs, name) for name in names}
    return guess | {"time_zone": zone_of_this_machine(), "language": f"en-{customs.country}"}


class OpeningForm(forms.ModelForm):
    """Everything the first run asks; `profile`, `next_numbers` and the owner's fields are what the action takes."""

    address = forms.CharField(max_length=500, widget=forms.Textarea(attrs={"rows": 3}))
    line_voltage = forms.IntegerField(label="Line voltage", min_value=90, max_value=500)
    line_frequency = forms.IntegerField(label="Line frequency", min_value=16, max_value=400)
    full_name = forms.CharField(label="Your name", max_length=120, help_text="As papers name you.")
    username = forms.CharField(label="Sign-in name", max_length=60, validators=[Staff.username_validator])
    password = forms.CharField(
        label="Password",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters.",
    )
    password_again = forms.CharField(
        label="Password, once more",
        max_length=200,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    next_job = forms.IntegerField(label="Next job", initial=1, min_value=1, max_value=LARGEST_NUMBER)
    next_invoice = forms.IntegerField(label="Next invoice", initial=1, min_value=1, max_value=LARGEST_NUMBER)
    next_credit_note = forms.IntegerField(
        label="Next credit note", initial=1, min_value=1, max_value=LARGEST_NUMBER
    )

    class Meta:
        model = ShopProfile
        fields: ClassVar[list[str]] = [
            "name",
            "address",
            "country",
            "phone",
            "email",
            "currency",
            "language",
            "time_zone",
            "paper_size",
            "measures",
            "line_voltage",
            "line_frequency",
            "law_profile",
        ]
        labels: ClassVar[dict[str, str]] = {
            "name": "Name of the shop",
            "country": "Country",
            "language": "Language of papers",
            "time_zone": "Time zone",
            "paper_size": "Paper",
            "measures": "Sizes and weights",
            "law_profile": "Notices on papers",
        }
        help_texts: ClassVar[dict[str, str]] = {
            "country": "Two letters, such as US, GB or DE.",
            "currency": "Three letters, such as USD, GBP or EUR.",
            "language": "Such as en-US or en-GB; dates and sums follow it.",
            "time_zone": "Such as America/Los_Angeles or Europe/Berlin.",
            "law_profile": "An aid, not legal advice: check what holds where you are.",
        }

    # The password waits for the next try on nobody's screen; everything else typed is kept.
    groups = (
        ("The shop", ("name", "address", "country", "phone", "email")),
        (
            "How it reckons",
            (
                "currency",
                "language",
                "time_zone",
                "paper_size",
                "measures",
                "line_voltage",
                "line_frequency",
                "law_profile",
            ),
        ),
        ("You, the owner", ("full_name", "username", "password", "password_again")),
        ("Numbers go on from", ("next_job", "next_invoice", "next_credit_note")),
    )

    def fieldsets(self) -> list[tuple[str, list[forms.BoundField]]]:
        """The fields in their four groups, for the template."""
        return [(title, [self[name] for name in names]) for title, names in self.groups]

    def clean_country(self) -> str:
        """Two letters, written in capitals."""
        country = str(self.cleaned_data["country"]).upper()
        if country not in Locale("en").territories or not country.isalpha():
            raise ValidationError(
                "That is no country's two-letter code; the United States are US, Germany is DE."
            )
        return country

    def clean_currency(self) -> str:
        """A currency that ISO 4217 lists."""
        currency = str(self.cleaned_data["currency"]).upper()
        if currency not in list_currencies():
            raise ValidationError("That is no currency's three-letter code, such as USD, GBP or EUR.")
        return currency

    def clean_language(self) -> str:
        """A language whose dates and sums we can write."""
        language = str(self.cleaned_data["language"])
        try:
            Locale.parse(language, sep="-")
        except (UnknownLocaleError, ValueError):
            raise ValidationError("That is no language tag we know, such as en-US or en-GB.") from None
        return language

    def clean_time_zone(self) -> str:
        """A zone of the IANA database."""
        zone = str(self.cleaned_data["time_zone"])
        if zone not in zoneinfo.available_timezones():
            raise ValidationError(
                "That is no time zone we know, such as America/Los_Angeles or Europe/Berlin."
            )
        return zone

    def clean_password_again(self) -> str:
        """The same password as above, and one that is not easily guessed."""
        password, again = self.cleaned_data.get("password"), str(self.cleaned_data["password_again"])
        if password is not None and password != again:
            raise ValidationError("The two passwords differ; type both again.")
        validate_password(again, Staff(username=self.cleaned_data.get("username", "")))
        return again

    @property
    def profile(self) -> dict[str, Any]:
        """The fields of the shop's profile; the owner's name stands in it too."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields} | {
            "owner_name": self.cleaned_data["full_name"]
        }

    @property
    def next_numbers(self) -> dict[str, int]:
        """The next number of each series."""
        return {series: self.cleaned_data[name] for series, name in SERIES.items()}
