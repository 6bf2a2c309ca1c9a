"""What the EU repair information form says of the repair (Directive (EU) 2024/1799, Annex I)."""

from __future__ import annotations

from typing import Any

from django import forms

from shop.counter.models import Job
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.handbook.law import REPAIR_FORM_DAYS


class RepairFormForm(PlainForm):
    """The conditions that the customer is given and that then stand."""

    defect = TextField(rows=2, max_length=2000, label="Nature of the defect")
    repair_kind = TextField(rows=2, max_length=2000, label="Type of repair suggested")
    price = SumField(label="Price, tax included")
    price_is_most = forms.BooleanField(
        required=False, label="It is the most that the price can come to, not the price itself"
    )
    price_how = forms.CharField(
        required=False, max_length=300, label="How the price is reckoned", help_text="Where it isn’t fixed."
    )
    days_needed = forms.IntegerField(
        min_value=1,
        max_value=999,
        label="Days from the contract until it is done",
        widget=forms.NumberInput(attrs={"class": "w-short"}),
    )
    replacement = forms.CharField(
        required=False, max_length=300, label="Temporary replacement and its cost", help_text="Empty: none."
    )
    handover_place = forms.CharField(max_length=300, label="Place where the unit is handed over")
    further_services = forms.CharField(
        required=False,
        max_length=500,
        label="Further services, each with its cost",
        help_text="Removal, installation, transport. Empty: none.",
    )
    valid_days = forms.IntegerField(
        min_value=REPAIR_FORM_DAYS,
        max_value=365,
        initial=REPAIR_FORM_DAYS,
        label="Stands for so many days",
        widget=forms.NumberInput(attrs={"class": "w-short"}),
    )
    more = TextField(required=False, rows=2, max_length=2000, label="Additional information")

    @classmethod
    def of(cls, job: Job) -> RepairFormForm:
        """Begun with what is known."""
        return cls(
            initial={
                "defect": job.complaint,
                "handover_place": ", ".join(the_profile().address.splitlines()),
            }
        )

    def clean(self) -> dict[str, Any]:
        """A price that isn’t fixed says how it is reckoned."""
        data = super().clean() or self.cleaned_data
        if data.get("price_is_most") and not data.get("price_how"):
            self.add_error("price_how", "Say how the price is reckoned where only the most is known.")
        return data

    def facts(self) -> dict[str, Any]:
        """The keyword arguments of `give_repair_form`."""
        data = {name: value for name, value in self.cleaned_data.items() if name not in {"once", "price"}}
        return {**data, "price_minor": self.cleaned_data["price"]}
