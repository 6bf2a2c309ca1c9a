"""What opens a shop, and what lets its owner back in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.models import Group

from shop.premises import clock, numbers
from shop.premises.journal import acting
from shop.premises.models import Role, ShopProfile, Staff
from shop.premises.refusal import Refusal


def open_shop(
    *,
    profile: Mapping[str, Any],
    username: str,
    password: str,
    full_name: str = "",
    next_numbers: Mapping[str, int],
) -> Staff:
    """Write the shop's profile, make its owner's account and set where its numbers go on; return the owner.

    `profile` holds fields of ShopProfile; `next_numbers` the next number of each series in this year. Refuses when
    the shop is open already: that happens once.
    """
    if ShopProfile.objects.exists():
        raise Refusal("This shop is open already; sign in instead.")
    with acting(by=None) as act:
        shop = ShopProfile.objects.create(**profile)
        owner = appoint_owner(username=username, password=password, full_name=full_name)
        year = clock.today().year
        for series, value in next_numbers.items():
            numbers.set_next(series, year, value)
            act.record("shop.numbers_set", series=series, year=year, next_value=value)
        act.record("shop.opened", subject=shop)
    return owner


def appoint_owner(*, username: str, password: str, full_name: str = "") -> Staff:
    """Make an account that may do everything; return it."""
    first, _, last = full_name.strip().rpartition(" ")
    with acting(by=None) as act:
        owner = Staff(username=username, first_name=first, last_name=last)
        owner.set_password(password)
        owner.save()
        owner.groups.add(Group.objects.get(name=Role.OWNER))
        act.record("staff.appointed", subject=owner, role=str(Role.OWNER))
    return owner


def give_password(*, to: Staff, password: str, by: Staff | None = None) -> None:
    """Replace somebody's password; their sessions end."""
    with acting(by=by) as act:
        to.set_password(password)
        to.save(update_fields=["password"])
        act.record("staff.password_given", subject=to)
