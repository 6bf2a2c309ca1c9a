"""What a customer owes and has paid, as an account: invoices, credit notes, payments, refunds, in the order of time."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import Max, OuterRef, Q, QuerySet, Subquery, Sum

from shop.counter.models import Customer, Job
from shop.frame import clock
from shop.handbook.money import Money
from shop.office.models import Allocation, Invoice, InvoiceJob, Letter, Payment
from shop.office.pricing import rules_on
from shop.office.queries.lists import open_invoices

MOST_ENTRIES = 400


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of an account. `amount` is what it adds to the customer's debt; `balance` what is owed after it."""

    day: dt.date
    words: str
    amount: Money
    balance: Money
    invoice: Invoice | None = None


@dataclass(frozen=True, slots=True)
class Account:
    """A customer's account from a day to a day, both included."""

    customer: Customer
    starts: dt.date
    ends: dt.date
    brought_forward: Money
    entries: Sequence[Entry]
    open: Sequence[Invoice]

    @property
    def balance(self) -> Money:
        """What is owed at the end; negative where the shop holds money of the customer."""
        return self.entries[-1].balance if self.entries else self.brought_forward


def account_of(customer: Customer, *, starts: dt.date, ends: dt.date, currency: str) -> Account:
    """The account between two days. Money of another currency than the shop's is left out."""
    issued = Invoice.objects.filter(customer=customer, issued_at__isnull=False, currency=currency)
    paid = Payment.objects.filter(customer=customer, currency=currency)
    earlier = paid.filter(at__lt=clock.moment_of(starts))
    before = _sum(issued.filter(issue_date__lt=starts), "total_minor") - (
        _sum(earlier, "amount_minor") - _sum(earlier, "rounding_minor")
    )
    within = issued.filter(issue_date__range=(starts, ends)).select_related("corrects").order_by("id")
    between = paid.filter(clock.within("at", starts, ends)).order_by("id")
    moved: list[tuple[dt.date, dt.datetime, int, Invoice | Payment]] = [
        *(
            (one.issue_date, one.issued_at, 0, one)
            for one in within[:MOST_ENTRIES]
            if one.issued_at and one.issue_date
        ),
        *((clock.day_of(one.at), one.at, 1, one) for one in between[:MOST_ENTRIES]),
    ]
    balance, entries = before, []
    for day, _, _, what in sorted(
        moved, key=lambda row: (*row[:3], row[3].pk)
    ):  # as it happened within the day
        amount = what.total_minor if isinstance(what, Invoice) else -what.settles_minor
        balance += amount
        invoice = what if isinstance(what, Invoice) else None
        entries.append(Entry(day, _words(what), Money(amount, currency), Money(balance, currency), invoice))
    unpaid = list(open_invoices().filter(customer=customer, currency=currency).order_by("due_date", "id"))
    return Account(customer, starts, ends, Money(before, currency), entries, unpaid)


def _words(what: Invoice | Payment) -> str:
    if isinstance(what, Payment):
        return f"{what.get_kind_display()}, {what.way.lower()}"
    if what.corrects is not None:
        return f"Credit note {what.number} on {what.corrects.number}"
    return f"Invoice {what.number}"


def _sum(rows: QuerySet[Invoice] | QuerySet[Payment], column: str) -> int:
    return int(rows.aggregate(total=Sum(column))["total"] or 0)


def reminders_due(today: dt.date) -> QuerySet[Invoice]:
    """Open invoices that a reminder is due for: long enough past due, and past the last reminder."""
    wait = dt.timedelta(days=rules_on(today).reminder_days)
    last = (
        Letter.objects.filter(invoice=OuterRef("pk"), kind=Letter.Kind.REMINDER)
        .order_by()
        .values("invoice")
        .annotate(last=Max("at"))
        .values("last")
    )
    late = open_invoices().filter(due_date__lte=today - wait).annotate(reminded=Subquery(last))
    return late.filter(Q(reminded__isnull=True) | clock.within("reminded", None, today - wait))


def letters_of(customer: Customer) -> QuerySet[Letter]:
    """The letters made to a customer, the newest first."""
    letters = Letter.objects.filter(customer=customer).select_related("paper", "invoice", "job")
    return letters.order_by("-id")


def lying_with(customer: Customer, currency: str) -> Money:
    """What the customer has paid and no invoice has taken up."""
    free = Allocation.objects.filter(
        payment__customer=customer, payment__currency=currency, invoice__isnull=True
    )
    return Money(int(free.aggregate(total=Sum("amount_minor"))["total"] or 0), currency)


def jobs_of_invoices(invoices: Sequence[Invoice]) -> list[Job]:
    """The jobs that these invoices cover, each once."""
    covered = InvoiceJob.objects.filter(invoice__in=invoices).values("job")
    return list(Job.objects.filter(pk__in=covered).order_by("id"))
