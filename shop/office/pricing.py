"""What a job comes to: labour from its stints by the shop's rules of the day, its parts, its bench fee."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from shop.bench.models import Stint, WorkKind
from shop.counter.models import Job
from shop.frame.refusal import Refusal
from shop.handbook import labour
from shop.handbook.money import Money, UnitPrice
from shop.office import charging
from shop.office.charging import named
from shop.office.models import (
    Charge,
    FlatPrice,
    FlatWork,
    LabourRate,
    LineKind,
    OfficeRules,
    PricedLine,
)
from shop.stockroom.models import PartFitted

NOTHING = "Work done, nothing charged"


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedItem:
    """One priced line before it is written: quantity in thousandths, unit price in ten-thousandths.

    `sources` names what of the records it charges (see `charging`); `unpriced`: nobody has said what it costs yet.
    """

    kind: str
    description: str
    unit_price: UnitPrice
    quantity_thousandths: int = 1000
    unit: str = "pc"
    part_state: str = ""
    under_warranty: bool = False
    rate: str = "standard"
    margin: bool = False
    of_kind: str = ""
    unpriced: bool = False
    sources: tuple[str, ...] = ()
    job: Job | None = None

    @property
    def amount(self) -> Money:
        """Quantity times unit price, rounded half up once; nothing where it is under warranty."""
        if self.under_warranty:
            return Money.zero(self.unit_price.currency)
        return self.unit_price.times(self.quantity_thousandths)

    def columns(self, position: int, net: Money) -> dict[str, object]:
        """The columns of `PricedLine`; `net` is the amount without the tax that may be inside it."""
        return {
            "position": position,
            "kind": self.kind,
            "of_kind": self.of_kind,
            "description": self.description[:300],
            "quantity_thousandths": self.quantity_thousandths,
            "unit": self.unit,
            "unit_price_ten_thousandths": self.unit_price.ten_thousandths,
            "amount_minor": self.amount.minor,
            "net_minor": net.minor,
            "rate": self.rate,
            "margin": self.margin,
            "part_state": self.part_state,
            "under_warranty": self.under_warranty,
            "unpriced": self.unpriced,
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


def items_of(job: Job, *, on: dt.date, without: Collection[str] = frozenset()) -> list[PricedItem]:
    """Everything recorded on a job and not charged yet, priced: flat prices, labour by kind of work, parts, bench fee.

    With a bench fee agreed, finding the fault is charged by the fee and not by the hour. What an issued invoice
    charges, and no credit note set free, is left out, and so are the sources in `without`. A clock that still runs counts
    for nothing before it is stopped.
    """
    charged = {*charging.charged_on([job]), *without}
    fee = named(Charge.Source.FEE, job.pk)
    found = [bench_fee(job, job.bench_fee_minor)] if job.bench_fee_minor and fee not in charged else []
    flats = [work for work in flat_work(job) if named(Charge.Source.FLAT, work.pk) not in charged]
    return [
        *found,
        *labour_items(job, on=on, without_diagnosis=bool(job.bench_fee_minor), flats=flats, charged=charged),
        *part_items(job, charged=charged),
    ]


def flat_work(job: Job) -> list[FlatWork]:
    """The flat prices that the job is done at, in the order they were chosen."""
    return list(FlatWork.objects.filter(job=job).select_related("flat_price").order_by("id"))


def bench_fee(job: Job, minor: int) -> PricedItem:
    """The charge for finding the fault, agreed when the unit was taken in."""
    return PricedItem(
        kind=LineKind.BENCH_FEE,
        description="Bench fee: finding the fault",
        unit_price=UnitPrice.of(Money(minor, job.currency)),
        sources=(named(Charge.Source.FEE, job.pk),),
        job=job,
    )


def nothing_charged(job: Job) -> PricedItem:
    """The line of an invoice that charges nothing: the customer gets one all the same (16 CCR 2723)."""
    return PricedItem(
        kind=LineKind.LABOUR,
        description=NOTHING,
        unit_price=UnitPrice(0, job.currency),
        job=job,
    )


def is_nothing(line: PricedLine) -> bool:
    """Whether it is the line that stands in for nothing, which goes as soon as there is something."""
    return line.description == NOTHING and not line.unit_price_ten_thousandths


def labour_items(
    job: Job,
    *,
    on: dt.date,
    without_diagnosis: bool = False,
    flats: Sequence[FlatWork] = (),
    charged: Collection[str] = frozenset(),
) -> list[PricedItem]:
    """The labour of a job, its hours rounded once for the job by the shop's rule and shared over the kinds of work.

    Work under warranty has lines of its own that charge nothing: the customer is told of it (16 CCR 2725(j)).
    """
    written = Stint.objects.filter(job=job, struck_at__isnull=True, stopped_at__isnull=False)
    if without_diagnosis:
        written = written.exclude(kind=WorkKind.DIAGNOSIS)
    stints = [as_handbook_stint(stint) for stint in written if _of(stint) not in charged]
    minimum = named(Charge.Source.MINIMUM, job.pk)
    bill = _bill(
        job, stints, on=on, flats=[work.flat_price for work in flats], with_minimum=minimum not in charged
    )
    billed = [stint for stint in stints if stint.billing is labour.Billing.BILLED]
    items, left = [], billed
    for work in flats:  # hours that two flat prices cover are charged by the first
        items.append(_flat_item(work, job, left))
        left = [stint for stint in left if stint.kind not in work.flat_price.covers]
    items += [_hours(line, job, left) for line in bill.lines]
    if bill.top_up:
        items.append(
            PricedItem(
                kind=LineKind.LABOUR,
                description="Up to the minimum charge",
                unit_price=UnitPrice.of(bill.top_up),
                sources=(minimum,),
                job=job,
            )
        )
    return [*items, *_warranty_items(job, stints, on=on)]


def _of(stint: Stint) -> str:
    return named(Charge.Source.STINT, stint.pk)


def _bill(
    job: Job,
    stints: Sequence[labour.Stint],
    *,
    on: dt.date,
    flats: Sequence[FlatPrice],
    with_minimum: bool,
) -> labour.LabourBill:
    """The handbook's bill by the rules of the day; the minimum is charged once a job, on its first invoice."""
    rules = rules_on(on)
    minimum = Money(rules.minimum_minor, job.currency) if with_minimum and rules.minimum_minor else None
    try:
        return labour.bill_labour(
            stints,
            rates=rates_on(on, job.currency),
            currency=job.currency,
            rounding=labour.Rounding(rules.rounding),
            flats=[
                labour.FlatPrice(
                    flat.name,
                    UnitPrice(flat.price_ten_thousandths, job.currency).times(1000),
                    frozenset(flat.covers),
                )
                for flat in flats
            ],
            minimum=minimum,
        )
    except labour.LabourError as error:
        raise Refusal(f"{error} Set the shop’s hourly rates first.") from error


