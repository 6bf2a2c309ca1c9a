"""What decides how the work of a job is priced: its stints, flat prices, a contract that sends it out of the state."""

from __future__ import annotations

from typing import Any, Unpack

from django import forms

from shop.bench.models import Stint, WorkKind
from shop.frame.formwork import FieldWords, PlainForm
from shop.office.models import FlatPrice


class MomentField(forms.DateTimeField):
    """A day and a time as the browser sends them, in the shop's time zone."""

    def __init__(self, **kwargs: Unpack[FieldWords]) -> None:
        look = {"type": "datetime-local", "class": "w-middle"}
        kwargs.setdefault("widget", forms.DateTimeInput(attrs=look, format="%Y-%m-%dT%H:%M"))
        super().__init__(**kwargs)


class StintForm(PlainForm):
    """The times of a stint, put right by whoever knows them. One that still runs has no stop yet."""

    started_at = MomentField(label="Started")
    stopped_at = MomentField(label="Really stopped")
    kind = forms.ChoiceField(choices=WorkKind, label="Spent on")

    @classmethod
    def of(cls, stint: Stint) -> StintForm:
        """Filled in with what is written, under a prefix of its own."""
        return cls(
            prefix=f"s{stint.pk}",
            initial={
                "started_at": stint.started_at,
                "stopped_at": stint.stopped_at,
                "kind": stint.kind,
            },
        )


class FlatChoiceForm(PlainForm):
    """A flat price for this job."""

    flat = forms.ModelChoiceField(
        queryset=FlatPrice.objects.filter(retired_at__isnull=True).order_by("name"),
        label="Flat price",
        empty_label=None,
        widget=forms.Select(attrs={"class": "w-middle"}),
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["flat"]
        # asked once: a select draws its choices more than once
        field.choices = [(flat.pk, field.label_from_instance(flat)) for flat in field.queryset]


class OutOfStateForm(PlainForm):
    """The contract that has the unit shipped out of the state."""

    contract = forms.CharField(
        required=False,
        max_length=120,
        label="Contract to ship it out of the state",
        help_text="What was agreed and when, such as “ship to Reno, letter of 3 May”. Empty: none.",
    )
