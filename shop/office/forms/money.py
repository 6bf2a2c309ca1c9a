"""Money that comes in or goes back."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypedDict

from django import forms

from shop.frame import spelling
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.office.models import InvoiceLine, Payment


class PaymentFacts(TypedDict):
    """Money that came in, as `take_payment` takes it."""

    amount_minor: int
    how: str
    reference: str
    note: str


class PaymentForm(PlainForm):
    """A payment on an invoice, or a deposit on a job."""

    amount = SumField(least_minor=1)
    how = forms.ChoiceField(
        choices=Payment.How, initial=Payment.How.CASH, widget=forms.Select(attrs={"class": "w-short"})
    )
    reference = forms.CharField(
        required=False, max_length=80, widget=forms.TextInput(attrs={"class": "w-middle"})
    )
    note = forms.CharField(required=False, max_length=200, label="Note on the receipt")

    def facts(self) -> PaymentFacts:
        """The payment that was typed."""
        data = self.cleaned_data
        return {
            "amount_minor": data["amount"],
            "how": data["how"],
            "reference": data["reference"],
            "note": data["note"],
        }


class RefundFacts(TypedDict):
    """Money paid back, as `refund` takes it."""

    amount_minor: int
    how: str
    note: str


class RefundForm(PlainForm):
    """Money paid back."""

    amount = SumField(least_minor=1)
    how = forms.ChoiceField(
        choices=Payment.How, initial=Payment.How.CASH, widget=forms.Select(attrs={"class": "w-short"})
    )
    note = forms.CharField(required=False, max_length=200, label="Why it is paid back")

    def facts(self) -> RefundFacts:
        """The sum that was typed."""
        data = self.cleaned_data
        return {
            "amount_minor": data["amount"],
            "how": data["how"],
            "note": data["note"],
        }


class CreditFacts(TypedDict):
    """What is credited, as `credit` takes it."""

    note: str
    lines: list[int]
    free: list[int]


class CreditForm(PlainForm):
    """Why an invoice is credited, which of its lines are taken back, and what of them may be charged again."""

    lines = forms.TypedMultipleChoiceField(
        label="Taken back", coerce=int, required=False, widget=forms.CheckboxSelectMultiple
    )
    free = forms.TypedMultipleChoiceField(
        label="May be charged on another invoice",
        coerce=int,
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Uncheck what is given for nothing: its hours and parts come on no invoice again.",
    )
    note = TextField(
        rows=2, max_length=1000, label="Why it is credited", help_text="Stands on the credit note."
    )

    def __init__(self, *args: object, lines: Sequence[InvoiceLine], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.offered = [line.pk for line in lines]
        for name, mine in (("lines", lines), ("free", [line for line in lines if line.sources])):
            field: Any = self.fields[name]
            field.choices = [(line.pk, f"{line.description}, {spelling.money(line.amount)}") for line in mine]
            field.initial = [line.pk for line in mine]

    def facts(self) -> CreditFacts:
        """What was ticked; a form without ticks takes the whole back and sets it free."""
        data = self.cleaned_data
        ticked = self.add_prefix("lines") in self.data or self.add_prefix("free") in self.data
        return {
            "note": data["note"],
            "lines": data["lines"] if ticked else self.offered,
            "free": data["free"] if ticked else self.offered,
        }


class ReleaseForm(PlainForm):
    """Why a unit may leave with a balance open."""

    reason = TextField(
        rows=2, max_length=1000, label="Why it is released unpaid", help_text="For the shop only."
    )
