"""How the work of a job is priced: stints put right, flat prices, a contract that sends it out of the state."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from shop.bench.actions import mend_stint
from shop.bench.models import Stint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.office import actions
from shop.office.forms.work import FlatChoiceForm, OutOfStateForm, StintForm
from shop.office.models import FlatWork
from shop.office.views.jobs import act_on, job_numbered, job_page
from shop.office.views.lists import in_the_office


@require_POST
@in_the_office
def mend(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Put the times of a stint right."""
    job = job_numbered(number)
    stint = get_object_or_404(Stint, pk=pk, struck_at__isnull=True)
    form = StintForm(request.POST, prefix=f"s{pk}")
    if (
        form.is_valid()
        and form.taken_by(mend_stint, stint=stint, by=request.user, **form.facts()) is not None
    ):
        messages.success(request, "The times are put right; the stint is marked as mended.")
        return redirect("office:job", job.number)
    return job_page(request, job, mending={pk: form})


@require_POST
@in_the_office
def choose_flat(request: StaffRequest, number: str) -> HttpResponseBase:
    """Do the job at a flat price."""
    job = job_numbered(number)
    form = FlatChoiceForm(request.POST, prefix="flat")
    if form.is_valid():
        facts = {"flat": form.cleaned_data["flat"]}
        said = "It stands on the next estimate or invoice that is written from what is recorded."
        return act_on(request, job, form, actions.choose_flat_price, facts=facts, said=said)
    return job_page(request, job, flat_form=form)


@require_POST
@in_the_office
def drop_flat(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Reckon by the hour after all."""
    job = job_numbered(number)
    work = get_object_or_404(FlatWork, pk=pk, job=job)
    return act_on(
        request, job, PlainForm(request.POST), actions.drop_flat_price, facts={"work": work}, said=""
    )


@require_POST
@in_the_office
def ship_out_of_state(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note the contract, or take the note back."""
    job = job_numbered(number)
    form = OutOfStateForm(request.POST, prefix="out")
    if form.is_valid():
        facts = {"contract": form.cleaned_data["contract"]}
        said = "Noted. Drafts reckon with it when their lines are kept again."
        return act_on(request, job, form, actions.ship_out_of_state, facts=facts, said=said)
    return job_page(request, job, out_form=form)
