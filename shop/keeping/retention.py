"""The end of a paper's retention: its file is deleted, and whatever named a person in the rows behind it is erased with it.

One act for each paper. What stands behind a paper lies in the rooms above; they hang up how it is erased with `ends_with`.
Number, title and hash stay, and so do the sums: the seals of the rows still hold without what was erased.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from django.core.files.storage import default_storage
from django.db import transaction

from shop.frame import clock
from shop.frame.journal import Act, acting
from shop.frame.once import keyless
from shop.keeping.models import IssuedPaper
from shop.keeping.night import Night

Erase = Callable[[Act, IssuedPaper], None]

_ends_with: list[Erase] = []


def ends_with(erase: Erase) -> None:
    """Have a room above erase what named a person in the rows that a paper was made of; it calls this in its `apps.py`."""
    if erase not in _ends_with:
        _ends_with.append(erase)


@keyless("clock")
def end_retention(night: Night) -> None:
    """End the retention of papers whose last day has passed."""
    due = IssuedPaper.objects.filter(keep_until__lt=clock.day_of(night.at), deleted_at=None)
    gone = 0
    for paper in list(due):
        name = paper.file.name
        with acting(by=None, at=night.at) as act:
            IssuedPaper.objects.filter(pk=paper.pk).update(file="", deleted_at=night.at)
            act.record("paper.deleted", subject=paper, sha256=paper.sha256)
            for erase in _ends_with:
                erase(act, paper)
            transaction.on_commit(partial(default_storage.delete, name or ""))
        gone += 1
    night.note(
        gone, "One paper reached the end of its retention.", "{} papers reached the end of their retention."
    )
