"""The history in the Open Repair Data Standard, for publishing: ended jobs, with personal data removed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shop.bench.models import Conclusion
from shop.counter.models import Job
from shop.counter.stages import END_WITH_OUTCOME
from shop.frame.clock import day_of
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook import openrepair
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
        for job in jobs:
            yield _row(job, ended.get(job.pk, ""), provider, country)
        last = jobs[-1].pk


def _conclusions(jobs: Sequence[int]) -> dict[int, str]:
    standing = Conclusion.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("at", "id")
    return {one.job_id: f"{one.failed}: {one.remedy}" for one in standing}


def _row(job: Job, conclusion: str, provider: str, country: str) -> Sequence[object]:
    model, customer = job.unit.model, job.customer
    number, category = openrepair.category(model.kind)
    names = [customer.name, customer.organisation, customer.address, customer.email.partition("@")[0]]
    problem = openrepair.without_personal(f"{job.complaint} {conclusion}".strip(), [*names, job.unit.serial])
    built = job.unit.built_from or model.built_from
    day = day_of(job.booked_in_at or job.stage_since)
    return (
        *(
            f"mendwright_{job.number}",
            provider,
            country,
            f"{category} ~ {model.get_kind_display()}",
            category,
            number,
        ),
        *(model.maker.name, built.year if built else "", day.year - built.year if built else ""),
        *(openrepair.STATUS.get(job.outcome, "Unknown"), "", provider, day.isoformat(), problem),
    )
