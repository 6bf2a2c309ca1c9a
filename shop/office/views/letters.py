"""A customer's account, and the letters that go with money: statements, reminders, notices about units left here."""

from __future__ import annotations

import datetime as dt

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.actions import change_customer
from shop.counter.models import Customer
from shop.counter.stages import Stage
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.profile import the_profile
from shop.handbook.law.terms import Paper as LawPaper
from shop.keeping.models import IssuedPaper
from shop.office import actions, queries
from shop.office.forms.letters import LeftForm, SentForm, StatementForm, TaxStandingForm
from shop.office.models import Invoice, LeftHere, Letter
from shop.office.papers import letter_lines
from shop.office.unclaimed import left_unit
from shop.office.views.jobs import job_numbered
from shop.office.views.lists import in_the_office

LETTERS = (LawPaper.COLLECT_LETTER, LawPaper.SALE_LETTER)

A_YEAR = dt.timedelta(days=365)


@require_safe
@in_the_office
def account(request: StaffRequest, pk: int) -> HttpResponse:
    """What a customer owes and has paid, and the letters that were made."""
    return _account_page(request, get_object_or_404(Customer, pk=pk))


@require_POST
@in_the_office
def make_statement(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Make the statement of account."""
    customer = get_object_or_404(Customer, pk=pk)
    form = StatementForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.make_statement(
            customer=customer,
            starts=form.cleaned_data["starts"],
            ends=form.cleaned_data["ends"],
            by=request.user,
            once_key=key,
        ),
        then=_paper_of,
        page=lambda: _account_page(request, customer, statement_form=form),
    )


@require_POST
@in_the_office
def set_tax_standing(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note how tax applies to the customer."""
    customer = get_object_or_404(Customer, pk=pk)
    form = TaxStandingForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: change_customer(
            customer=customer,
            tax_standing=form.cleaned_data["tax_standing"],
            tax_number=form.cleaned_data["tax_number"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("office:account", args=[pk]),
        said="Noted. Drafts use it when their lines are kept again.",
        page=lambda: _account_page(request, customer, tax_form=form),
    )


@require_POST
@in_the_office
def remind(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Make the next reminder of an invoice."""
    invoice = get_object_or_404(Invoice.objects.select_related("customer"), pk=pk)
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.remind(invoice=invoice, by=request.user, once_key=key),
        then=_paper_of,
        page=lambda: joint.sent_back(request, form, reverse("office:invoice", args=[pk])),
    )


@require_POST
@in_the_office
def note_sent(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note when and how a letter went."""
    letter = get_object_or_404(Letter.objects.select_related("customer", "job"), pk=pk)
    form = SentForm(request.POST, prefix=f"l{pk}")
    job = letter.job
    return joint.answer(
        request,
        form,
        lambda key: actions.note_sent(letter=letter, **form.facts(), by=request.user, once_key=key),
        then=reverse("office:left_here", args=[job.number])
        if job
        else reverse("office:account", args=[letter.customer_id]),
        said="Noted.",
        again="Noted.",
        page=lambda: (
            _left_page(request, job.number, wrong_letter=(pk, form))
            if job
            else _account_page(request, letter.customer, wrong_letter=(pk, form))
        ),
    )


@require_POST
@in_the_office
def email_paper(request: StaffRequest, pk: int, paper: int) -> HttpResponseBase:
    """Put a letter with a paper attached into the outbox."""
    customer = get_object_or_404(Customer, pk=pk)
    filed = get_object_or_404(IssuedPaper, pk=paper)
    jobs = list(customer.jobs.filter(papers__paper=filed))
    if not jobs:
        get_object_or_404(Letter, customer=customer, paper=filed)
    form, said = PlainForm(request.POST), f"In the outbox to {customer.email}."
    back = reverse("office:job", args=[jobs[0].number]) if jobs else reverse("office:account", args=[pk])
    return joint.answer(
        request,
        form,
        lambda key: actions.email_paper(
            paper=filed, customer=customer, jobs=jobs, by=request.user, once_key=key
        ),
        then=back,
        said=said,
        again=said,
        page=lambda: joint.sent_back(request, form, back),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_office
def left_here(request: StaffRequest, number: str) -> HttpResponseBase:
    """A unit that nobody fetches: the law's ways with their days, and what is to be known for them."""
    if request.method != "POST":
        return _left_page(request, number)
    job = job_numbered(number)
    form = LeftForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.note_left_here(job=job, **form.facts(), by=request.user, once_key=key),
        then=reverse("office:left_here", args=[number]),
        said="Noted.",
        page=lambda: _left_page(request, number, left_form=form),
    )


@require_POST
@in_the_office
def make_left_notice(request: StaffRequest, number: str, kind: str) -> HttpResponseBase:
    """Make a notice: to collect it, or that it is to be sold."""
    job = job_numbered(number)
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.make_left_notice(job=job, kind=kind, by=request.user, once_key=key),
        then=reverse("office:left_here", args=[number]),
        said="The letter is made. Note below when and how it went.",
        page=lambda: _left_page(request, number, wrong=form),
    )


def _paper_of(pk: int) -> str:
    """Where the paper of a letter is opened."""
    return reverse("premises:paper", args=[Letter.objects.values_list("paper_id", flat=True).get(pk=pk)])


def _account_page(
    request: StaffRequest,
    customer: Customer,
    *,
    wrong_letter: tuple[int, SentForm] | None = None,
    **sent: object,
) -> HttpResponse:
    today, currency = clock.today(), the_profile().currency
    starts = today - A_YEAR
    letters = queries.letters_of(customer).filter(job__isnull=True)[:30]
    context = {
        "customer": customer,
        "account": queries.account_of(customer, starts=starts, ends=today, currency=currency),
        "lying": queries.lying_with(customer, currency),
        "letters": [(letter, _sent_form(letter, wrong_letter)) for letter in letters],
        "statement_form": StatementForm(initial={"starts": starts, "ends": today}),
        "tax_form": TaxStandingForm(
            initial={"tax_standing": customer.tax_standing, "tax_number": customer.tax_number}
        ),
        "today": today,
        **sent,
    }
    refused = bool(sent) or wrong_letter is not None
    return render(request, "office/account.html", context, status=422 if refused else 200)


def _left_page(
    request: StaffRequest,
    number: str,
    *,
    wrong: PlainForm | None = None,
    wrong_letter: tuple[int, SentForm] | None = None,
    left_form: LeftForm | None = None,
) -> HttpResponse:
    job = job_numbered(number)
    today = clock.today()
    letters = Letter.objects.filter(job=job).select_related("paper").order_by("-id")[:30]
    unit = left_unit(job, on=today) if job.stage == Stage.READY else None
    owed = unit.left.charges if unit else None
    context = {
        "job": job,
        "Stage": Stage,
        "unit": unit,
        "asked": [letter_lines(paper, today, owed=owed) for paper in LETTERS] if owed is not None else [],
        "law": the_profile().law,
        "left_form": left_form or LeftForm.of(LeftHere.objects.filter(job=job).first()),
        "letters": [(letter, _sent_form(letter, wrong_letter)) for letter in letters],
        "today": today,
        "wrong": wrong,
    }
    refused = wrong or wrong_letter or left_form
    return render(request, "office/left_here.html", context, status=422 if refused else 200)


def _sent_form(letter: Letter, wrong: tuple[int, SentForm] | None) -> SentForm:
    return wrong[1] if wrong is not None and wrong[0] == letter.pk else SentForm.of(letter)
