"""Old jobs written into the book in bulk: customers, makers, models and units that it does not know yet, and the jobs."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from django.db.models import F, Model

from shop.bench.models import Conclusion, FailureMode, Finding
from shop.counter.actions import JOB_SERIES
from shop.counter.keys import model_key, name_key, phone_key, serial_key
from shop.counter.models import Customer, Job, Maker, StageMove, Unit, UnitModel
from shop.counter.stages import Outcome, Stage
from shop.frame import clock
from shop.frame.journal import Act
from shop.frame.models import NumberSeries
from shop.frame.profile import the_profile
from shop.handbook.jobnumber import JobNumber, JobNumberError
from shop.records.bringing_in.reading import OldJob

NOBODY = "Customer of an older book"
PUT_RIGHT = "Brought in anew by other columns."


def write_jobs(act: Act, olds: Sequence[OldJob], over: Sequence[Job | None] = ()) -> list[Job]:
    """Write jobs with all that belongs to them, in bulk; those of a year get the next numbers of that year.

    `over` are jobs that were taken back and are written anew, at the places of their rows: they keep their numbers, unless the
    year is another. A list that gives numbers of this very form keeps them where they are free.
    """
    if not olds:
        return []
    before: list[Job | None] = list(over) or [None] * len(olds)
    customers, models = _customers(act, olds), _models(act, olds)
    units = _units(act, olds, customers, models)
    numbers = _numbers(olds, before)
    currency = the_profile().currency
    jobs = []
    for old, unit, sequence, job in zip(olds, units, numbers, before, strict=True):
        mine = customers[_customer_of(old)] if old.customer else unit.owner
        jobs.append(_written(job or Job(currency=currency), old, unit, mine, sequence))
    Job.objects.bulk_create([job for job in jobs if job._state.adding])
    again = [job for job, earlier in zip(jobs, before, strict=True) if earlier is not None]
    if again:
        Job.objects.bulk_update(again, _REWRITTEN)
        _strike_what_was_said(again, act.at)
    pairs = list(zip(jobs, olds, strict=True))
    new = [(job, old) for (job, old), earlier in zip(pairs, before, strict=True) if earlier is None]
    StageMove.objects.bulk_create(_moves(new))
    Finding.objects.bulk_create(
        Finding(job=job, text=old.finding, at=_moment(old.came)) for job, old in pairs if old.finding
    )
    Conclusion.objects.bulk_create(
        Conclusion(
            job=job,
            failed=old.failed,
            mode=FailureMode.NONE_FOUND if old.outcome == Outcome.NO_FAULT else FailureMode.OTHER,
            remedy=old.remedy,
            outcome=old.outcome or Outcome.UNKNOWN,
            at=_moment(old.ended or old.came),
        )
        for job, old in pairs
        if old.failed or old.remedy
    )
    return jobs


def _written(job: Job, old: OldJob, unit: Unit, customer: Customer, sequence: int) -> Job:
    """The job as its row says it, not saved."""
    said = []
    number = str(JobNumber.make(old.came.year, sequence))
    if old.number and old.number != number:
        said.append(f"Number in the older book: {old.number}")
    if old.outcome_said:
        said.append(f"Outcome in the older book: {old.outcome_said}")
    job.number, job.year, job.sequence = number, old.came.year, sequence
    job.customer, job.unit = customer, unit
    job.stage, job.whose_move = old.stage, Stage(old.stage).row.whose_move
    job.outcome, job.complaint, job.condition = old.outcome, old.complaint, "\n".join(said)
    came, ended = _moment(old.came), _moment(old.ended) if old.ended else None
    announced = old.stage in {Stage.EXPECTED, Stage.CALLED_OFF}
    job.announced_at, job.booked_in_at = (came, None) if announced else (None, came)
    job.ready_at = ended if old.stage == Stage.GONE_HOME else came if old.stage == Stage.READY else None
    job.ended_at, job.stage_since = ended, ended or came
    return job


_REWRITTEN = (
    *("number", "year", "sequence", "customer", "unit", "stage", "whose_move", "outcome", "complaint"),
    *("condition", "announced_at", "booked_in_at", "ready_at", "ended_at", "stage_since"),
)


def _strike_what_was_said(jobs: Sequence[Job], at: dt.datetime) -> None:
    """Strike out what a taken-back job was said to have: nothing written is deleted."""
    for table in (Finding, Conclusion):
        standing = table._default_manager.filter(job__in=jobs, struck_at__isnull=True)
        standing.update(struck_at=at, struck_reason=PUT_RIGHT)


def sweep(units: Collection[int], customers: Collection[int], models: Collection[int]) -> None:
    """Delete units, models, makers and customers that wrong columns brought in, where nothing speaks of them any more."""
    _delete_unspoken(Unit, units)
    makers = set(UnitModel.objects.filter(pk__in=models).values_list("maker_id", flat=True))
    plain = UnitModel.objects.filter(pk__in=models, notes="", family="", weight_grams=None, built_from=None)
    _delete_unspoken(UnitModel, plain.values_list("pk", flat=True))
    _delete_unspoken(Maker, makers)
    nobodies = Customer.objects.filter(pk__in=customers, is_shop=False, note="", address="", organisation="")
    _delete_unspoken(Customer, nobodies.values_list("pk", flat=True))


def _delete_unspoken(table: type[Model], pks: Iterable[int]) -> None:
    """Delete those of these rows that no other row points to."""
    left = set(pks)
    for relation in table._meta.related_objects:
        field = relation.field
        if left:
            pointing = field.model._base_manager.filter(**{f"{field.name}__in": left})
            left -= set(pointing.values_list(field.name, flat=True))
    if left:
        table._default_manager.filter(pk__in=left).delete()


def _moves(pairs: Iterable[tuple[Job, OldJob]]) -> Iterator[StageMove]:
    """The steps that a list tells of: how it came, and where it stands."""
    for job, old in pairs:
        came, now = _moment(old.came), _moment(old.ended or old.came)
        first = Stage.EXPECTED if old.stage in {Stage.EXPECTED, Stage.CALLED_OFF} else Stage.BOOKED_IN
        yield StageMove(job=job, from_stage="", to_stage=first, at=came)
        if old.stage != first:
            yield StageMove(job=job, from_stage=first, to_stage=old.stage, at=now)


def _moment(day: dt.date) -> dt.datetime:
    return clock.moment_of(day, hour=12)


def _customers(act: Act, olds: Sequence[OldJob]) -> dict[tuple[str, str], Customer]:
    """Customers by folded name and phone: those that the shop knows, the others written down."""
    wanted = {_customer_of(old): old for old in olds}
    known = Customer.objects.filter(
        search_key__in={name for name, _ in wanted}, merged_into__isnull=True, forgotten_at__isnull=True
    )
    found: dict[tuple[str, str], Customer] = {}
    for one in known.order_by("-pk"):
        found[one.search_key, one.phone_digits] = one
        found[one.search_key, ""] = one
    new = {key: old for key, old in wanted.items() if key not in found}
    made = Customer.objects.bulk_create(
        Customer(
            name=old.customer or NOBODY,
            phone=old.phone,
            email=old.email,
            search_key=name,
            phone_digits=digits,
            added_at=act.at,
        )
        for (name, digits), old in new.items()
    )
    return found | dict(zip(new, made, strict=True))


def _customer_of(old: OldJob) -> tuple[str, str]:
    return name_key(old.customer or NOBODY), phone_key(old.phone)


def _models(act: Act, olds: Sequence[OldJob]) -> dict[tuple[str, str], UnitModel]:
    """Models by folded maker and number, written down where the shop has not met them."""
    wanted = {_model_of(old): old for old in olds}
    makers = {one.folded: one for one in Maker.objects.filter(folded__in={maker for maker, _ in wanted})}
    new_makers = {maker: old.maker for (maker, _), old in wanted.items() if maker not in makers}
    made = Maker.objects.bulk_create(Maker(name=name, folded=folded) for folded, name in new_makers.items())
    makers |= {one.folded: one for one in made}
    known = UnitModel.objects.filter(folded__in={model for _, model in wanted}, maker__in=makers.values())
    found = {(one.maker.folded, one.folded): one for one in known.select_related("maker", "merged_into")}
    new = {key: old for key, old in wanted.items() if key not in found}
    made_models = UnitModel.objects.bulk_create(
        UnitModel(maker=makers[maker], name=old.model, folded=folded, kind=old.kind)
        for (maker, folded), old in new.items()
    )
    found |= dict(zip(new, made_models, strict=True))
    return {key: one.merged_into or one for key, one in found.items()}


def _model_of(old: OldJob) -> tuple[str, str]:
    return name_key(old.maker)[:120] or "unknown", model_key(old.model) or "unkn0wn"


def _units(
    act: Act,
    olds: Sequence[OldJob],
    customers: Mapping[tuple[str, str], Customer],
    models: Mapping[tuple[str, str], UnitModel],
) -> list[Unit]:
    """One unit for each job: the same model and serial number is the same unit back again; without a serial it is a new one."""
    serials = {serial_key(old.serial) for old in olds if serial_key(old.serial)}
    known = Unit.objects.filter(serial_folded__in=serials, merged_into__isnull=True).select_related("owner")
    found = {(one.model_id, one.serial_folded): one for one in known}
    units, new = [], []
    for old in olds:
        model, serial = models[_model_of(old)], serial_key(old.serial)
        unit = found.get((model.pk, serial)) if serial else None
        if unit is None:
            owner = customers[_customer_of(old)]
            unit = Unit(
                model=model,
                owner=owner,
                serial=old.serial,
                serial_folded=serial,
                mains=model.mains,
                protection_class=model.protection_class,
                added_at=act.at,
                **_built(old),
            )
            new.append(unit)
            if serial:
                found[model.pk, serial] = unit
        units.append(unit)
    Unit.objects.bulk_create(new)
    return units


def _built(old: OldJob) -> dict[str, dt.date]:
    """The year of building as an interval, unless it lies after the day it came."""
    if old.year_built is None or old.year_built > old.came.year:
        return {}
    return {"built_from": dt.date(old.year_built, 1, 1), "built_to": dt.date(old.year_built, 12, 31)}


def _numbers(olds: Sequence[OldJob], before: Sequence[Job | None]) -> list[int]:
    """A sequence for each job: its own from before, the one that the list gives, or the next, by day, of its year."""
    numbers = [0] * len(olds)
    given = [_given(old) for old in olds]
    free = _free([one for one in given if one])
    by_year: dict[int, list[int]] = defaultdict(list)
    for at, (old, job) in enumerate(zip(olds, before, strict=True)):
        year = old.came.year
        if job is not None and job.year == year:
            numbers[at] = job.sequence
        elif job is None and (one := given[at]) is not None and (year, one.sequence) in free:
            numbers[at] = one.sequence
            free.discard((year, one.sequence))
            _pass(year, one.sequence)
        else:
            by_year[year].append(at)
    for year, places in by_year.items():
        first = _take_many(year, len(places))
        for step, at in enumerate(sorted(places, key=lambda place: olds[place].came)):
            numbers[at] = first + step
    return numbers


def _given(old: OldJob) -> JobNumber | None:
    """The number that a list gives, where it is one of this program's and of the year in which the job came."""
    try:
        number = JobNumber.parse(old.number)
    except JobNumberError:
        return None
    return number if str(number) == old.number and number.year == old.came.year % 100 else None


def _free(given: Sequence[JobNumber]) -> set[tuple[int, int]]:
    """Year and sequence of those numbers that no job of this shop has."""
    taken = set(Job.objects.filter(number__in=map(str, given)).values_list("number", flat=True))
    this = clock.today().year
    return {(this - (this - one.year) % 100, one.sequence) for one in given if str(one) not in taken}


def _pass(year: int, sequence: int) -> None:
    """Have the series of a year go on behind a number that was given."""
    NumberSeries.objects.get_or_create(name=JOB_SERIES, year=year)
    NumberSeries.objects.filter(name=JOB_SERIES, year=year, next_value__lte=sequence).update(
        next_value=sequence + 1
    )


def _take_many(year: int, count: int) -> int:
    """The first of `count` numbers of a year's jobs, taken together."""
    NumberSeries.objects.get_or_create(name=JOB_SERIES, year=year)
    mine = NumberSeries.objects.filter(name=JOB_SERIES, year=year)
    mine.update(next_value=F("next_value") + count)
    return int(mine.values_list("next_value", flat=True).get()) - count
