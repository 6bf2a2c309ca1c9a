"""What every form of the bench has: its own entry id, and when it was filled in."""

from __future__ import annotations

import datetime as dt

from django import forms

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.formwork import PlainForm

LATEST_MOMENT = 32_503_680_000_000  # milliseconds until the year 3000; datetimes end in 9999
LONGEST_UNSENT = dt.timedelta(days=60)


class BenchForm(PlainForm):
    """A form of the bench page of `job`. Its key is the entry's own id, so that a tablet may send it again.

    `noted` is when the person filled it in, in milliseconds since 1970: a tablet without network sends its notes later. The
    tablet reckons it by the server's clock, which it asks before it sends, because its own may be wrong.
    """

    noted = forms.IntegerField(required=False, min_value=0, max_value=LATEST_MOMENT, widget=forms.HiddenInput)

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.job = job

    @property
    def at(self) -> dt.datetime | None:
        """When it was filled in; None for now. Never in the future, nor before the job was booked in."""
        noted = self.cleaned_data.get("noted")
        if not noted:
            return None
        now = clock.now()
        earliest = max(now - LONGEST_UNSENT, self.job.booked_in_at or now - LONGEST_UNSENT)
        return min(max(dt.datetime.fromtimestamp(noted / 1000, tz=dt.UTC), earliest), now)
