"""What every form of the bench has: its own entry id, and how long ago it was filled in."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django import forms

from shop.counter.models import Job
from shop.premises import clock
from shop.premises.formwork import PlainForm

LONGEST_UNSENT = dt.timedelta(days=60)


class BenchForm(PlainForm):
    """A form of the bench page of `job`. Its key is the entry's own id, so that a tablet may send it again.

    `age` is how many seconds ago the person filled it in: a tablet without network sends its notes later. An age is sent
    and not a time of day, because the device's clock may be wrong.
    """

    age = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)

    def __init__(self, *args: Any, job: Job, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.job = job
        self.fields["age"].widget.attrs["data-age"] = ""

    @property
    def at(self) -> dt.datetime | None:
        """When it was filled in; None for now. Never before the job was booked in."""
        age = self.cleaned_data.get("age")
        if not age:
            return None
        now = clock.now()
        earliest = max(now - LONGEST_UNSENT, self.job.booked_in_at or now - LONGEST_UNSENT)
        return max(now - dt.timedelta(seconds=min(age, LONGEST_UNSENT.total_seconds())), earliest)

    def values(self) -> dict[str, Any]:
        """The clean values as the keyword arguments of this form's action; call once the form is valid."""
        return {name: value for name, value in self.cleaned_data.items() if name not in {"once", "age"}}
