"""The history in the Open Repair Data Standard, for publishing: ended jobs, with personal data removed.

A record that somebody else published and that was brought in as a job goes out as theirs: their name, number, country, category
and barrier. It is never published as the shop's own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shop.bench.models import Conclusion
from shop.counter.models import Job
from shop.counter.stages import END_WITH_OUTCOME
from shop.frame.clock import day_of
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook import openrepair
from shop.records.models import BroughtRow
from shop.records.taking_out.sheets import AT_ONCE, lines


def open_repair_lines() -> Iterator[str]:
    """The CSV file, line by line. Refuses when the shop's country has no three-letter code here."""
    profile = the_profile()
    country = openrepair.ALPHA_3.get(profile.country)
    if country is None:
        raise Refusal(f"The country {profile.country} has no three-letter code in this program yet.")
    return lines(openrepair.FIELDS, _rows(profile.name, country))


def _rows(provider: str, country: str) -> Iterator[Sequence[object]]:
    last = 0
    while jobs := list(
        Job.objects.filter(pk__gt=last, stage__in=END_WITH_OUTCOME, customer__is_shop=False)
        .select_related("customer", "unit__model__maker")
        .order_by("pk")[:AT_ONCE]
    ):
        ended = _conclusions([job.pk for job in jobs])
        sources = _sources([job.pk for job in jobs])
        for job in jobs:
            source = sources.get(job.pk) or BroughtRow()
            yield _row(job, ended.get(job.pk, ""), _Publisher.of(job, source, provider, country), source)
        last = jobs[-1].pk


def _conclusions(jobs: Sequence[int]) -> dict[int, str]:
    standing = Conclusion.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("at", "id")
    return {one.job_id: f"{one.failed}: {one.remedy}" for one in standing}


def _sources(jobs: Sequence[int]) -> dict[int, BroughtRow]:
    """The rows of lists that these jobs came from."""
    rows = BroughtRow.objects.filter(job__in=jobs, again=False)
    return {row.job_id: row for row in rows if row.job_id is not None}


@dataclass(frozen=True, slots=True)
class _Publisher:
    """Who publishes a record, under which number, and where."""

    name: str
    number: str
    country: str

    @classmethod
    def of(cls, job: Job, source: BroughtRow, shop: str, country: str) -> _Publisher:
        if source.provider:
            return cls(source.provider, source.their_number, source.country)
        return cls(shop, f"mendwright_{job.number}", country)


def private_names(job: Job) -> list[str]:
    """What belongs to a job's customer and their unit alone: no text that is published may say it."""
    customer = job.customer
    return [
        *(customer.name, customer.organisation, customer.address),
        *(customer.email.partition("@")[0], job.unit.serial),
    ]


def _row(job: Job, conclusion: str, by: _Publisher, source: BroughtRow) -> Sequence[object]:
    model, customer = job.unit.model, job.customer
    number, category = openrepair.category(model.kind)
    theirs = str(model.name) if source.category else str(model.get_kind_display())
    if source.category:
        number, category = openrepair.CATEGORY_IDS[source.category], source.category
    # the "customer" of a record that was published is the group that published it
    private = [] if source.provider else private_names(job)
    problem = openrepair.without_personal(f"{job.complaint} {conclusion}".strip(), private)
    built = job.unit.built_from or model.built_from
    day = day_of(job.booked_in_at or job.stage_since)
    group = customer.name if source.provider else by.name
    return (
        *(by.number, by.name, by.country),
        *(theirs if source.provider else f"{category} ~ {theirs}", category, number),
        *(model.maker.name, built.year if built else "", day.year - built.year if built else ""),
        *(openrepair.STATUS.get(job.outcome, "Unknown"), source.barrier, group, day.isoformat(), problem),
    )
