"""Rows held for an act that adds money up: whoever comes second waits, and adds up what the first one wrote."""

from __future__ import annotations

from collections.abc import Iterable

from shop.counter.models import Job


def hold_jobs(jobs: Iterable[Job]) -> None:
    """Hold the rows of these jobs until the act ends, in the order of their ids so that no two acts wait for each other.

    On SQLite an act holds the whole book from its first statement on.
    """
    wanted = {job.pk for job in jobs}
    list(Job.objects.select_for_update().filter(pk__in=wanted).order_by("pk").values_list("pk"))
