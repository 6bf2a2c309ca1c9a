"""The opening form: the shop's profile, its owner, and its next numbers."""

from __future__ import annotations

from django import forms

from shop.counter.actions import JOB_SERIES
from shop.frame import clock
from shop.frame.models import ShopProfile, Staff
from shop.office.actions.invoices import SERIES as BILL_SERIES
from shop.office.models import Invoice
from shop.opening.country import country_names, country_of_this_machine, customs_of, zone_in
from shop.premises.forms.people import PasswordTwiceForm
from shop.premises.forms.shop import LARGEST_NUMBER, ProfileForm

NUMBER_FIELDS = {
    JOB_SERIES: "next_job",
    BILL_SERIES[Invoice.Kind.INVOICE]: "next_invoice",
    BILL_SERIES[Invoice.Kind.CREDIT_NOTE]: "next_credit_note",
}


class CountryForm(forms.Form):
    """Where the shop is: asked first, so that the long form starts with what is usual there."""

    country = forms.ChoiceField(
        label="Country",
        choices=country_names,
        widget=forms.Select(attrs={"class": "w-middle"}),
        help_text="Currency, paper, notices, voltage and time zone start as is usual there. Each can be changed below.",
    )

    @classmethod
    def asked(cls, typed: str) -> CountryForm:
        """The form with the country that was chosen, or else the one that this machine names."""
        known = typed in dict(country_names())
        chosen = {"country": typed if known else country_of_this_machine()}
        return cls(initial=chosen, label_suffix="", auto_id="where-%s")


def first_guess(country: str) -> dict[str, object]:
    """Return what the form starts with for a shop in `country`, by what this machine says of its time zone."""
    customs = customs_of(country, clock.today())
    names = (
        "country",
        "currency",
        "paper_size",
        "measures",
        "line_voltage",
        "line_frequency",
        "law_profile",
    )
    usual = {name: getattr(customs, name) for name in names}
    place = {"time_zone": zone_in(country), "language": f"en-{customs.country}"}
    return ProfileForm.facts_of(ShopProfile()) | usual | place


def _next_number(label: str) -> forms.IntegerField:
    sentence = f"Write a whole number from 1 to {LARGEST_NUMBER:,}."
    return forms.IntegerField(
        label=label,
        initial=1,
        min_value=1,
        max_value=LARGEST_NUMBER,
        widget=forms.TextInput(attrs={"class": "w-short", "inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": sentence, "min_value": sentence, "max_value": sentence},
    )


class OpeningForm(ProfileForm, PasswordTwiceForm):
    """Everything the first run asks. A password is never written back into the page; all else that was typed is."""

    full_name = forms.CharField(
        label="Your name", max_length=120, widget=forms.TextInput(attrs={"class": "w-long"})
    )
    username = forms.CharField(
        label="Sign-in name",
        max_length=150,
        validators=[Staff.username_validator],
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    next_job = _next_number("Next job")
    next_invoice = _next_number("Next invoice")
    next_credit_note = _next_number("Next credit note")

    groups: tuple[tuple[str, tuple[str, ...]], ...] = (
        ("You, the owner", ("full_name", "username", "password", "again")),
        *ProfileForm.groups,
        ("Numbers go on from", tuple(NUMBER_FIELDS.values())),
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for name, label in (("password", "Password"), ("again", "Password, once more")):
            self.fields[name].label = label
            self.fields[name].error_messages["required"] = f"{label}: missing."
        self.fields["owner_name"].help_text = "As papers name the owner; empty, they name you as above."

    def clean(self) -> dict[str, object]:
        """The password must not resemble the name it goes with, either."""
        self.user = Staff(username=self.cleaned_data.get("username", ""))
        return super().clean()

    @property
    def profile(self) -> dict[str, object]:
        """What the profile says of the shop, as the action takes it."""
        facts = {name: self.cleaned_data[name] for name in ProfileForm.base_fields if name != "once"}
        facts["owner_name"] = facts["owner_name"] or self.cleaned_data["full_name"]
        return facts

    @property
    def next_numbers(self) -> dict[str, int]:
        """The next number of each series."""
        return {series: self.cleaned_data[name] for series, name in NUMBER_FIELDS.items()}
