"""The model file: what the shop knows of one model, and what its history adds up to. Figures are made when asked for.

Sums are taken over the newest thousand jobs of a model, so that the page takes the same time however long the history
is; it says so where there are more.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Count, Q, QuerySet, Sum
from django.db.models.expressions import RawSQL

from shop.bench.models import Conclusion, Evidence, FailureMode, Stint
from shop.counter.keys import model_key, name_key
from shop.counter.models import Job, JobPicture, UnitModel
from shop.counter.stages import ENDED, Outcome
from shop.frame.clock import day_of
from shop.frame.plots import ParetoRow, pareto
from shop.handbook.counting import CountingError, Interval, age, percentile, wilson
from shop.handbook.words import stored_tokens
from shop.office.models import InvoiceLine
from shop.records.faults import Fault, faults_of
from shop.records.models import SearchRow
from shop.stockroom.models import PartFitted

LOOKED_AT = 1000
PAGE = 50
MOST_PICTURES = 8
REPAIRED = (Outcome.REPAIRED, Outcome.PARTLY)


@dataclass(frozen=True, slots=True)
class Rate:
    """A share with its interval; `unknown` are left out of both, and said beside it."""

    hits: int
    tries: int
    unknown: int = 0

    @property
    def interval(self) -> Interval:
        """The range of the true share at 95 %."""
        return wilson(self.hits, self.tries)

    @property
    def percent(self) -> int:
        """The share itself, in per cent."""
        return round(100 * self.hits / self.tries) if self.tries else 0

    @property
    def between(self) -> tuple[int, int]:
        """Both ends of the interval in per cent, outward."""
        return int(self.interval.lower * 100), min(100, -int(-self.interval.upper * 100 // 1))


def repaired_of(jobs: Iterable[Job]) -> Rate:
    """How many of the jobs that ended were repaired, whole or in part; those whose outcome is not known are left out."""
    told = [job.outcome for job in jobs if job.stage in ENDED and job.outcome]
    known = [outcome for outcome in told if outcome != Outcome.UNKNOWN]
    return Rate(sum(outcome in REPAIRED for outcome in known), len(known), len(told) - len(known))


@dataclass
class ModelFile:
    """One model's file. Each part is read once, when the page asks for it."""

    model: UnitModel

    @cached_property
    def jobs(self) -> list[Job]:
        """The newest jobs of this model, as they came."""
        rows = SearchRow.objects.filter(model=self.model).order_by("-pk").values("job_id")
        found = Job.objects.filter(pk__in=list(rows.values_list("job_id", flat=True)[: LOOKED_AT + 1]))
        return sorted(
            found.select_related("unit"), key=lambda job: job.booked_in_at or job.stage_since, reverse=True
        )

    @property
    def more(self) -> bool:
        """Whether there are more jobs than were looked at."""
        return len(self.jobs) > LOOKED_AT

    @property
    def _ids(self) -> list[int]:
        return [job.pk for job in self.jobs]

    @cached_property
    def conclusions(self) -> list[Conclusion]:
        """The last conclusion of each of these jobs."""
        standing = Conclusion.objects.filter(job__in=self._ids, struck_at__isnull=True).order_by("at", "id")
        return list({one.job_id: one for one in standing}.values())

    @property
    def failures(self) -> list[ParetoRow]:
        """What failed and how, the most frequent first, however it is spelt; what an older book does not say is left out."""
        groups: dict[tuple[frozenset[str], str], Counter[str]] = defaultdict(Counter)
        for one in self.conclusions:
            if one.mode != FailureMode.NONE_FOUND and one.failed:
                label = f"{one.failed}, {FailureMode(one.mode).label.lower()}"
                groups[frozenset(stored_tokens(one.failed)), one.mode][label] += 1
        return pareto([(names.most_common(1)[0][0], names.total()) for names in groups.values()])

    @cached_property
    def faults(self) -> list[Fault]:
        """What failed, what fixed it, and on which jobs."""
        return faults_of(self.conclusions, self.jobs)

    @cached_property
    def pictures(self) -> list[JobPicture]:
        """The newest photographs from the bench."""
        shown = JobPicture.objects.filter(job__in=self._ids, struck_at__isnull=True)
        shown = shown.exclude(shows__in=(JobPicture.Shows.INTAKE, JobPicture.Shows.PACKING))
        return list(shown.select_related("picture", "job").order_by("-id")[:MOST_PICTURES])

    @property
    def repaired(self) -> Rate:
        """How many of the ended jobs were repaired, whole or in part."""
        return repaired_of(self.jobs)

    @property
    def comebacks(self) -> Rate:
        """How many of all jobs were comebacks."""
        return Rate(sum(job.comeback_of_id is not None for job in self.jobs), len(self.jobs))

    @cached_property
    def hours(self) -> tuple[int, int] | None:
        """Median and 85th percentile of bench time by job, in seconds; None where no clock ever ran."""
        return spread(list(bench_seconds(self._ids).values()))

    @cached_property
    def earned_minor(self) -> int:
        """What issued invoices charged for these jobs before tax, in minor units; credit notes taken off."""
        return earned_minor(self._ids)

    @cached_property
    def parts(self) -> list[ParetoRow]:
        """Which parts were fitted, by how often."""
        fitted = PartFitted.objects.filter(job__in=self._ids, struck_at__isnull=True)
        rows = fitted.values_list("description").annotate(count=Count("id")).order_by()
        return pareto(list(rows))

    @cached_property
    def earlier_repairs(self) -> Rate:
        """On how many of these jobs evidence of earlier work was found."""
        found = Evidence.objects.filter(job__in=self._ids, struck_at__isnull=True)
        return Rate(found.values("job_id").distinct().count(), len(self.jobs))

    @property
    def ages(self) -> tuple[int, int, int] | None:
        """Age at failure in whole years: the least, the median and the most, of units whose time of building is known."""
        years = sorted(one for job in self.jobs if (one := _age_in_years(job, self.model)) is not None)
        return (years[0], percentile(years, 0.5), years[-1]) if years else None


