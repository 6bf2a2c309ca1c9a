"""A unit comes in: announced, booked in, or taken out of its box."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from django.core.files.uploadedfile import UploadedFile

from shop.counter.actions.filing import attach_picture
from shop.counter.actions.people import change_customer
from shop.counter.actions.standing import promise
from shop.counter.actions.units import add_unit, change_unit, model_named
from shop.counter.models import (
    Accessory,
    Customer,
    HowItCame,
    InboundParcel,
    Job,
    JobPicture,
    Kind,
    Promise,
    Unit,
)
from shop.counter.moving import move
from shop.counter.stages import ENDED, Stage
from shop.frame import numbers
from shop.frame.journal import Act, acting
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook.jobnumber import JobNumber
from shop.keeping.pictures import take_picture

JOB_SERIES = "job"


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessoryTaken:
    """One accessory as it was handed over, and the shelf it stands on where that is not the unit's."""

    name: str
    stands_at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitDescribed:
    """A unit that the shop has not met yet, as it is described at the counter."""

    maker: str
    model: str
    kind: str = Kind.OTHER
    serial: str = ""
    mains: bool = True
    line_voltage: int | None = None
    protection_class: str | None = None
    marks: str = ""
    year_made: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Intake:
    """What is written down of one unit when it comes in. Amounts are minor units of the shop's currency.

    `unit` is one that the shop knows, or the description of one that is written down along with the job. `photos` are uploads.
    """

    unit: Unit | UnitDescribed
    complaint: str
    condition: str = ""
    shelf: str = ""
    accessories: Sequence[AccessoryTaken] = field(default=())
    agreed_value_minor: int | None = None
    limit_minor: int | None = None
    bench_fee_minor: int | None = None
    wants_parts_back: bool = False
    comeback_of: Job | None = None
    photos: Sequence[UploadedFile] = field(default=())
    first_word_by: dt.date | None = None


def book_in(
    *,
    customer: Customer,
    intakes: Sequence[Intake],
    by: Staff,
    how_it_came: str = HowItCame.CARRIED_IN,
    address: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Job]:
    """Book in one or several units of one customer in one go; each becomes a job of its own, in the order given.

    `address` is the customer's, where it was asked for at intake.
    """
    if not intakes:
        raise Refusal("There is no unit to book in.")
    with acting(by=by, at=at, once=once_key) as act:
        _note_address(customer, address, by=by)
        jobs = [
            _open_job(act, customer, intake, stage=Stage.BOOKED_IN, how_it_came=how_it_came)
            for intake in intakes
        ]
        for job in jobs:
            act.record("job.booked_in", subject=job, jobs=[job.pk], how=job.how_it_came)
        _promise_first_words(jobs, intakes, by=by)
    return jobs


def announce(
    *,
    customer: Customer,
    intakes: Sequence[Intake],
    by: Staff | None,
    carrier: str = "",
    tracking: str = "",
    address: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Job]:
    """Write down units that are on their way by parcel; they become `expected` jobs until the box is opened.

    `address` is the customer's, where it was asked for.
    """
    if not intakes:
        raise Refusal("There is no unit to announce.")
    with acting(by=by, at=at, once=once_key) as act:
        _note_address(customer, address, by=by)
        parcel = InboundParcel.objects.create(
            customer=customer, carrier=carrier.strip(), tracking=tracking.strip(), announced_at=act.at
        )
        jobs = [
            _open_job(
                act, customer, intake, stage=Stage.EXPECTED, how_it_came=HowItCame.PARCEL, inbound=parcel
            )
            for intake in intakes
        ]
        for job in jobs:
            act.record("job.announced", subject=job, jobs=[job.pk])
        _promise_first_words(jobs, intakes, by=by)
    return jobs


