"""A customer's account, and the letters that go with money: statements, reminders, notices about units left here."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.actions import change_customer
from shop.counter.models import Customer
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper
from shop.office import actions, queries
from shop.office.forms.letters import LeftForm, SentForm, StatementForm, TaxStandingForm
from shop.office.legal import the_law
from shop.office.models import Invoice, LeftHere, Letter
from shop.office.unclaimed import left_unit
from shop.office.views.jobs import job_numbered
from shop.office.views.lists import in_the_office

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
    if form.is_valid():
        try:
            letter = form.taken_by(
                actions.make_statement,
                customer=customer,
                by=request.user,
                once_key=form.once_key,
                **form.facts(),
            )
        except AlreadyTaken as taken:
            letter = get_object_or_404(Letter, pk=taken.result_id)
        if letter is not None:
            return redirect("premises:paper", letter.paper_id)
    return _account_page(request, customer, statement_form=form)


@require_POST
@in_the_office
def set_tax_standing(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note how tax applies to the customer."""
    customer = get_object_or_404(Customer, pk=pk)
    form = TaxStandingForm(request.POST)
    if form.is_valid():
        change_customer(customer=customer, by=request.user, **form.facts())
        messages.success(request, "Noted. Drafts reckon with it when their lines are kept again.")
        return redirect("office:account", pk)
    return _account_page(request, customer, tax_form=form)


@require_POST
@in_the_office
def remind(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Make the next reminder of an invoice."""
    invoice = get_object_or_404(Invoice.objects.select_related("customer"), pk=pk)
    form = PlainForm(request.POST)
    form.is_valid()
    try:
        letter = actions.remind(invoice=invoice, by=request.user, once_key=form.once_key)
    except AlreadyTaken as taken:
        letter = get_object_or_404(Letter, pk=taken.result_id)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("office:invoice", pk)
    return redirect("premises:paper", letter.paper_id)


@require_POST
@in_the_office
def note_sent(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note when and how a letter went."""
    letter = get_object_or_404(Letter.objects.select_related("customer", "job"), pk=pk)
    form = SentForm(request.POST, prefix=f"l{pk}")
    if form.is_valid():
        try:
            done = form.taken_by(
                actions.note_sent, letter=letter, by=request.user, once_key=form.once_key, **form.facts()
            )
        except AlreadyTaken:
            done = letter
        if done is not None:
            messages.success(request, "Noted.")
            return (
                redirect("office:left_here", letter.job.number)
                if letter.job
                else redirect("office:account", letter.customer_id)
            )
    if letter.job is not None:
        return _left_page(request, letter.job.number, wrong_letter=(pk, form))
    return _account_page(request, letter.customer, wrong_letter=(pk, form))


@require_POST
@in_the_office
def email_paper(request: StaffRequest, pk: int, paper: int) -> HttpResponseBase:
    """Put a letter with a paper attached into the outbox."""
    customer = get_object_or_404(Customer, pk=pk)
    filed = get_object_or_404(IssuedPaper, pk=paper)
    jobs = list(customer.jobs.filter(papers__paper=filed))
    form = PlainForm(request.POST)
    form.is_valid()
    if not jobs:
        get_object_or_404(Letter, customer=customer, paper=filed)
    try:
        actions.email_paper(
            paper=filed, customer=customer, jobs=jobs, by=request.user, once_key=form.once_key
        )
        messages.success(request, f"In the outbox to {customer.email}.")
    except AlreadyTaken:
        messages.success(request, f"In the outbox to {customer.email}.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("office:job", jobs[0].number) if jobs else redirect("office:account", pk)


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_office
def left_here(request: StaffRequest, number: str) -> HttpResponseBase:
    """A unit that nobody fetches: the law's ways with their days, and what is to be known for them."""
    if request.method != "POST":
        return _left_page(request, number)
    job = job_numbered(number)
    form = LeftForm(request.POST)
    if form.is_valid():
        try:
            done = form.taken_by(
                actions.note_left_here, job=job, by=request.user, once_key=form.once_key, **form.facts()
            )
        except AlreadyTaken:
            return redirect("office:left_here", number)
        if done is not None:
            messages.success(request, "Noted.")
            return redirect("office:left_here", number)
    return _left_page(request, number, left_form=form)


@require_POST
@in_the_office
def make_left_notice(request: StaffRequest, number: str, kind: str) -> HttpResponseBase:
    """Make a notice: to collect it, or that it is to be sold."""
    job = job_numbered(number)
    form = PlainForm(request.POST)
    form.is_valid()
    try:
        letter = form.taken_by(
            actions.make_left_notice, job=job, kind=kind, by=request.user, once_key=form.once_key
        )
    except AlreadyTaken:
        return redirect("office:left_here", number)
    if letter is None:
        return _left_page(request, number, wrong=form)
    messages.success(request, "The letter is made. Note below when and how it went.")
    return redirect("office:left_here", number)


def _account_page(
    request: StaffRequest,
    customer: Customer,
    *,
    wrong_letter: tuple[int, SentForm] | None = None,
    **sent: Any,
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
    context = {
        "job": job,
        "Stage": Stage,
        "unit": left_unit(job, on=today) if job.stage == Stage.READY else None,
        "law": the_law(),
        "left_form": left_form or LeftForm.of(LeftHere.objects.filter(job=job).first()),
        "letters": [(letter, _sent_form(letter, wrong_letter)) for letter in letters],
        "today": today,
        "wrong": wrong,
    }
    refused = wrong or wrong_letter or left_form
    return render(request, "office/left_here.html", context, status=422 if refused else 200)


def _sent_form(letter: Letter, wrong: tuple[int, SentForm] | None) -> SentForm:
    return wrong[1] if wrong is not None and wrong[0] == letter.pk else SentForm.of(letter)
