"""The money of one job: its page, and every act on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Job
from shop.counter.queries import whole_jobs
from shop.counter.stages import ENDED, Stage
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.profile import the_profile
from shop.office import actions, legal, paying, queries
from shop.office.distance import contract_of, distance_law
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
    form = AnswerForm(
        request.POST, request.FILES, estimate=estimate, at_a_distance=distance_law(job) is not None
    )
    return on_job(
        request,
        job,
        form,
        lambda key: actions.record_answer(
            job=job, estimate=estimate, **form.facts(), by=request.user, once_key=key
        ),
        said="The answer is written down.",
        page=lambda: job_page(request, job_numbered(number), answer_form=form),
    )


@require_POST
@in_the_office
def take_deposit(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take a deposit on the job."""
    job, form = job_numbered(number), PaymentForm(request.POST, prefix="deposit")
    return on_job(
        request,
        job,
        form,
        lambda key: actions.take_payment(
            customer=job.customer, job=job, **form.facts(), by=request.user, once_key=key
        ),
        said="The deposit is taken; its receipt is under Papers.",
        page=lambda: job_page(request, job_numbered(number), deposit_form=form),
    )


@require_POST
@in_the_office
def refund(request: StaffRequest, number: str) -> HttpResponseBase:
    """Pay back what lies on the job."""
    job, form = job_numbered(number), RefundForm(request.POST, prefix="refund")
    return on_job(
        request,
        job,
        form,
        lambda key: actions.refund(
            customer=job.customer, job=job, **form.facts(), by=request.user, once_key=key
        ),
        said="Paid back.",
        page=lambda: job_page(request, job_numbered(number), refund_form=form),
    )


@require_POST
@in_the_office
def release_unpaid(request: StaffRequest, number: str) -> HttpResponseBase:
    """Let the unit leave with a balance open."""
    job, form = job_numbered(number), ReleaseForm(request.POST, prefix="release")
    return on_job(
        request,
        job,
        form,
        lambda key: actions.release_unpaid(
            job=job, reason=form.cleaned_data["reason"], by=request.user, once_key=key
        ),
        said="Released without payment.",
        page=lambda: job_page(request, job_numbered(number), release_form=form),
    )


def job_page(
    request: StaffRequest,
    job: Job,
    *,
    wrong: PlainForm | None = None,
    mending: dict[int, StintForm] | None = None,
    **forms: object,
) -> HttpResponse:
    """The office's page of a job; `wrong`, `mending` and `forms` are those that were sent and not taken."""
    context = {**money_context(job), **work_context(job, mending or {}), "wrong": wrong, **forms}
    refused = wrong is not None or bool(mending) or bool(forms)
    return render(request, "office/job.html", context, status=422 if refused else 200)


def money_context(job: Job) -> dict[str, object]:
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
        "law": the_profile().law,
        "papers": job.papers.select_related("paper").order_by("-paper__issued_at", "-paper"),
        "deposit_form": PaymentForm(prefix="deposit"),
        "refund_form": RefundForm(prefix="refund"),
        "refund_in_coins": paying.in_coins(money.deposits),
        "release_form": ReleaseForm(prefix="release"),
        "distance": (distance := distance_law(job)),
        "distance_contract": contract_of(job, money.answers, law=distance) if distance else None,
        "answer_form": AnswerForm(
            estimate=standing, at_a_distance=bool(distance), initial={"given_by": job.customer.name}
        ),
    }
    if draft is not None:
        context["head_form"] = EstimateHeadForm(initial=EstimateHeadForm.of(draft))
        lines = list(draft.lines.all())
        context["sheet"] = LineSheet(None, lines=lines, currency=job.currency)
        draft.job = job
        context["lacks"] = legal.estimate_lacks(draft, lines, on=clock.today())
    return context


def work_context(job: Job, mending: dict[int, StintForm]) -> dict[str, object]:
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


def on_job(
    request: StaffRequest,
    job: Job,
    form: PlainForm,
    action: Callable[[joint.Key], object],
    *,
    said: str = "",
    page: Callable[[], HttpResponse] | None = None,
) -> HttpResponseBase:
    """Do one act on the job; what is refused stands above its page, or where `page` puts it."""
    return joint.answer(
        request,
        form,
        action,
        then=reverse("office:job", args=[job.number]),
        said=said,
        page=page or (lambda: job_page(request, job_numbered(job.number), wrong=form)),
    )
