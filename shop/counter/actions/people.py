"""Customers, and the shop as one of them."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.keys import name_key, phone_key
from shop.counter.models import Customer
from shop.frame.journal import acting
from shop.frame.models import ShopProfile, Staff
from shop.frame.once import keyless


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
    with acting(by=by, at=at, once=once_key) as act:
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
    return customer


def change_customer(
    *,
    customer: Customer,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **changes: object,
) -> Customer:
    """Put what is known of a customer right. `changes` are fields of `Customer` with what they become."""
    with acting(by=by, at=at, once=once_key) as act:
        for name, value in changes.items():
            setattr(customer, name, value.strip() if isinstance(value, str) else value)
        _fold_customer(customer)
        customer.save(update_fields=[*changes, "search_key", "phone_digits"])
        act.record("customer.changed", subject=customer, fields=sorted(changes))
    return customer


@keyless("joined")
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
