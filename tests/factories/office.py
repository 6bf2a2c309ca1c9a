"""What the office of a test shop reckons with, and jobs brought as far as an estimate or an invoice needs."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from shop.bench import actions as bench
from shop.bench.models import WorkKind
from shop.counter.models import Customer, Job
from shop.frame.models import ShopProfile, Staff
from shop.handbook import law
from shop.handbook.money import UnitPrice
from shop.office import actions
from shop.office.models import (
    PERCENT,
    TAXED_KINDS,
    Authorisation,
    Invoice,
    LabourRate,
    LineKind,
    OfficeRules,
    TaxRule,
)
from shop.office.pricing import PricedItem
from tests.factories.counter import UnitFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

LONG_AGO = dt.date(2020, 1, 1)


def rules(**more: Any) -> OfficeRules:
    """The office's rules since long ago: tenths of an hour, prices before tax, thirty days for an estimate."""
    return OfficeRules.objects.create(from_date=LONG_AGO, **more)


def shop_at_work() -> Staff:
    """A shop that has its rates, and the person who works in it."""
    ShopProfileFactory()
    rates()
    return StaffFactory(username="ottoline")


def rates(hourly_ten_thousandths: int = 850_000) -> None:
    """One hourly rate for every kind of work: 85.00."""
    LabourRate.objects.bulk_create(
        LabourRate(kind=kind, from_date=LONG_AGO, hourly_ten_thousandths=hourly_ten_thousandths)
        for kind in WorkKind
    )


def sales_tax(percent: str = "8.25") -> None:
    """Parts taxed at a rate, labour not: as in California."""
    tax(percent, LineKind.PART, name="Sales tax")


def tax(
    percent: str,
    *kinds: str,
    name: str = "VAT",
    category: str = "S",
    rate: str = "standard",
    reason: str = "",
) -> None:
    """A rate on the kinds of line named, on all where none is."""
    for kind in kinds or [kind for kind, _ in TAXED_KINDS]:
        TaxRule.objects.create(
            name=name,
            line_kind=kind,
            rate_percent=percent,
            category=category,
            rate=rate,
            reason=reason,
            from_date=LONG_AGO,
            source="invented",
        )


def european_shop(**more: Any) -> ShopProfile:
    """An invented shop in Germany with a VAT number that is nobody's."""
    facts: dict[str, Any] = {
        "name": "Werkbank Halbton",
        "address": "Schieferweg 9\n00000 Lindenau",
        "country": "DE",
        "currency": "EUR",
        "law_profile": law.EUROPEAN_UNION.key,
        "tax_number": "DE000000000",
        "registration_number": "",
        "phone": "+49 555 0142",
        "paper_size": "A4",
        "language": "en-GB",
        **more,
    }
    profile = ShopProfileFactory()
    ShopProfile.objects.filter(pk=profile.pk).update(**facts)
    profile.refresh_from_db()
    return profile


def item(
    kind: str = LineKind.LABOUR,
    price: str = "85.00",
    quantity: int = 1000,
    currency: str = "USD",
    **more: Any,
) -> PricedItem:
    """One priced line; `price` for one, quantity in thousandths."""
    more.setdefault("description", f"Some {kind}")
    return PricedItem(
        kind=kind, unit_price=UnitPrice.parse(price, currency), quantity_thousandths=quantity, **more
    )


def off(percent: str, currency: str = "USD", **more: Any) -> PricedItem:
    """A discount in percent of the other lines, as somebody types it."""
    fraction = UnitPrice.parse(str(Decimal(percent) / 100), currency)
    more.setdefault("description", "Our discount")
    return PricedItem(
        kind=LineKind.DISCOUNT, unit_price=fraction, quantity_thousandths=0, unit=PERCENT, **more
    )


def on_the_bench(**more: Any) -> Job:
    """A job on the bench."""
    by = more.get("by") or StaffFactory()
    job = booked_in(**more)
    bench.take_to_bench(job=job, by=by)
    return job


def another_job(customer: Customer, *, by: Staff, **more: Any) -> Job:
    """One more job of a customer, with a unit of its own."""
    return booked_in(unit=UnitFactory(owner=customer), customer=customer, by=by, **more)


def agreed(job: Job, authorised_minor: int, *, by: Staff, **more: Any) -> Authorisation:
    """The customer's yes up to a sum, in writing."""
    return actions.record_answer(
        job=job,
        answer=Authorisation.Answer.UP_TO,
        how=Authorisation.How.WRITTEN,
        given_by=job.customer.name,
        up_to_minor=authorised_minor,
        by=by,
        **more,
    )


def drafted(job: Job, items: Sequence[PricedItem] | None, *, by: Staff, **more: Any) -> Invoice:
    """A draft over one job, authorised far beyond what it charges."""
    agreed(job, 10**9, by=by)
    return actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=by, **more)


def issued(job: Job, items: Sequence[PricedItem], *, by: Staff, **more: Any) -> Invoice:
    """An issued invoice over one job, authorised far beyond what it charges."""
    at = {"at": more["at"]} if "at" in more else {}
    return actions.issue_invoice(invoice=drafted(job, items, by=by, **more), by=by, **at)
