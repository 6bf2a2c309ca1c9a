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
from shop.counter.stages import ENDED, Stage
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken
from shop.frame.profile import the_profile
from shop.office import actions, legal, queries
from shop.office.forms import (
    AnswerForm,
    EstimateHeadForm,
    LineSheet,
    PaymentForm,
    RefundForm,
    ReleaseForm,
)
from shop.office.forms.work import FlatChoiceForm, OutOfStateForm, StintForm
from shop.office.models import Estimate, FlatWork
from shop.office.views.lists import in_the_office


@require_safe
@in_the_office
def job(request: StaffRequest, number: str) -> HttpResponse:
    """Everything of money of one job."""
    return job_page(request, job_numbered(number))


@require_POST
@in_the_office
def record_answer(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down what the customer answered."""
    job = job_numbered(number)
    estimate = queries.standing_estimate(job)
    form = AnswerForm(request.POST, request.FILES, estimate=estimate)
    if form.is_valid():
        facts = {"estimate": estimate, **form.facts()}
        return act_on(
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
    job = job_numbered(number)
    form = PaymentForm(request.POST, prefix="deposit")
    if form.is_valid():
        return act_on(
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
    job = job_numbered(number)
    form = RefundForm(request.POST, prefix="refund")
    if form.is_valid():
        return act_on(
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
    job = job_numbered(number)
    form = ReleaseForm(request.POST, prefix="release")
    if form.is_valid():
        return act_on(
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
    request: StaffRequest,
    job: Job,
    *,
    wrong: PlainForm | None = None,
    mending: dict[int, StintForm] | None = None,
    **forms: Any,
) -> HttpResponse:
    """The office's page of a job; `wrong`, `mending` and `forms` are those that were sent and not taken."""
    context = {**money_context(job), **work_context(job, mending or {}), "wrong": wrong, **forms}
    refused = wrong is not None or bool(mending) or bool(forms)
    return render(request, "office/job.html", context, status=422 if refused else 200)


def money_context(job: Job) -> dict[str, Any]:
    """Estimates, answers, invoices, payments and papers of a job, with their forms."""
    money = queries.money_of(job)
    draft = next((one for one in money.estimates if one.state == Estimate.State.DRAFT), None)
    standing = next((one for one in reversed(money.estimates) if one.state == Estimate.State.GIVEN), None)
    context: dict[str, Any] = {
        "job": job,
        "Stage": Stage,
        "money": money,
        "draft": draft,
        "standing": standing,
        "earlier": [one for one in money.estimates if one not in (draft, standing)],
        "unissued": [one for one in money.invoices if one.issued_at is None],
        "issued": [one for one in money.invoices if one.issued_at is not None],
        "to_invoice": job.stage == Stage.READY and not (money.invoices or draft or standing),
        "others_ready": queries.others_to_invoice(job),
        "law": legal.the_law(),
        "papers": job.papers.select_related("paper").order_by("-paper__issued_at", "-paper"),
        "deposit_form": PaymentForm(prefix="deposit"),
        "refund_form": RefundForm(prefix="refund"),
        "release_form": ReleaseForm(prefix="release"),
        "answer_form": AnswerForm(estimate=standing, initial={"given_by": job.customer.name}),
    }
    if draft is not None:
        context["head_form"] = EstimateHeadForm(initial=EstimateHeadForm.of(draft))
        lines = list(draft.lines.all())
        context["sheet"] = LineSheet(None, lines=lines, currency=job.currency)
        draft.job = job
        context["lacks"] = legal.estimate_lacks(draft, lines, on=clock.today())
    return context


def work_context(job: Job, mending: dict[int, StintForm]) -> dict[str, Any]:
    """What decides how the work is priced, with its forms."""
    troubles = queries.stint_troubles_of(job)
    priced_by = queries.priced_by(job, on=clock.today())
    stints = {stint.pk: stint for trouble in troubles for stint in trouble.stints}
    return {
        "troubles": troubles,
        "mending": [(stint, mending.get(pk) or StintForm.of(stint)) for pk, stint in stints.items()],
        "flat_work": list(FlatWork.objects.filter(job=job).select_related("flat_price").order_by("id")),
        "flat_form": FlatChoiceForm(prefix="flat"),
        "out_form": OutOfStateForm(prefix="out", initial={"contract": priced_by.contract}),
        "contract": priced_by.contract,
        "states_tax": priced_by.contract or the_profile().country == "US",
        "unset": priced_by.unset if job.stage not in ENDED else (),
    }


def job_numbered(number: str) -> Job:
    """The job with that number, with all that the head of its page says; 404 where there is none."""
    return get_object_or_404(whole_jobs(), number=number)


def act_on(
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
