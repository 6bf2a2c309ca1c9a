"""What a round at the end of a month is asked for, and what its next turn takes along."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from shop.frame.formwork import PlainForm, whole_number
from shop.office.forms.figures import PeriodForm
from shop.office.forms.rules import DayField
from shop.office.rounds import MOST_IN_A_ROUND


class TurnForm(PlainForm):
    """What a round is asked for: the drafts that were ticked, or the time of the statements."""

    starts = DayField(label="From", required=False)
    ends = DayField(label="Until", required=False)

    def keys(self) -> list[int]:
        """The keys sent; what is none is left out."""
        sent: Any = self.data
        keys = (whole_number(key) for key in sent.getlist("key")[:MOST_IN_A_ROUND])
        return [key for key in keys if key is not None]

    def clean(self) -> dict[str, object]:
        """In order."""
        data = super().clean() or self.cleaned_data
        starts, ends = data.get("starts"), data.get("ends")
        if starts and ends and ends < starts:
            self.add_error("ends", "The period ends before it starts.")
        return data

    def period(self, otherwise: tuple[dt.date, dt.date]) -> tuple[dt.date, dt.date]:
        """From when until when."""
        return self.cleaned_data["starts"] or otherwise[0], self.cleaned_data["ends"] or otherwise[1]


KINDS = {
    "invoices": ("Invoices and credit notes", ("invoice", "credit_note")),
    "reminders": ("Reminders", ("reminder",)),
    "statements": ("Statements", ("statement",)),
    "receipts": ("Receipts", ("receipt",)),
}


class PapersForm(PeriodForm):
    """Issued papers of a kind and a time, to be handed out in one file."""

    kind = forms.ChoiceField(label="Which", choices=[(key, words) for key, (words, _) in KINDS.items()])

    field_order = ("kind", "starts", "ends")

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of papers that were asked for."""
        return KINDS[self.cleaned_data["kind"]][1]
