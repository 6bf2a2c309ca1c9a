"""What a credit note says: lines of its invoice turned round, with the tax that was charged on them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from shop.frame.models import Staff
from shop.handbook.money import Money
from shop.handbook.tax import Percent
from shop.office.models import Invoice, InvoiceJob, InvoiceLine, InvoiceTax

Key = tuple[str, Decimal]


def turn_round(
    invoice: Invoice,
    chosen: Sequence[InvoiceLine],
    left: Sequence[InvoiceLine],
    *,
    note: str,
    by: Staff,
    at: dt.datetime,
) -> Invoice:
    """The draft of a credit note over the chosen lines of those that are left: every sum of them turned round."""
    shares = [_share(tax, invoice, chosen, left) for tax in invoice.taxes.all()]
    taxes = [share for share in shares if share is not None]
    net = sum(line.net_minor for line in chosen)
    tax = sum(row.tax_minor for row in taxes)
    turned = Invoice.objects.create(
        kind=Invoice.Kind.CREDIT_NOTE,
        customer=invoice.customer,
        currency=invoice.currency,
        corrects=invoice,
        drafted_at=at,
        by=by,
        lump_sum=invoice.lump_sum,
        note=note,
        net_minor=-net,
        tax_minor=tax,
        total_minor=-net + tax,
    )
    InvoiceLine.objects.bulk_create(_mirrored(line, turned, place) for place, line in enumerate(chosen, 1))
    for row in taxes:
        row.invoice = turned
    InvoiceTax.objects.bulk_create(taxes)
    links = InvoiceJob.objects.filter(invoice=invoice)
    InvoiceJob.objects.bulk_create(InvoiceJob(invoice=turned, job_id=link.job_id) for link in links)
    return turned


def _mirrored(line: InvoiceLine, turned: Invoice, place: int) -> InvoiceLine:
    mirrored = InvoiceLine.objects.get(pk=line.pk)
    mirrored.pk, mirrored.invoice, mirrored.takes_back, mirrored.position = None, turned, line, place
    mirrored.quantity_thousandths, mirrored.amount_minor = -line.quantity_thousandths, -line.amount_minor
    mirrored.net_minor, mirrored.sources = -line.net_minor, []
    return mirrored


def _share(
    tax: InvoiceTax, invoice: Invoice, chosen: Sequence[InvoiceLine], left: Sequence[InvoiceLine]
) -> InvoiceTax | None:
    """The tax of one category on the chosen lines, turned round; the last of them take what is left of it.

    So credit notes over parts of an invoice take back the very tax that it charged, whatever rounding did to the parts.
    """
    mine, all_left = (
        [line for line in lines if (line.tax_category, line.tax_percent) == (tax.category, tax.percent)]
        for lines in (chosen, left)
    )
    if not mine:
        return None
    base = sum(line.net_minor for line in mine)
    if len(mine) == len(all_left):
        back = InvoiceTax.objects.filter(
            invoice__corrects=invoice, category=tax.category, percent=tax.percent, name=tax.name
        )
        minor = tax.tax_minor + sum(back.values_list("tax_minor", flat=True))
    elif invoice.facts["inclusive"]:
        minor = sum(line.amount_minor - line.net_minor for line in mine)
    else:
        minor = Percent.parse(str(tax.percent)).of(Money(base, invoice.currency)).minor
    return InvoiceTax(
        category=tax.category,
        name=tax.name,
        percent=tax.percent,
        base_minor=-base,
        tax_minor=-minor,
        note=tax.note,
    )
