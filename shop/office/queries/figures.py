"""Figures for the books: takings, tax, what is open, margin on parts, earnings per bench hour. Whole minor units throughout."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import F, QuerySet, Sum
from django.db.models.functions import TruncMonth

from shop.bench.models import Stint
from shop.frame import clock
from shop.handbook.money import Money, UnitPrice, round_half_up
from shop.office import deposits
from shop.office.models import Allocation, Invoice, InvoiceJob, InvoiceLine, InvoiceTax, LineKind, Payment
from shop.office.queries.lists import open_invoices
from shop.stockroom.models import PartFitted

SECONDS_AN_HOUR = 3600


@dataclass(frozen=True, slots=True)
class Period:
    """A time of the books, both days included."""

    starts: dt.date
    ends: dt.date


@dataclass(frozen=True, slots=True)
class Month:
    """One month: what was invoiced before tax (credit notes taken off), its tax, and what came in (refunds taken off)."""

    first: dt.date
    net: Money
    tax: Money
    came_in: Money


@dataclass(frozen=True, slots=True)
class TaxFigure:
    """What one rate came to: base and tax of invoices less credit notes."""

    name: str
    category: str
    percent: Decimal
    base: Money
    tax: Money


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of a period.

    `parts_sold` is what invoices charged for parts before tax; `parts_cost` what the parts fitted on the invoiced jobs cost the
    shop, those under warranty included. `hour` is labour and bench fee charged for each hour at the bench on the invoiced
    jobs, unbilled and warranty time included; None where no time was written.
    """

    period: Period
    months: Sequence[Month]
    taxes: Sequence[TaxFigure]
    net: Money
    tax: Money
    came_in: Money
    outstanding: Money
    overdue: Money
    parts_sold: Money
    parts_cost: Money
    deposit_tax: Money
    labour: Money
    bench_seconds: int

    @property
    def margin(self) -> Money:
        """What parts brought above their cost."""
        return self.parts_sold - self.parts_cost

    @property
    def margin_percent(self) -> int | None:
        """The margin in whole per cent of what parts were sold for."""
        if self.parts_sold.minor <= 0:
            return None
        return round_half_up(self.margin.minor * 100, self.parts_sold.minor)

    @property
    def hour(self) -> Money | None:
        """Labour earned per bench hour."""
        if not self.bench_seconds:
            return None
        earned = round_half_up(self.labour.minor * SECONDS_AN_HOUR, self.bench_seconds)
        return Money(earned, self.labour.currency)


def figures(period: Period, *, currency: str, today: dt.date) -> Figures:
    """The figures of a period in one currency; a bounded number of queries whatever the number of invoices."""
    issued = Invoice.objects.filter(
        issued_at__isnull=False, issue_date__range=(period.starts, period.ends), currency=currency
    )
    months = months_of(period, currency=currency)
    by_kind = _by_kind(issued)
    jobs = InvoiceJob.objects.filter(invoice__in=issued).values("job")
    outstanding, overdue = _open(currency, today)

    def money(minor: int) -> Money:
        return Money(minor, currency)

    return Figures(
        period=period,
        months=months,
        taxes=taxes_of(issued, currency),
        net=Money.sum((one.net for one in months), currency),
        tax=Money.sum((one.tax for one in months), currency),
        came_in=Money.sum((one.came_in for one in months), currency),
        outstanding=outstanding,
        overdue=overdue,
        parts_sold=money(by_kind[LineKind.PART]),
        parts_cost=money(_cost(PartFitted.objects.filter(job__in=jobs, struck_at__isnull=True), currency)),
        deposit_tax=money(_deposit_tax(period, currency)),
        labour=money(by_kind[LineKind.LABOUR] + by_kind[LineKind.BENCH_FEE]),
        bench_seconds=_seconds(Stint.objects.filter(job__in=jobs, struck_at__isnull=True)),
    )


