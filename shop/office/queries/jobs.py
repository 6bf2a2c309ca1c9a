"""The money of one job: what was put, authorised, charged, paid, and what is open."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet, Sum

from shop.counter.models import Job
from shop.counter.stages import Outcome
from shop.frame import spelling
from shop.frame.profile import the_profile
from shop.handbook.money import Money
from shop.keeping.models import IssuedPaper
from shop.office.models import (
    Allocation,
    Authorisation,
    EInvoice,
    Estimate,
    Invoice,
    InvoiceJob,
    Payment,
    ReleaseUnpaid,
)
from shop.office.queries.agreed import agreed_on, charged_before
from shop.office.queries.charges import since_invoiced
from shop.office.queries.lists import jobs_to_invoice


@dataclass(frozen=True, slots=True)
class FreeDeposit:
    """Money of one payment that lies on a job and belongs to no invoice yet."""

    payment: Payment
    job: Job
    amount_minor: int


def free_deposits(jobs: Iterable[Job]) -> list[FreeDeposit]:
    """What lies free on these jobs, the oldest payment first. A refund shows as a negative amount."""
    by_id = {job.pk: job for job in jobs}
    rows = (
        Allocation.objects.filter(job__in=by_id, invoice__isnull=True)
        .values("payment", "job")
        .annotate(total=Sum("amount_minor"))
        .order_by("payment")
    )
    lying = [row for row in rows if row["total"]]
    payments = Payment.objects.in_bulk([row["payment"] for row in lying])
    return [FreeDeposit(payments[row["payment"]], by_id[row["job"]], row["total"]) for row in lying]


def money_on_other_jobs(invoice: Invoice, jobs: Sequence[Job]) -> list[tuple[Job, Money]]:
    """What lies free on other jobs of the invoice's customer, in its currency, each with its sum: somebody may choose it."""
    lying = (
        Allocation.objects.filter(
            job__customer=invoice.customer_id, job__currency=invoice.currency, invoice__isnull=True
        )
        .exclude(job__in=jobs)
        .values("job")
        .annotate(total=Sum("amount_minor"))
        .filter(total__gt=0)
        .order_by("job")
    )
    totals = {row["job"]: row["total"] for row in lying[:20]}
    found = Job.objects.in_bulk(totals)
    return [(found[pk], Money(minor, invoice.currency)) for pk, minor in totals.items()]


def shares(deposits: Sequence[FreeDeposit], total_minor: int) -> list[tuple[FreeDeposit, int]]:
    """Deposits in their order, each up to what is still owed of a total; never more than lies there, refunds taken off."""
    taken: list[tuple[FreeDeposit, int]] = []
    left = min(total_minor, sum(deposit.amount_minor for deposit in deposits))
    for deposit in deposits:
        minor = min(deposit.amount_minor, left)
        if minor > 0:
            taken.append((deposit, minor))
            left -= minor
    return taken


def open_minor(invoice: Invoice) -> int:
    """What is still owed on an issued invoice, in minor units, credit notes taken off; nothing on a credit note."""
    if invoice.kind == Invoice.Kind.CREDIT_NOTE:
        return 0
    notes = Invoice.objects.filter(corrects=invoice, issued_at__isnull=False)
    credited = notes.aggregate(total=Sum("total_minor"))["total"] or 0
    paid = Allocation.objects.filter(invoice=invoice).aggregate(total=Sum("amount_minor"))["total"] or 0
    return int(invoice.total_minor + credited - paid)


def jobs_of(invoice: Invoice) -> list[Job]:
    """The jobs that an invoice covers, in order."""
    links = InvoiceJob.objects.filter(invoice=invoice).select_related(
        "job__unit__model__maker", "job__customer"
    )
    return [link.job for link in links.order_by("job_id")]


def invoices_of(job: Job) -> QuerySet[Invoice]:
    """Every invoice, draft and credit note that covers a job, in order."""
    covering = InvoiceJob.objects.filter(job=job).values("invoice")
    return Invoice.objects.filter(pk__in=covering).select_related("paper", "corrects").order_by("id")


def balance_of(job: Job) -> Money:
    """What is open on all issued invoices and credit notes that cover the job; the whole of one that covers several."""
    issued = list(invoices_of(job).filter(issued_at__isnull=False))
    return balance_among(issued, Allocation.objects.filter(invoice__in=issued), job.currency)