def receive_expected(
    *,
    job: Job,
    by: Staff,
    packing_state: str,
    packing_note: str = "",
    condition: str = "",
    shelf: str = "",
    packing_kept_at: str = "",
    locks_found: str = "",
    accessories: Sequence[AccessoryTaken] = (),
    missing: Collection[int] = (),
    photos: Sequence[UploadedFile] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Book an expected unit in when its box is opened, with the state of the packing noted on the parcel.

    `missing` are the ids of announced accessories that are not in the box; `accessories` is what is in it besides.
    """
    with acting(by=by, at=at, once=once_key) as act:
        parcel = job.inbound
        if parcel is not None:
            InboundParcel.objects.filter(pk=parcel.pk, arrived_at__isnull=True).update(arrived_at=act.at)
            InboundParcel.objects.filter(pk=parcel.pk).update(
                opened_at=act.at,
                packing_state=packing_state,
                packing_note=packing_note.strip(),
                packing_kept_at=packing_kept_at.strip(),
                locks_found=locks_found.strip(),
            )
        job.condition = condition.strip() or job.condition
        job.shelf = shelf.strip()
        job.accepted_by = by
        job.save(update_fields=["condition", "shelf", "accepted_by"])
        Accessory.objects.filter(job=job, pk__in=missing).update(missing_at=act.at)
        there = {name.casefold() for name in job.accessories.values_list("name", flat=True)}
        _take_accessories(job, [one for one in accessories if one.name.strip().casefold() not in there])
        for upload in photos:
            attach_picture(
                job=job, picture=take_picture(upload, by=by), by=by, shows=JobPicture.Shows.PACKING
            )
        move(job, Stage.BOOKED_IN, act=act)
        act.record("job.booked_in", subject=job, jobs=[job.pk], how=job.how_it_came, packing=packing_state)
    return job


def take_accessory(
    *,
    job: Job,
    name: str,
    by: Staff,
    stands_at: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Accessory:
    """An accessory that came later, or was overlooked at the counter."""
    with acting(by=by, at=at, once=once_key) as act:
        if Accessory.here.filter(job=job, name__iexact=name.strip()).exists():
            raise Refusal(f"“{name.strip()}” is written down already.", field="name")
        (accessory,) = _take_accessories(job, [AccessoryTaken(name=name, stands_at=stands_at)])
        act.record("job.accessory_taken", subject=accessory, jobs=[job.pk])
    return accessory


def mend_accessory(
    *,
    accessory: Accessory,
    name: str,
    by: Staff,
    stands_at: str = "",
    missing: bool = False,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Accessory:
    """Put right what an accessory is called, where it stands, or that it is not here after all, until the unit leaves."""
    if not name.strip():
        raise Refusal("Say what it is.", field="name")
    with acting(by=by, at=at, once=once_key) as act:
        if accessory.job.stage in ENDED:
            raise Refusal(
                f"{accessory.job.number} has left the shop: what went with it stays as it was written."
            )
        same = Accessory.here.filter(job=accessory.job_id, name__iexact=name.strip()).exclude(pk=accessory.pk)
        if not missing and same.exists():
            raise Refusal(f"“{name.strip()}” is written down already.", field="name")
        accessory.name, accessory.stands_at = name.strip(), stands_at.strip()
        accessory.missing_at = (accessory.missing_at or act.at) if missing else None
        accessory.save(update_fields=["name", "stands_at", "missing_at"])
        act.record("job.accessory_mended", subject=accessory, jobs=[accessory.job_id], missing=missing)
    return accessory


def _open_job(
    act: Act,
    customer: Customer,
    intake: Intake,
    *,
    stage: Stage,
    how_it_came: str,
    inbound: InboundParcel | None = None,
) -> Job:
    here = stage != Stage.EXPECTED
    unit = _unit_meant(act, customer, intake.unit)
    year = act.day.year
    sequence = numbers.take(JOB_SERIES, year)
    job = Job.objects.create(
        number=str(JobNumber.make(year, sequence)),
        year=year,
        sequence=sequence,
        customer=customer,
        unit=unit,
        stage=stage,
        stage_since=act.at,
        whose_move=stage.row.whose_move,
        complaint=intake.complaint.strip(),
        condition=intake.condition.strip(),
        shelf=intake.shelf.strip(),
        how_it_came=how_it_came,
        inbound=inbound,
        currency=ShopProfile.objects.values_list("currency", flat=True).get(pk=1),
        agreed_value_minor=intake.agreed_value_minor,
        limit_minor=intake.limit_minor,
        bench_fee_minor=intake.bench_fee_minor,
        wants_parts_back=intake.wants_parts_back,
        accepted_by=act.by if here else None,
        announced_at=None if here else act.at,
        booked_in_at=act.at if here else None,
        comeback_of=intake.comeback_of,
    )
    job.moves.create(from_stage="", to_stage=stage, at=act.at, by=act.by)
    _take_accessories(job, intake.accessories)
    for upload in intake.photos:
        attach_picture(job=job, picture=take_picture(upload, by=act.by), by=act.by)
    return job


def _note_address(customer: Customer, address: str, *, by: Staff | None) -> None:
    if address.strip():
        change_customer(customer=customer, address=address, by=by)


def _promise_first_words(jobs: Sequence[Job], intakes: Sequence[Intake], *, by: Staff | None) -> None:
    for job, intake in zip(jobs, intakes, strict=True):
        # nobody but the shop gives a date
        if intake.first_word_by is not None and by is not None:
            promise(job=job, promised_for=intake.first_word_by, what=Promise.What.WORD, by=by)


def _unit_meant(act: Act, customer: Customer, unit: Unit | UnitDescribed) -> Unit:
    if isinstance(unit, UnitDescribed):
        model = model_named(maker=unit.maker, name=unit.model, kind=unit.kind, by=act.by)
        return add_unit(
            model=model,
            owner=customer,
            serial=unit.serial,
            mains=unit.mains,
            line_voltage=unit.line_voltage,
            protection_class=unit.protection_class,
            marks=unit.marks,
            year_made=unit.year_made,
            by=act.by,
        )
    if unit.owner_id != customer.pk:
        change_unit(unit=unit, owner=customer, by=act.by)
    return unit


def _take_accessories(job: Job, accessories: Iterable[AccessoryTaken]) -> list[Accessory]:
    return Accessory.objects.bulk_create(
        Accessory(job=job, name=taken.name.strip(), stands_at=taken.stands_at.strip())
        for taken in accessories
        if taken.name.strip()
    )