def months_of(period: Period, *, currency: str) -> list[Month]:
    """Each month of the period, those without any figures too."""
    issued = Invoice.objects.filter(
        issued_at__isnull=False, issue_date__range=(period.starts, period.ends), currency=currency
    )
    sums: dict[dt.date, list[int]] = defaultdict(lambda: [0, 0, 0])
    invoiced = issued.annotate(month=TruncMonth("issue_date")).values("month").order_by("month")
    for row in invoiced.annotate(net=Sum("net_minor"), tax=Sum("tax_minor")):
        sums[row["month"]][0], sums[row["month"]][1] = row["net"], row["tax"]
    paid = Payment.objects.filter(clock.within("at", period.starts, period.ends), currency=currency)
    by_month = paid.annotate(month=TruncMonth("at", tzinfo=clock.zone())).values("month").order_by("month")
    for came in by_month.annotate(total=Sum("amount_minor")):
        sums[clock.day_of(came["month"])][2] = came["total"]
    return [Month(first, *(Money(minor, currency) for minor in sums[first])) for first in _firsts(period)]


def taxes_of(issued: QuerySet[Invoice], currency: str) -> list[TaxFigure]:
    """Base and tax by rate, the highest rate first."""
    rows = (
        InvoiceTax.objects.filter(invoice__in=issued)
        .values("name", "category", "percent")
        .order_by("category", "percent", "name")
        .annotate(base=Sum("base_minor"), tax=Sum("tax_minor"))
    )
    found = [
        TaxFigure(
            row["name"],
            row["category"],
            Decimal(row["percent"]),
            Money(row["base"], currency),
            Money(row["tax"], currency),
        )
        for row in rows
    ]
    return sorted(found, key=lambda one: (-one.percent, one.category, one.name))


def _by_kind(issued: QuerySet[Invoice]) -> defaultdict[str, int]:
    rows = (
        InvoiceLine.objects.filter(invoice__in=issued)
        .values("kind", "of_kind")
        .order_by()
        .annotate(net=Sum("net_minor"))
    )
    sums: defaultdict[str, int] = defaultdict(int)
    for row in rows:  # a discount counts with what it comes off
        sums[row["of_kind"] or row["kind"]] += row["net"]
    return sums


def _deposit_tax(period: Period, currency: str) -> int:
    """Tax in deposits that came in, less the tax of those that invoices of the period took up: it stands in theirs."""
    paid = Payment.objects.filter(
        clock.within("at", period.starts, period.ends), currency=currency, tax_percent__isnull=False
    )
    came_in = paid.aggregate(total=Sum("tax_minor"))["total"] or 0
    moved = Allocation.objects.filter(
        clock.within("at", period.starts, period.ends),
        invoice__isnull=False,
        payment__tax_percent__isnull=False,
        payment__currency=currency,
    )
    return int(came_in) - deposits.tax_with(list(moved.select_related("payment")))


def _open(currency: str, today: dt.date) -> tuple[Money, Money]:
    """What is open now, and what of it is past due."""
    outstanding = overdue = Money.zero(currency)
    for invoice in open_invoices().filter(currency=currency):
        outstanding += invoice.open
        if invoice.due_date and invoice.due_date < today:
            overdue += invoice.open
    return outstanding, overdue


def _cost(fitted: QuerySet[PartFitted], currency: str) -> int:
    """What parts cost the shop, each rounded half up once."""
    return sum(
        UnitPrice(part.unit_cost_ten_thousandths, currency).times(part.quantity_thousandths).minor
        for part in fitted
    )


def _seconds(stints: QuerySet[Stint]) -> int:
    times = stints.filter(stopped_at__isnull=False).aggregate(total=Sum(F("stopped_at") - F("started_at")))[
        "total"
    ]
    return int(times.total_seconds()) if times else 0


def _firsts(period: Period) -> list[dt.date]:
    first, firsts = period.starts.replace(day=1), []
    while first <= period.ends:
        firsts.append(first)
        first = (first + dt.timedelta(days=32)).replace(day=1)
    return firsts
