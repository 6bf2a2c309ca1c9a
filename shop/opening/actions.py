"""What opens a shop."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from shop.frame.journal import acting
from shop.frame.models import Role, ShopProfile, Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.premises.actions import add_staff, change_profile, set_next_number


@keyless("first")
def open_shop(
    *,
    profile: Mapping[str, Any],
    username: str,
    password: str,
    full_name: str = "",
    next_numbers: Mapping[str, int],
) -> Staff:
    """Write the shop's profile, make its owner's account and set where its numbers go on; return the owner.

    `profile` holds fields of ShopProfile, `next_numbers` the next number of each series in this year. Everything is
    one act. Refuses when the shop is open already: that happens once.
    """
    first, _, last = full_name.strip().rpartition(" ")
    with acting(by=None) as act:
        if ShopProfile.objects.exists():
            raise Refusal("This shop is open already; sign in instead.")
        shop = change_profile(by=None, **profile)
        owner = add_staff(
            username=username,
            password=password,
            first_name=first,
            last_name=last,
            roles=[Role.OWNER],
            by=None,
        )
        for series, value in next_numbers.items():
            set_next_number(series=series, year=act.day.year, value=value, by=None)
        act.record("shop.opened", subject=shop)
    return owner
