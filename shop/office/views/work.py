"""How the work of a job is priced: stints put right, flat prices, a contract that sends it out of the state."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from shop.bench.actions import mend_stint
from shop.bench.models import Stint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.office import actions
from shop.office.forms.work import FlatChoiceForm, OutOfStateForm, StintForm
from shop.office.models import FlatWork
from shop.office.views.jobs import job_numbered, job_page, on_job
from shop.office.views.lists import in_the_office


@require_POST
@in_the_office
def mend(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Put the times of a stint right."""
    job = job_numbered(number)
    stint = get_object_or_404(Stint, pk=pk, struck_at__isnull=True)
    form = StintForm(request.POST, prefix=f"s{pk}")
    return on_job(
        request,
        job,
        form,
        lambda key: mend_stint(
            stint=stint,
            started_at=form.cleaned_data["started_at"],
            stopped_at=form.cleaned_data["stopped_at"],
            kind=form.cleaned_data["kind"],
            by=request.user,
            entry=key,
        ),
        said="The times are corrected; the stint is marked as corrected by hand.",
        page=lambda: job_page(request, job_numbered(number), mending={pk: form}),
    )


@require_POST
@in_the_office
def choose_flat(request: StaffRequest, number: str) -> HttpResponseBase:
    """Do the job at a flat price."""
    job = job_numbered(number)
    form = FlatChoiceForm(request.POST, prefix="flat")
    return on_job(
        request,
        job,
        form,
        lambda key: actions.choose_flat_price(
            job=job, flat=form.cleaned_data["flat"], by=request.user, once_key=key
        ),
        said="It stands on the next estimate or invoice that is written from what is recorded.",
        page=lambda: job_page(request, job_numbered(number), flat_form=form),
    )


@require_POST
@in_the_office
def drop_flat(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Reckon by the hour after all."""
    job = job_numbered(number)
    work = get_object_or_404(FlatWork, pk=pk, job=job)
    return on_job(
        request,
        job,
        PlainForm(request.POST),
        lambda key: actions.drop_flat_price(job=job, work=work, by=request.user, once_key=key),
    )


@require_POST
@in_the_office
def ship_out_of_state(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note the contract, or take the note back."""
    job = job_numbered(number)
    form = OutOfStateForm(request.POST, prefix="out")
    return on_job(
        request,
        job,
        form,
        lambda key: actions.ship_out_of_state(
            job=job, contract=form.cleaned_data["contract"], by=request.user, once_key=key
        ),
        said="Noted. Drafts use it when their lines are kept again.",
        page=lambda: job_page(request, job_numbered(number), out_form=form),
    )