def _age_in_years(job: Job, model: UnitModel) -> int | None:
    """The age in the middle of the unit's own window of building, or else its model's."""
    built = (
        (job.unit.built_from, job.unit.built_to)
        if job.unit.built_from
        else (model.built_from, model.built_to)
    )
    if built[0] is None or built[1] is None or job.booked_in_at is None:
        return None
    try:
        found = age(built[0], built[1], day_of(job.booked_in_at))
    except CountingError:
        return None
    return (found.least_months + found.most_months) // 24


def bench_seconds(jobs: Iterable[int]) -> dict[int, int]:
    """Bench time by job, in seconds; stints that run still are left out."""
    spent: dict[int, int] = defaultdict(int)
    for job, seconds in finished(Stint.objects.filter(job__in=list(jobs), struck_at__isnull=True)):
        spent[job] += seconds
    return spent


def finished(stints: QuerySet[Stint]) -> Iterator[tuple[int, int]]:
    """Job and seconds of each of these stints that has been stopped."""
    for job, started, stopped in stints.values_list("job_id", "started_at", "stopped_at"):
        if stopped is not None:
            yield job, int((stopped - started).total_seconds())


def spread(values: Sequence[int]) -> tuple[int, int] | None:
    """Median and 85th percentile: repair times lean to the right, so a mean alone would mislead."""
    return (percentile(values, 0.5), percentile(values, 0.85)) if values else None


def earned_minor(jobs: Iterable[int]) -> int:
    """What issued invoices and credit notes charged for these jobs before tax, in minor units."""
    lines = InvoiceLine.objects.filter(job__in=list(jobs), invoice__issued_at__isnull=False)
    return int(lines.aggregate(total=Sum("amount_minor"))["total"] or 0)


COUNTED_TO = 100
"""So many jobs of a model are counted for a list; there are at least as many then."""
_COUNTED = "SELECT COUNT(*) FROM (SELECT 1 FROM records_searchrow r WHERE r.model_id = counter_unitmodel.id LIMIT %s) counted"


def listed_models(typed: str = "", *, after: str = "") -> tuple[Sequence[UnitModel], str]:
    """A page of models with how many jobs they had, by maker and number, and the key of the next page."""
    models = _found(typed).annotate(job_count=RawSQL(_COUNTED, [COUNTED_TO]))  # noqa: S611  (a constant)
    maker, _, folded = after.partition("|")
    if folded:
        models = models.filter(Q(maker__folded__gt=maker) | Q(maker__folded=maker, folded__gt=folded))
    found = list(models.order_by("maker__folded", "folded")[: PAGE + 1])
    last = found[PAGE - 1] if len(found) > PAGE else None
    return found[:PAGE], f"{last.maker.folded}|{last.folded}" if last else ""


def _found(typed: str) -> QuerySet[UnitModel]:
    models = UnitModel.objects.filter(merged_into__isnull=True).select_related("maker")
    for word in typed.split()[:4]:
        key = model_key(word)
        models = models.filter(Q(folded__contains=key) | Q(maker__folded__contains=name_key(word)))
    return models
