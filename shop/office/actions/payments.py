"""Money that came in or went back, with a receipt for each."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.counter.actions import file_paper
from shop.counter.models import Customer, Job
from shop.frame import spelling
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.money import Money
from shop.handbook.paying import cash_step, in_cash
from shop.office import deposits, queries
from shop.office.actions.allocations import allocate, put, take_up
from shop.office.actions.holding import hold_jobs, refuse_other_currency
from shop.office.models import Invoice, Payment, ReleaseUnpaid
from shop.office.papers import issue, receipt_sheet
from shop.press.drawing import warm_up


def take_payment(
    *,
    customer: Customer,
    amount_minor: int,
    how: str,
    by: Staff,
    invoice: Invoice | None = None,
    job: Job | None = None,
    reference: str = "",
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Payment:
    """Take a payment on an invoice, or a deposit on a job that has none yet, and print the receipt.

    More than is owed is taken too: what is over stays with the job as a deposit until it is refunded.
    """
    if amount_minor <= 0:
        raise Refusal("A payment is more than nothing.", field="amount")
    if invoice is None and job is None:
        raise Refusal("Say which invoice or which job the money is for.")
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        if job is not None:
            refuse_other_currency(job)
            hold_jobs([job])
        if invoice is not None:
            invoice = _payable(invoice)
        rounded = 0 if invoice is None else _made_by_coins(how, amount_minor, queries.open_minor(invoice))
        percent, tax = (
            deposits.tax_inside(Money(amount_minor, the_profile().currency), customer, on=act.day)
            if invoice is None
            else (None, Money.zero(the_profile().currency))
        )
        payment = Payment.objects.create(
            customer=customer,
            rounding_minor=rounded,
            tax_percent=percent,
            tax_minor=tax.minor,
            kind=Payment.Kind.PAYMENT if invoice is not None else Payment.Kind.DEPOSIT,
            how=how,
            amount_minor=amount_minor,
            currency=the_profile().currency,
            at=act.at,
            by=by,
            reference=reference.strip(),
            note=note.strip(),
        )
        jobs = allocate(act, payment, invoice, job)
        paper = issue(receipt_sheet(payment, jobs=jobs, invoice=invoice, by=by), by=by)
        file_paper(act=act, paper=paper, jobs=jobs)
        act.seal(payment)
        act.record(
            "payment.taken",
            subject=payment,
            jobs=[one.pk for one in jobs],
            amount_minor=amount_minor,
            how=how,
        )
    return payment


def use_deposits(
    *,
    invoice: Invoice,
    by: Staff,
    lying_on: Job | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Invoice:
    """Set what lies free on an invoice's jobs against what is still owed on it.

    `lying_on`: what lies on that other job of the same customer instead, because somebody chose so; never by itself. The
    job's own invoices come first: only what is beyond them is free.
    """
    with acting(by=by, at=at, once=once_key) as act:
        invoice = _payable(invoice, also=lying_on)
        jobs = queries.jobs_of(invoice)
        if lying_on is not None:
            _refuse_anothers(invoice, lying_on)
            jobs = [lying_on]
        taken = queries.shares(queries.free_deposits(jobs), queries.open_minor(invoice))
        if not taken:
            raise Refusal("There is no deposit to set against it.")
        take_up(act, invoice, taken)
        act.record(
            "deposit.used",
            subject=invoice,
            jobs=sorted({job.pk for job in (*jobs, *queries.jobs_of(invoice))}),
            amount_minor=sum(minor for _, minor in taken),
        )
    return invoice


def refund(
    *,
    customer: Customer,
    amount_minor: int,
    how: str,
    by: Staff,
    job: Job,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Payment:
    """Pay money back that lies on a job: a deposit, an overpayment, or what a credit note set free.

    All of it in cash is paid back as near as coins come; nothing is left lying for what they can't say.
    """
    if amount_minor <= 0:
        raise Refusal("A refund is more than nothing.", field="amount")
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        hold_jobs([job])
        lying = queries.free_deposits([job])
        free = sum(deposit.amount_minor for deposit in lying) - queries.balance_of(job).minor
        rounded = -_made_by_coins(how, amount_minor, max(free, 0))
        settled = amount_minor + rounded
        if settled > free:
            owed = Money(max(free, 0), job.currency)
            raise Refusal(
                f"No more than {spelling.money(owed)} can be paid back on {job.number}.", field="amount"
            )
        percent, tax_minor = deposits.tax_going_back(
            [(one.payment, one.amount_minor) for one in lying], settled
        )
        payment = Payment.objects.create(
            customer=customer,
            rounding_minor=rounded,
            tax_percent=percent,
            tax_minor=-tax_minor,
            kind=Payment.Kind.REFUND,
            how=how,
            amount_minor=-amount_minor,
            currency=job.currency,
            at=act.at,
            by=by,
            note=note.strip(),
        )
        put(act, payment, -settled, job=job)
        paper = issue(receipt_sheet(payment, jobs=[job], invoice=None, by=by), by=by)
        file_paper(act=act, paper=paper, jobs=[job])
        act.seal(payment)
        act.record("payment.refunded", subject=payment, jobs=[job.pk], amount_minor=-amount_minor, how=how)
    return payment


def release_unpaid(
    *, job: Job, reason: str, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> ReleaseUnpaid:
    """Let a unit leave with a balance open: a written reason by a named person."""
    if len(reason.strip()) < 5:
        raise Refusal("Write the reason why it is released unpaid.", field="reason")
    with acting(by=by, at=at, once=once_key) as act:
        released = ReleaseUnpaid.objects.create(job=job, reason=reason.strip(), by=by, at=act.at)
        act.seal(released)
        act.record("job.released_unpaid", subject=released, jobs=[job.pk])
    return released


def _made_by_coins(how: str, amount_minor: int, open_minor: int) -> int:
    """What cash is beyond or below an open sum, where the sum was paid as near as coins come; else nothing."""
    shop = the_profile()
    nearest = in_cash(Money(open_minor, shop.currency), cash_step(shop.currency, shop.country)).minor
    return amount_minor - open_minor if how == Payment.How.CASH and amount_minor == nearest else 0


def _refuse_anothers(invoice: Invoice, job: Job) -> None:
    """Money settles what its own customer owes, in its own currency, and first what is owed for its own job."""
    if job.customer_id != invoice.customer_id:
        raise Refusal(f"What lies on {job.number} is another customer’s.")
    if job.currency != invoice.currency:
        raise Refusal(
            f"What lies on {job.number} is in {job.currency}, and the invoice in {invoice.currency}."
        )
    if queries.balance_of(job).minor > 0:
        raise Refusal(f"Something is open on {job.number} itself: set its money against that first.")


def _payable(invoice: Invoice, *, also: Job | None = None) -> Invoice:
    """An issued invoice with its row and its jobs held; money is taken on nothing else."""
    hold_jobs([*queries.jobs_of(invoice), *([also] if also is not None else [])])
    row = Invoice.objects.select_for_update().get(pk=invoice.pk)
    if row.issued_at is None:
        raise Refusal("This invoice is a draft; issue it first, or take the money as a deposit on the job.")
    if row.kind != Invoice.Kind.INVOICE:
        raise Refusal("A credit note is not paid: pay back what lies on the job.")
    if row.taken_back_at is not None:
        raise Refusal(f"Invoice {row.number} is credited: nothing is owed on it.")
    if row.currency != the_profile().currency:
        raise Refusal(
            f"Invoice {row.number} is in {row.currency}, and the shop works in another currency now."
        )
    return row
