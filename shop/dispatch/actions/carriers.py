"""The shop's own tables: boxes it keeps, carriers it uses, and their rules and rates from a day on."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from decimal import Decimal
from urllib.parse import urlsplit

from shop.dispatch.models import Box, Carrier, CarrierRule
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal

LONGEST_SIDE_MM = 5_000
MOST_CLAIM_DAYS = 365
Rates = Sequence[tuple[Decimal, int]]


def add_box(
    *,
    name: str,
    length_mm: int,
    width_mm: int,
    height_mm: int,
    by: Staff | None,
    wall: str = "single",
    ect: int | None = None,
    burst: int | None = None,
    weight_grams: int = 0,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Box:
    """Write down a box that the shop keeps: outside measures in millimetres, what the maker's stamp says, its own weight."""
    if not name.strip():
        raise Refusal("Give the box a name.", field="name")
    if not all(0 < side <= LONGEST_SIDE_MM for side in (length_mm, width_mm, height_mm)):
        raise Refusal("A box has three sides of up to 5 m.", field="size")
    with acting(by=by, at=at, once=once_key) as act:
        box = Box.objects.create(
            name=name.strip(),
            length_mm=length_mm,
            width_mm=width_mm,
            height_mm=height_mm,
            wall=wall,
            ect=ect,
            burst=burst,
            weight_grams=weight_grams,
        )
        act.record("box.added", subject=box)
    return box


def retire_box(
    *, box: Box, by: Staff | None, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """The box is not kept any more; parcels packed in it stay as they were."""
    with acting(by=by, at=at, once=once_key) as act:
        if not Box.objects.filter(pk=box.pk, retired_at=None).update(retired_at=act.at):
            raise Refusal("This box is not kept any more.")
        act.record("box.retired", subject=box)


def add_carrier(
    *,
    name: str,
    by: Staff | None,
    tracking_link: str = "",
    checks_s10: bool = False,
    claim_days: int | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Carrier:
    """Write down a carrier. `tracking_link` is its page with `{tracking}` where the number goes."""
    with acting(by=by, at=at, once=once_key) as act:
        carrier = Carrier(
            name=name.strip(),
            tracking_link=tracking_link.strip(),
            checks_s10=checks_s10,
            claim_days=claim_days,
        )
        _refuse_wrong(carrier)
        carrier.save(force_insert=True)
        act.record("carrier.added", subject=carrier)
    return carrier


def change_carrier(
    *,
    carrier: Carrier,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **changes: object,
) -> Carrier:
    """Put right what is known of a carrier; `retired` takes it out of the choices or puts it back."""
    with acting(by=by, at=at, once=once_key) as act:
        if "retired" in changes:
            carrier.retired_at = (carrier.retired_at or act.at) if changes.pop("retired") else None
        for name, value in changes.items():
            setattr(carrier, name, value.strip() if isinstance(value, str) else value)
        _refuse_wrong(carrier)
        carrier.save()
        act.record("carrier.changed", subject=carrier, fields=sorted(changes))
    return carrier


def add_carrier_rule(
    *,
    carrier: Carrier,
    from_date: dt.date,
    divisor: Decimal,
    units: str,
    rounding: str,
    by: Staff | None,
    threshold: Decimal | None = None,
    max_length: Decimal | None = None,
    max_length_girth: Decimal | None = None,
    max_weight: Decimal | None = None,
    rates: Rates = (),
    source: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> CarrierRule:
    """How a carrier weighs, limits and prices parcels from a day on, in its own units (inches and pounds, or cm and kg).

    `rates` are (up to this charged weight, price in minor units), ascending: the shop's own table, no tariff is fetched.
    """
    if divisor <= 0:
        raise Refusal("The divisor is above zero.", field="divisor")
    weights = [weight for weight, _ in rates]
    if weights != sorted(set(weights)) or any(weight <= 0 for weight in weights):
        raise Refusal("The weights of the rates go up from line to line.", field="rates")
    with acting(by=by, at=at, once=once_key) as act:
        if CarrierRule.objects.filter(carrier=carrier, from_date=from_date).exists():
            raise Refusal("There is a rule from that day already; take it back first.", field="from_date")
        rule = CarrierRule.objects.create(
            carrier=carrier,
            from_date=from_date,
            divisor=divisor,
            units=units,
            rounding=rounding,
            threshold=threshold,
            max_length=max_length,
            max_length_girth=max_length_girth,
            max_weight=max_weight,
            rates=[[str(weight), minor] for weight, minor in rates],
            source=source.strip(),
        )
        act.record("carrier_rule.added", subject=carrier, from_date=from_date)
        act.made(rule)
    return rule


def withdraw_carrier_rule(
    *,
    rule: CarrierRule,
    by: Staff | None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> None:
    """Take back a rule that does not hold yet."""
    with acting(by=by, at=at, once=once_key) as act:
        if rule.from_date <= act.day:
            raise Refusal("Parcels were weighed by this rule; write a new one from a later day.")
        act.record("carrier_rule.withdrawn", subject=rule.carrier, from_date=rule.from_date)
        CarrierRule.objects.filter(pk=rule.pk).delete()


def _refuse_wrong(carrier: Carrier) -> None:
    if not carrier.name:
        raise Refusal("A carrier has a name.", field="name")
    if Carrier.objects.filter(name__iexact=carrier.name).exclude(pk=carrier.pk).exists():
        raise Refusal(f"There is a carrier {carrier.name} already.", field="name")
    link = carrier.tracking_link
    if link and "{tracking}" not in link:
        raise Refusal("Write {tracking} where the number goes.", field="tracking_link")
    if link and urlsplit(link).scheme not in {"http", "https"}:
        raise Refusal("The address begins with https://.", field="tracking_link")
    if carrier.claim_days is not None and not 0 < carrier.claim_days <= MOST_CLAIM_DAYS:
        raise Refusal("Claims are made within 1 to 365 days.", field="claim_days")
