"""What is open in the office, each list a page at a time by key: no page costs more than another."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, Model, OuterRef, Q, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from shop.counter.models import Customer, Job
from shop.counter.stages import Stage
from shop.handbook.money import Money
from shop.office.models import Allocation, Estimate, Invoice, InvoiceJob

FIRST_ROWS = 8
PAGE_ROWS = 50


def awaiting_answer() -> QuerySet[Estimate]:
    """Estimates that are with the customer, the longest first."""
    given = Estimate.objects.filter(state=Estimate.State.GIVEN, given_at__isnull=False)
    return given.select_related("job__customer", "job__unit__model__maker")


def jobs_to_invoice() -> QuerySet[Job]:
    """Jobs that are ready to go back and that no issued, uncredited invoice covers; the shop's own are left out."""
    covering = InvoiceJob.objects.filter(
        job=OuterRef("pk"),
        invoice__issued_at__isnull=False,
        invoice__kind=Invoice.Kind.INVOICE,
        invoice__taken_back_at__isnull=True,
    )
    ready = Job.objects.filter(stage=Stage.READY, customer__is_shop=False).exclude(Exists(covering))
    return ready.select_related("customer", "unit__model__maker")


def open_invoices() -> QuerySet[Invoice]:
    """Issued invoices with something open; settled ones cost nothing: an index leaves them out."""
    return with_paid(
        Invoice.objects.filter(issued_at__isnull=False, settled_at__isnull=True, kind=Invoice.Kind.INVOICE)
    )


def with_paid(invoices: QuerySet[Invoice]) -> QuerySet[Invoice]:
    """Invoices with their customer and with `paid`: what came in or was credited."""
    paid = (
        Allocation.objects.filter(invoice=OuterRef("pk"))
        .order_by()
        .values("invoice")
        .annotate(total=Sum("amount_minor"))
        .values("total")
    )
    credited = (
        Invoice.objects.filter(corrects=OuterRef("pk"), issued_at__isnull=False)
        .order_by()
        .values("corrects")
        .annotate(total=Sum("total_minor"))
        .values("total")
    )
    came_off = Coalesce(Subquery(paid), 0) - Coalesce(Subquery(credited), 0)
    return invoices.select_related("customer").annotate(paid=came_off)


INVOICES: dict[str, tuple[str, Q]] = {
    "": ("All", Q(issued_at__isnull=False)),
    "unpaid": ("Not paid", Q(issued_at__isnull=False, settled_at__isnull=True, kind=Invoice.Kind.INVOICE)),
    "paid": ("Paid", Q(settled_at__isnull=False, taken_back_at__isnull=True, kind=Invoice.Kind.INVOICE)),
    "credited": ("Credited", Q(taken_back_at__isnull=False)),
    "credit-notes": ("Credit notes", Q(issued_at__isnull=False, kind=Invoice.Kind.CREDIT_NOTE)),
    "drafts": ("Drafts", Q(issued_at__isnull=True)),
}
"""Which invoices a list shows: the word of its filter, and its condition."""


def invoices_shown(which: str) -> QuerySet[Invoice]:
    """Invoices and credit notes that a filter leaves, the newest first."""
    return with_paid(Invoice.objects.filter(INVOICES[which][1])).order_by("-id")


def drafts() -> QuerySet[Invoice]:
    """Invoices that are drafted and not issued, the oldest first."""
    waiting = Invoice.objects.filter(issued_at__isnull=True, kind=Invoice.Kind.INVOICE)
    return waiting.select_related("customer").prefetch_related("jobs").order_by("id")


def customers_with_open() -> QuerySet[Customer]:
    """Customers with an invoice that is not paid."""
    return Customer.objects.filter(pk__in=open_invoices().values("customer")).order_by("id")


def count_customers_with_open() -> int:
    """How many they are, counted from the open invoices, which are few, and not from the customers."""
    open_ones = Invoice.objects.filter(issued_at__isnull=False, settled_at__isnull=True)
    # asked for each customer once, SQLite walks through all invoices in the order of customers
    return len(set(open_ones.order_by().values_list("customer", flat=True)))


def asked_for(invoice: Invoice) -> Money:
    """What is still to be paid on an invoice of these lists; a draft, a credit note and what was credited ask for nothing."""
    asks = invoice.issued_at and invoice.kind == Invoice.Kind.INVOICE and not invoice.taken_back_at
    return invoice.open if asks else Money.zero(invoice.currency)


INVOICE_COLUMNS: dict[str, Callable[[Invoice], Any]] = {
    "number": lambda invoice: invoice.number,
    "customer": lambda invoice: str(invoice.customer),
    "dated": lambda invoice: invoice.issue_date,
    "total": lambda invoice: invoice.total_minor,
    "open": lambda invoice: asked_for(invoice).minor,
    "due": lambda invoice: invoice.due_date,
}
"""How an invoice stands in each column of a list."""


@dataclass(frozen=True, slots=True)
class OpenPage:
    """One page of a list; `next_key` continues it, empty where nothing follows."""

    key: str
    title: str
    nothing: str
    rows: Sequence[Any]
    next_key: str


@dataclass(frozen=True, slots=True)
class OpenList:
    """A list ordered by one column and the id; `read_key` reads that column back from a key."""

    key: str
    title: str
    nothing: str
    rows: Callable[[], QuerySet[Any]]
    column: str
    read_key: Callable[[str], Any]
    columns: Mapping[str, Callable[[Any], Any]]

    def page(self, after: str = "", *, short: bool = False, most: int = 0) -> OpenPage:
        """The rows after a key; a key that can't be read begins at the top."""
        size = most or (FIRST_ROWS if short else PAGE_ROWS)
        rows = self.rows().order_by(self.column, "id")
        if (last := self._read(after)) is not None:
            value, pk = last
            beyond = Q(**{f"{self.column}__gt": value}) | Q(**{self.column: value}, id__gt=pk)
            rows = rows.filter(beyond)
        found = list(rows[: size + 1])
        more = self._written(found[size - 1]) if len(found) > size else ""
        return OpenPage(self.key, self.title, self.nothing, found[:size], more)

    def _read(self, key: str) -> tuple[object, int] | None:
        typed, _, pk = key.rpartition("~")
        try:
            return self.read_key(typed), int(pk)
        except ValueError:
            return None

    def _written(self, row: Model) -> str:
        return f"{getattr(row, self.column).isoformat()}~{row.pk}"


OPEN_LISTS = (
    OpenList(
        "answers",
        "Awaiting an answer",
        "No estimate is with a customer.",
        awaiting_answer,
        "given_at",
        dt.datetime.fromisoformat,
        {
            "job": lambda estimate: estimate.job.number,
            "customer": lambda estimate: str(estimate.job.customer),
            "unit": lambda estimate: str(estimate.job.unit.model),
            "net": lambda estimate: estimate.total_minor,
            "sent": lambda estimate: estimate.given_at,
            "until": lambda estimate: estimate.valid_until,
        },
    ),
    OpenList(
        "ready",
        "Ready to invoice",
        "Nothing that is ready lacks its invoice.",
        jobs_to_invoice,
        "stage_since",
        dt.datetime.fromisoformat,
        {
            "job": lambda job: job.number,
            "customer": lambda job: str(job.customer),
            "unit": lambda job: str(job.unit.model),
            "outcome": lambda job: job.get_outcome_display(),
            "ready": lambda job: job.stage_since,
        },
    ),
    OpenList(
        "due",
        "Not paid",
        "Every invoice is paid.",
        open_invoices,
        "due_date",
        dt.date.fromisoformat,
        INVOICE_COLUMNS,
    ),
)
