"""What a job comes to: labour from its stints by the shop's rules of the day, its parts, its bench fee."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shop.bench.models import Stint, WorkKind
from shop.counter.models import Job
from shop.handbook import labour
from shop.handbook.money import Money, UnitPrice
from shop.office.models import LabourRate, LineKind, OfficeRules, PricedLine
from shop.premises.refusal import Refusal
from shop.stockroom.models import PartFitted


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedItem:
    """One priced line before it is written: quantity in thousandths, unit price in ten-thousandths."""

    kind: str
    description: str
    unit_price: UnitPrice
    quantity_thousandths: int = 1000
    unit: str = "pc"
    part_state: str = ""
    under_warranty: bool = False
    job: Job | None = None

    @property
    def amount(self) -> Money:
        """Quantity times unit price, rounded half up once; nothing where it is under warranty."""
        if self.under_warranty:
            return Money.zero(self.unit_price.currency)
        return self.unit_price.times(self.quantity_thousandths)

    def columns(self, position: int) -> dict[str, object]:
        """The columns of `PricedLine`."""
        return {
            "position": position,
            "kind": self.kind,
            "description": self.description[:300],
            "quantity_thousandths": self.quantity_thousandths,
            "unit": self.unit,
            "unit_price_ten_thousandths": self.unit_price.ten_thousandths,
            "amount_minor": self.amount.minor,
            "part_state": self.part_state,
            "under_warranty": self.under_warranty,
        }


def rules_on(day: dt.date) -> OfficeRules:
    """The office's rules that hold on a day; the usual ones while the shop has set none."""
    return OfficeRules.objects.filter(from_date__lte=day).order_by("-from_date").first() or OfficeRules(
        from_date=day
    )


def rates_on(day: dt.date, currency: str) -> dict[str, UnitPrice]:
    """The hourly rate of each kind of work on a day."""
    rates: dict[str, UnitPrice] = {}
    for rate in LabourRate.objects.filter(from_date__lte=day).order_by("from_date"):
        rates[rate.kind] = UnitPrice(rate.hourly_ten_thousandths, currency)
    return rates


def items_of(job: Job, *, on: dt.date) -> list[PricedItem]:
    """Everything recorded on a job, priced: labour by kind of work, parts fitted, the bench fee where one was agreed.

    With a bench fee agreed, finding the fault is charged by the fee and not by the hour.
    """
    fee = (
        [
            PricedItem(
                kind=LineKind.BENCH_FEE,
                description="Bench fee: finding the fault",
                unit_price=UnitPrice.of(Money(job.bench_fee_minor, job.currency)),
                job=job,
            )
        ]
        if job.bench_fee_minor
        else []
    )
    return [*fee, *labour_items(job, on=on, without_diagnosis=bool(fee)), *part_items(job)]


def nothing_charged(job: Job) -> PricedItem:
    """The line of an invoice that charges nothing: the customer gets one all the same (16 CCR 2723)."""
    return PricedItem(
        kind=LineKind.LABOUR,
        description="Work done, nothing charged",
        unit_price=UnitPrice(0, job.currency),
        job=job,
    )


def labour_items(job: Job, *, on: dt.date, without_diagnosis: bool = False) -> list[PricedItem]:
    """The labour of a job, its hours rounded once for the job by the shop's rule and shared over the kinds of work."""
    rules = rules_on(on)
    stints = Stint.objects.filter(job=job, struck_at__isnull=True, stopped_at__isnull=False)
    if without_diagnosis:
        stints = stints.exclude(kind=WorkKind.DIAGNOSIS)
    rates = rates_on(on, job.currency)
    try:
        bill = labour.bill_labour(
            [as_handbook_stint(stint) for stint in stints],
            rates=rates,
            currency=job.currency,
            rounding=labour.Rounding(rules.rounding),
            minimum=Money(rules.minimum_minor, job.currency) if rules.minimum_minor else None,
        )
    except labour.LabourError as error:
        raise Refusal(f"{error} Set the shop’s hourly rates first.") from error
    items = [
        PricedItem(
            kind=LineKind.LABOUR,
            description=WorkKind(line.kind).label,
            unit_price=line.rate,
            quantity_thousandths=line.quantity_thousandths,
            unit="h",
            job=job,
        )
        for line in bill.lines
    ]
    if bill.top_up:
        items.append(
            PricedItem(
                kind=LineKind.LABOUR,
                description="Up to the minimum charge",
                unit_price=UnitPrice.of(bill.top_up),
                job=job,
            )
        )
    return items


def part_items(job: Job) -> list[PricedItem]:
    """The parts fitted on a job, each with its state: used, exchanged and salvaged parts are said to be so."""
    fitted = PartFitted.objects.filter(job=job, struck_at__isnull=True).order_by("id")
    return [
        PricedItem(
            kind=LineKind.PART,
            description=f"{part.description} ({part.position})" if part.position else part.description,
            unit_price=UnitPrice(part.unit_price_ten_thousandths, part.currency),
            quantity_thousandths=part.quantity_thousandths,
            part_state=part.state,
            under_warranty=part.under_warranty,
            job=job,
        )
        for part in fitted
    ]


def as_handbook_stint(stint: Stint) -> labour.Stint:
    """A stint as the handbook prices it."""
    billing = labour.Billing.BILLED
    if stint.kind == WorkKind.UNBILLED:
        billing = labour.Billing.UNBILLED
    elif stint.under_warranty:
        billing = labour.Billing.WARRANTY
    return labour.Stint(
        key=str(stint.pk),
        person=str(stint.by_id),
        kind=stint.kind,
        started=stint.started_at,
        stopped=stint.stopped_at,
        billing=billing,
    )


def total(items: Iterable[PricedItem | PricedLine], currency: str) -> Money:
    """The sum of priced lines before tax."""
    minor = sum(item.amount.minor if isinstance(item, PricedItem) else item.amount_minor for item in items)
    return Money(minor, currency)


def as_items(lines: Sequence[PricedLine], currency: str, job: Job | None = None) -> list[PricedItem]:
    """Written lines as items again, for the next version of an estimate."""
    return [
        PricedItem(
            kind=line.kind,
            description=line.description,
            unit_price=UnitPrice(line.unit_price_ten_thousandths, currency),
            quantity_thousandths=line.quantity_thousandths,
            unit=line.unit,
            part_state=line.part_state,
            under_warranty=line.under_warranty,
            job=job,
        )
        for line in lines
    ]
