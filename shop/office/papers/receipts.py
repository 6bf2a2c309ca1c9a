"""A receipt for every payment, deposit and refund."""

from __future__ import annotations

from collections.abc import Sequence

from shop.counter.models import Job
from shop.counter.papers import postal
from shop.frame import spelling
from shop.frame.clock import day_of
from shop.frame.models import Staff
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.office import deposits
from shop.office.models import Invoice, Payment
from shop.office.papers.sheets import by_our_customs, keep_until
from shop.office.queries.jobs import open_minor
from shop.press.building import Fact, Signature, Total
from shop.press.issuing import PaperWanted


@by_our_customs
def receipt_sheet(
    payment: Payment, *, jobs: Sequence[Job], invoice: Invoice | None, by: Staff
) -> PaperWanted:
    """The receipt of one payment: how much, how, for what, and what is still open on its invoice."""
    amount = Money(payment.amount_minor, payment.currency)
    back = amount.minor < 0
    number = payment.receipt_number
    day = day_of(payment.at)
    facts = [
        Fact("Date", spelling.short_day(day), strong=True),
        Fact("Job", ", ".join(job.number for job in jobs)),
        Fact("Invoice", invoice.number if invoice is not None else "—"),
        Fact("Paid back by" if back else "Paid by", payment.way),
    ]
    totals = [
        Total(payment.get_kind_display(), -amount if back else amount, note=payment.reference, strong=True)
    ]
    if payment.tax_percent is not None:
        inside = Money(abs(payment.tax_minor), payment.currency)
        totals.append(
            Total(f"Tax in it, {spelling.percent(payment.tax_percent)}", inside, note=deposits.wanted_by())
        )
    if payment.rounding_minor:
        totals.append(Total("Rounded to coins", Money(payment.rounding_minor, payment.currency)))
    if invoice is not None:
        totals.append(
            Total(f"Still open on invoice {invoice.number}", Money(open_minor(invoice), invoice.currency))
        )
    return PaperWanted(
        kind="receipt",
        number=number,
        title=f"Receipt {number}",
        heading="Receipt",
        template="papers/office/receipt.html",
        keep_until=keep_until(LawPaper.INVOICE, day),
        context={
            "to": postal(payment.customer),
            "facts": facts,
            "words": _words(payment, jobs, back=back),
            "totals": totals,
            "note": payment.note,
            "signatures": [Signature("Paid back" if back else "Received", name=by.signature, day=day)],
        },
    )


def _words(payment: Payment, jobs: Sequence[Job], *, back: bool) -> str:
    """What the money was for, in a sentence: the unit is what the customer knows the job by."""
    units = ", ".join(dict.fromkeys(str(job.unit.model) for job in jobs))
    whose = f"to {payment.customer.name}" if back else f"from {payment.customer.name}, with thanks"
    return f"{'Paid back' if back else 'Received'} {whose}{f', for {units}' if units else ''}."
