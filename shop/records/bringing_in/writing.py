"""Old jobs written into the book in bulk: customers, makers, models and units that it does not know yet, and the jobs."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from django.db.models import F
from django.utils import timezone

from shop.bench.models import Conclusion, FailureMode, Finding
from shop.counter.actions import JOB_SERIES
from shop.counter.keys import model_key, name_key, phone_key, serial_key
from shop.counter.models import Customer, Job, Maker, StageMove, Unit, UnitModel
from shop.counter.stages import Stage, WhoseMove
from shop.frame.journal import Act
from shop.frame.models import NumberSeries
from shop.frame.profile import the_profile
from shop.handbook.jobnumber import JobNumber
from shop.records.bringing_in.reading import OldJob

NOBODY = "Customer of an older book"
NOT_SAID = "not written down"


def write_jobs(act: Act, olds: Sequence[OldJob]) -> list[Job]:
    """Write jobs with all that belongs to them, in bulk; those of a year get the next numbers of that year."""
    if not olds:
        return []
    customers, models = _customers(act, olds), _models(act, olds)
    units = _units(act, olds, customers, models)
    numbers = _numbers(olds)
    currency = the_profile().currency
    jobs = Job.objects.bulk_create(
        Job(
            number=str(JobNumber.make(old.came.year, sequence)),
            year=old.came.year,
            sequence=sequence,
            customer=unit.owner,
            unit=unit,
            stage=Stage.GONE_HOME,
            stage_since=_moment(old.ended),
            whose_move=WhoseMove.NOBODY,
            outcome=old.outcome,
            complaint=old.complaint,
            condition=f"Number in the older book: {old.number}" if old.number else "",
            currency=currency,
            booked_in_at=_moment(old.came),
            ready_at=_moment(old.ended),
            ended_at=_moment(old.ended),
        )
        for old, unit, sequence in zip(olds, units, numbers, strict=True)
    )
    pairs = list(zip(jobs, olds, strict=True))
    StageMove.objects.bulk_create(_moves(pairs))
    Finding.objects.bulk_create(
        Finding(job=job, text=old.finding, at=_moment(old.came)) for job, old in pairs if old.finding
    )
    Conclusion.objects.bulk_create(
        Conclusion(
            job=job,
            failed=old.failed or NOT_SAID,
            mode=FailureMode.NONE_FOUND if old.outcome == "no_fault" else FailureMode.OTHER,
            remedy=old.remedy or NOT_SAID,
            outcome=old.outcome,
            at=_moment(old.ended),
        )
        for job, old in pairs
        if old.failed or old.remedy
    )
    return jobs


def _moves(pairs: Iterable[tuple[Job, OldJob]]) -> Iterator[StageMove]:
    for job, old in pairs:
        yield StageMove(job=job, from_stage="", to_stage=Stage.BOOKED_IN, at=_moment(old.came))
        yield StageMove(job=job, from_stage=Stage.BOOKED_IN, to_stage=Stage.GONE_HOME, at=_moment(old.ended))


def _moment(day: dt.date) -> dt.datetime:
    return timezone.make_aware(dt.datetime.combine(day, dt.time(12)))


def _customers(act: Act, olds: Sequence[OldJob]) -> dict[tuple[str, str], Customer]:
    """Customers by folded name and phone: those that the shop knows, the others written down."""
    wanted = {(name_key(old.customer or NOBODY), phone_key(old.phone)): old for old in olds}
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
            owner = customers[name_key(old.customer or NOBODY), phone_key(old.phone)]
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


def _numbers(olds: Sequence[OldJob]) -> list[int]:
    """A sequence for each job, in the order of their days within each year."""
    by_year: dict[int, list[int]] = defaultdict(list)
    for at, old in enumerate(olds):
        by_year[old.came.year].append(at)
    numbers = [0] * len(olds)
    for year, places in by_year.items():
        first = _take_many(year, len(places))
        for step, at in enumerate(sorted(places, key=lambda place: olds[place].came)):
            numbers[at] = first + step
    return numbers


def _take_many(year: int, count: int) -> int:
    """The first of `count` numbers of a year's jobs, taken together."""
    NumberSeries.objects.get_or_create(name=JOB_SERIES, year=year)
    mine = NumberSeries.objects.filter(name=JOB_SERIES, year=year)
    mine.update(next_value=F("next_value") + count)
    return int(mine.values_list("next_value", flat=True).get()) - count
