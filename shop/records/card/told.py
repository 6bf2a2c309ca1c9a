"""The journal of a job in words."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from shop.counter.models import Job
from shop.frame.models import JournalEntry
from shop.frame.wording import sentence_of


@dataclass(frozen=True, slots=True)
class Told:
    """One entry of the journal, in words."""

    at: dt.datetime
    sentence: str
    who: str
    is_stage: bool


def journal_of(job: Job) -> list[Told]:
    """What was done, by whom, in order."""
    entries = JournalEntry.objects.filter(touches__job_id=job.pk).select_related("staff")
    return [
        Told(
            entry.at,
            sentence_of(entry),
            (entry.staff.get_full_name() or entry.staff.username) if entry.staff else "",
            "to_stage" in entry.data,
        )
        for entry in entries.order_by("sequence")
    ]
