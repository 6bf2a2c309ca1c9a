"""Lists as CSV, for spreadsheets: one header row, one row each, nothing that a spreadsheet would take for a formula.

Where the comma is the decimal mark, spreadsheets take a semicolon between cells and a comma in sums: so do these lists.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from shop.bench.models import Conclusion, Stint
from shop.counter.models import Customer, Job, UnitModel
from shop.dispatch.models import Parcel
from shop.frame import clock, spelling
from shop.frame.cells import cell
from shop.handbook.money import Money, UnitPrice
from shop.office.models import Estimate, Invoice, Payment
from shop.records.job_list import all_jobs
from shop.records.searching.question import Filters
from shop.stockroom.models import OrderLine, Part, Supplier

AT_ONCE = 500


def delimiter() -> str:
    """What stands between two cells in this shop's spreadsheets."""
    return ";" if spelling.decimal_mark() == "," else ","


def lines(header: Sequence[str], rows: Iterable[Sequence[object]], *, delimiter: str = ",") -> Iterator[str]:
    """The lines of a CSV file (RFC 4180), one at a time, so that a long list takes no more room than a short one."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, delimiter=delimiter)
    yield "\ufeff"
    writer.writerow(header)
    for row in rows:
        writer.writerow([cell(value) for value in row])
        if buffer.tell() > 32_768:
            yield buffer.getvalue()
            buffer.seek(0)
            buffer.truncate()
    yield buffer.getvalue()


@dataclass(frozen=True, slots=True)
class Sheet:
    """One list that can be taken out."""

    name: str
    title: str
    header: tuple[str, ...]
    rows: Callable[[Filters], Iterator[Sequence[object]]]


def _jobs(filters: Filters) -> Iterator[Sequence[object]]:
    return job_cells(all_jobs(filters))


def job_cells(jobs: Iterator[Job]) -> Iterator[Sequence[object]]:
    """The cells of each job under the header of the sheet of jobs."""
    for some in _chunked(jobs):
        ended = _conclusions([job.pk for job in some])
        for job in some:
            failed, remedy = ended.get(job.pk, ("", ""))
            yield (
                *(job.number, _day(job.booked_in_at or job.announced_at), _day(job.ended_at)),
                *(job.get_stage_display(), job.get_outcome_display(), job.customer.name),
                *(job.unit.model.maker.name, job.unit.model.name, job.unit.serial),
                *(job.complaint, failed, remedy),
            )


def _conclusions(jobs: Sequence[int]) -> dict[int, tuple[str, str]]:
    standing = Conclusion.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("at", "id")
    return {one.job_id: (one.failed, one.remedy) for one in standing}


def _customers(_filters: Filters) -> Iterator[Sequence[object]]:
    known = Customer.objects.filter(merged_into__isnull=True, forgotten_at__isnull=True).order_by("pk")
    for one in known.iterator(chunk_size=AT_ONCE):
        yield one.name, one.organisation, one.address, one.country, one.phone, one.email, _day(one.added_at)


def _models(_filters: Filters) -> Iterator[Sequence[object]]:
    known = UnitModel.objects.filter(merged_into__isnull=True).select_related("maker")
    for one in known.order_by("maker__folded", "folded").iterator(chunk_size=AT_ONCE):
        yield one.maker.name, one.name, one.get_kind_display(), one.family, one.weight_grams, one.notes


def _parts(_filters: Filters) -> Iterator[Sequence[object]]:
    known = Part.objects.filter(retired_at__isnull=True).select_related("level").order_by("number")
    for one in known.iterator(chunk_size=AT_ONCE):
        level = getattr(one, "level", None)
        held = spelling.quantity(level.quantity_thousandths) if level is not None else "0"
        yield one.number, one.description, one.designation, one.rating, one.drawer, held


def _invoices(_filters: Filters) -> Iterator[Sequence[object]]:
    issued: QuerySet[Invoice] = Invoice.objects.filter(issued_at__isnull=False).select_related("customer")
    for one in issued.order_by("issued_at", "pk").iterator(chunk_size=AT_ONCE):
        sums = (_sum(minor, one.currency) for minor in (one.net_minor, one.tax_minor, one.total_minor))
        yield (
            one.get_kind_display(),
            one.number,
            one.issue_date,
            one.due_date,
            one.customer.name,
            *sums,
            one.currency,
        )


def _payments(_filters: Filters) -> Iterator[Sequence[object]]:
    for one in Payment.objects.select_related("customer").order_by("at", "pk").iterator(chunk_size=AT_ONCE):
        amount = _sum(one.amount_minor, one.currency)
        yield (
            _day(one.at),
            one.get_kind_display(),
            one.get_how_display(),
            one.customer.name,
            amount,
            one.currency,
        )


def _estimates(_filters: Filters) -> Iterator[Sequence[object]]:
    given = (
        Estimate.objects.exclude(state=Estimate.State.DRAFT).select_related("job__customer").order_by("pk")
    )
    for one in given.iterator(chunk_size=AT_ONCE):
        sums = (_sum(minor, one.currency) for minor in (one.total_minor, one.tax_minor))
        yield (
            *(one.job.number, one.version, _day(one.given_at), one.get_state_display()),
            *(one.job.customer.name, *sums, one.currency),
        )


def _bench_time(_filters: Filters) -> Iterator[Sequence[object]]:
    standing = Stint.objects.filter(struck_at__isnull=True, stopped_at__isnull=False)
    for one in standing.select_related("job", "by").order_by("started_at", "pk").iterator(chunk_size=AT_ONCE):
        start, stop = one.started_at, one.stopped_at or one.started_at
        minutes = int((stop - start).total_seconds()) // 60
        who = "" if one.by is None else one.by.get_full_name() or one.by.username
        yield one.job.number, one.get_kind_display(), who, f"{clock.local(start):%Y-%m-%d %H:%M}", minutes


def _suppliers(_filters: Filters) -> Iterator[Sequence[object]]:
    for one in Supplier.objects.order_by("name").iterator(chunk_size=AT_ONCE):
        yield one.name, one.address, one.phone, one.email, one.our_account, one.lead_days, one.note


def _orders(_filters: Filters) -> Iterator[Sequence[object]]:
    ordered = OrderLine.objects.select_related("order__supplier", "part").order_by("order", "pk")
    for one in ordered.iterator(chunk_size=AT_ONCE):
        order, cost = one.order, UnitPrice(one.unit_cost_ten_thousandths, one.order.currency)
        yield (
            *(order.number, order.supplier.name, _day(order.sent_at)),
            *(one.part.number if one.part else "", one.description),
            *(spelling.quantity(one.quantity_thousandths), spelling.quantity(one.received_thousandths)),
            *(spelling.typed(cost), order.currency),
        )


def _parcels(_filters: Filters) -> Iterator[Sequence[object]]:
    sent = Parcel.objects.filter(unpacked_at__isnull=True).select_related("customer", "carrier")
    for one in sent.order_by("pk").prefetch_related("jobs").iterator(chunk_size=AT_ONCE):
        yield (
            *(" ".join(job.number for job in one.jobs.all()), one.customer.name, one.country),
            *(one.carrier.name if one.carrier else "", one.tracking, one.weight_grams),
            *(_day(one.packed_at), _day(one.handed_over_at), _day(one.delivered_at), _day(one.lost_at)),
        )


def _sum(minor: int, currency: str) -> str:
    """A sum without sign and groups, as this shop's spreadsheets read it."""
    return spelling.typed(Money(minor, currency))


