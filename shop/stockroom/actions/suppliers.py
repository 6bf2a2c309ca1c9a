"""Suppliers, and what parts cost the customer."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.stockroom.models import PriceRule, Supplier

LONGEST_LEAD = 400
MOST_PER_CENT = 1000
Bands = Sequence[tuple[int | None, int]]


def add_supplier(
    *,
    name: str,
    by: Staff | None,
    address: str = "",
    email: str = "",
    phone: str = "",
    our_account: str = "",
    lead_days: int = 7,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Supplier:
    """Write a supplier down; `lead_days` is how long a delivery usually takes."""
    with acting(by=by, at=at, once=once_key) as act:
        supplier = Supplier(
            name=name.strip(),
            address=address.strip(),
            email=email.strip(),
            phone=phone.strip(),
            our_account=our_account.strip(),
            lead_days=lead_days,
            note=note.strip(),
        )
        _refuse_wrong(supplier)
        supplier.save(force_insert=True)
        act.record("supplier.added", subject=supplier)
    return supplier


def change_supplier(
    *,
    supplier: Supplier,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **changes: str | int,
) -> Supplier:
    """Put right what is known of a supplier. `changes` are fields of `Supplier`."""
    with acting(by=by, at=at, once=once_key) as act:
        for name, value in changes.items():
            setattr(supplier, name, value.strip() if isinstance(value, str) else value)
        _refuse_wrong(supplier)
        supplier.save(update_fields=list(changes))
        act.record("supplier.changed", subject=supplier, fields=sorted(changes))
    return supplier


def add_price_rule(
    *,
    from_date: dt.date,
    bands: Bands,
    rounding: str,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> PriceRule:
    """Say what parts cost the customer from a day on: mark-up in percent by bands of cost, ascending, the last without end.

    Each band is (up to this cost in ten-thousandths of the major unit, or None; mark-up).
    """
    tops = [top for top, _ in bands[:-1]]
    if not bands or bands[-1][0] is not None or any(top is None for top in tops):
        raise Refusal("The last band has no upper end, and only the last.", field="bands")
    steps = [top for top in tops if top is not None]
    if steps != sorted(set(steps)):
        raise Refusal("The bands go up from one to the next.", field="bands")
    if any(not 0 <= per_cent <= MOST_PER_CENT for _, per_cent in bands):
        raise Refusal(f"A mark-up is between 0 and {MOST_PER_CENT} percent.", field="bands")
    with acting(by=by, at=at, once=once_key) as act:
        if PriceRule.objects.filter(from_date=from_date).exists():
            raise Refusal("There is a rule from that day already; take it back first.", field="from_date")
        rule = PriceRule.objects.create(
            from_date=from_date, bands=[list(band) for band in bands], rounding=rounding
        )
        act.record("price_rule.added", subject=rule, from_date=from_date)
    return rule


def withdraw_price_rule(
    *,
    rule: PriceRule,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> None:
    """Take back a rule that does not hold yet. One that prices were made by stays."""
    with acting(by=by, at=at, once=once_key) as act:
        if rule.from_date <= act.day:
            raise Refusal("Prices were made by this rule; write a new one from a later day.")
        act.record("price_rule.withdrawn", subject=rule, from_date=rule.from_date)
        PriceRule.objects.filter(pk=rule.pk).delete()


def _refuse_wrong(supplier: Supplier) -> None:
    if not supplier.name:
        raise Refusal("A supplier has a name.", field="name")
    if not 0 <= supplier.lead_days <= LONGEST_LEAD:
        raise Refusal(f"A delivery takes between 0 and {LONGEST_LEAD} days.", field="lead_days")
    if Supplier.objects.filter(name__iexact=supplier.name).exclude(pk=supplier.pk).exists():
        raise Refusal(f"There is a supplier {supplier.name} already.", field="name")
