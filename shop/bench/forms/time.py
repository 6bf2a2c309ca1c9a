"""The clock: what a stint is spent on."""

from __future__ import annotations

import datetime as dt
from typing import Any, Unpack

from django import forms
from django.utils import timezone

from shop.bench.forms.entry import BenchForm
from shop.bench.models import WorkKind
from shop.frame.formwork import FieldWords, PlainForm


class StartForm(BenchForm):
    """Start the clock."""

    kind = forms.ChoiceField(label="Work", choices=WorkKind, required=False)
    under_warranty = forms.BooleanField(label="Under warranty", required=False)

    def clean_kind(self) -> str:
        """Repair, unless something else was said."""
        return self.cleaned_data["kind"] or WorkKind.REPAIR


class MomentField(forms.DateTimeField):
    """A moment in the shop's time zone, as the browser's own control writes it."""

    def __init__(self, **kwargs: Unpack[FieldWords]) -> None:
        widget = forms.DateTimeInput(attrs={"type": "datetime-local", "step": "1"})
        kwargs.setdefault("widget", widget)
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> dt.datetime | None:
        """Read it; a moment that the clocks skip or repeat is taken as the first of the two."""
        moment: dt.datetime | None = super().to_python(value)
        return moment if moment is None or timezone.is_aware(moment) else timezone.make_aware(moment)


class MendStintForm(PlainForm):
    """The times of a stint, corrected by hand."""

    started_at = MomentField(
        label="It began",
        error_messages={"required": "Say when it began.", "invalid": "Type the date and the time of day."},
    )
    stopped_at = MomentField(
        label="It ended",
        error_messages={"required": "Say when it ended.", "invalid": "Type the date and the time of day."},
    )
    kind = forms.ChoiceField(label="Work", choices=WorkKind, required=False)
