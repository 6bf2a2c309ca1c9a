"""What all forms of the house share: taken once, sums in the shop's money, and refusals at their field."""

from __future__ import annotations

import uuid
from typing import Any, TypedDict, TypeVar, Unpack

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxLengthValidator

from shop.frame import spelling
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.money import Money, MoneyError, UnitPrice

LONGEST_TEXT = 20_000  # characters in one text field: some ten printed pages
LARGEST_SUM_MINOR = 10**12
T = TypeVar("T")


class Unlabelled(TypedDict, total=False):
    """What a field is told when it is made, whatever its kind, besides its label."""

    help_text: str
    required: bool
    initial: object
    widget: forms.Widget | type[forms.Widget]
    error_messages: dict[str, str]


class FieldWords(Unlabelled, total=False):
    """The same with its label."""

    label: str


class TextWords(FieldWords, total=False):
    """The same of a field in which text is typed."""

    max_length: int
    min_length: int


class BareForm(forms.Form):
    """A form that only asks, and keeps nothing: labels without a colon."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)


class PlainForm(BareForm):
    """A form that is taken once: its hidden key goes to the action, and a second click is answered with the first's result."""

    once = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("once", uuid.uuid4())
        for name, field in self.fields.items():
            _speak_plainly(field)
            if (
                isinstance(field, forms.CharField)
                and not isinstance(field, forms.UUIDField)
                and field.max_length is None
            ):
                _limit(field, LONGEST_TEXT)
            if field.required:
                said = field.error_messages.get("required", "")
                if said == "This field is required.":
                    field.error_messages["required"] = (
                        f"{field.label or name.replace('_', ' ').capitalize()} is missing."
                    )

    @property
    def once_key(self) -> uuid.UUID | None:
        """The key of this very form, for the action that takes it."""
        return self.cleaned_data.get("once")

    @property
    def key_sent(self) -> str:
        """The key as it was sent, also in a form that is wrong."""
        return str(self["once"].value() or "")

    def refuse(self, refusal: Refusal) -> None:
        """Show a refusal at the field that it names, or above the form."""
        self.add_error(refusal.field if refusal.field in self.fields else None, refusal.sentence)


TOO_LONG = "This is %(show_value)s characters long; up to %(limit_value)s fit."
NOT_OFFERED = "Choose one of those that are offered. This page may be older than the shop: load it again."


def _speak_plainly(field: forms.Field) -> None:
    """Say in the house's own words what Django says for programmers, unless the field has words of its own."""
    for at, validator in enumerate(field.validators):
        if isinstance(validator, MaxLengthValidator) and not isinstance(validator.message, str):
            field.validators[at] = MaxLengthValidator(validator.limit_value, TOO_LONG)
    for code in ("invalid_choice", "invalid_pk_value"):
        said = str(field.error_messages.get(code, ""))
        if said.startswith(("Select a valid choice", "“%(pk)s” is not a valid value")):
            field.error_messages[code] = NOT_OFFERED


def _limit(field: forms.CharField, length: int) -> None:
    field.max_length = length

    def check(value: str) -> None:
        if len(value) > length:
            raise ValidationError(f"This is {len(value):,} characters long; up to {length:,} fit.")

    field.validators.append(check)


class TextField(forms.CharField):
    """Several lines of plain text."""

    def __init__(self, *, rows: int = 3, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("widget", forms.Textarea(attrs={"rows": rows}))
        super().__init__(**kwargs)


class DigitsField(forms.CharField):
    """A number in a short box, for which a tablet offers its digits; what is typed is read by who derives from it."""

    longest = 20

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("max_length", self.longest)
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"inputmode": "decimal", "class": "w-short", "autocomplete": "off"}),
        )
        super().__init__(**kwargs)


class MoneyField(DigitsField):
    """Money in a box of its own: an initial value of it is shown as one types it here."""

    longest = 30

    def prepare_value(self, value: object) -> object:
        """What the box shows: a sum as one types it here, and what somebody typed as it is."""
        return spelling.typed(value) if isinstance(value, Money | UnitPrice) else value


class SumField(MoneyField):
    """A sum of the shop's money as typed (`1,250.00`, `85`); its clean value is whole minor units, or None.

    Its initial value may be a `Money`, which is shown as one types it here: `85,00` where the comma is the mark.
    """

    def __init__(self, *, least_minor: int = 0, **kwargs: Unpack[TextWords]) -> None:
        self.least_minor = least_minor
        super().__init__(**kwargs)

    def clean(self, value: object) -> int | None:
        """Read the sum, or say in one sentence why it can't be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            money = Money.parse(text, the_profile().currency, spelling.decimal_mark())
        except MoneyError as error:
            raise ValidationError(str(error)) from error
        if money.minor < self.least_minor:
            raise ValidationError(
                "This can't be less than nothing." if self.least_minor == 0 else "This is too little."
            )
        if money.minor > LARGEST_SUM_MINOR:
            raise ValidationError("This is more money than a repair can cost.")
        return money.minor


class UnitPriceField(MoneyField):
    """A price per unit as typed, up to four decimals; its clean value is whole ten-thousandths, or None.

    Its initial value may be a `UnitPrice`, which is shown as one types it here.
    """

    def clean(self, value: object) -> int | None:
        """Read the price, or say in one sentence why it can't be read."""
        text = super().clean(value)
        if not text:
            return None
        try:
            price = UnitPrice.parse(text, the_profile().currency, spelling.decimal_mark())
        except MoneyError as error:
            raise ValidationError(str(error)) from error
        if price.ten_thousandths < 0:
            raise ValidationError("A price can't be less than nothing.")
        if price.ten_thousandths > LARGEST_SUM_MINOR * 100:
            raise ValidationError("This is more money than a repair can cost.")
        return price.ten_thousandths


class QuantityField(DigitsField):
    """How many or how much, up to three decimals; its clean value is whole thousandths, more than none."""

    def clean(self, value: object) -> int | None:
        """Read the quantity, or say in one sentence why it can't be read."""
        text = (super().clean(value) or "").strip().replace(",", ".")
        if not text:
            return None
        if text[0] in "-−" and text[1:].replace(".", "", 1).isdecimal():
            raise ValidationError("The quantity is more than nothing.")
        whole, _, part = text.partition(".")
        if not (whole + part).isascii() or not (whole or "0").isdigit() or (part and not part.isdigit()):
            raise ValidationError("Type the quantity as a number, such as 2 or 0.5.")
        if len(part) > 3:
            raise ValidationError("Up to three decimals of a quantity are kept.")
        thousandths = int(whole or "0") * 1000 + int(part.ljust(3, "0") or "0")
        if thousandths <= 0:
            raise ValidationError("The quantity is more than nothing.")
        if thousandths > 10**9:
            raise ValidationError("That is more than a million; check the quantity.")
        return thousandths


def whole_number(sent: str, *, digits: int = 18) -> int | None:
    """A plain whole number of up to so many digits, as a form or an address sends an id or a count; None for anything else.

    Eighteen digits fit the database; of some thousand Python makes no number any more.
    """
    return int(sent) if sent.isascii() and sent.isdigit() and len(sent) <= digits else None
