"""How much of what is agreed is used up on jobs, and what was found beyond it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery, Sum

from shop.bench.models import Finding, Stint, WorkKind
from shop.counter.models import Job
from shop.frame import clock
from shop.handbook.labour import SECONDS_AN_HOUR
from shop.handbook.money import Money, UnitPrice, round_half_up
from shop.office.models import Authorisation, FlatWork, LabourRate
from shop.office.queries.agreed import agreed_on
from shop.stockroom.models import PartFitted

NEARLY = 80
"""Per cent of what is agreed: from here on one asks before it is gone (common practice, no source)."""


@dataclass(slots=True)
class UsedUp:
    """How a job stands to what its customer agreed to, before tax; running clocks count."""

    job: Job
    agreed: Money
    used: Money
    answers: list[Authorisation] = field(default_factory=list)
    beyond: list[Finding] = field(default_factory=list)

    @property
    def per_cent(self) -> int:
        """How much of it is used."""
        return self.used.minor * 100 // self.agreed.minor if self.agreed.minor > 0 else 0

    @property
    def is_gone(self) -> bool:
        """Whether more was worked than is agreed."""
        return bool(self.agreed) and self.used.minor > self.agreed.minor

    @property
    def runs_out(self) -> bool:
        """Whether it is nearly gone, or gone. A bench fee is used up by the fault that it finds, and asks for nothing."""
        if self.agreed.minor <= (self.job.bench_fee_minor or 0):
            return self.is_gone
        return bool(self.agreed) and self.per_cent >= NEARLY

    @property
    def conditions(self) -> list[Authorisation]:
        """Yeses with a condition, of those that still hold."""
        standing: list[Authorisation] = []
        for one in self.answers:
            if one.answer == Authorisation.Answer.WITHDRAWN:
                standing = []
            elif one.conditions:
                standing.append(one)
        return standing


def used_up(jobs: Collection[Job], answers: Mapping[int, list[Authorisation]] | None = None) -> list[UsedUp]:
    """How each of these jobs stands, in three queries whatever their number; one more for flat prices.

    `answers` are the customers' answers by job, in order, for somebody who has them; jobs read `with_sums` save a query.
    """
    jobs = [job for job in jobs if not job.customer.is_shop]
    if not jobs:
        return []
    if answers is None:
        given = Authorisation.objects.filter(job__in=jobs).select_related("estimate")
        answers = by_job(given.order_by("at", "id"))
    if not hasattr(jobs[0], "sum_parts"):
        known = {job.pk: job for job in with_sums(Job.objects.filter(pk__in=[job.pk for job in jobs]))}
    else:
        known = {job.pk: job for job in jobs}
    used = {pk: _parts_price(job) for pk, job in known.items()}
    flat: dict[int, set[str]] = defaultdict(set)
    if any(job.has_flat for job in known.values()):  # type: ignore[attr-defined]
        for work in FlatWork.objects.filter(job__in=jobs).select_related("flat_price"):
            price = UnitPrice(work.flat_price.price_ten_thousandths, known[work.job_id].currency)
            used[work.job_id] += price.times(1000).minor
            flat[work.job_id] |= {*work.flat_price.covers}
    for job_id, minor in _labour(jobs, flat).items():
        used[job_id] += minor
    return [
        standing_of(
            job,
            answers.get(job.pk, []),
            _further(known[job.pk]),
            used=Money(used[job.pk] + (job.bench_fee_minor or 0), job.currency),
        )
        for job in jobs
    ]


def standing_of(
    job: Job, answers: Sequence[Authorisation], findings: Iterable[Finding], *, used: Money | None = None
) -> UsedUp:
    """How a job stands by its answers and findings; without `used` nothing is said of what is worked."""
    last = answers[-1].at if answers else None
    return UsedUp(
        job=job,
        agreed=agreed_on(job, answers).whole,
        used=used or Money(0, job.currency),
        answers=list(answers),
        beyond=[
            one
            for one in findings
            if one.beyond and one.struck_at is None and (last is None or one.at > last)
        ],
    )


def by_job(answers: Iterable[Authorisation]) -> dict[int, list[Authorisation]]:
    """Answers by the job that they speak of."""
    found: dict[int, list[Authorisation]] = defaultdict(list)
    for one in answers:
        found[one.job_id].append(one)
    return dict(found)


def with_sums(jobs: QuerySet[Job]) -> QuerySet[Job]:
    """Jobs with what the book adds up for each: the price of its parts, whether flat prices, and the last further fault."""
    fitted = PartFitted.objects.filter(
        job=OuterRef("pk"), struck_at__isnull=True, under_warranty=False
    ).exclude(unit_price_ten_thousandths=None)
    # ten-thousandths of the major unit times thousandths of a piece
    price = Sum(F("unit_price_ten_thousandths") * F("quantity_thousandths"))
    further = Finding.objects.filter(job=OuterRef("pk"), beyond=True, struck_at__isnull=True).order_by("-id")
    return jobs.annotate(
        sum_parts=Subquery(fitted.order_by().values("job").annotate(sum=price).values("sum")),
        has_flat=Exists(FlatWork.objects.filter(job=OuterRef("pk"))),
        further_id=Subquery(further.values("pk")[:1]),
        further_text=Subquery(further.values("text")[:1]),
        further_at=Subquery(further.values("at")[:1]),
    )


def _parts_price(job: Any) -> int:
    return UnitPrice(round_half_up(job.sum_parts or 0, 1000), job.currency).times(1000).minor


def _further(job: Any) -> list[Finding]:
    if job.further_id is None:
        return []
    return [Finding(pk=job.further_id, job=job, text=job.further_text, at=job.further_at, beyond=True)]


def _labour(jobs: Collection[Job], flat: dict[int, set[str]]) -> dict[int, int]:
    by_id = {job.pk: job for job in jobs}
    rate = LabourRate.objects.filter(kind=OuterRef("kind"), from_date__lte=clock.today())
    stints = Stint.objects.filter(job__in=jobs, struck_at__isnull=True, under_warranty=False).annotate(
        rate=Subquery(rate.order_by("-from_date").values("hourly_ten_thousandths")[:1])
    )
    seconds: dict[tuple[int, int], int] = defaultdict(int)
    for stint in stints:
        # with a bench fee agreed, finding the fault is charged by the fee and not by the hour
        by_the_fee = stint.kind == WorkKind.DIAGNOSIS and by_id[stint.job_id].bench_fee_minor
        if stint.rate and not by_the_fee and stint.kind not in flat[stint.job_id]:
            seconds[stint.job_id, stint.rate] += stint.seconds
    cost: dict[int, int] = defaultdict(int)
    for (job_id, hourly), spent in seconds.items():
        each = UnitPrice(hourly, by_id[job_id].currency)
        cost[job_id] += each.times(round_half_up(spent * 1000, SECONDS_AN_HOUR)).minor
    return cost
