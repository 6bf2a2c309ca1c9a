"""What a person does at the counter. Each function is one act: one transaction, its journal entries, the row it made."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.core.files.uploadedfile import UploadedFile

from shop.counter import stages
from shop.counter.keys import model_key, name_key, phone_key, serial_key
from shop.counter.models import (
    Accessory,
    Customer,
    HowItCame,
    InboundParcel,
    Job,
    JobPaper,
    JobPicture,
    Kind,
    Maker,
    Unit,
    UnitModel,
)
from shop.counter.stages import WHOSE_MOVE, Stage
from shop.handbook.jobnumber import JobNumber
from shop.premises import numbers, once
from shop.premises.journal import Act, acting
from shop.premises.models import IssuedPaper, Picture, ShopProfile, Staff
from shop.premises.pictures import take_picture
from shop.premises.refusal import Refusal

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


# --- people ---------------------------------------------------------------------------------------------------


def add_customer(
    *,
    name: str,
    by: Staff | None,
    organisation: str = "",
    address: str = "",
    country: str = "",
    phone: str = "",
    email: str = "",
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Customer:
    """Write a new customer down. Likely doubles are the form's business: they are offered there, never forced."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "customer.added")
        customer = Customer(
            name=name.strip(),
            organisation=organisation.strip(),
            address=address.strip(),
            country=country.upper(),
            phone=phone.strip(),
            email=email.strip(),
            note=note.strip(),
            added_at=act.at,
        )
        _fold_customer(customer)
        customer.save(force_insert=True)
        act.record("customer.added", subject=customer)
        once.settle(claimed, customer)
    return customer


def change_customer(
    *, customer: Customer, by: Staff | None, at: dt.datetime | None = None, **changes: str
) -> Customer:
    """Put what is known of a customer right. `changes` are fields of `Customer` with their new text."""
    with acting(by=by, at=at) as act:
        for name, value in changes.items():
            setattr(customer, name, value.strip() if isinstance(value, str) else value)
        _fold_customer(customer)
        customer.save(update_fields=[*changes, "search_key", "phone_digits"])
        act.record("customer.changed", subject=customer, fields=sorted(changes))
    return customer


def the_shop_itself(*, by: Staff | None, at: dt.datetime | None = None) -> Customer:
    """The shop as a customer, owner of its own and its donor units; made the first time it is asked for."""
    with acting(by=by, at=at) as act:
        known = Customer.objects.filter(is_shop=True).first()
        if known is not None:
            return known
        profile = ShopProfile.objects.get(pk=1)
        customer = Customer(name=profile.name, address=profile.address, is_shop=True, added_at=act.at)
        _fold_customer(customer)
        customer.save(force_insert=True)
        act.record("customer.added", subject=customer)
        return customer


def _fold_customer(customer: Customer) -> None:
    customer.search_key = name_key(customer.name, customer.organisation)
    customer.phone_digits = phone_key(customer.phone)


# --- models and units -----------------------------------------------------------------------------------------


def model_named(
    *,
    maker: str,
    name: str,
    by: Staff | None,
    kind: str = Kind.OTHER,
    at: dt.datetime | None = None,
) -> UnitModel:
    """The model of that maker and number, however it is typed; written down if the shop has not met it yet."""
    maker_folded, folded = name_key(maker), model_key(name)
    if not maker_folded:
        raise Refusal("Say who made it; “unknown” will do.", field="maker")
    if not folded:
        raise Refusal("Say which model it is; “unknown” will do.", field="model")
    with acting(by=by, at=at) as act:
        the_maker, _ = Maker.objects.get_or_create(
            folded=maker_folded[:120], defaults={"name": maker.strip()}
        )
        the_maker = the_maker.merged_into or the_maker
        model, made = UnitModel.objects.get_or_create(
            maker=the_maker, folded=folded[:120], defaults={"name": name.strip(), "kind": kind}
        )
        if made:
            act.record("model.added", subject=model)
        return model.merged_into or model


def add_unit(
    *,
    model: UnitModel,
    owner: Customer,
    by: Staff | None,
    serial: str = "",
    mains: bool | None = None,
    line_voltage: int | None = None,
    protection_class: str | None = None,
    marks: str = "",
    is_donor: bool = False,
    at: dt.datetime | None = None,
) -> Unit:
    """Write a unit down. What is not said of mains and protection class is taken from its model."""
    with acting(by=by, at=at) as act:
        unit = Unit.objects.create(
            model=model,
            owner=owner,
            serial=serial.strip(),
            serial_folded=serial_key(serial),
            mains=model.mains if mains is None else mains,
            line_voltage=line_voltage,
            protection_class=protection_class or model.protection_class,
            marks=marks.strip(),
            is_donor=is_donor,
            added_at=act.at,
        )
        act.record("unit.added", subject=unit)
    return unit


def change_unit(*, unit: Unit, by: Staff | None, at: dt.datetime | None = None, **changes: object) -> Unit:
    """Put what is known of a unit right: owner, serial number, mains, protection class, marks."""
    with acting(by=by, at=at) as act:
        for name, value in changes.items():
            setattr(unit, name, value)
        unit.serial_folded = serial_key(unit.serial)
        unit.save(update_fields=[*changes, "serial_folded"])
        jobs = Job.objects.filter(unit=unit).values_list("pk", flat=True)
        act.record("unit.changed", subject=unit, jobs=jobs, fields=sorted(changes))
    return unit


# --- jobs -----------------------------------------------------------------------------------------------------


