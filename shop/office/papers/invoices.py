"""The invoice and the credit note on paper, drawn from their frozen rows and facts alone."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

from shop.counter.models import Job
from shop.counter.papers import law_notices, postal
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.office.models import Authorisation, Invoice
from shop.office.papers.sheets import SheetWanted, by_our_customs, keep_until, line_table
from shop.premises import clock, spelling
from shop.premises.models import Staff
from shop.premises.press import Address, Fact, Signature, Total
from shop.premises.profile import the_profile


@by_our_customs
def invoice_facts(invoice: Invoice, jobs: Sequence[Job]) -> dict[str, Any]:
    """Everything the paper says beside its lines, as it stands on the day of issue. Kept with the invoice as JSON."""
    profile = the_profile()
    answers = Authorisation.objects.filter(job__in=jobs).select_related("received_by").order_by("at", "id")
    return {
        "customer": list(postal(invoice.customer).lines),
        "customer_name": invoice.customer.name,
        "customer_tax_number": invoice.customer.tax_number,
        "shop": {
            "name": profile.name,
            "address": profile.address,
            "country": profile.country,
            "phone": profile.phone,
            "registration_label": profile.registration_label,
            "registration_number": profile.registration_number,
            "tax_number": profile.tax_number,
        },
        "jobs": [
            {
                "number": job.number,
                "maker": job.unit.model.maker.name,
                "model": job.unit.model.name,
                "serial": job.unit.serial,
                "complaint": job.complaint,
                "fetched": job.how_it_came == "fetched",
            }
            for job in jobs
        ],
        "answers": [answer_facts(answer) for answer in answers],
        "corrects": invoice.corrects.number if invoice.corrects is not None else "",
    }


def answer_facts(answer: Authorisation) -> dict[str, str]:
    """The items of 16 CCR 2722 that an invoice notes of an answer, each under the handbook's key."""
    return {
        "answer": answer.get_answer_display(),
        "how": answer.get_how_display(),
        "date": spelling.day(answer.at),
        "time": spelling.moment(answer.at).rpartition(", ")[2],
        "authorised_by": answer.given_by,
        "phone_called": answer.phone_called,
        "received_by": answer.received_by.signature
        if answer.received_by is not None
        else "the customer’s own page",
        "conditions": answer.conditions,
        "additional_work": answer.additional_work,
        "additional_cost": spelling.money(Money(answer.additional_minor, answer.job.currency)),
        "authorised": spelling.money(Money(answer.authorised_minor, answer.job.currency)),
    }


@by_our_customs
def invoice_sheet(invoice: Invoice, *, by: Staff) -> SheetWanted:
    """The paper of an invoice or credit note, from its rows and facts alone."""
    label = invoice.get_kind_display()
    return SheetWanted(
        kind=invoice.kind,
        number=invoice.number,
        title=f"{label} {invoice.number}".strip(),
        heading=label,
        template="papers/office/invoice.html",
        context=invoice_context(invoice, by=by),
        keep_until=keep_until(LawPaper.INVOICE, dated(invoice)),
    )


@by_our_customs
def draft_sheet(invoice: Invoice, jobs: Sequence[Job], *, by: Staff) -> SheetWanted:
    """The paper as it would be issued today, for the preview. The row itself is left alone."""
    invoice.issue_date = clock.today()
    invoice.due_date = invoice.issue_date + dt.timedelta(days=the_profile().payment_days)
    invoice.facts = invoice_facts(invoice, jobs)
    return invoice_sheet(invoice, by=by)


def invoice_context(invoice: Invoice, *, by: Staff) -> dict[str, Any]:
    """What an invoice's paper shows, from its rows and frozen facts."""
    currency, facts = invoice.currency, invoice.facts
    numbers = ", ".join(job["number"] for job in facts["jobs"])
    first = [
        Fact("Date", spelling.day(invoice.issue_date), strong=True),
        Fact("Due", spelling.day(invoice.due_date), strong=True),
        Fact("Job", numbers),
    ]
    if facts["corrects"]:
        first.append(Fact("Corrects invoice", facts["corrects"]))
    if facts["customer_tax_number"]:
        first.append(Fact("Your tax number", facts["customer_tax_number"]))
    return {
        "to": Address(tuple(facts["customer"])),
        "facts": first,
        "units": [
            [
                Fact("Job", job["number"]),
                Fact("Maker", job["maker"]),
                Fact("Model", job["model"]),
                Fact("Serial number", job["serial"] or "none found"),
                Fact("What the customer said was wrong", job["complaint"], wide=True),
            ]
            for job in facts["jobs"]
        ],
        "shop_tax_number": facts["shop"]["tax_number"],
        "table": line_table(list(invoice.lines.all()), currency),
        "totals": invoice_totals(invoice),
        "tax_notes": [row.note for row in invoice.taxes.all() if row.note],
        "answers": facts["answers"],
        "note": invoice.note,
        "notices": law_notices(LawPaper.INVOICE, on=dated(invoice)),
        "signatures": [Signature("For the shop", name=by.signature)],
    }


def dated(invoice: Invoice) -> dt.date:
    """The day of issue; today for one that is only looked at."""
    return invoice.issue_date or clock.today()


def invoice_totals(invoice: Invoice) -> list[Total]:
    """Net, each tax, gross, what was paid before, and what is due."""
    currency = invoice.currency
    totals = [Total("Before tax", Money(invoice.net_minor, currency))]
    totals += [
        Total(
            f"{row.name} {row.percent.normalize():f} %",
            Money(row.tax_minor, currency),
            note=f"on {spelling.money(Money(row.base_minor, currency))}",
        )
        for row in invoice.taxes.all()
        if row.tax_minor
    ]
    totals.append(Total("Total", Money(invoice.total_minor, currency), strong=not invoice.prepaid_minor))
    if invoice.prepaid_minor:
        totals.append(Total("Paid before", Money(-invoice.prepaid_minor, currency)))
        totals.append(
            Total("To pay", Money(invoice.total_minor - invoice.prepaid_minor, currency), strong=True)
        )
    return totals
