"""Invoices and credit notes: drafted from what was recorded, issued once, then frozen by the database itself."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from shop.counter.actions import file_paper
from shop.counter.models import Customer, Job
from shop.frame import numbers, spelling
from shop.frame.clock import day_of
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper
from shop.keeping.pictures import keep_file
from shop.office import discounts, einvoice, pricing, queries, taxing
from shop.office.actions.allocations import set_free, take_up
from shop.office.actions.charges import (
    charge,
    refuse_misplaced,
    refuse_moved,
    set_sources_free,
    with_sources,
)
from shop.office.actions.crediting import turn_round
from shop.office.actions.holding import hold_jobs, refuse_other_currency
from shop.office.actions.many import Many
from shop.office.deposits import share_of
from shop.office.models import EInvoice, Invoice, InvoiceJob, InvoiceLine, InvoiceTax, LineKind
from shop.office.papers import dated, invoice_facts, invoice_sheet, issue, issue_all
from shop.office.pricing import PricedItem
from shop.press.drawing import warm_up
from shop.press.issuing import PaperWanted, keep_paper

if TYPE_CHECKING:
    from shop.press.printers import Printers

SERIES = {Invoice.Kind.INVOICE: "invoice", Invoice.Kind.CREDIT_NOTE: "credit_note"}
PREFIX = {Invoice.Kind.INVOICE: "", Invoice.Kind.CREDIT_NOTE: "C"}


def draft_invoice(
    *,
    customer: Customer,
    jobs: Sequence[Job],
    by: Staff,
    items: Sequence[PricedItem] | None = None,
    lump_sum: bool = False,
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
        refuse_other_currency(job)
    with acting(by=by, at=at, once=once_key) as act:
        day = act.day
        if items is None:
            items = [
                item
                for job in jobs
                for item in discounts.with_promised(job, pricing.items_of(job, on=day))
                or [pricing.nothing_charged(job)]
            ]
        invoice = Invoice.objects.create(
            customer=customer,
            currency=the_profile().currency,
            drafted_at=act.at,
            by=by,
            lump_sum=lump_sum,
            note=note.strip(),
        )
        InvoiceJob.objects.bulk_create(InvoiceJob(invoice=invoice, job=job) for job in jobs)
        items = with_sources(items, jobs)
        refuse_moved(invoice, items, jobs)
        _write_lines(invoice, items, on=day, jobs=jobs)
        act.record(
            "invoice.drafted", subject=invoice, jobs=[job.pk for job in jobs], total_minor=invoice.total_minor
        )
    return invoice


def set_invoice_lines(
    *,
    invoice: Invoice,
    items: Sequence[PricedItem],
    by: Staff,
    lump_sum: bool = False,
    note: str = "",
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Invoice:
    """Replace the lines of a draft by those given. An issued invoice is corrected by a credit note only."""
    with acting(by=by, at=at, once=once_key) as act:
        invoice = _draft(invoice)
        if not items:
            raise Refusal("An invoice has at least one line, even when nothing is charged.")
        jobs = queries.jobs_of(invoice)
        items = with_sources(items, jobs, list(invoice.lines.all()))
        refuse_moved(invoice, items, jobs)
        InvoiceLine.objects.filter(invoice=invoice).delete()
        InvoiceTax.objects.filter(invoice=invoice).delete()
        invoice.note, invoice.lump_sum = note.strip(), lump_sum
        invoice.save(update_fields=["note", "lump_sum", "typed_for"])
        _write_lines(invoice, items, on=act.day, jobs=jobs)
        act.record(
            "invoice.drafted", subject=invoice, jobs=[job.pk for job in jobs], total_minor=invoice.total_minor
        )
    return invoice


def take_in(
    *, invoice: Invoice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Invoice:
    """Take in what is recorded on the jobs of a draft, is not charged, and stands on none of its lines yet."""
    with acting(by=by, at=at, once=once_key) as act:
        invoice = _draft(invoice)
        jobs = queries.jobs_of(invoice)
        lines = list(invoice.lines.all())
        more = queries.not_on(lines, jobs, on=act.day)
        if not more:
            raise Refusal("Nothing was recorded that is not on this draft.")
        invoice.left_out = []
        invoice.save(update_fields=["left_out"])
        by_id = {job.pk: job for job in jobs}
        kept = [
            replace(item, job=by_id.get(line.job_id or 0))
            for item, line in zip(pricing.as_items(lines, invoice.currency), lines, strict=True)
            if not pricing.is_nothing(line)
        ]
        set_invoice_lines(
            invoice=invoice, items=[*kept, *more], by=by, lump_sum=invoice.lump_sum, note=invoice.note
        )
    return invoice


def leave_out(
    *, invoice: Invoice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Invoice:
    """Choose to charge nothing for what is recorded and stands on no line of a draft: no later invoice asks for it."""
    with acting(by=by, at=at, once=once_key) as act:
        invoice = _draft(invoice)
        jobs = queries.jobs_of(invoice)
        more = queries.not_on(list(invoice.lines.all()), jobs, on=act.day, left_out=invoice.left_out)
        if not more:
            raise Refusal("Nothing was recorded that is not on this draft.")
        invoice.left_out = sorted({*invoice.left_out, *(source for item in more for source in item.sources)})
        invoice.save(update_fields=["left_out"])
        act.record("invoice.left_out", subject=invoice, jobs=[job.pk for job in jobs])
    return invoice


def discard_draft(
    *, invoice: Invoice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Throw a draft away; it has no number, so none is lost."""
    with acting(by=by, at=at, once=once_key) as act:
        invoice = _draft(invoice)
        jobs = list(InvoiceJob.objects.filter(invoice=invoice).values_list("job_id", flat=True))
        act.record("invoice.discarded", subject=invoice, jobs=jobs)
        for belonging in (InvoiceLine, InvoiceTax, InvoiceJob):
            belonging.objects.filter(invoice=invoice).delete()
        Invoice.objects.filter(pk=invoice.pk, issued_at__isnull=True).delete()