def balance_among(invoices: Iterable[Invoice], allocations: Iterable[Allocation], currency: str) -> Money:
    """The same for somebody who has the rows: those of the job's invoices that are issued, less what was paid on them."""
    issued = {one.pk: one.total_minor for one in invoices if one.issued_at}
    paid = sum(one.amount_minor for one in allocations if one.invoice_id in issued)
    return Money(sum(issued.values()) - paid, currency)


def settlement_of(invoice: Invoice) -> dict[str, Any]:
    """How an issued invoice stands: what came in with its payments and their receipts, what is open, what corrects it."""
    allocations = list(invoice.allocations.select_related("payment").order_by("at", "id"))
    numbers = {one.payment.receipt_number for one in allocations}
    receipts = IssuedPaper.objects.filter(kind="receipt", number__in=numbers) if numbers else []
    papers = {paper.number: paper.pk for paper in receipts}
    notes = list(Invoice.objects.filter(corrects=invoice, issued_at__isnull=False).order_by("id"))
    paid = sum(one.amount_minor for one in allocations)
    taken_back = sum(one.total_minor for one in notes)
    owed = 0 if invoice.kind == Invoice.Kind.CREDIT_NOTE else invoice.total_minor + taken_back - paid
    return {
        "paid_by": [(one, papers.get(one.payment.receipt_number)) for one in allocations],
        "paid": Money(paid, invoice.currency),
        "open": Money(owed, invoice.currency),
        "credits": notes,
        "letters": list(invoice.letters.select_related("paper").order_by("id")),
        "einvoice": EInvoice.objects.filter(invoice=invoice).first(),
    }


def holds_back(job: Job) -> str | None:
    """Why a unit may not leave yet: an invoice is open, or work was done and no invoice is issued."""
    if job.customer.is_shop or ReleaseUnpaid.objects.filter(job=job).exists():
        return None
    issued = invoices_of(job).filter(issued_at__isnull=False)
    balance = balance_of(job)
    if balance.minor > 0:
        numbers = ", ".join(issued.values_list("number", flat=True))
        return f"{spelling.money(balance)} is open on {numbers}: take the payment, or write the reason why it leaves unpaid."
    if job.outcome in {Outcome.REPAIRED, Outcome.PARTLY} and not issued.exists():
        return (
            f"No invoice is issued for {job.number} yet: the customer gets one even when nothing is charged "
            f"{the_profile().law.cited('16 CCR 2723').strip() or '(good practice, no source)'}."
        )
    if since := since_invoiced(Job.objects.filter(pk=job.pk)).told():
        return (
            f"Since the invoice, and charged on none: {since}. Draft another, or write why it leaves unpaid."
        )
    return None


@dataclass(frozen=True, slots=True)
class MoneyOfJob:
    """Everything the office shows of one job."""

    estimates: list[Estimate]
    answers: list[Authorisation]
    invoices: list[Invoice]
    payments: list[Payment]
    deposits: Money
    balance: Money
    authorised: Money
    charged: Money


def money_of(job: Job) -> MoneyOfJob:
    """Estimates, answers, invoices and payments of one job, in a fixed number of queries."""
    estimates = Estimate.objects.filter(job=job).select_related("paper", "by").prefetch_related("lines")
    invoices = list(invoices_of(job).prefetch_related("lines", "taxes"))
    payments = Payment.objects.filter(
        pk__in=Allocation.objects.filter(invoice__in=invoices).values("payment")
    ) | Payment.objects.filter(pk__in=Allocation.objects.filter(job=job).values("payment"))
    given = Authorisation.objects.filter(job=job).select_related("received_by", "estimate")
    answers = list(given.order_by("at", "id"))
    return MoneyOfJob(
        estimates=list(estimates.order_by("version")),
        answers=answers,
        invoices=invoices,
        payments=sorted(
            payments.select_related("by").distinct().order_by(), key=lambda one: (one.at, one.pk)
        ),
        deposits=Money(sum(one.amount_minor for one in free_deposits([job])), job.currency),
        balance=balance_among(
            invoices,
            Allocation.objects.filter(invoice__in=[one for one in invoices if one.issued_at]),
            job.currency,
        ),
        authorised=agreed_on(job, answers).whole,
        charged=charged_before(job),
    )


def standing_estimate(job: Job) -> Estimate | None:
    """The estimate that is with the customer now."""
    return Estimate.objects.filter(job=job, state=Estimate.State.GIVEN).order_by("-version").first()


def others_to_invoice(job: Job) -> list[Job]:
    """Other jobs of the same customer that are ready and lack an invoice: one invoice may cover them too."""
    return list(jobs_to_invoice().filter(customer=job.customer_id).exclude(pk=job.pk).order_by("id")[:20])
