"""The repair report, the EU repair information form, and what the law asks of papers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.once import AlreadyTaken
from shop.office import actions, papers
from shop.office.forms.repair_form import RepairFormForm
from shop.office.legal import the_law
from shop.office.models import RepairForm
from shop.office.views.jobs import act_on, job_numbered
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
    said = "The report is issued; it lies under Papers."
    return act_on(request, job_numbered(number), PlainForm(request.POST), actions.issue_report, said=said)


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_office
def repair_form(request: StaffRequest, number: str) -> HttpResponseBase:
    """Give the repair information form."""
    job = job_numbered(number)
    form = RepairFormForm(request.POST) if request.method == "POST" else RepairFormForm.of(job)
    if form.is_bound and form.is_valid():
        try:
            given = form.taken_by(
                actions.give_repair_form, job=job, by=request.user, once_key=form.once_key, **form.facts()
            )
        except AlreadyTaken:
            return redirect("office:repair_form", number)
        if given is not None:
            messages.success(request, "The form is given; its conditions stand.")
            return redirect("premises:paper", given.paper_id)
    context = {
        "job": job,
        "form": form,
        "law": the_law(),
        "given": RepairForm.objects.filter(job=job).select_related("paper"),
    }
    return render(request, "office/repair_form.html", context, status=422 if form.is_bound else 200)


@require_safe
@in_the_office
def law(request: StaffRequest) -> HttpResponse:
    """What the shop's law profile asks of papers, with its paragraphs, and what has to be looked up."""
    return render(request, "office/law.html", {"law": the_law()})
