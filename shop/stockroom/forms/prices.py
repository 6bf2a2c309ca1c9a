"""The form of a price rule: up to six bands of cost, each with its mark-up."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from shop.frame.formwork import PlainForm, UnitPriceField
from shop.stockroom.actions.suppliers import MOST_PER_CENT
from shop.stockroom.forms.fields import WholeField
from shop.stockroom.models import PriceRule

BANDS = 6


class PriceRuleForm(PlainForm):
    """From a day on: up to such a cost, so many per cent. The last band used has no upper end."""

    from_date = forms.DateField(
        label="From",
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={"invalid": "Choose a day, such as 2026-07-01."},
    )
    rounding = forms.ChoiceField(
        label="Round the price",
        choices=PriceRule.Rounding,
        initial=PriceRule.Rounding.FIVE,
        widget=forms.RadioSelect,
    )

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        for at in range(BANDS):
            self.fields[f"top{at}"] = UnitPriceField(required=False, label=f"Band {at + 1}: cost up to")
            self.fields[f"markup{at}"] = WholeField(
                required=False, least=0, most=MOST_PER_CENT, example="60", label=f"Band {at + 1}: mark-up"
            )

    def rows(self) -> list[dict[str, Any]]:
        """The bands with their two controls, for the template."""
        return [{"at": at + 1, "top": self[f"top{at}"], "markup": self[f"markup{at}"]} for at in range(BANDS)]

    def clean_from_date(self) -> dt.date:
        """A day that the program can still count."""
        day: dt.date = self.cleaned_data["from_date"]
        if not 1980 <= day.year <= 2100:
            raise forms.ValidationError("Choose a day between 1980 and 2100.")
        return day

    def clean(self) -> dict[str, object]:
        """Each band has a mark-up, and the last one goes on without end."""
        data = super().clean() or self.cleaned_data
        bands = [(data.get(f"top{at}"), data.get(f"markup{at}"), at) for at in range(BANDS)]
        used = [(top, markup, at) for top, markup, at in bands if top is not None or markup is not None]
        if not used:
            self.add_error("markup0", "Type at least one mark-up.")
        for top, markup, at in used:
            if markup is None and f"markup{at}" not in self.errors:
                self.add_error(f"markup{at}", "Type its mark-up.")
            if top is None and at != used[-1][2] and f"top{at}" not in self.errors:
                self.add_error(f"top{at}", "Only the last band has no upper end.")
        if used and used[-1][0] is not None:
            self.add_error(
                f"top{used[-1][2]}", "Leave the last band’s end empty, so that no cost lies beyond all bands."
            )
        return data

    def bands(self) -> list[tuple[int | None, int]]:
        """The bands as `add_price_rule` takes them."""
        data = self.cleaned_data
        return [
            (data[f"top{at}"], data[f"markup{at}"]) for at in range(BANDS) if data[f"markup{at}"] is not None
        ]
