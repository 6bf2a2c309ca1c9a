"""What the office of a test shop reckons with, and jobs brought as far as an estimate or an invoice needs."""

from __future__ import annotations

import datetime as dt
from typing import Any

from shop.bench import actions as bench
from shop.bench.models import WorkKind
from shop.counter.models import Job
from shop.handbook.money import UnitPrice
from shop.office import actions
from shop.office.models import Authorisation, Invoice, LabourRate, LineKind, OfficeRules, TaxRule
from shop.office.pricing import PricedItem
from shop.premises.models import Staff
from tests.factories.counter import booked_in
from tests.factories.premises import StaffFactory

LONG_AGO = dt.date(2020, 1, 1)


def rules(**more: Any) -> OfficeRules:
    """The office's rules since long ago: tenths of an hour, prices before tax, thirty days for an estimate."""
    return OfficeRules.objects.create(from_date=LONG_AGO, **more)


def rates(hourly_ten_thousandths: int = 850_000) -> None:
    """One hourly rate for every kind of work: 85.00."""
    LabourRate.objects.bulk_create(
        LabourRate(kind=kind, from_date=LONG_AGO, hourly_ten_thousandths=hourly_ten_thousandths)
        for kind in WorkKind
    )


def sales_tax(percent: str = "8.25") -> None:
    """Parts taxed at a rate, labour not: as in California."""
    TaxRule.objects.create(
        name="Sales tax",
        line_kind=LineKind.PART,
        rate_percent=percent,
        category="S",
        from_date=LONG_AGO,
        source="invented",
    )


def item(kind: str = LineKind.LABOUR, price: str = "85.00", quantity: int = 1000, **more: Any) -> PricedItem:
    """One priced line; `price` in US dollars for one, quantity in thousandths."""
    more.setdefault("description", f"Some {kind}")
    return PricedItem(
        kind=kind, unit_price=UnitPrice.parse(price, "USD"), quantity_thousandths=quantity, **more
    )


def on_the_bench(**more: Any) -> Job:
    """A job on the bench."""
    by = more.get("by") or StaffFactory()
    job = booked_in(**more)
    bench.take_to_bench(job=job, by=by)
    return job


def agreed(job: Job, authorised_minor: int, *, by: Staff) -> Authorisation:
    """The customer's yes up to a sum, given at the counter."""
    return actions.record_answer(
        job=job,
        answer=Authorisation.Answer.UP_TO,
        how=Authorisation.How.IN_PERSON,
        given_by=job.customer.name,
        up_to_minor=authorised_minor,
        by=by,
    )


def issued(job: Job, items: list[PricedItem], *, by: Staff, **more: Any) -> Invoice:
    """An issued invoice over one job, authorised far beyond what it charges."""
    agreed(job, 10**9, by=by)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=by, **more)
    return actions.issue_invoice(invoice=draft, by=by, **more)