def issue_invoice(
    *, invoice: Invoice, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Invoice:
    """Issue a draft: compare it with what the customer authorized, take the next number, print and freeze it.

    Number, paper and frozen rows stand or fall together. Deposits on its jobs are taken up. Tax is reckoned by the rules of the
    day of issue: a draft that was written under other rules is refused with what changed.
    """
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        hold_jobs(queries.jobs_of(invoice))
        ready = _numbered(invoice, act, by=by)
        _freeze(ready, issue(ready.sheet, by=by), act, by=by)
    return ready.invoice


def issue_invoices(
    *,
    invoices: Sequence[Invoice],
    by: Staff,
    printers: Printers | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Many:
    """Issue several drafts in one act; one that is refused stays a draft, is named with its sentence, and takes no number.

    What the customer authorized and what lies on a job is compared as it stands before the act, so drafts that share a job
    don't go together: the later ones are `left` for another act.
    """
    warm_up()
    made = Many()
    with acting(by=by, at=at, once=once_key) as act:
        ready: list[_Ready] = []
        taken: set[int] = set()
        hold_jobs([job for invoice in invoices for job in queries.jobs_of(invoice)])
        for invoice in invoices:
            jobs = {job.pk for job in queries.jobs_of(invoice)}
            if jobs & taken:
                made.left.append(invoice)
                continue
            try:
                ready.append(_numbered(invoice, act, by=by))
            except Refusal as refusal:
                made.refused.append((invoice, refusal.sentence))
            else:
                taken |= jobs
        papers = issue_all([one.sheet for one in ready], by=by, printers=printers)
        for one, paper in zip(ready, papers, strict=True):
            _freeze(one, paper, act, by=by)
            made.papers.append(paper)
    return made


@dataclass(frozen=True, slots=True)
class _Ready:
    """An invoice that has its number and is about to be printed and frozen, in the act that numbered it."""

    invoice: Invoice
    jobs: list[Job]
    taken: list[tuple[queries.FreeDeposit, int]]
    sheet: PaperWanted


def _numbered(draft: Invoice, act: Act, *, by: Staff) -> _Ready:
    """Compare a draft with the rules and with what was authorised, then number it. A refusal comes before the number."""
    invoice = _draft(draft)
    jobs = queries.jobs_of(invoice)
    deposits: list[queries.FreeDeposit] = []
    if invoice.kind == Invoice.Kind.INVOICE:
        _refuse_unready(invoice, jobs)
        _refuse_other_tax(invoice, jobs, on=act.day)
        if above := queries.above_authorised(invoice, jobs):
            raise Refusal(" ".join(above))
        deposits = queries.free_deposits(jobs)
    taken = queries.shares(deposits, invoice.total_minor)
    invoice.prepaid_minor = sum(amount for _, amount in taken)
    invoice.issue_date = act.day
    invoice.facts = invoice_facts(invoice, jobs, by=by) | {"deposits": _deposit_facts(taken)}
    _refuse_faulty_einvoice(invoice)
    _number(invoice, act.day)
    return _Ready(invoice, jobs, taken, invoice_sheet(invoice, by=by))


def _deposit_facts(taken: Sequence[tuple[queries.FreeDeposit, int]]) -> list[dict[str, object]]:
    """What the invoice says of each deposit that was taxed when it came in: its receipt, and the tax that is set off."""
    return [
        {
            "receipt": deposit.payment.receipt_number,
            "date": day_of(deposit.payment.at).isoformat(),
            "amount_minor": minor,
            "percent": f"{deposit.payment.tax_percent.normalize():f}",
            "tax_minor": share_of(deposit.payment, minor),
        }
        for deposit, minor in taken
        if deposit.payment.tax_percent is not None
    ]


def _freeze(ready: _Ready, paper: IssuedPaper, act: Act, *, by: Staff) -> None:
    """Keep the printed invoice as issued: from here on the database itself refuses to change it."""
    invoice = ready.invoice
    invoice.paper, invoice.issued_at = paper, act.at
    if invoice.prepaid_minor >= invoice.total_minor:
        invoice.settled_at = act.at
    invoice.save()
    take_up(act, invoice, ready.taken)
    _make_einvoice(act, invoice, ready.jobs, by=by)
    file_paper(act=act, paper=paper, jobs=ready.jobs)
    if invoice.kind == Invoice.Kind.INVOICE:
        charge(act, invoice, ready.jobs)
    act.seal(invoice, *invoice.lines.all(), *invoice.taxes.all(), *invoice.job_links.all())
    act.record(
        "invoice.issued",
        subject=invoice,
        jobs=[job.pk for job in ready.jobs],
        number=invoice.number,
        total_minor=invoice.total_minor,
    )


def credit(
    *,
    invoice: Invoice,
    by: Staff,
    note: str = "",
    lines: Collection[int] | None = None,
    free: Collection[int] | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Invoice:
    """Issue a credit note over an invoice, or over some of its lines: what it takes back mirrors them, tax by tax.

    `lines` are the keys of the lines that are taken back, all that are left where none are named; `free` those of them whose
    work and parts may be charged on another invoice, all of them where none are named. What was paid beyond what is left lies
    on the invoice's first job as a deposit again, for the right invoice or to be paid back.
    """
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        hold_jobs(queries.jobs_of(invoice))
        invoice = Invoice.objects.select_for_update().get(pk=invoice.pk)
        if invoice.issued_at is None or invoice.kind != Invoice.Kind.INVOICE:
            raise Refusal("Only an issued invoice can be credited.")
        if invoice.taken_back_at is not None:
            raise Refusal(f"Invoice {invoice.number} was credited already.")
        if not note.strip():
            raise Refusal("Say why it is credited.", field="note")
        left = list(invoice.lines.filter(taken_back_by__isnull=True))
        chosen = left if lines is None else [line for line in left if line.pk in set(lines)]
        if not chosen:
            raise Refusal("Check the lines that are taken back.", field="lines")
        _refuse_beyond(chosen, left)
        turned = turn_round(invoice, chosen, left, note=note.strip(), by=by, at=act.at)
        turned = issue_invoice(invoice=turned, by=by)
        whole = len(chosen) == len(left)
        if whole:
            Invoice.objects.filter(pk=invoice.pk).update(taken_back_at=act.at)
            invoice.taken_back_at = act.at
        keys = {line.pk for line in chosen}
        set_sources_free(act, turned, keys if free is None else keys & set(free), left_out=whole)
        set_free(act, invoice)
    return turned


def _refuse_beyond(chosen: Sequence[InvoiceLine], left: Sequence[InvoiceLine]) -> None:
    """A discount is a line of its own: taken back alone it would charge, left alone it would owe money to nobody."""
    if sum(line.amount_minor for line in chosen) < 0:
        raise Refusal(
            "That takes back a discount alone, and would charge more: check what it came off.", field="lines"
        )
    if sum(line.amount_minor for line in left) < sum(line.amount_minor for line in chosen):
        raise Refusal("That takes back more than was charged: check the discount as well.", field="lines")
    keys = {line.pk for line in chosen}
    for off in (line for line in left if line.kind == LineKind.DISCOUNT):
        mine = {
            line.pk for line in left if line.kind != LineKind.DISCOUNT and _as_taxed(line) == _as_taxed(off)
        }
        # one of several at its full price would give back more than was paid for it
        if mine & keys and not mine | {off.pk} <= keys:
            raise Refusal(
                f"“{off.description}” came off several lines: take all of them back with it, "
                "and charge what stays on a new invoice.",
                field="lines",
            )


def _as_taxed(line: InvoiceLine) -> tuple[object, ...]:
    """What a discount and the lines that it came off have in common."""
    return line.job_id, line.tax_category, line.tax_percent


def _make_einvoice(act: Act, invoice: Invoice, jobs: Sequence[Job], *, by: Staff) -> None:
    """The same invoice as data, beside the paper, where the shop has switched that on. Made in this act or never."""
    if not pricing.rules_on(act.day).einvoice:
        return
    terms, sheet = einvoice.terms_of(invoice), invoice_sheet(invoice, by=by)
    xml = einvoice.factur_x_xml(terms)
    paper = keep_paper(
        pdf=einvoice.factur_x_pdf(sheet, xml),
        kind="einvoice",
        number=invoice.number,
        title=f"E-{invoice.get_kind_display().lower()} {invoice.number}",
        by=by,
        keep_until=sheet.keep_until,
    )
    ubl = keep_file(
        data=einvoice.ubl_xml(terms),
        name=f"{invoice.kind}-{invoice.number}.xml",
        media_type="application/xml",
        by=by,
    )
    made = EInvoice.objects.create(invoice=invoice, paper=paper, ubl=ubl, at=act.at)
    file_paper(act=act, paper=paper, jobs=jobs)
    act.seal(made)
    act.record("einvoice.made", subject=made, jobs=[job.pk for job in jobs], number=invoice.number)


def _draft(invoice: Invoice) -> Invoice:
    """The draft with its row held, so that nobody issues it meanwhile."""
    found = (
        Invoice.objects.select_for_update(of=("self",))
        .select_related("customer", "corrects")
        .filter(pk=invoice.pk)
    )
    row = found.first()
    if row is None:
        raise Refusal("This draft was discarded.")
    if row.issued_at is not None:
        raise Refusal(f"Invoice {row.number} is issued: correct it with a credit note.")
    return row


def _number(invoice: Invoice, day: dt.date) -> None:
    kind = Invoice.Kind(invoice.kind)
    invoice.year = day.year
    invoice.sequence = numbers.take(SERIES[kind], day.year)
    invoice.number = f"{PREFIX[kind]}{day.year}-{invoice.sequence:04d}"
    invoice.issue_date = day
    invoice.due_date = day + dt.timedelta(days=the_profile().payment_days)


def _refuse_unready(invoice: Invoice, jobs: Sequence[Job]) -> None:
    """A line without a price, one whose source another invoice charges, or that has gone or moved since."""
    _refuse_less_than_nothing(invoice.total_minor)
    lines = list(invoice.lines.all())
    if unpriced := [line.description for line in lines if line.unpriced]:
        raise Refusal(f"Say what these cost, 0 if nothing is charged: {'; '.join(unpriced)}.")
    if collided := queries.collisions(lines, jobs):
        raise Refusal(" ".join(collided))
    by_id = {job.pk: job for job in jobs}
    items = pricing.as_items(lines, invoice.currency)
    refuse_misplaced(
        [replace(item, job=by_id.get(line.job_id or 0)) for item, line in zip(items, lines, strict=True)],
        jobs,
    )


def _refuse_less_than_nothing(total_minor: int) -> None:
    """An invoice below nothing would be owed by nobody and never be settled."""
    if total_minor < 0:
        raise Refusal(
            "These lines come to less than nothing. What goes back to the customer is a credit note on the invoice that "
            "charged it, or a refund of what lies on the job."
        )


def _refuse_faulty_einvoice(invoice: Invoice) -> None:
    """An e-invoice that would fail is refused while no number is taken; its terms and schema are tried as well."""
    if not pricing.rules_on(dated(invoice)).einvoice:
        return
    if faults := einvoice.faults_of(invoice):
        raise Refusal(f"The e-invoice would not be right. {' '.join(faults)}")
    invoice.number, invoice.due_date = "0", dated(invoice)
    try:
        terms = einvoice.terms_of(invoice)
        einvoice.factur_x_xml(terms)
        einvoice.ubl_xml(terms)
    finally:
        invoice.number, invoice.due_date = "", None


def _refuse_other_tax(invoice: Invoice, jobs: Sequence[Job], *, on: dt.date) -> None:
    """Tax rules may have changed since the draft was written; the customer and the contract too."""
    items = pricing.as_items(list(invoice.lines.all()), invoice.currency)
    reckoned = taxing.totals(
        items,
        customer=invoice.customer,
        currency=invoice.currency,
        on=on,
        jobs=jobs,
        lump_sum=invoice.lump_sum,
    )
    if (reckoned.net.minor, reckoned.tax.minor) != (invoice.net_minor, invoice.tax_minor):
        raise Refusal(
            f"By the tax rules of today this comes to {spelling.money(reckoned.gross)}, not to "
            f"{spelling.money(invoice.total_minor, invoice.currency)}: keep the lines once more and look at it again."
        )


def _write_lines(invoice: Invoice, items: Sequence[PricedItem], *, on: dt.date, jobs: Sequence[Job]) -> None:
    items, reckoned = discounts.reckoned(
        items,
        customer=invoice.customer,
        currency=invoice.currency,
        on=on,
        jobs=jobs,
        lump_sum=invoice.lump_sum,
    )
    _refuse_less_than_nothing(reckoned.gross.minor)
    InvoiceLine.objects.bulk_create(
        InvoiceLine(
            invoice=invoice,
            job=item.job or jobs[0],  # on no job, it would be held against no agreement
            tax_category=line.treatment.category.value,
            tax_percent=line.treatment.percent.decimal,
            sources=list(item.sources),
            **item.columns(place, line.net),
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
    invoice.save(update_fields=["net_minor", "tax_minor", "total_minor", "typed_for"])
