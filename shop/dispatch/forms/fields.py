"""Fields that dispatch's forms share."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Unpack

from django import forms
from django.core.exceptions import ValidationError

from shop.frame.formwork import DigitsField, TextWords
from shop.frame.models import Measures
from shop.frame.profile import the_profile
from shop.handbook.parcels import ParcelError, Size, Weight, parse_size, parse_weight


def plain_text(css: str = "", **attrs: str) -> forms.TextInput:
    """A text control without the browser's own guesses."""
    return forms.TextInput(attrs={"autocomplete": "off", **({"class": css} if css else {}), **attrs})


class NumberField(DigitsField):
    """A number above zero; None when left empty."""

    longest = 12
    most = Decimal(9_999_999)
    unreadable = "Type a number, such as 139 or 108."
    beyond = "Type a number above zero."

    def clean(self, value: object) -> Decimal | None:
        """Read the number, or say in one sentence why it can't be right."""
        text = (super().clean(value) or "").strip().replace(",", ".")
        if not text:
            return None
        try:
            number = Decimal(text)
        except InvalidOperation:
            raise ValidationError(self.unreadable) from None
        if not number.is_finite() or not 0 < number <= self.most:
            raise ValidationError(self.beyond)
        return number


class MeasureField(NumberField):
    """A length or weight in the shop's measure; more than nothing. None when left empty."""

    most = Decimal(1000)
    unreadable = "Type a number, such as 24 or 24.5."
    beyond = "This is more than nothing and at most 1,000."


class SizeField(forms.CharField):
    """Three sides with an x between, in the shop's measure unless a unit is typed."""

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("max_length", 60)
        kwargs.setdefault("widget", plain_text("w-middle"))
        super().__init__(**kwargs)

    def clean(self, value: object) -> Size | None:
        """Read the size, or say in one sentence why it can't be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_size(text, "in" if the_profile().measures == Measures.IMPERIAL else "cm")
        except ParcelError as error:
            raise ValidationError(str(error)) from error


class WeightField(forms.CharField):
    """A weight: `12.5`, `12 lb 8 oz`, `5.4 kg`; in the shop's measure unless a unit is typed."""

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("max_length", 30)
        kwargs.setdefault("widget", plain_text("w-short"))
        super().__init__(**kwargs)

    def clean(self, value: object) -> Weight | None:
        """Read the weight, or say in one sentence why it can't be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_weight(text, "lb" if the_profile().measures == Measures.IMPERIAL else "kg")
        except ParcelError as error:
            raise ValidationError(str(error)) from error


class CountryField(forms.CharField):
    """An ISO 3166 code of two letters; the clean value is in capitals."""

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("max_length", 2)
        kwargs.setdefault("widget", plain_text("w-tiny", autocapitalize="characters"))
        super().__init__(**kwargs)

    def clean(self, value: object) -> str:
        """Two letters, or nothing."""
        text = (super().clean(value) or "").upper()
        if text and not (len(text) == 2 and text.isascii() and text.isalpha()):
            raise ValidationError("Two letters, such as DE or GB.")
        return text
