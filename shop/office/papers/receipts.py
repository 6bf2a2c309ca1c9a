"""A receipt for every payment, deposit and refund."""

from __future__ import annotations

from collections.abc import Sequence

from shop.counter.models import Job
from shop.counter.papers import postal
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.office.models import Invoice, Payment
from shop.office.papers.sheets import SheetWanted, by_our_customs, keep_until
from shop.premises import spelling
from shop.premises.customs import day_of
from shop.premises.models import Staff
from shop.premises.press import Fact, Signature, Total


@by_our_customs
def receipt_sheet(
    payment: Payment, *, jobs: Sequence[Job], invoice: Invoice | None, by: Staff
) -> SheetWanted:
    """The receipt of one payment: how much, how, for what, and what is still open on its invoice."""
    amount = Money(payment.amount_minor, payment.currency)
    number = f"R-{payment.pk}"
    day = day_of(payment.at)
    facts = [
        Fact("Date", spelling.short_day(day), strong=True),
        Fact("Job", ", ".join(job.number for job in jobs)),
        Fact("Invoice", invoice.number if invoice is not None else "—"),
        Fact("Paid by", payment.get_how_display()),
    ]
    return SheetWanted(
        kind="receipt",
        number=number,
        title=f"Receipt {number}",
        heading="Receipt",
        template="papers/office/receipt.html",
        keep_until=keep_until(LawPaper.INVOICE, day),
        context={
            "to": postal(payment.customer),
            "facts": facts,
            "totals": [Total(payment.get_kind_display(), amount, note=payment.reference, strong=True)],
            "note": payment.note,
            "signatures": [
                Signature("Received" if amount.minor > 0 else "Paid back", name=by.signature, day=day)
            ],
        },
    )
