"""Which money belongs to which invoice or job, and when an invoice is settled. Called inside the acts that move money."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db.models import Sum

from shop.counter.models import Job
from shop.office import queries
from shop.office.models import Allocation, Invoice, Payment

Taken = Sequence[tuple[queries.FreeDeposit, int]]


def take_up(invoice: Invoice, taken: Taken, *, at: dt.datetime) -> None:
    """Move deposits, in minor units each, from their jobs to an invoice."""
    for deposit, minor in taken:
        Allocation.objects.create(payment=deposit.payment, job=deposit.job, amount_minor=-minor, at=at)
        Allocation.objects.create(payment=deposit.payment, invoice=invoice, amount_minor=minor, at=at)
    settle_if_paid(invoice, at=at)


def allocate(payment: Payment, invoice: Invoice | None, job: Job | None) -> list[Job]:
    """Give a payment to its invoice up to what is owed there, and what is over, or a deposit, to the job."""
    if invoice is None:
        assert job is not None  # noqa: S101  (checked by the caller; for the type checker)
        Allocation.objects.create(payment=payment, job=job, amount_minor=payment.amount_minor, at=payment.at)
        return [job]
    jobs = queries.jobs_of(invoice)
    owed = max(0, min(payment.amount_minor, queries.open_minor(invoice)))
    if owed:
        Allocation.objects.create(payment=payment, invoice=invoice, amount_minor=owed, at=payment.at)
    if over := payment.amount_minor - owed:
        Allocation.objects.create(payment=payment, job=job or jobs[0], amount_minor=over, at=payment.at)
    settle_if_paid(invoice, at=payment.at)
    return jobs


def set_free(invoice: Invoice, *, at: dt.datetime) -> None:
    """Let what was paid on a credited invoice lie on its first job again."""
    job = queries.jobs_of(invoice)[0]
    paid = Allocation.objects.filter(invoice=invoice).values("payment").annotate(total=Sum("amount_minor"))
    for row in paid.order_by("payment"):
        if row["total"]:
            Allocation.objects.create(
                payment_id=row["payment"], invoice=invoice, amount_minor=-row["total"], at=at
            )
            Allocation.objects.create(payment_id=row["payment"], job=job, amount_minor=row["total"], at=at)
    Invoice.objects.filter(pk=invoice.pk, settled_at__isnull=True).update(settled_at=at)


def settle_if_paid(invoice: Invoice, *, at: dt.datetime) -> None:
    """Note on an issued invoice that nothing is open any more: the list of open ones goes by it."""
    if invoice.issued_at is not None and queries.open_minor(invoice) <= 0:
        Invoice.objects.filter(pk=invoice.pk, settled_at__isnull=True).update(settled_at=at)
