"""The clock: what a stint is spent on."""

from __future__ import annotations

from django import forms

from shop.bench.forms.entry import BenchForm
from shop.bench.models import WorkKind


class StartForm(BenchForm):
    """Start the clock."""

    kind = forms.ChoiceField(label="Work", choices=WorkKind, required=False)
    under_warranty = forms.BooleanField(label="Under warranty", required=False)

    def clean_kind(self) -> str:
        """Repair, unless something else was said."""
        return self.cleaned_data["kind"] or WorkKind.REPAIR
