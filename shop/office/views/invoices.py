"""An invoice: drafted, looked at, issued, paid, credited."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.office import actions, papers, queries
from shop.office.forms import CreditForm, LineSheet, PaymentForm
from shop.office.models import Invoice
from shop.office.views.lists import in_the_office
from shop.office.views.previews import shown_as_paper
from shop.premises.doors import StaffRequest
from shop.premises.formwork import PlainForm, TextField
from shop.premises.once import AlreadyTaken
from shop.premises.refusal import Refusal


class NoteForm(PlainForm):
    """What stands under the lines of an invoice."""

    note = TextField(required=False, rows=2, max_length=2000, label="Note on the paper")


@require_POST
@in_the_office
def draft_invoice(request: StaffRequest, number: str) -> HttpResponseBase:
    """Draft an invoice over this job, and over the others of the customer that were ticked."""
    job = get_object_or_404(whole_jobs(), number=number)
    numbers = {job.number, *request.POST.getlist("job")[:20]}
    jobs = list(Job.objects.filter(number__in=numbers).select_related("customer").order_by("id"))
    form = PlainForm(request.POST)
    form.is_valid()
    try:
        invoice = actions.draft_invoice(
            customer=job.customer, jobs=jobs, by=request.user, once_key=form.once_key
        )
    except AlreadyTaken as taken:
        return redirect("office:invoice", taken.result_id)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("office:job", job.number)
    return redirect("office:invoice", invoice.pk)


@require_safe
@in_the_office
def invoice(request: StaffRequest, pk: int) -> HttpResponse:
    """One invoice or credit note: a draft with its lines to put right, or what was issued and what is open."""
    return invoice_page(request, _invoice(pk))


@require_POST
@in_the_office
def set_lines(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep the lines of a draft as typed."""
    invoice = _invoice(pk)
    note_form = NoteForm(request.POST)
    sheet = LineSheet(request.POST, currency=invoice.currency, jobs=queries.jobs_of(invoice))
    if all([note_form.is_valid(), sheet.is_valid()]):
        facts = {"items": sheet.items(), "note": note_form.cleaned_data["note"]}
        forms = {"note_form": note_form, "sheet": sheet}
        return _act(
            request, invoice, note_form, actions.set_invoice_lines, facts, "The draft is kept.", forms
        )
    return invoice_page(request, invoice, note_form=note_form, sheet=sheet)


@require_safe
@in_the_office
def preview(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The draft as it would be printed, marked DRAFT."""
    invoice = _invoice(pk)
    if invoice.issued_at is not None:
        return redirect("premises:paper", invoice.paper_id)
    return shown_as_paper(papers.draft_sheet(invoice, queries.jobs_of(invoice), by=request.user))


@require_POST
@in_the_office
def issue(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue it: number, paper and frozen rows in one act."""
    return _act(
        request, _invoice(pk), PlainForm(request.POST), actions.issue_invoice, {}, "The invoice is issued."
    )


@require_POST
@in_the_office
def discard(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Throw a draft away."""
    invoice = get_object_or_404(Invoice, pk=pk)
    first = queries.jobs_of(invoice)[0]
    try:
        actions.discard_draft(invoice=invoice, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("office:invoice", invoice.pk)
    messages.success(request, "The draft is thrown away.")
    return redirect("office:job", first.number)


@require_POST
@in_the_office
def credit(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue a credit note over the whole invoice."""
    invoice = _invoice(pk)
    form = CreditForm(request.POST, prefix="credit")
    if form.is_valid():
        facts = {"note": form.cleaned_data["note"]}
        return _act(request, invoice, form, actions.credit, facts, "Credited.", {"credit_form": form})
    return invoice_page(request, invoice, credit_form=form)


@require_POST
@in_the_office
def take_payment(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a payment on the invoice."""
    invoice = _invoice(pk)
    form = PaymentForm(request.POST, prefix="payment")
    if form.is_valid():

        def taken(*, invoice: Invoice, **facts: Any) -> Any:
            return actions.take_payment(customer=invoice.customer, invoice=invoice, **facts)

        said = "The payment is taken; its receipt is under Payments."
        return _act(request, invoice, form, taken, form.facts(), said, {"payment_form": form})
    return invoice_page(request, invoice, payment_form=form)


def invoice_page(request: StaffRequest, invoice: Invoice, **forms: Any) -> HttpResponse:
    """The page of an invoice; `forms` are those that were sent and not taken."""
    jobs = queries.jobs_of(invoice)
    is_draft = invoice.issued_at is None
    lines = list(invoice.lines.select_related("job"))
    context: dict[str, Any] = {
        "invoice": invoice,
        "jobs": jobs,
        "lines": lines,
        "taxes": list(invoice.taxes.all()),
        "is_draft": is_draft,
        "plain_form": PlainForm(),
    }
    if is_draft:
        context["sheet"] = LineSheet(None, lines=lines, currency=invoice.currency, jobs=jobs)
        context["note_form"] = NoteForm(initial={"note": invoice.note})
        context["above"] = queries.above_authorised(invoice, jobs)
    else:
        context |= queries.settlement_of(invoice)
        context["credit_form"] = CreditForm(prefix="credit")
        context["payment_form"] = PaymentForm(prefix="payment", initial={"amount": context["open"].plain})
    context |= forms
    return render(request, "office/invoice.html", context, status=422 if forms else 200)


def _invoice(pk: int) -> Invoice:
    invoices = Invoice.objects.select_related("customer", "paper", "corrects", "by")
    return get_object_or_404(invoices, pk=pk)


def _act(
    request: StaffRequest,
    invoice: Invoice,
    form: PlainForm,
    action: Callable[..., Any],
    facts: dict[str, Any],
    said: str,
    forms: dict[str, Any] | None = None,
) -> HttpResponseBase:
    """Do one act on the invoice; a repeat is answered as the first was, a refusal stands at the form."""
    form.is_valid()
    try:
        done = form.taken_by(action, invoice=invoice, by=request.user, once_key=form.once_key, **facts)
    except AlreadyTaken:
        return redirect("office:invoice", invoice.pk)
    if done is None:
        return invoice_page(request, _invoice(invoice.pk), **(forms or {"wrong": form}))
    messages.success(request, said)
    landed = done.pk if isinstance(done, Invoice) else invoice.pk
    return redirect("office:invoice", landed)
