"""Printing labels on what the shop has: its form, and the one call that knows sheet from roll."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any, TypedDict, Unpack

from django import forms
from django.core.exceptions import ValidationError

from shop.frame.formwork import BareForm, PlainForm, TextWords
from shop.press.label_sheets import LABEL_SHEETS, roll_pdf, sheet_pdf
from shop.press.label_stock import sheet_in_use, the_label_stock
from shop.press.models import LabelStock

ROLL, SHEET = "roll", "sheet"
MOST_COPIES = 60
Facts = Callable[[float, float], Sequence[Mapping[str, Any]]]


class WhereForm(BareForm):
    """On which labels, and from which one of a sheet that was begun."""

    on = forms.ChoiceField(
        label="Printed on",
        choices=[(ROLL, "The roll"), (SHEET, "A sheet")],
        initial=ROLL,
        widget=forms.RadioSelect,
        error_messages={
            "invalid_choice": "Choose the roll or a sheet.",
            "required": "Choose the roll or a sheet.",
        },
    )
    start = forms.IntegerField(
        label="First free label",
        required=False,
        min_value=1,
        initial=1,
        help_text="Counted row by row from the top left.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "w-tiny", "autocomplete": "off"}),
        error_messages={"invalid": "Type a whole number.", "min_value": "The first label of a sheet is 1."},
    )
    copies = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=MOST_COPIES,
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "w-tiny", "autocomplete": "off"}),
        error_messages={
            "invalid": "Type a whole number.",
            "min_value": "Print one at least.",
            "max_value": f"Up to {MOST_COPIES} copies are printed at once.",
        },
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.stock = the_label_stock()
        self.sheet = sheet_in_use(self.stock)
        field: Any = self.fields["on"]
        roll = f"{self.stock.roll_width_tenths / 10:g} × {self.stock.roll_height_tenths / 10:g} mm"
        field.choices = [(ROLL, f"The roll, {roll}"), (SHEET, f"A sheet: {self.sheet.name}")]

    def clean_start(self) -> int:
        """One of the sheet's labels."""
        start = self.cleaned_data["start"] or 1
        if start > self.sheet.count:
            raise ValidationError(f"This sheet has labels 1 to {self.sheet.count}.")
        return int(start)

    def pdf(self, template: str, facts: Facts, *, title: str) -> bytes:
        """Print what `facts` says for a label of so many millimetres, as often as was asked."""
        stock, data = self.stock, self.cleaned_data
        copies = data["copies"] or 1
        if data["on"] == ROLL:
            width, height = stock.roll_width_tenths / 10, stock.roll_height_tenths / 10
            labels = [one for one in facts(width, height) for _ in range(copies)]
            return roll_pdf(template, labels, width=width, height=height, title=title)
        labels = [one for one in facts(self.sheet.width, self.sheet.height) for _ in range(copies)]
        return sheet_pdf(
            template,
            labels,
            sheet=self.sheet,
            start=data["start"],
            shift_x=stock.shift_x_tenths / 10,
            shift_y=stock.shift_y_tenths / 10,
            title=title,
        )


class MillimetresField(forms.CharField):
    """A length in millimetres with one decimal; the clean value is whole tenths."""

    def __init__(self, **kwargs: Unpack[TextWords]) -> None:
        kwargs.setdefault("max_length", 8)
        kwargs.setdefault(
            "widget",
            forms.TextInput(attrs={"inputmode": "decimal", "class": "w-short", "autocomplete": "off"}),
        )
        super().__init__(**kwargs)

    def clean(self, value: object) -> int:
        """Read the length, or say in one sentence why it can't be read."""
        text = (super().clean(value) or "").strip().replace(",", ".")
        try:
            tenths = Decimal(text or "0") * 10
        except InvalidOperation:
            raise ValidationError("Type millimeters, such as 62 or 0.5.") from None
        if not tenths.is_finite() or tenths != tenths.to_integral_value() or abs(tenths) > 10_000:
            raise ValidationError("Type millimeters with one decimal at most, such as 62 or 0.5.")
        return int(tenths)


class StockFacts(TypedDict):
    """Which labels there are, as `change_label_stock` takes it."""

    sheet: str
    shift_x_tenths: int
    shift_y_tenths: int
    roll_width_tenths: int
    roll_height_tenths: int


class LabelStockForm(PlainForm):
    """Which labels are in the printers."""

    sheet = forms.ChoiceField(
        label="Label sheets", choices=[(one.code, one.name) for one in LABEL_SHEETS.values()]
    )
    shift_x = MillimetresField(label="Move right by", required=False, help_text="Negative: to the left.")
    shift_y = MillimetresField(label="Move down by", required=False, help_text="Negative: up.")
    roll_width = MillimetresField(label="Roll: width of a label")
    roll_height = MillimetresField(label="Roll: length of a label")

    def facts(self) -> StockFacts:
        """The labels that were typed, lengths in tenths of a millimetre."""
        data = self.cleaned_data
        return {
            "sheet": data["sheet"],
            "shift_x_tenths": data["shift_x"],
            "shift_y_tenths": data["shift_y"],
            "roll_width_tenths": data["roll_width"],
            "roll_height_tenths": data["roll_height"],
        }

    @staticmethod
    def facts_of(stock: LabelStock) -> dict[str, str]:
        """What the form shows of the labels that there are."""
        lengths = ("shift_x", "shift_y", "roll_width", "roll_height")
        return {"sheet": sheet_in_use(stock).code} | {
            name: f"{getattr(stock, f'{name}_tenths') / 10:g}" for name in lengths
        }
