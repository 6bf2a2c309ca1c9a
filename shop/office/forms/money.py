"""Money that comes in or goes back."""

from __future__ import annotations

from typing import TypedDict

from django import forms

from shop.frame.formwork import PlainForm, SumField, TextField
from shop.office.models import Payment


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


class CreditForm(PlainForm):
    """Why an invoice is credited."""

    note = TextField(
        rows=2, max_length=1000, label="Why it is credited", help_text="Stands on the credit note."
    )


class ReleaseForm(PlainForm):
    """Why a unit may leave with a balance open."""

    reason = TextField(
        rows=2, max_length=1000, label="Why it may leave unpaid", help_text="For the shop only."
    )
