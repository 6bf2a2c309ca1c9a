"""An invoice: drafted, looked at, issued, paid, credited."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db.models import Prefetch, prefetch_related_objects
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.profile import the_profile
from shop.handbook.money import Money
from shop.office import actions, einvoice, legal, papers, paying, queries, tax_numbers
from shop.office.forms import CreditForm, InvoiceHeadForm, LineSheet, PaymentForm
from shop.office.models import Invoice, InvoiceLine
from shop.office.pricing import rules_on
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
    return joint.answer(
        request,
        form,
        lambda key: actions.draft_invoice(customer=job.customer, jobs=jobs, by=request.user, once_key=key),
        then=_address,
        page=lambda: joint.sent_back(request, form, reverse("office:job", args=[job.number])),
    )


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
        if answer is not None and answer.status_code == 422:
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
    return _on_invoice(
        request,
        invoice,
        PlainForm(request.POST),
        lambda key: actions.issue_invoice(invoice=invoice, by=request.user, once_key=key),
        said="The invoice is issued.",
    )


@require_POST
@in_the_office
def take_in(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take in what was recorded and stands on no line of the draft."""
    invoice = _invoice(pk)
    return _on_invoice(
        request,
        invoice,
        PlainForm(request.POST),
        lambda key: actions.take_in(invoice=invoice, by=request.user, once_key=key),
        said="Taken in.",
    )


@require_POST
@in_the_office
def leave_out(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Charge nothing more for what stands on no line of the draft."""
    invoice = _invoice(pk)
    return _on_invoice(
        request,
        invoice,
        PlainForm(request.POST),
        lambda key: actions.leave_out(invoice=invoice, by=request.user, once_key=key),
        said="Nothing more is charged for it, on this invoice or another.",
    )


@require_POST
@in_the_office
def discard(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Throw a draft away."""
    invoice = get_object_or_404(Invoice, pk=pk)
    first = queries.jobs_of(invoice)[0]
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.discard_draft(invoice=invoice, by=request.user, once_key=key),
        then=reverse("office:job", args=[first.number]),
        said="The draft is discarded.",
        page=lambda: joint.sent_back(request, form, _address(pk)),
    )


