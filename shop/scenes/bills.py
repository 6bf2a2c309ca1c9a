"""What a demo job's story says of money: the estimate, the customer's answer, the invoice and what was paid."""

from __future__ import annotations

import datetime as dt

from shop.bench.models import WorkKind
from shop.counter.models import Job
from shop.frame.clock import day_of
from shop.handbook.money import Money, UnitPrice
from shop.office import actions as office
from shop.office.models import Estimate, LineKind
from shop.office.pricing import PricedItem, items_of, nothing_charged
from shop.scenes.cast import Cast, Told, parts_of

USD = "USD"
# What the demo's owner says up to which sum, above what she reckoned.
LEEWAY_MINOR = 6_000


def price(text: str) -> UnitPrice:
    """A unit price in the demo's money."""
    return UnitPrice.parse(text, USD)


def minor(text: str | None) -> int | None:
    """A sum in cents; None for none."""
    return None if text is None else Money.parse(text, USD).minor


def _estimate_items(facts: Told, cast: Cast, job: Job) -> list[PricedItem]:
    if "estimate" in facts:
        return [
            PricedItem(
                kind=kind,
                description=text,
                unit_price=price(each),
                quantity_thousandths=quantity,
                unit="h" if kind == LineKind.LABOUR else "pc",
                job=job,
            )
            for kind, text, each, quantity in facts["estimate"]
        ]
    return _reckoned(facts, cast, job)


def _reckoned(facts: Told, cast: Cast, job: Job) -> list[PricedItem]:
    """An estimate from the hours and the parts of the story, where it lists none of its own."""
    minutes = sum(spent for kind, spent in facts.get("hours", {}).items() if kind != WorkKind.DIAGNOSIS)
    items = [
        PricedItem(
            kind=LineKind.BENCH_FEE,
            description="Bench fee: finding the fault",
            unit_price=price(facts["fee"]),
            job=job,
        )
    ]
    if minutes:
        items.append(
            PricedItem(
                kind=LineKind.LABOUR,
                description="Repair as found",
                unit_price=price("80"),
                quantity_thousandths=-(-minutes * 10 // 60) * 100,
                unit="h",
                job=job,
            )
        )
    for fitted in parts_of(facts):
        known = cast.parts.get(fitted.name)
        items.append(
            PricedItem(
                kind=LineKind.PART,
                description=known.description if known else fitted.name,
                unit_price=price(fitted.price or "12"),
                quantity_thousandths=fitted.count * 1000,
                job=job,
            )
        )
    return items


def put_estimate(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    """Draw the job's estimate up and put it to the customer."""
    items = _estimate_items(facts, cast, job)
    estimate = office.draft_estimate(job=job, items=items, days_needed=15, by=cast.owner, at=at)
    office.put_estimate(estimate=estimate, by=cast.owner, at=at)


def answer(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    """Write down what the customer said to it."""
    given = Estimate.objects.filter(job=job, state=Estimate.State.GIVEN)
    estimate = given.order_by("-version").first()
    by_phone = bool(job.customer.phone) and job.pk % 3 != 0 and estimate is not None
    total = estimate.total_minor if estimate is not None else 0
    office.record_answer(
        job=job,
        estimate=estimate,
        answer="yes" if "estimate" in facts else "up_to",
        how="phone" if by_phone else "written",
        given_by=job.customer.name,
        phone_called=job.customer.phone if by_phone else "",
        up_to_minor=total + LEEWAY_MINOR,
        by=cast.owner,
        at=at,
    )


def invoice(facts: Told, cast: Cast, job: Job, at: dt.datetime) -> None:
    """Bill what stands on the job, and take the money where the story says that it was paid."""
    items = items_of(job, on=day_of(at))
    draft = office.draft_invoice(
        customer=job.customer, jobs=[job], items=items or [nothing_charged(job)], by=cast.owner, at=at
    )
    invoice = office.issue_invoice(invoice=draft, by=cast.owner, at=at)
    owed = invoice.total_minor - invoice.prepaid_minor
    if owed > 0 and not facts.get("unpaid") and not facts.get("invoice"):
        how = ("cash", "card", "transfer")[job.pk % 3]
        office.take_payment(
            customer=job.customer, amount_minor=owed, how=how, invoice=invoice, by=cast.owner, at=at
        )
