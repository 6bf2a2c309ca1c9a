"""The money of one job: its page, and every act on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.counter.stages import Stage
from shop.office import actions, papers, queries
from shop.office.forms import (
    AnswerForm,
    EstimateHeadForm,
    LineSheet,
    PaymentForm,
    RefundForm,
    ReleaseForm,
)
from shop.office.models import Estimate
from shop.office.views.lists import in_the_office
from shop.office.views.previews import shown_as_paper
from shop.premises.doors import StaffRequest
from shop.premises.formwork import PlainForm
from shop.premises.once import AlreadyTaken


@require_safe
@in_the_office
def job(request: StaffRequest, number: str) -> HttpResponse:
    """Everything of money of one job."""
    return job_page(request, _job(number))


@require_POST
@in_the_office
def draft_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write an estimate from what is recorded; a draft that stands is written anew."""
    return _act(request, _job(number), PlainForm(request.POST), actions.draft_estimate, said="")


@require_POST
@in_the_office
def set_estimate_lines(request: StaffRequest, number: str) -> HttpResponseBase:
    """Keep the lines of the draft as typed."""
    job = _job(number)
    head = EstimateHeadForm(request.POST)
    sheet = LineSheet(request.POST, currency=job.currency)
    if all([head.is_valid(), sheet.is_valid()]):
        data = head.cleaned_data
        facts = {name: data[name] for name in ("days_needed", "diagnosis_only", "note")}
        return _act(
            request,
            job,
            head,
            actions.draft_estimate,
            facts={"items": sheet.items(), **facts},
            said="The estimate is kept. The customer has not seen it yet.",
            forms={"head_form": head, "sheet": sheet},
        )
    return job_page(request, job, head_form=head, sheet=sheet)


@require_safe
@in_the_office
def preview_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """The draft as it would be printed, marked DRAFT."""
    job = _job(number)
    estimate = get_object_or_404(Estimate, job=job, state=Estimate.State.DRAFT)
    return shown_as_paper(papers.estimate_sheet(estimate, list(estimate.lines.all()), by=request.user))


@require_POST
@in_the_office
def put_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put the draft to the customer."""
    job = _job(number)
    estimate = Estimate.objects.filter(job=job, state=Estimate.State.DRAFT).select_related("job").first()
    if estimate is None:
        messages.error(request, "There is no draft to put; it may be with the customer already.")
        return redirect("office:job", job.number)
    estimate.job = job
    return _act(
        request,
        job,
        PlainForm(request.POST),
        lambda job, **facts: actions.put_estimate(estimate=estimate, **facts),
        said="The estimate is with the customer. Print it or send it.",
    )


@require_POST
@in_the_office
def record_answer(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down what the customer answered."""
    job = _job(number)
    estimate = queries.standing_estimate(job)
    form = AnswerForm(request.POST, lines=list(estimate.lines.all()) if estimate else [])
    if form.is_valid():
        facts = {"estimate": estimate, **form.facts()}
        return _act(
            request,
            job,
            form,
            actions.record_answer,
            facts=facts,
            said="The answer is written down.",
            forms={"answer_form": form},
        )
    return job_page(request, job, answer_form=form)


@require_POST
@in_the_office
def take_deposit(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take a deposit on the job."""
    job = _job(number)
    form = PaymentForm(request.POST, prefix="deposit")
    if form.is_valid():
        return _act(
            request,
            job,
            form,
            lambda job, **facts: actions.take_payment(customer=job.customer, job=job, **facts),
            facts=form.facts(),
            said="The deposit is taken; its receipt is under Papers.",
            forms={"deposit_form": form},
        )
    return job_page(request, job, deposit_form=form)


@require_POST
@in_the_office
def refund(request: StaffRequest, number: str) -> HttpResponseBase:
    """Pay back what lies on the job."""
    job = _job(number)
    form = RefundForm(request.POST, prefix="refund")
    if form.is_valid():
        return _act(
            request,
            job,
            form,
            lambda job, **facts: actions.refund(customer=job.customer, job=job, **facts),
            facts=form.facts(),
            said="Paid back.",
            forms={"refund_form": form},
        )
    return job_page(request, job, refund_form=form)


@require_POST
@in_the_office
def release_unpaid(request: StaffRequest, number: str) -> HttpResponseBase:
    """Let the unit leave with a balance open."""
    job = _job(number)
    form = ReleaseForm(request.POST, prefix="release")
    if form.is_valid():
        return _act(
            request,
            job,
            form,
            actions.release_unpaid,
            facts={"reason": form.cleaned_data["reason"]},
            said="It may leave unpaid.",
            forms={"release_form": form},
        )
    return job_page(request, job, release_form=form)


def job_page(
    request: StaffRequest, job: Job, *, wrong: PlainForm | None = None, **forms: Any
) -> HttpResponse:
    """The office's page of a job; `forms` are those that were sent and not taken."""
    money = queries.money_of(job)
    draft = next((one for one in money.estimates if one.state == Estimate.State.DRAFT), None)
    standing = next((one for one in money.estimates if one.state == Estimate.State.GIVEN), None)
    context: dict[str, Any] = {
        "job": job,
        "Stage": Stage,
        "money": money,
        "draft": draft,
        "standing": standing,
        "unissued": [one for one in money.invoices if one.issued_at is None],
        "issued": [one for one in money.invoices if one.issued_at is not None],
        "others_ready": queries.others_to_invoice(job),
        "plain_form": PlainForm(),
        "papers": job.papers.select_related("paper").order_by("-paper__issued_at", "-paper"),
        "wrong": wrong,
        "deposit_form": PaymentForm(prefix="deposit"),
        "refund_form": RefundForm(prefix="refund"),
        "release_form": ReleaseForm(prefix="release"),
    }
    if draft is not None:
        head = {name: getattr(draft, name) for name in ("days_needed", "diagnosis_only", "note")}
        context["head_form"] = EstimateHeadForm(initial=head)
        context["sheet"] = LineSheet(None, lines=list(draft.lines.all()), currency=job.currency)
    lines = list(standing.lines.all()) if standing else []
    context["answer_form"] = AnswerForm(lines=lines, initial={"given_by": job.customer.name})
    context |= forms
    refused = wrong is not None or bool(forms)
    return render(request, "office/job.html", context, status=422 if refused else 200)


def _job(number: str) -> Job:
    return get_object_or_404(whole_jobs(), number=number)


def _act(
    request: StaffRequest,
    job: Job,
    form: PlainForm,
    action: Callable[..., Any],
    *,
    said: str,
    facts: dict[str, Any] | None = None,
    forms: dict[str, Any] | None = None,
) -> HttpResponseBase:
    """Do one act on the job; a repeat of the same form is answered as the first was, a refusal stands at the form."""
    form.is_valid()
    try:
        done = form.taken_by(action, job=job, by=request.user, once_key=form.once_key, **(facts or {}))
    except AlreadyTaken:
        return redirect("office:job", job.number)
    if done is None:
        job.refresh_from_db()
        return job_page(request, job, wrong=None if forms else form, **(forms or {}))
    if said:
        messages.success(request, said)
    return redirect("office:job", job.number)
