"""Fields that the stockroom's forms share."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Unpack

from django import forms
from django.core.exceptions import ValidationError

from shop.frame import spelling
from shop.frame.formwork import QuantityField, TextWords
from shop.stockroom import queries
from shop.stockroom.models import Part, PartState


class CountField(QuantityField):
    """How many lie there: none is an answer too. Left empty, nobody has looked."""

    def clean(self, value: object) -> int | None:
        """Read the count in thousandths; None for an empty field."""
        typed = str(value or "").strip()
        if typed and typed.strip("0") in {"", ".", ","}:
            return 0
        if typed[:1] in {"-", "−"}:
            raise ValidationError("This is none or more.")
        return super().clean(value)


class WholeField(forms.IntegerField):
    """A whole number between two ends, with one sentence for what is none of them."""

    def __init__(self, *, least: int, most: int, example: str, css: str = "w-tiny", **kwargs: Any) -> None:
        range_said = f"This is between {least} and {most}."
        kwargs.setdefault("widget", plain_text(css, inputmode="numeric"))
        super().__init__(
            min_value=least,
            max_value=most,
            error_messages={
                "invalid": f"Type a whole number, such as {example}.",
                "min_value": range_said,
                "max_value": range_said,
            },
            **kwargs,
        )


class PartNumberField(forms.CharField):
    """Another part, by its number as it stands on its drawer; the clean value is the part."""

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("max_length", 40)
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"class": "w-short", "autocomplete": "off", "spellcheck": "false"}),
        )
        super().__init__(**kwargs)

    def clean(self, value: object) -> Part | None:
        """Find the part, or say that there is none."""
        typed = super().clean(value)
        if not typed:
            return None
        part = queries.part_numbered(typed)
        if part is None:
            raise ValidationError(
                f"There is no part {typed[:40]}. Type its number as it stands on the drawer."
            )
        return part


def state_field(**kwargs: Any) -> forms.ChoiceField:
    """New, used, exchanged or salvaged."""
    return forms.ChoiceField(
        label="State", choices=PartState, initial=PartState.NEW, widget=forms.RadioSelect, **kwargs
    )


def plain_text(css: str = "", **attrs: str) -> forms.TextInput:
    """A text control without the browser's own guesses."""
    return forms.TextInput(attrs={"autocomplete": "off", **({"class": css} if css else {}), **attrs})


def quantity_typed(thousandths: int | None) -> str:
    """A quantity as one types it; empty for none."""
    return "" if thousandths is None else spelling.typed(f"{Decimal(thousandths).scaleb(-3).normalize():f}")


def price_typed(ten_thousandths: int | None) -> str:
    """A price as one types it, with two decimals at least; empty for none."""
    if ten_thousandths is None:
        return ""
    whole, rest = divmod(ten_thousandths, 10_000)
    return spelling.typed(f"{whole}.{f'{rest:04d}'.rstrip('0').ljust(2, '0')}")
