"""Which money belongs to which invoice or job, and when an invoice is settled. Called inside the acts that move money."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from django.db.models import Sum

from shop.counter.models import Job
from shop.frame.journal import Act
from shop.office import queries
from shop.office.models import Allocation, Invoice, Payment

Taken = Sequence[tuple[queries.FreeDeposit, int]]


def put(
    act: Act, payment: Payment | int, minor: int, *, invoice: Invoice | None = None, job: Job | None = None
) -> None:
    """Lay a part of a payment, in minor units, on an invoice or a job, or take it from there; sealed by the act."""
    payment_id = payment if isinstance(payment, int) else payment.pk
    act.seal(
        Allocation.objects.create(
            payment_id=payment_id, invoice=invoice, job=job, amount_minor=minor, at=act.at
        )
    )


def take_up(act: Act, invoice: Invoice, taken: Taken) -> None:
    """Move deposits, in minor units each, from their jobs to an invoice."""
    for deposit, minor in taken:
        put(act, deposit.payment, -minor, job=deposit.job)
        put(act, deposit.payment, minor, invoice=invoice)
    settle_if_paid(invoice, at=act.at)


def allocate(act: Act, payment: Payment, invoice: Invoice | None, job: Job | None) -> list[Job]:
    """Give a payment to its invoice up to what is owed there, and what is over, or a deposit, to the job."""
    if invoice is None:
        assert job is not None  # noqa: S101  (checked by the caller; for the type checker)
        put(act, payment, payment.amount_minor, job=job)
        return [job]
    jobs = queries.jobs_of(invoice)
    owed = max(0, min(payment.settles_minor, queries.open_minor(invoice)))
    if owed:
        put(act, payment, owed, invoice=invoice)
    if over := payment.settles_minor - owed:
        put(act, payment, over, job=job or jobs[0])
    settle_if_paid(invoice, at=act.at)
    return jobs


def set_free(act: Act, invoice: Invoice) -> None:
    """Let what was paid beyond what is left of a credited invoice lie on its first job again, the latest payment first."""
    job = queries.jobs_of(invoice)[0]
    paid = Allocation.objects.filter(invoice=invoice).values("payment").annotate(total=Sum("amount_minor"))
    over = -queries.open_minor(invoice)
    for row in paid.order_by("-payment"):
        minor = min(row["total"], over)
        if minor > 0:
            put(act, row["payment"], -minor, invoice=invoice)
            put(act, row["payment"], minor, job=job)
            over -= minor
    settle_if_paid(invoice, at=act.at)


def settle_if_paid(invoice: Invoice, *, at: dt.datetime) -> None:
    """Note on an issued invoice that nothing is open any more: the list of open ones goes by it."""
    if invoice.issued_at is not None and queries.open_minor(invoice) <= 0:
        Invoice.objects.filter(pk=invoice.pk, settled_at__isnull=True).update(settled_at=at)
