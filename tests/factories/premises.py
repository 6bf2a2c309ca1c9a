"""The shop and the people who work in it."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import Group
from factory.declarations import Sequence
from factory.helpers import post_generation

from shop.frame.models import Role, ShopProfile, Staff
from shop.handbook import law
from tests.factories.making import RowFactory


class ShopProfileFactory(RowFactory[ShopProfile]):
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
    law_profile = law.CALIFORNIA.key


class StaffFactory(RowFactory[Staff]):
    """Someone who works in the shop; `roles=["bench"]` gives roles, an owner by default."""

    class Meta:
        model = Staff
        skip_postgeneration_save = True

    username = Sequence(lambda n: f"staff{n}")
    first_name = "Ottoline"
    last_name = "Brask"
    employee_number = Sequence(lambda n: f"{n + 1:02d}")

    @post_generation
    def roles(self: Any, create: bool, extracted: list[str] | None, **_: object) -> None:
        """Put the person into the groups of their roles."""
        if create:
            for name in extracted if extracted is not None else [Role.OWNER]:
                self.groups.add(Group.objects.get_or_create(name=name)[0])
