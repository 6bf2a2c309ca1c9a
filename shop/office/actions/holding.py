"""Rows held for an act that adds money up: whoever comes second waits, and adds up what the first one wrote."""

from __future__ import annotations

from collections.abc import Iterable

from shop.counter.models import Job
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal


def hold_jobs(jobs: Iterable[Job]) -> None:
    """Hold the rows of these jobs until the act ends, in the order of their ids so that no two acts wait for each other.

    On SQLite an act holds the whole book from its first statement on.
    """
    wanted = {job.pk for job in jobs}
    list(Job.objects.select_for_update().filter(pk__in=wanted).order_by("pk").values_list("pk"))


def refuse_other_currency(job: Job) -> None:
    """A job that was taken in while the shop reckoned in another currency: its sums and the shop's rates don't mix."""
    shops = the_profile().currency
    if job.currency != shops:
        raise Refusal(
            f"{job.number} was taken in in {job.currency}, and the shop works in {shops} now. Set the shop’s currency "
            f"back to {job.currency} until its jobs are settled."
        )
