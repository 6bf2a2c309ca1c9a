"""Customers, units and jobs, with a small cast: a regular customer, a business, a stranger."""

from __future__ import annotations

import factory

from shop.counter import actions
from shop.counter.keys import model_key, name_key, phone_key, serial_key
from shop.counter.models import Customer, HowItCame, Job, Kind, Maker, Unit, UnitModel
from tests.factories.premises import ShopProfileFactory, StaffFactory


class CustomerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Customer

    class Params:
        regular = factory.Trait(name="Marguerite Osei", phone="555-0117", email="marguerite@example.com")
        business = factory.Trait(name="Ivo Lindqvist", organisation="Lantern Room Studio", phone="555-0133")
        stranger = factory.Trait(name="Dashiell Crewe", phone="555-0188")

    name = factory.Sequence(lambda n: f"Customer {n}")
    organisation = ""
    address = "3 Tallow Street\nPort Amity, CA 90001"
    phone = factory.Sequence(lambda n: f"555-01{n % 100:02d}")
    search_key = factory.LazyAttribute(lambda o: name_key(o.name, o.organisation))
    phone_digits = factory.LazyAttribute(lambda o: phone_key(o.phone))


class MakerFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Maker
        django_get_or_create = ("folded",)

    name = "Quillhaven"
    folded = factory.LazyAttribute(lambda o: name_key(o.name))


class UnitModelFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = UnitModel
        django_get_or_create = ("maker", "folded")

    maker = factory.SubFactory(MakerFactory)
    name = "VX-318"
    folded = factory.LazyAttribute(lambda o: model_key(o.name))
    kind = Kind.RECEIVER
    protection_class = "II"


class UnitFactory(factory.django.DjangoModelFactory):
    class Meta:
        model = Unit

    model = factory.SubFactory(UnitModelFactory)
    owner = factory.SubFactory(CustomerFactory)
    serial = factory.Sequence(lambda n: f"A{n:06d}")
    serial_folded = factory.LazyAttribute(lambda o: serial_key(o.serial))
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
