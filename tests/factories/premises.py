"""The shop and the people who work in it."""

from __future__ import annotations

import factory
from django.contrib.auth.models import Group

from shop.frame.models import LawProfile, Role, ShopProfile, Staff


class ShopProfileFactory(factory.django.DjangoModelFactory):
    """An invented shop in California with United States money and paper."""

    class Meta:
        model = ShopProfile
        django_get_or_create = ("id",)

    id = 1
    name = "Halftone Bench"
    owner_name = "Ottoline Brask"
    address = "14 Quarry Lane\nPort Amity, CA 90000"
    country = "US"
    phone = "(555) 555-0142"
    email = "bench@halftone.example"
    web_address = "https://halftone.example"
    registration_label = "Registration no."
    registration_number = "E 00000"
    currency = "USD"
    law_profile = LawProfile.CALIFORNIA


class StaffFactory(factory.django.DjangoModelFactory):
    """Someone who works in the shop; `roles=["bench"]` gives roles, an owner by default."""

    class Meta:
        model = Staff
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"staff{n}")
    first_name = "Ottoline"
    last_name = "Brask"
    employee_number = factory.Sequence(lambda n: f"{n + 1:02d}")

    @factory.post_generation
    def roles(self, create: bool, extracted: list[str] | None, **_: object) -> None:
        """Put the person into the groups of their roles."""
        if create:
            for name in extracted if extracted is not None else [Role.OWNER]:
                self.groups.add(Group.objects.get_or_create(name=name)[0])
