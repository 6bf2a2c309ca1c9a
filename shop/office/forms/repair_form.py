"""What the EU repair information form says of the repair (Directive (EU) 2024/1799, Annex I)."""

from __future__ import annotations

from typing import TypedDict

from django import forms

from shop.counter.models import Job
from shop.frame.formwork import PlainForm, SumField, TextField
from shop.frame.profile import the_profile
from shop.handbook.law import REPAIR_FORM_DAYS


class RepairFormFacts(TypedDict):
    """The conditions of a repair, as `give_repair_form` takes them."""

    defect: str
    repair_kind: str
    price_minor: int
    price_is_most: bool
    price_how: str
    days_needed: int
    replacement: str
    handover_place: str
    further_services: str
    valid_days: int
    more: str


class RepairFormForm(PlainForm):
    """The conditions that the customer is given and that then stand."""

    defect = TextField(rows=2, max_length=2000, label="Nature of the defect")
    repair_kind = TextField(rows=2, max_length=2000, label="Type of repair suggested")
    price = SumField(label="Price, tax included")
    price_is_most = forms.BooleanField(
        required=False, label="It is the most that the price can come to, not the price itself"
    )
    price_how = forms.CharField(
        required=False, max_length=300, label="How the price is calculated", help_text="Where it isn’t fixed."
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
        label="Valid for so many days",
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

    def clean(self) -> dict[str, object]:
        """A price that isn’t fixed says how it is reckoned."""
        data = super().clean() or self.cleaned_data
        if data.get("price_is_most") and not data.get("price_how"):
            self.add_error("price_how", "Say how the price is calculated where only the most is known.")
        return data

    def facts(self) -> RepairFormFacts:
        """The conditions that were typed."""
        data = self.cleaned_data
        return {
            "defect": data["defect"],
            "repair_kind": data["repair_kind"],
            "price_minor": data["price"],
            "price_is_most": data["price_is_most"],
            "price_how": data["price_how"],
            "days_needed": data["days_needed"],
            "replacement": data["replacement"],
            "handover_place": data["handover_place"],
            "further_services": data["further_services"],
            "valid_days": data["valid_days"],
            "more": data["more"],
        }
