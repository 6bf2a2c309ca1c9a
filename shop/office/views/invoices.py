"""An invoice: drafted, looked at, issued, paid, credited."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
from shop.handbook.money import Money
from shop.office import actions, legal, papers, queries
from shop.office.forms import CreditForm, InvoiceHeadForm, LineSheet, PaymentForm
from shop.office.models import Invoice
from shop.office.views.lists import in_the_office
from shop.office.views.previews import shown_as_paper


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
    return Typed(request, _invoice(pk)).kept("The draft is kept.")


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_office
def preview(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The draft as it would be printed, marked DRAFT; sent with lines, those are kept first."""
    invoice = _invoice(pk)
    if invoice.issued_at is not None:
        return redirect("premises:paper", invoice.paper_id)
    if request.method == "POST":
        answer = Typed(request, invoice).kept_where_new()
        if answer is not None and answer.status_code != 302:
            return answer
        return redirect("office:preview_invoice", pk)
    return shown_as_paper(papers.draft_sheet(invoice, queries.jobs_of(invoice), by=request.user))


@require_POST
@in_the_office
def issue(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue it: number, paper and frozen rows in one act. Lines not yet kept are kept first, and looked at once more."""
    invoice = _invoice(pk)
    said = "What you typed is kept. Look at the sums, then issue the invoice."
    if invoice.issued_at is None and (answer := Typed(request, invoice).kept_where_new(said)):
        return answer
    form = PlainForm(request.POST)
    return _act(request, invoice, form, actions.issue_invoice, {}, "The invoice is issued.")


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


@require_POST
@in_the_office
def use_deposits(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Set what lies on its jobs against the invoice."""
    form = PlainForm(request.POST)
    return _act(request, _invoice(pk), form, actions.use_deposits, {}, "The deposit is set against it.")


class Typed:
    """The sheet of an invoice as it was sent."""

    def __init__(self, request: StaffRequest, invoice: Invoice) -> None:
        self.request, self.invoice = request, invoice
        self.head = InvoiceHeadForm(request.POST)
        jobs = queries.jobs_of(invoice)
        self.sheet = LineSheet(request.POST, currency=invoice.currency, jobs=jobs, takes_off=True)
        self.right = all([self.head.is_valid(), self.sheet.is_valid()])

    @property
    def forms(self) -> dict[str, Any]:
        """What was sent, to be shown again."""
        return {"head_form": self.head, "sheet": self.sheet}

    def kept(self, said: str) -> HttpResponseBase:
        """Keep it, or show what is wrong with it."""
        if not self.right:
            return invoice_page(self.request, self.invoice, **self.forms)
        facts = {"items": self.sheet.items(), **self.head.facts()}
        action = actions.set_invoice_lines
        return _act(self.request, self.invoice, self.head, action, facts, said, self.forms)

    def kept_where_new(self, said: str = "The draft is kept.") -> HttpResponseBase | None:
        """Keep it where it differs from what is written; None where there is nothing to keep."""
        if "count" not in self.request.POST:
            return None
        if not self.right:
            return invoice_page(self.request, self.invoice, **self.forms)
        new = self.head.differs_from(self.invoice) or self.sheet.differs_from(list(self.invoice.lines.all()))
        return self.kept(said) if new else None


def invoice_page(request: StaffRequest, invoice: Invoice, **sent: Any) -> HttpResponse:
    """The page of an invoice; `sent` are the forms that were sent and not taken."""
    jobs = queries.jobs_of(invoice)
    is_draft = invoice.issued_at is None
    lines = list(invoice.lines.select_related("job"))
    context: dict[str, Any] = {
        "invoice": invoice,
        "jobs": jobs,
        "lines": lines,
        "taxes": list(invoice.taxes.all()),
        "is_draft": is_draft,
    }
    if is_draft:
        context["sheet"] = LineSheet(None, lines=lines, currency=invoice.currency, jobs=jobs, takes_off=True)
        context["head_form"] = InvoiceHeadForm(initial={"note": invoice.note, "lump_sum": invoice.lump_sum})
        context["above"] = queries.above_authorised(invoice, jobs)
        context["lacks"] = legal.invoice_lacks(invoice, jobs, by=request.user.signature, on=clock.today())
        context["law"] = legal.the_law()
    else:
        context |= queries.settlement_of(invoice)
        context["today"] = clock.today()
        lying = sum(one.amount_minor for one in queries.free_deposits(jobs))
        context["lying"] = Money(lying, invoice.currency)
        context["credit_form"] = CreditForm(prefix="credit")
        context["payment_form"] = PaymentForm(prefix="payment", initial={"amount": context["open"]})
    context |= sent
    return render(request, "office/invoice.html", context, status=422 if sent else 200)


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
    sent: dict[str, Any] | None = None,
) -> HttpResponseBase:
    """Do one act on the invoice; a repeat is answered as the first was, a refusal stands at the form."""
    form.is_valid()
    try:
        done = form.taken_by(action, invoice=invoice, by=request.user, once_key=form.once_key, **facts)
    except AlreadyTaken:
        return redirect("office:invoice", invoice.pk)
    if done is None:
        return invoice_page(request, _invoice(invoice.pk), **(sent or {"wrong": form}))
    messages.success(request, said)
    landed = done.pk if isinstance(done, Invoice) else invoice.pk
    return redirect("office:invoice", landed)