def _day(moment: Any) -> str:
    return "" if moment is None else clock.day_of(moment).isoformat()


def _chunked(jobs: Iterator[Job]) -> Iterator[list[Job]]:
    some: list[Job] = []
    for job in jobs:
        some.append(job)
        if len(some) == AT_ONCE:
            yield some
            some = []
    if some:
        yield some


SHEETS = {
    sheet.name: sheet
    for sheet in (
        Sheet(
            "jobs",
            "Jobs",
            (
                *("job", "came", "ended", "stage", "outcome", "customer", "maker", "model", "serial"),
                *("complaint", "failed", "remedy"),
            ),
            _jobs,
        ),
        Sheet(
            "customers",
            "Customers",
            ("name", "organisation", "address", "country", "phone", "e-mail", "added"),
            _customers,
        ),
        Sheet("models", "Models", ("maker", "model", "kind", "family", "weight in grams", "notes"), _models),
        Sheet(
            "parts", "Parts", ("number", "description", "designation", "rating", "drawer", "in stock"), _parts
        ),
        Sheet(
            "invoices",
            "Invoices and credit notes",
            ("kind", "number", "issued", "due", "customer", "net", "tax", "total", "currency"),
            _invoices,
        ),
        Sheet(
            "estimates",
            "Estimates",
            ("job", "version", "given", "state", "customer", "before tax", "tax", "currency"),
            _estimates,
        ),
        Sheet("bench-time", "Bench time", ("job", "kind", "who", "started", "minutes"), _bench_time),
        Sheet(
            "orders",
            "Orders",
            ("order", "supplier", "sent", "part", "description", "ordered", "received", "each", "currency"),
            _orders,
        ),
        Sheet(
            "suppliers",
            "Suppliers",
            ("name", "address", "phone", "e-mail", "our account", "days until it comes", "note"),
            _suppliers,
        ),
        Sheet(
            "parcels",
            "Parcels",
            (
                *("jobs", "customer", "country", "carrier", "tracking", "grams"),
                *("packed", "handed over", "delivered", "lost"),
            ),
            _parcels,
        ),
        Sheet("payments", "Payments", ("day", "kind", "how", "customer", "amount", "currency"), _payments),
    )
}
