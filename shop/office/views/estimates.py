"""An estimate: written, looked at, put to the customer. What was typed is kept before anything else is done with it."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST

from shop.counter.models import Job
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.office import actions, papers
from shop.office.forms import EstimateHeadForm, LineSheet
from shop.office.models import Estimate
from shop.office.views.jobs import job_numbered, job_page, on_job
from shop.office.views.lists import in_the_office
from shop.office.views.previews import shown_as_paper


@require_POST
@in_the_office
def draft_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write an estimate from what is recorded; a draft that stands is written anew."""
    job = job_numbered(number)
    return on_job(
        request,
        job,
        PlainForm(request.POST),
        lambda key: actions.draft_estimate(job=job, by=request.user, once_key=key),
    )


@require_POST
@in_the_office
def next_version(request: StaffRequest, number: str) -> HttpResponseBase:
    """Begin the next version from the lines of the last."""
    job = job_numbered(number)
    return on_job(
        request,
        job,
        PlainForm(request.POST),
        lambda key: actions.next_version(job=job, by=request.user, once_key=key),
    )


@require_POST
@in_the_office
def discard_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """Discard the draft."""
    job = job_numbered(number)
    return on_job(
        request,
        job,
        PlainForm(request.POST),
        lambda key: actions.discard_estimate(job=job, by=request.user, once_key=key),
        said="The draft is discarded.",
    )


@require_POST
@in_the_office
def set_estimate_lines(request: StaffRequest, number: str) -> HttpResponseBase:
    """Keep the lines of the draft as typed."""
    job = job_numbered(number)
    said = "The estimate is kept. The customer has not seen it yet."
    return Typed(request, job).kept(said)


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_office
def preview_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """The draft as it would be printed, marked DRAFT; sent with lines, those are kept first."""
    job = job_numbered(number)
    estimate = get_object_or_404(Estimate, job=job, state=Estimate.State.DRAFT)
    if request.method == "POST":
        answer = Typed(request, job).kept_where_new(estimate)
        if answer is not None and answer.status_code == 422:
            return answer
        return redirect("office:preview_estimate", job.number)
    estimate.job = job
    return shown_as_paper(papers.estimate_sheet(estimate, list(estimate.lines.all()), by=request.user))


@require_POST
@in_the_office
def put_estimate(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put the draft to the customer. Lines typed and not yet kept are kept first, and looked at once more."""
    job = job_numbered(number)
    estimate = Estimate.objects.filter(job=job, state=Estimate.State.DRAFT).first()
    if estimate is None:
        messages.error(request, "There is no draft to put; it may be with the customer already.")
        return redirect("office:job", job.number)
    said = "What you typed is kept. Look at the sum, then give it to the customer."
    if answer := Typed(request, job).kept_where_new(estimate, said):
        return answer
    estimate.job = job
    return on_job(
        request,
        job,
        PlainForm(request.POST),
        lambda key: actions.put_estimate(estimate=estimate, by=request.user, once_key=key),
        said="The estimate is with the customer. Print it or send it.",
    )


class Typed:
    """The sheet of an estimate as it was sent."""

    def __init__(self, request: StaffRequest, job: Job) -> None:
        self.request, self.job = request, job
        self.head = EstimateHeadForm(request.POST)
        self.sheet = LineSheet(request.POST, currency=job.currency)
        self.right = all([self.head.is_valid(), self.sheet.is_valid()])

    def kept(self, said: str) -> HttpResponseBase:
        """Keep it, or show what is wrong with it."""
        if not self.right:
            return self._page()
        return on_job(
            self.request,
            self.job,
            self.head,
            lambda key: actions.draft_estimate(
                job=self.job,
                items=self.sheet.items(),
                **self.head.facts(),
                by=self.request.user,
                once_key=key,
            ),
            said=said,
            page=self._page,
        )

    def kept_where_new(self, estimate: Estimate, said: str = "") -> HttpResponseBase | None:
        """Keep it where it differs from what is written; None where there is nothing to keep."""
        if "count" not in self.request.POST:
            return None
        if not self.right:
            return self._page()
        new = self.head.differs_from(estimate) or self.sheet.differs_from(list(estimate.lines.all()))
        return self.kept(said) if new else None

    def _page(self) -> HttpResponse:
        return job_page(self.request, self.job, head_form=self.head, sheet=self.sheet)