@require_POST
@in_the_office
def credit(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue a credit note over the invoice, or over the lines that are ticked."""
    invoice = _invoice(pk)
    form = CreditForm(request.POST, prefix="credit", lines=queries.lines_left(invoice))
    return _on_invoice(
        request,
        invoice,
        form,
        lambda key: actions.credit(invoice=invoice, **form.facts(), by=request.user, once_key=key),
        said="Credited.",
        then=_address,
        sent={"credit_form": form},
    )


@require_POST
@in_the_office
def take_payment(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a payment on the invoice."""
    invoice, form = _invoice(pk), PaymentForm(request.POST, prefix="payment")
    return _on_invoice(
        request,
        invoice,
        form,
        lambda key: actions.take_payment(
            customer=invoice.customer, invoice=invoice, **form.facts(), by=request.user, once_key=key
        ),
        said="The payment is taken; its receipt is under Payments.",
        sent={"payment_form": form},
    )


@require_POST
@in_the_office
def use_deposits(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Set what lies on its jobs against the invoice, or on another job of the customer that somebody chose."""
    invoice = _invoice(pk)
    number = request.POST.get("job", "")
    lying_on = get_object_or_404(Job, number=number) if number else None
    return _on_invoice(
        request,
        invoice,
        PlainForm(request.POST),
        lambda key: actions.use_deposits(invoice=invoice, lying_on=lying_on, by=request.user, once_key=key),
        said="The deposit is set against it.",
    )


class Typed:
    """The sheet of an invoice as it was sent."""

    def __init__(self, request: StaffRequest, invoice: Invoice) -> None:
        self.request, self.invoice = request, invoice
        self.head = InvoiceHeadForm(request.POST)
        jobs = queries.jobs_of(invoice)
        self.sheet = LineSheet(request.POST, currency=invoice.currency, jobs=jobs, takes_off=True)
        self.right = all([self.head.is_valid(), self.sheet.is_valid()])

    @property
    def forms(self) -> dict[str, object]:
        """What was sent, to be shown again."""
        return {"head_form": self.head, "sheet": self.sheet}

    def kept(self, said: str) -> HttpResponseBase:
        """Keep it, or show what is wrong with it."""
        if not self.right:
            return invoice_page(self.request, self.invoice, **self.forms)
        return _on_invoice(
            self.request,
            self.invoice,
            self.head,
            lambda key: actions.set_invoice_lines(
                invoice=self.invoice,
                items=self.sheet.items(),
                **self.head.facts(),
                by=self.request.user,
                once_key=key,
            ),
            said=said,
            sent=self.forms,
        )

    def kept_where_new(self, said: str = "The draft is kept.") -> HttpResponseBase | None:
        """Keep it where it differs from what is written; None where there is nothing to keep."""
        if "count" not in self.request.POST:
            return None
        if not self.right:
            return invoice_page(self.request, self.invoice, **self.forms)
        new = self.head.differs_from(self.invoice) or self.sheet.differs_from(list(self.invoice.lines.all()))
        return self.kept(said) if new else None


def invoice_page(request: StaffRequest, invoice: Invoice, **sent: object) -> HttpResponse:
    """The page of an invoice; `sent` are the forms that were sent and not taken."""
    jobs = queries.jobs_of(invoice)
    is_draft = invoice.issued_at is None
    # what is asked of a draft below asks for its lines and taxes time and again
    lines_with_jobs = Prefetch("lines", InvoiceLine.objects.select_related("job"))
    prefetch_related_objects([invoice], lines_with_jobs, "taxes")
    lines = list(invoice.lines.all())
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
        context |= queries.draft_beside_records(invoice, lines, jobs, on=clock.today())
        context["above"] = queries.above_authorised(invoice, jobs)
        context["lacks"] = legal.invoice_lacks(invoice, jobs, by=request.user.signature, on=clock.today())
        context["lacks"] += _einvoice_faults(request, invoice, jobs)
        context["law"] = the_profile().law
    else:
        context |= queries.settlement_of(invoice)
        struck = queries.struck_since(jobs).filter(invoice=invoice).select_related("line")
        context["struck"] = dict.fromkeys(one.line.description for one in struck if one.line)
        context["today"] = clock.today()
        lying = sum(one.amount_minor for one in queries.free_deposits(jobs))
        context["lying"] = Money(lying, invoice.currency)
        if context["open"].minor > 0:
            context["in_coins"] = paying.in_coins(context["open"])
            context["elsewhere"] = queries.money_on_other_jobs(invoice, jobs)
        context["credit_form"] = CreditForm(prefix="credit", lines=queries.lines_left(invoice))
        context["payment_form"] = PaymentForm(prefix="payment", initial={"amount": context["open"]})
    context |= sent
    return render(request, "office/invoice.html", context, status=422 if sent else 200)


def _einvoice_faults(request: StaffRequest, invoice: Invoice, jobs: list[Job]) -> list[str]:
    """What would make the e-invoice of a draft fail, where the shop makes one."""
    if not rules_on(clock.today()).einvoice:
        return []
    invoice.facts = papers.invoice_facts(invoice, jobs, by=request.user)
    doubt = tax_numbers.doubt_of(invoice.facts["customer_vat"])
    return [*einvoice.faults_of(invoice), *([doubt] if doubt else [])]


def _invoice(pk: int) -> Invoice:
    invoices = Invoice.objects.select_related("customer", "paper", "corrects", "by")
    return get_object_or_404(invoices, pk=pk)


def _address(pk: int) -> str:
    return reverse("office:invoice", args=[pk])


def _on_invoice(
    request: StaffRequest,
    invoice: Invoice,
    form: PlainForm,
    action: Callable[[joint.Key], object],
    *,
    said: str,
    then: Callable[[int], str] | None = None,
    sent: dict[str, object] | None = None,
) -> HttpResponseBase:
    """Do one act on the invoice; what is refused stands above its page, or at the forms in `sent`."""
    return joint.answer(
        request,
        form,
        action,
        then=then or _address(invoice.pk),
        said=said,
        page=lambda: invoice_page(request, _invoice(invoice.pk), **(sent or {"wrong": form})),
    )
