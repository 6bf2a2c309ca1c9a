"""The invoice and the credit note on paper, drawn from their frozen rows and facts alone."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from shop.counter.models import HowItCame, Job, TaxStanding
from shop.counter.papers import law_notices, postal
from shop.frame import clock, spelling
from shop.frame.english import english
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Paper as LawPaper
from shop.handbook.money import Money
from shop.office import legal, paying, tax_numbers
from shop.office.models import Authorisation, Invoice, InvoiceTax, LineKind
from shop.office.papers.sheets import by_our_customs, keep_until, line_table
from shop.office.pricing import rules_on
from shop.press.building import Address, Fact, Total
from shop.press.issuing import PaperWanted

# what a rule without a reason of its own says of itself; frozen on old invoices too
NO_REASON = {"Not taxed.", "Not taxed here."}


@by_our_customs
def invoice_facts(invoice: Invoice, jobs: Sequence[Job], *, by: Staff) -> dict[str, object]:
    """Everything the paper says beside its lines, as it stands on the day of issue. Kept with the invoice as JSON."""
    profile, on = the_profile(), dated(invoice)
    rules = rules_on(on)
    answers = Authorisation.objects.filter(job__in=jobs).select_related("received_by", "job")
    return {
        "customer": list(postal(invoice.customer).lines),
        "customer_name": invoice.customer.name,
        "customer_organisation": invoice.customer.organisation,
        "customer_address": invoice.customer.address,
        "customer_country": invoice.customer.country or profile.country,
        "customer_tax_number": invoice.customer.tax_number,
        "customer_vat": tax_numbers.vat_number(
            invoice.customer.tax_number,
            invoice.customer.country,
            meant=invoice.customer.tax_standing == TaxStanding.REVERSE_CHARGE,
        ),
        "shop": {
            "name": profile.name,
            "address": profile.address,
            "country": profile.country,
            "phone": profile.phone,
            "email": profile.email,
            "registration_label": profile.registration_label,
            "registration_number": profile.registration_number,
            "tax_number": profile.tax_number,
        },
        "jobs": [_job_facts(job) for job in jobs],
        "supplied_on": legal.supplied_on(jobs, on).isoformat(),
        "supply_dated": bool(profile.tax_number and profile.law.supply_dated_by(profile.country)),
        "filled_in_by": by.signature,
        "answers": [answer_facts(answer) for answer in answers.order_by("at", "id")],
        "corrects": invoice.corrects.number if invoice.corrects is not None else "",
        "corrects_date": invoice.corrects.issue_date.isoformat()
        if invoice.corrects is not None and invoice.corrects.issue_date
        else "",
        "cash_accounting": rules.cash_accounting,
        "inclusive": rules.prices_include_tax,
        "how_to_pay": rules.how_to_pay,
        "iban": rules.iban,
        "bic": rules.bic,
        "account_holder": rules.account_holder,
        "pay_link": rules.pay_link,
        "vat": profile.law.value_added_tax and bool(profile.tax_number),
        "warranty": legal.warranty_words(jobs),
        "parts_back": any(job.wants_parts_back for job in jobs),
    }


def _job_facts(job: Job) -> dict[str, object]:
    return {
        "number": job.number,
        "kind": job.unit.model.kind_in_words or "Unit",
        "maker": job.unit.model.maker.name,
        "model": job.unit.model.name,
        "serial": job.unit.serial,
        "complaint": job.complaint,
        "outcome": job.get_outcome_display(),
        "fetched": job.how_it_came == HowItCame.FETCHED,
    }


def answer_facts(answer: Authorisation) -> dict[str, str]:
    """The items of 16 CCR 2722 that an invoice notes of an answer, each under the handbook's key."""
    day, time = spelling.moment(answer.at).rsplit(", ", 1)
    return {
        "job": answer.job.number,
        "answer": answer.get_answer_display(),
        "how": answer.get_how_display(),
        "date": day,
        "time": time,
        "authorised_by": answer.person,
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
def invoice_sheet(invoice: Invoice, *, by: Staff) -> PaperWanted:
    """The paper of an invoice or credit note, from its rows and facts alone."""
    label = invoice.get_kind_display()
    return PaperWanted(
        kind=invoice.kind,
        number=invoice.number,
        title=f"{label} {invoice.number}".strip(),
        heading=label,
        template="papers/office/invoice.html",
        context=invoice_context(invoice),
        keep_until=keep_until(LawPaper.INVOICE, dated(invoice)),
    )


@by_our_customs
def draft_sheet(invoice: Invoice, jobs: Sequence[Job], *, by: Staff) -> PaperWanted:
    """The paper as it would be issued today, for the preview. The row itself is left alone."""
    invoice.issue_date = clock.today()
    invoice.due_date = invoice.issue_date + dt.timedelta(days=the_profile().payment_days)
    invoice.facts = invoice_facts(invoice, jobs, by=by)
    return invoice_sheet(invoice, by=by)


def invoice_context(invoice: Invoice) -> dict[str, object]:
    """What an invoice's paper shows, from its rows and frozen facts."""
    facts, taxes = invoice.facts, list(invoice.taxes.all())
    lines = list(invoice.lines.all())
    return {
        "to": Address(tuple(facts["customer"])),
        "facts": _head(invoice),
        "units": [_unit(job, facts["shop"]) for job in facts["jobs"]],
        "table": line_table(
            lines,
            invoice.currency,
            lump_sum=invoice.lump_sum,
            rates=facts.get("vat", False) or sum(1 for tax in taxes if tax.tax_minor) > 1,
        ),
        "totals": invoice_totals(invoice, taxes),
        "beside": [*_tax_notes(invoice, taxes), *_closing(invoice)],
        "answers": facts["answers"],
        "several": len(facts["jobs"]) > 1,
        "note": invoice.note,
        "how_to_pay": "" if _nothing_to_pay(invoice) else facts["how_to_pay"],
        "pay": None if _nothing_to_pay(invoice) else _pay(invoice),
        "notices": law_notices(LawPaper.INVOICE, on=dated(invoice)),
    }


def _head(invoice: Invoice) -> list[Fact]:
    facts, on = invoice.facts, dated(invoice)
    head = [Fact("Date", spelling.short_day(on), strong=True)]
    if invoice.kind == Invoice.Kind.INVOICE:
        head.append(Fact("Due", spelling.short_day(invoice.due_date), strong=True))
    else:
        corrected = spelling.short_day(_day(facts["corrects_date"]))
        head.append(Fact("Corrects invoice", f"{facts['corrects']} of {corrected}"))
    head.append(Fact("Job", ", ".join(job["number"] for job in facts["jobs"])))
    always = facts.get("supply_dated") and invoice.kind == Invoice.Kind.INVOICE
    if (supplied := _day(facts["supplied_on"])) and (always or supplied != on):
        head.append(Fact("Work done on", spelling.short_day(supplied)))
    head.append(Fact("Made out by", facts["filled_in_by"]))
    if facts["customer_tax_number"]:
        head.append(Fact("Your tax number", facts.get("customer_vat") or facts["customer_tax_number"]))
    return head


def _unit(job: dict[str, Any], shop: dict[str, str]) -> list[Fact]:
    facts = [
        Fact("Job", job["number"]),
        Fact(job["kind"], f"{job['maker']} {job['model']}"),
        Fact("Serial number", job["serial"] or "none found"),
        Fact("Outcome", job["outcome"] or "—"),
        Fact("What the customer said was wrong", job["complaint"], wide=True),
    ]
    if job["fetched"]:
        where = ", ".join([shop["name"], *shop["address"].splitlines()])
        if shop["registration_number"]:
            where += f"; {shop['registration_label'] or 'registration'} {shop['registration_number']}"
        facts.append(Fact("Picked up; repaired at", where, wide=True))
    return facts


def _tax_notes(invoice: Invoice, taxes: Sequence[InvoiceTax]) -> list[str]:
    """Why there is no tax on what, the wordings that the law prescribes, and what the prices contain."""
    lines = [line for line in invoice.lines.all() if not line.takes_off]
    notes = []
    for tax in taxes:
        if tax.tax_minor or not tax.note:
            continue
        mine = [
            line
            for line in lines
            if line.tax_category == tax.category and line.tax_percent == tax.percent and line.amount_minor
        ]
        kinds = list(dict.fromkeys(english(LineKind(line.kind).label) for line in mine))
        if kinds:
            notes.append(_untaxed(tax, kinds, whole=len(mine) == len(lines)))
    if invoice.facts["cash_accounting"]:
        notes.append("Cash accounting.")
    if invoice.facts["inclusive"] and invoice.tax_minor:
        notes.append("The prices of the lines contain the tax.")
    return notes


def _untaxed(tax: InvoiceTax, kinds: Sequence[str], *, whole: bool) -> str:
    """Which lines carry no tax: by the rule's own reason, and where it has none in a sentence that names the lines."""
    if tax.note in NO_REASON:
        return "No tax is charged." if whole else f"No tax is charged on: {', '.join(kinds).lower()}."
    return tax.note if whole else f"{', '.join(kinds)}: {tax.note}"


def _closing(invoice: Invoice) -> list[str]:
    facts = invoice.facts
    if invoice.kind == Invoice.Kind.CREDIT_NOTE:
        return []
    sentences = [facts["warranty"]] if facts["warranty"] else []
    if facts["parts_back"]:
        sentences.append(
            "Replaced parts go back with the unit, but for those exchanged or returned under a warranty."
        )
    return sentences


def _pay(invoice: Invoice) -> dict[str, object]:
    """The account and reference to pay by, the QR code for euros, the shop's link."""
    facts = invoice.facts
    owed = Money(invoice.total_minor - invoice.prepaid_minor, invoice.currency)
    account = " ".join(re.findall(".{1,4}", facts.get("iban", "")))
    shown = [Fact("Payment reference", paying.reference_of(invoice), strong=True)] if invoice.number else []
    if account:
        shown += [
            Fact("Account (IBAN)", account),
            Fact("Account holder", facts["account_holder"] or facts["shop"]["name"]),
        ]
    return {"facts": shown, "epc": paying.epc_text_of(invoice, owed), "link": paying.link_of(invoice, owed)}


def _nothing_to_pay(invoice: Invoice) -> bool:
    return invoice.kind == Invoice.Kind.CREDIT_NOTE or invoice.total_minor <= invoice.prepaid_minor


def _day(written: str) -> dt.date | None:
    return dt.date.fromisoformat(written) if written else None


def dated(invoice: Invoice) -> dt.date:
    """The day of issue; today for one that is only looked at."""
    return invoice.issue_date or clock.today()


def invoice_totals(invoice: Invoice, taxes: Sequence[InvoiceTax]) -> list[Total]:
    """Net, each tax, gross, what was paid before, and what is due."""
    currency = invoice.currency
    totals = [Total("Before tax", Money(invoice.net_minor, currency))]
    totals += [
        Total(
            f"{tax.name} {spelling.percent(tax.percent)} on {spelling.money(Money(tax.base_minor, currency))}",
            Money(tax.tax_minor, currency),
        )
        for tax in taxes
        if tax.tax_minor or invoice.facts.get("vat")
    ]
    whole = "Credited in all" if invoice.kind == Invoice.Kind.CREDIT_NOTE else "Total"
    totals.append(Total(whole, Money(invoice.total_minor, currency), strong=not invoice.prepaid_minor))
    if invoice.prepaid_minor:
        totals += _paid_before(invoice)
        owed = Money(invoice.total_minor - invoice.prepaid_minor, currency)
        totals.append(Total("To pay", owed, strong=True))
    return totals


def _paid_before(invoice: Invoice) -> list[Total]:
    """What was paid before: each deposit that was taxed when it came in with its tax, which is set off here, and the rest."""
    currency, taxed = invoice.currency, invoice.facts.get("deposits", [])
    rest = invoice.prepaid_minor - sum(one["amount_minor"] for one in taxed)
    found = [Total("Paid before", Money(-rest, currency))] if rest else []
    for one in taxed:
        inside = spelling.money(Money(one["tax_minor"], currency))
        percent = spelling.percent(Decimal(one["percent"]))
        found.append(
            Total(
                f"Deposit of {spelling.short_day(_day(one['date']))}, receipt {one['receipt']}",
                Money(-one["amount_minor"], currency),
                note=f"{percent} tax in it, {inside}, is part of the tax above",
            )
        )
    return found


__all__ = ["answer_facts", "dated", "draft_sheet", "invoice_context", "invoice_facts", "invoice_sheet"]
