"""The repair report, the EU repair information form, and what the law asks of papers."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.counter.models import Job
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.office import actions, papers
from shop.office.forms.repair_form import RepairFormForm
from shop.office.models import RepairForm
from shop.office.views.jobs import job_numbered, on_job
from shop.office.views.lists import in_the_office
from shop.office.views.previews import shown_as_paper


@require_safe
@for_roles(Role.COUNTER, Role.BENCH)
def preview_report(request: StaffRequest, number: str) -> HttpResponseBase:
    """The report as it would be printed now, marked DRAFT."""
    job = job_numbered(number)
    return shown_as_paper(papers.report_sheet(job, number=job.number, by=request.user))


@require_POST
@in_the_office
def issue_report(request: StaffRequest, number: str) -> HttpResponseBase:
    """Issue the report."""
    job = job_numbered(number)
    return on_job(
        request,
        job,
        PlainForm(request.POST),
        lambda key: actions.issue_report(job=job, by=request.user, once_key=key),
        said="The report is issued; it lies under Papers.",
    )


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_office
def repair_form(request: StaffRequest, number: str) -> HttpResponseBase:
    """Give the repair information form."""
    job = job_numbered(number)
    form = RepairFormForm(request.POST) if request.method == "POST" else RepairFormForm.of(job)
    return joint.answer(
        request,
        form,
        lambda key: actions.give_repair_form(job=job, **form.facts(), by=request.user, once_key=key),
        then=_paper_of,
        said="The form is given; its conditions stand.",
        page=lambda: _repair_form_page(request, job, form),
    )


def _paper_of(pk: int) -> str:
    """Where the paper of a repair information form is opened."""
    return reverse("premises:paper", args=[RepairForm.objects.values_list("paper_id", flat=True).get(pk=pk)])


def _repair_form_page(request: StaffRequest, job: Job, form: RepairFormForm) -> HttpResponse:
    context = {
        "job": job,
        "form": form,
        "law": the_profile().law,
        "given": RepairForm.objects.filter(job=job).select_related("paper"),
    }
    return render(request, "office/repair_form.html", context, status=422 if form.is_bound else 200)


@require_safe
@in_the_office
def law(request: StaffRequest) -> HttpResponse:
    """What the shop's law profile asks of papers, with its paragraphs, and what has to be looked up."""
    return render(request, "office/law.html", {"law": the_profile().law})
