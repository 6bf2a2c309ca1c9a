"""Customers, units and jobs, with a small cast: a regular customer, a business, a stranger."""

from __future__ import annotations

from typing import Any

from factory.declarations import LazyAttribute, Sequence, SubFactory, Trait

from shop.counter import actions
from shop.counter.keys import model_key, name_key, phone_key, serial_key
from shop.counter.models import Customer, HowItCame, Job, Kind, Maker, Unit, UnitModel
from tests.factories.making import RowFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory


class CustomerFactory(RowFactory[Customer]):
    class Meta:
        model = Customer

    class Params:
        regular = Trait(name="Marguerite Osei", phone="555-0117", email="marguerite@example.com")
        business = Trait(name="Ivo Lindqvist", organisation="Lantern Room Studio", phone="555-0133")
        stranger = Trait(name="Dashiell Crewe", phone="555-0188")

    name = Sequence(lambda n: f"Customer {n}")
    organisation = ""
    address = "3 Tallow Street\nPort Amity, CA 90001"
    phone = Sequence(lambda n: f"555-01{n % 100:02d}")
    search_key = LazyAttribute(lambda o: name_key(o.name, o.organisation))
    phone_digits = LazyAttribute(lambda o: phone_key(o.phone))


class MakerFactory(RowFactory[Maker]):
    class Meta:
        model = Maker
        django_get_or_create = ("folded",)

    name = "Quillhaven"
    folded = LazyAttribute(lambda o: name_key(o.name))


class UnitModelFactory(RowFactory[UnitModel]):
    class Meta:
        model = UnitModel
        django_get_or_create = ("maker", "folded")

    maker = SubFactory(MakerFactory)
    name = "VX-318"
    folded: Any = LazyAttribute(lambda o: model_key(o.name))
    kind: Any = Kind.RECEIVER
    protection_class = "II"


class UnitFactory(RowFactory[Unit]):
    class Meta:
        model = Unit

    model = SubFactory(UnitModelFactory)
    owner = SubFactory(CustomerFactory)
    serial = Sequence(lambda n: f"A{n:06d}")
    serial_folded = LazyAttribute(lambda o: serial_key(o.serial))
    line_voltage = 120
    protection_class = "II"


def booked_in(
    *,
    complaint: str = "No sound from the left channel",
    unit: Unit | None = None,
    **more: object,
) -> Job:
    """One job, booked in through the same act as at the counter."""
    ShopProfileFactory()
    unit = unit or UnitFactory()
    by = more.pop("by", None) or StaffFactory()
    at = more.pop("at", None)
    customer = more.pop("customer", None) or unit.owner
    intake = actions.Intake(unit=unit, complaint=complaint, **more)
    (job,) = actions.book_in(
        customer=customer, intakes=[intake], by=by, at=at, how_it_came=HowItCame.CARRIED_IN
    )
    return job
