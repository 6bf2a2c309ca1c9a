"""Models and units, as they are met at the counter."""

from __future__ import annotations

import datetime as dt

from shop.counter.keys import model_key, name_key, serial_key
from shop.counter.models import Customer, Job, Kind, Maker, Unit, UnitModel
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal


@keyless("joined")
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


@keyless("joined")
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
    year_made: int | None = None,
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
            **built_in(year_made),
            added_at=act.at,
        )
        act.record("unit.added", subject=unit)
    return unit


def built_in(year: int | None) -> dict[str, dt.date | None]:
    """The columns of a unit that say in which year it was made; nothing is known without one."""
    return {
        "built_from": dt.date(year, 1, 1) if year else None,
        "built_to": dt.date(year, 12, 31) if year else None,
    }


@keyless("joined")
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
