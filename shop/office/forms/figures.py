"""Which period the figures are of."""

from __future__ import annotations

import datetime as dt

from shop.frame.formwork import PlainForm
from shop.office.forms.rules import DayField

LONGEST = dt.timedelta(days=10 * 366)


class PeriodForm(PlainForm):
    """From a day until a day."""

    starts = DayField(label="From")
    ends = DayField(label="Until")

    def clean(self) -> dict[str, object]:
        """In order, and not longer than ten years."""
        data = super().clean() or self.cleaned_data
        starts, ends = data.get("starts"), data.get("ends")
        if starts and ends and ends < starts:
            self.add_error("ends", "The period ends before it starts.")
        elif starts and ends and ends - starts > LONGEST:
            self.add_error("ends", "Ten years at most.")
        return data