def _hours(
    line: labour.LabourLine, job: Job, stints: Sequence[labour.Stint], *, under_warranty: bool = False
) -> PricedItem:
    return PricedItem(
        kind=LineKind.LABOUR,
        description=WorkKind(line.kind).label,
        unit_price=line.rate,
        quantity_thousandths=line.quantity_thousandths,
        unit="h",
        under_warranty=under_warranty,
        sources=_sources([stint for stint in stints if stint.kind == line.kind]),
        job=job,
    )


def _sources(stints: Iterable[labour.Stint]) -> tuple[str, ...]:
    return tuple(named(Charge.Source.STINT, int(stint.key)) for stint in stints)


def _flat_item(work: FlatWork, job: Job, billed: Sequence[labour.Stint]) -> PricedItem:
    """A flat price, with the hours that it stands for."""
    flat = work.flat_price
    mine = [stint for stint in billed if stint.kind in flat.covers]
    return PricedItem(
        kind=LineKind.LABOUR,
        description=flat.name,
        unit_price=UnitPrice(flat.price_ten_thousandths, job.currency),
        sources=(named(Charge.Source.FLAT, work.pk), *_sources(mine)),
        job=job,
    )


def _warranty_items(job: Job, stints: Sequence[labour.Stint], *, on: dt.date) -> list[PricedItem]:
    """Hours under warranty, shown and not charged; at no price where the shop has no rate for that kind of work."""
    warranty = [
        replace(stint, billing=labour.Billing.BILLED)
        for stint in stints
        if stint.billing is labour.Billing.WARRANTY
    ]
    if not warranty:
        return []
    rates = rates_on(on, job.currency)
    nothing = UnitPrice(0, job.currency)
    rounding = labour.Rounding(rules_on(on).rounding)
    priced = {stint.kind: rates.get(stint.kind, nothing) for stint in warranty}
    bill = labour.bill_labour(warranty, rates=priced, currency=job.currency, rounding=rounding)
    return [_hours(line, job, warranty, under_warranty=True) for line in bill.lines]


def part_items(job: Job, *, charged: Collection[str] = frozenset()) -> list[PricedItem]:
    """The parts fitted on a job, each with its state: used, exchanged and salvaged parts are said to be so."""
    fitted = PartFitted.objects.filter(job=job, struck_at__isnull=True).order_by("id")
    return [_part_item(part, job) for part in fitted if named(Charge.Source.PART, part.pk) not in charged]


def _part_item(part: PartFitted, job: Job) -> PricedItem:
    price = part.unit_price_ten_thousandths
    return PricedItem(
        kind=LineKind.PART,
        description=f"{part.description} ({part.position})" if part.position else part.description,
        unit_price=UnitPrice(price or 0, part.currency),
        quantity_thousandths=part.quantity_thousandths,
        part_state=part.state,
        under_warranty=part.under_warranty,
        unpriced=price is None and not part.under_warranty,
        sources=(named(Charge.Source.PART, part.pk),),
        job=job,
    )


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
            rate=line.rate,
            margin=line.margin,
            of_kind=line.of_kind,
            unpriced=line.unpriced,
            sources=tuple(getattr(line, "sources", ())),
            job=job,
        )
        for line in lines
    ]
