"""Invoices and credit notes: drafted from what was recorded, issued once, then frozen by the database itself."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.counter.actions import file_paper
from shop.counter.models import Customer, Job
from shop.office import pricing, queries, taxing
from shop.office.models import Allocation, Invoice, InvoiceJob, InvoiceLine, InvoiceTax
from shop.office.papers import invoice_facts, invoice_sheet, issue
from shop.office.pricing import PricedItem
from shop.premises import numbers, once
from shop.premises.customs import day_of
from shop.premises.journal import acting
from shop.premises.models import Staff
from shop.premises.profile import the_profile
from shop.premises.refusal import Refusal

SERIES = {Invoice.Kind.INVOICE: "invoice", Invoice.Kind.CREDIT_NOTE: "credit_note"}
PREFIX = {Invoice.Kind.INVOICE: "", Invoice.Kind.CREDIT_NOTE: "C"}


def draft_invoice(
    *,
    customer: Customer,
    jobs: Sequence[Job],
    by: Staff,
    items: Sequence[PricedItem] | None = None,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Invoice:
    """Draft an invoice over one or several jobs of one customer, from what is recorded or from the items given."""
    if not jobs:
        raise Refusal("Choose at least one job.")
    for job in jobs:
        if job.customer_id != customer.pk:
            raise Refusal(f"{job.number} is not {customer.name}’s.")
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "invoice.drafted")
        day = day_of(act.at)
        if items is None:
            items = [
                item
                for job in jobs
                for item in pricing.items_of(job, on=day) or [pricing.nothing_charged(job)]
            ]
        invoice = Invoice.objects.create(
            customer=customer, currency=the_profile().currency, drafted_at=act.at, by=by, note=note.strip()
        )
        InvoiceJob.objects.bulk_create(InvoiceJob(invoice=invoice, job=job) for job in jobs)
        _write_lines(invoice, items, on=day)
        act.record(
            "invoice.drafted", subject=invoice, jobs=[job.pk for job in jobs], total_minor=invoice.total_minor
        )
        once.settle(claimed, invoice)
    return invoice


def set_invoice_lines(
    *,
    invoice: Invoice,
    items: Sequence[PricedItem],
    by: Staff,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Invoice:
    """Replace the lines of a draft by those given. An issued invoice is corrected by a credit note only."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "invoice.drafted")
        if invoice.issued_at is not None:
            raise Refusal(f"Invoice {invoice.number} is issued: correct it with a credit note.")
        if not items:
            raise Refusal("An invoice has at least one line, even when nothing is charged.")
        jobs = list(InvoiceJob.objects.filter(invoice=invoice).values_list("job_id", flat=True))
        InvoiceLine.objects.filter(invoice=invoice).delete()
        InvoiceTax.objects.filter(invoice=invoice).delete()
        _write_lines(invoice, items, on=day_of(act.at))
        invoice.note = note.strip()
        invoice.save(update_fields=["note"])
        act.record("invoice.drafted", subject=invoice, jobs=jobs, total_minor=invoice.total_minor)
        once.settle(claimed, invoice)
    return invoice


def discard_draft(*, invoice: Invoice, by: Staff, at: dt.datetime | None = None) -> None:
    """Throw a draft away; it has no number, so none is lost."""
    with acting(by=by, at=at) as act:
        if invoice.issued_at is not None:
            raise Refusal(f"Invoice {invoice.number} is issued: correct it with a credit note.")
        jobs = list(InvoiceJob.objects.filter(invoice=invoice).values_list("job_id", flat=True))
        act.record("invoice.discarded", subject=invoice, jobs=jobs)
        InvoiceLine.objects.filter(invoice=invoice).delete()
        InvoiceTax.objects.filter(invoice=invoice).delete()
        InvoiceJob.objects.filter(invoice=invoice).delete()
        Invoice.objects.filter(pk=invoice.pk, issued_at__isnull=True).delete()