def book_in(
    *,
    customer: Customer,
    intakes: Sequence[Intake],
    by: Staff,
    how_it_came: str = HowItCame.CARRIED_IN,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Job]:
    """Book in one or several units of one customer in one go; each becomes a job of its own, in the order given."""
    if not intakes:
        raise Refusal("There is no unit to book in.")
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.booked_in")
        jobs = [
            _open_job(act, customer, intake, stage=Stage.BOOKED_IN, how_it_came=how_it_came)
            for intake in intakes
        ]
        for job in jobs:
            act.record("job.booked_in", subject=job, jobs=[job.pk], how=job.how_it_came)
        once.settle(claimed, jobs[0])
    return jobs


def announce(
    *,
    customer: Customer,
    intakes: Sequence[Intake],
    by: Staff | None,
    carrier: str = "",
    tracking: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Job]:
    """Write down units that are on their way by parcel; they become `expected` jobs until the box is opened."""
    if not intakes:
        raise Refusal("There is no unit to announce.")
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.announced")
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
        once.settle(claimed, jobs[0])
    return jobs


def receive_expected(
    *,
    job: Job,
    by: Staff,
    packing_state: str,
    packing_note: str = "",
    condition: str = "",
    shelf: str = "",
    accessories: Sequence[AccessoryTaken] = (),
    photos: Sequence[UploadedFile] = (),
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Book an expected unit in when its box is opened, with the state of the packing noted on the parcel."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.booked_in")
        parcel = job.inbound
        if parcel is not None:
            InboundParcel.objects.filter(pk=parcel.pk, arrived_at__isnull=True).update(arrived_at=act.at)
            InboundParcel.objects.filter(pk=parcel.pk).update(
                opened_at=act.at, packing_state=packing_state, packing_note=packing_note.strip()
            )
        job.condition = condition.strip() or job.condition
        job.shelf = shelf.strip()
        job.accepted_by = by
        job.save(update_fields=["condition", "shelf", "accepted_by"])
        _take_accessories(job, accessories)
        for upload in photos:
            attach_picture(
                job=job, picture=take_picture(upload, by=by), by=by, shows=JobPicture.Shows.PACKING
            )
        stages.move(job, Stage.BOOKED_IN, act=act, asked_by="counter.receive_expected")
        act.record("job.booked_in", subject=job, jobs=[job.pk], how=job.how_it_came, packing=packing_state)
        once.settle(claimed, job)
    return job


def call_off(*, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None) -> Job:
    """An announced unit never came."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.called_off")
        stages.move(job, Stage.CALLED_OFF, act=act, asked_by="counter.call_off")
        once.settle(claimed, job)
    return job


def set_ready_unopened(
    *, job: Job, outcome: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """The unit goes back without having been on the bench: the customer thought better of it."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.set_ready_unopened")
        stages.move(job, Stage.READY, act=act, asked_by="counter.set_ready_unopened", outcome=outcome)
        once.settle(claimed, job)
    return job


def put_on_shelf(
    *, job: Job, shelf: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Note where a unit stands now."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.shelved")
        job.shelf = shelf.strip()
        job.save(update_fields=["shelf"])
        act.record("job.shelved", subject=job, jobs=[job.pk])
        once.settle(claimed, job)
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
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.accessory_taken")
        (accessory,) = _take_accessories(job, [AccessoryTaken(name=name, stands_at=stands_at)])
        act.record("job.accessory_taken", subject=accessory, jobs=[job.pk])
        once.settle(claimed, accessory)
    return accessory


def attach_picture(
    *,
    job: Job,
    picture: Picture,
    by: Staff | None,
    shows: str = JobPicture.Shows.INTAKE,
    caption: str = "",
    at: dt.datetime | None = None,
) -> JobPicture:
    """Keep a photograph with a job."""
    with acting(by=by, at=at) as act:
        kept = JobPicture.objects.create(job=job, picture=picture, shows=shows, caption=caption.strip())
        act.record("job.picture_kept", subject=kept, jobs=[job.pk], shows=shows)
    return kept


def attach_photos(
    *,
    job: Job,
    photos: Sequence[UploadedFile],
    by: Staff,
    caption: str = "",
    shows: str = JobPicture.Shows.INTAKE,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[JobPicture]:
    """Take photographs in and keep them with a job: all of them or none."""
    with acting(by=by, at=at):
        claimed = once.claim(once_key, "job.pictures_kept")
        kept = [
            attach_picture(job=job, picture=take_picture(upload, by=by), by=by, caption=caption, shows=shows)
            for upload in photos
        ]
        if kept:
            once.settle(claimed, kept[0])
    return kept


def file_paper(*, act: Act, paper: IssuedPaper, jobs: Iterable[Job]) -> None:
    """Put an issued paper with the jobs it speaks of. Joins the act that issued it."""
    jobs = list(jobs)
    JobPaper.objects.bulk_create(JobPaper(job=job, paper=paper) for job in jobs)
    act.record(
        "paper.filed", subject=paper, jobs=[job.pk for job in jobs], kind=paper.kind, sha256=paper.sha256
    )


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
    year = act.at.year
    sequence = numbers.take(JOB_SERIES, year)
    job = Job.objects.create(
        number=str(JobNumber.make(year, sequence)),
        year=year,
        sequence=sequence,
        customer=customer,
        unit=unit,
        stage=stage,
        stage_since=act.at,
        whose_move=WHOSE_MOVE[stage],
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


def promise(
    *,
    job: Job,
    promised_for: dt.date | None,
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Give the customer a date, or take it back."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "job.promised")
        job.promised_for = promised_for
        job.save(update_fields=["promised_for"])
        act.record("job.promised", subject=job, jobs=[job.pk], day=promised_for)
        once.settle(claimed, job)
    return job
