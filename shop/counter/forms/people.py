"""What may be typed about a customer, and the sentence for what may not."""

from __future__ import annotations

from functools import cached_property
from typing import TypedDict

from django import forms
from django.core.exceptions import ValidationError

from shop.counter import queries
from shop.counter.keys import name_key, phone_key
from shop.counter.models import Customer
from shop.frame.formwork import PlainForm, TextField


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
