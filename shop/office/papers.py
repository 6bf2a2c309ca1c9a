"""What the office prints: estimate, invoice, credit note, receipt. An invoice is drawn from its frozen facts alone."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from shop.counter.models import Job
from shop.counter.papers import law_notices, postal
from shop.handbook import law
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money, UnitPrice
from shop.office.models import Authorisation, Estimate, EstimateLine, Invoice, LineKind, Payment, PricedLine
from shop.premises import spelling
from shop.premises.models import IssuedPaper, Staff
from shop.premises.press import Address, Fact, Line, LineGroup, LineTable, Signature, Total, issue_paper
from shop.premises.profile import the_profile
from shop.stockroom.models import PartState

GROUPS = (
    ("Labour", {LineKind.LABOUR, LineKind.BENCH_FEE}),
    ("Parts", {LineKind.PART}),
    ("Other", {LineKind.SHIPPING, LineKind.OTHER}),
)


def issue_estimate_paper(*, estimate: Estimate, lines: Sequence[EstimateLine], by: Staff) -> IssuedPaper:
    """Issue the paper of an estimate: every line with its price, no “from” amounts, how long it stands."""
    job = estimate.job
    number = f"{job.number}/{estimate.version}"
    day = spelling.day(estimate.given_at)
    totals = [Total("Before tax", Money(estimate.total_minor, estimate.currency), strong=True)]
    if estimate.tax_minor:
        totals += [
            Total("Tax, not part of the estimate", Money(estimate.tax_minor, estimate.currency)),
            Total("With tax", Money(estimate.total_minor + estimate.tax_minor, estimate.currency)),
        ]
    context = {
        "to": postal(job.customer),
        "facts": [
            Fact("Given", day, strong=True),
            Fact("Stands until", spelling.day(estimate.valid_until), strong=True),
            Fact("Job", job.number),
            Fact("Working days needed", str(estimate.days_needed or "—")),
        ],
        "unit": unit_facts(job),
        "complaint": job.complaint,
        "table": line_table(list(lines), estimate.currency),
        "totals": totals,
        "note": estimate.note,
        "diagnosis_only": estimate.diagnosis_only,
        "notices": law_notices(LawPaper.ESTIMATE, on=estimate.given_at.date()),
        "signatures": [Signature("For the shop", name=by.signature), Signature("Customer")],
    }
    return issue_paper(
        kind="estimate",
        number=number,
        title=f"Estimate {number}",
        heading="Estimate",
        template="papers/office/estimate.html",
        context=context,
        by=by,
    )


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


def issue_invoice_paper(*, invoice: Invoice, by: Staff) -> IssuedPaper:
    """Issue the paper of an invoice or credit note that has its number and facts."""
    kind = LawPaper.INVOICE
    keep = law.profile_named(the_profile().law_profile).keep_until(kind, invoice.issue_date)
    label = invoice.get_kind_display()
    return issue_paper(
        kind=invoice.kind,
        number=invoice.number,
        title=f"{label} {invoice.number}",
        heading=label,
        template="papers/office/invoice.html",
        context=invoice_context(invoice, by=by),
        keep_until=keep,
        by=by,
    )


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
        "notices": law_notices(LawPaper.INVOICE, on=invoice.issue_date),
        "signatures": [Signature("For the shop", name=by.signature)],
    }


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


def issue_receipt(
    *, payment: Payment, jobs: Sequence[Job], invoice: Invoice | None, by: Staff
) -> IssuedPaper:
    """A receipt for every payment, deposit and refund."""
    amount = Money(payment.amount_minor, payment.currency)
    number = f"R-{payment.pk}"
    context = {
        "to": postal(payment.customer),
        "facts": [
            Fact("Date", spelling.day(payment.at), strong=True),
            Fact("Job", ", ".join(job.number for job in jobs)),
            Fact("Invoice", invoice.number if invoice is not None else "—"),
            Fact("Paid by", payment.get_how_display()),
        ],
        "totals": [Total(payment.get_kind_display(), amount, note=payment.reference, strong=True)],
        "note": payment.note,
        "signatures": [
            Signature(
                "Received" if amount.minor > 0 else "Paid back", name=by.signature, day=payment.at.date()
            )
        ],
    }
    return issue_paper(
        kind="receipt",
        number=number,
        title=f"Receipt {number}",
        heading="Receipt",
        template="papers/office/receipt.html",
        context=context,
        by=by,
    )


def unit_facts(job: Job) -> list[Fact]:
    """The unit on a paper: maker, model, serial number."""
    model = job.unit.model
    return [
        Fact("Maker", model.maker.name),
        Fact("Model", model.name),
        Fact("Serial number", job.unit.serial or "none found"),
        Fact("Kind", model.get_kind_display()),
    ]


def line_table(lines: Sequence[PricedLine], currency: str) -> LineTable:
    """Priced lines under Labour, Parts and Other. Used and exchanged parts are said to be so (16 CCR 2725(l))."""
    groups = []
    for title, kinds in GROUPS:
        mine = [line for line in lines if line.kind in kinds]
        if mine:
            shown = [_line(line, currency) for line in mine]
            groups.append(LineGroup(title, shown, Money(sum(one.amount_minor for one in mine), currency)))
    return LineTable(groups=groups, currency=currency)


def _line(line: PricedLine, currency: str) -> Line:
    state = PartState(line.part_state) if line.part_state else PartState.NEW
    marks = [] if state == PartState.NEW else [f"{state.label.lower()} part"]
    if line.under_warranty:
        marks.append("under warranty")
    return Line(
        line.description,
        quantity=spelling.quantity(line.quantity_thousandths),
        unit="h" if line.unit == "h" else "",
        price=UnitPrice(line.unit_price_ten_thousandths, currency),
        amount=Money(line.amount_minor, currency),
        mark=", ".join(marks),
    )


__all__ = [
    "answer_facts",
    "invoice_context",
    "invoice_facts",
    "issue_estimate_paper",
    "issue_invoice_paper",
    "issue_receipt",
    "line_table",
]