def issue_invoice(
    *, invoice: Invoice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Invoice:
    """Issue a draft: compare it with what the customer authorised, take the next number, print and freeze it.

    Number, paper and frozen rows stand or fall together. Deposits on its jobs are taken up.
    """
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "invoice.issued")
        invoice = Invoice.objects.select_for_update().get(pk=invoice.pk)
        if invoice.issued_at is not None:
            raise Refusal(f"This invoice is issued already as {invoice.number}.")
        links = InvoiceJob.objects.filter(invoice=invoice).select_related(
            "job__unit__model__maker", "job__customer"
        )
        jobs = [link.job for link in links.order_by("job_id")]
        day = day_of(act.at)
        if invoice.kind == Invoice.Kind.INVOICE:
            _refuse_unauthorised(invoice, jobs)
            deposits = queries.free_deposits(jobs)
        else:
            deposits = []
        taken = _shares(deposits, invoice.total_minor)
        invoice.prepaid_minor = sum(amount for _, amount in taken)
        invoice.year = day.year
        invoice.sequence = numbers.take(SERIES[Invoice.Kind(invoice.kind)], day.year)
        invoice.number = f"{PREFIX[Invoice.Kind(invoice.kind)]}{day.year}-{invoice.sequence:04d}"
        invoice.issue_date = day
        invoice.due_date = day + dt.timedelta(days=the_profile().payment_days)
        invoice.facts = invoice_facts(invoice, jobs)
        invoice.paper = issue(invoice_sheet(invoice, by=by), by=by)
        invoice.issued_at = act.at
        invoice.save()
        for payment, amount in taken:
            job = payment.job
            Allocation.objects.create(payment=payment.payment, job=job, amount_minor=-amount, at=act.at)
            Allocation.objects.create(
                payment=payment.payment, invoice=invoice, amount_minor=amount, at=act.at
            )
        file_paper(act=act, paper=invoice.paper, jobs=jobs)
        act.record(
            "invoice.issued",
            subject=invoice,
            jobs=[job.pk for job in jobs],
            number=invoice.number,
            total_minor=invoice.total_minor,
        )
        once.settle(claimed, invoice)
    return invoice


def credit(
    *,
    invoice: Invoice,
    by: Staff,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Invoice:
    """Issue a credit note over the whole of an invoice: the two add up to nothing, line by line and tax by tax."""
    with acting(by=by, at=at) as act:
        claimed = once.claim(once_key, "invoice.credited")
        if invoice.issued_at is None or invoice.kind != Invoice.Kind.INVOICE:
            raise Refusal("Only an issued invoice can be credited.")
        if Invoice.objects.filter(corrects=invoice).exists():
            raise Refusal(f"Invoice {invoice.number} was credited already.")
        if not note.strip():
            raise Refusal("Say why it is credited.", field="note")
        turned = Invoice.objects.create(
            kind=Invoice.Kind.CREDIT_NOTE,
            customer=invoice.customer,
            currency=invoice.currency,
            corrects=invoice,
            drafted_at=act.at,
            by=by,
            note=note.strip(),
            net_minor=-invoice.net_minor,
            tax_minor=-invoice.tax_minor,
            total_minor=-invoice.total_minor,
        )
        for line in invoice.lines.all():
            line.pk, line.invoice = None, turned
            line.quantity_thousandths, line.amount_minor = -line.quantity_thousandths, -line.amount_minor
            line.save(force_insert=True)
        for row in invoice.taxes.all():
            row.pk, row.invoice = None, turned
            row.base_minor, row.tax_minor = -row.base_minor, -row.tax_minor
            row.save(force_insert=True)
        links = InvoiceJob.objects.filter(invoice=invoice)
        InvoiceJob.objects.bulk_create(InvoiceJob(invoice=turned, job_id=link.job_id) for link in links)
        turned = issue_invoice(invoice=turned, by=by)
        once.settle(claimed, turned)
    return turned


def _write_lines(invoice: Invoice, items: Sequence[PricedItem], *, on: dt.date) -> None:
    reckoned = taxing.totals(items, customer=invoice.customer, currency=invoice.currency, on=on)
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            job=item.job,
            tax_category=line.treatment.category.value,
            tax_percent=line.treatment.percent.decimal,
            **item.columns(place),
        )
        for place, (item, line) in enumerate(zip(items, reckoned.lines, strict=True), 1)
    )
    InvoiceTax.objects.bulk_create(
        InvoiceTax(
            invoice=invoice,
            category=one.category.value,
            name=(", ".join(one.names) or "tax")[:60],
            percent=one.percent.decimal,
            base_minor=one.base.minor,
            tax_minor=one.tax.minor,
            note="; ".join(reason for reason in one.reasons if reason)[:300],
        )
        for one in reckoned.categories
    )
    invoice.net_minor, invoice.tax_minor = reckoned.net.minor, reckoned.tax.minor
    invoice.total_minor = reckoned.gross.minor
    invoice.save(update_fields=["net_minor", "tax_minor", "total_minor"])


def _refuse_unauthorised(invoice: Invoice, jobs: Sequence[Job]) -> None:
    """Each job's charges, before tax, stay within what its customer authorised."""
    if above := queries.above_authorised(invoice, jobs):
        raise Refusal(" ".join(above))


def _shares(
    deposits: Sequence[queries.FreeDeposit], total_minor: int
) -> list[tuple[queries.FreeDeposit, int]]:
    """Deposits in order, each up to what is still owed."""
    taken: list[tuple[queries.FreeDeposit, int]] = []
    left = total_minor
    for deposit in deposits:
        amount = min(deposit.amount_minor, left)
        if amount > 0:
            taken.append((deposit, amount))
            left -= amount
    return taken
