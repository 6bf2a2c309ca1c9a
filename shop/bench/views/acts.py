"""The clock, the soak test, and where the job goes next."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions
from shop.bench.forgotten import as_local_text
from shop.bench.forms import (
    BenchForm,
    MendStintForm,
    ReadyForm,
    SoakCheckForm,
    SoakEndForm,
    SoakForm,
    StartForm,
)
from shop.bench.models import Stint
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, page_of_its_own, taken_well, write
from shop.frame import joint
from shop.frame.doors import StaffRequest


@require_POST
@at_the_bench
def start(request: StaffRequest, number: str) -> HttpResponseBase:
    """Start the clock; a job on its shelf is taken to the bench along with it."""
    return write(
        request,
        number,
        "start",
        StartForm,
        lambda form, stamp: actions.start_stint(
            kind=form.cleaned_data["kind"], under_warranty=form.cleaned_data["under_warranty"], **stamp
        ),
        said="The clock runs.",
    )


@require_POST
@at_the_bench
def stop(request: StaffRequest, number: str) -> HttpResponseBase:
    """Stop the clock on this job, for a pause or for today."""
    then = reverse("bench:bench") if request.POST.get("then") == "bench" else ""
    return write(
        request,
        number,
        "plain",
        BenchForm,
        lambda _, stamp: actions.stop_running_stint(**stamp),
        said="The clock stands.",
        then=then,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def mend_stint(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Put the times of a stint right; one that still runs is stopped by it."""
    page = BenchPage.of(number, request.user)
    stint = get_object_or_404(Stint, pk=pk, job=page.job, struck_at__isnull=True)
    times = {"started_at": as_local_text(stint.started_at), "kind": stint.kind}
    if stint.stopped_at is not None:
        times["stopped_at"] = as_local_text(stint.stopped_at)
    elif page.forgotten is not None and page.forgotten.stint.pk == stint.pk:
        times["stopped_at"] = page.forgotten.stopped
    posted = request.POST if request.method == "POST" else None
    form = MendStintForm(posted, initial=times, auto_id="mend-%s")
    mended = joint.taken(
        form,
        lambda key: actions.mend_stint(
            stint=stint,
            started_at=form.cleaned_data["started_at"],
            stopped_at=form.cleaned_data["stopped_at"],
            kind=form.cleaned_data["kind"] or None,
            by=request.user,
            entry=key,
        ),
    )
    if mended is not None:
        return taken_well(request, page, "", said="Put right.", again=False)
    return page_of_its_own(request, "bench/mend_stint.html", page, form, stint=stint)


@require_POST
@at_the_bench
def take(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take the unit to the bench without starting the clock."""
    return write(
        request,
        number,
        "plain",
        BenchForm,
        lambda _, stamp: actions.take_to_bench(**stamp),
        said="On the bench.",
    )


@require_POST
@at_the_bench
def shelve(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put the unit back on its shelf with the work not done."""
    return write(
        request,
        number,
        "plain",
        BenchForm,
        lambda _, stamp: actions.put_back_on_shelf(**stamp),
        said="Back on its shelf.",
    )


@require_POST
@at_the_bench
def await_parts(request: StaffRequest, number: str) -> HttpResponseBase:
    """Set the job aside until its parts have come."""
    return write(
        request,
        number,
        "plain",
        BenchForm,
        lambda _, stamp: actions.set_aside(**stamp),
        said="Set aside until the parts have come.",
    )


@require_POST
@at_the_bench
def ready(request: StaffRequest, number: str) -> HttpResponseBase:
    """Call the job ready without a soak test."""
    return write(
        request,
        number,
        "ready",
        ReadyForm,
        lambda form, stamp: actions.call_ready(outcome=form.cleaned_data["outcome"] or None, **stamp),
        said="Ready to go back.",
    )


@require_POST
@at_the_bench
def soak(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put the unit on soak test."""
    return write(
        request,
        number,
        "soak",
        SoakForm,
        lambda form, stamp: actions.start_soak(
            planned_seconds=int(form.cleaned_data["hours"] * 3600),
            check_every_seconds=form.cleaned_data["check_every"] * 60,
            **stamp,
        ),
        said="On soak test.",
    )


@require_POST
@at_the_bench
def soak_check(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note a look at the unit on soak test."""
    return write(
        request,
        number,
        "soak_check",
        SoakCheckForm,
        lambda form, stamp: actions.check_running_soak(
            temperature=form.cleaned_data["temperature"],
            dc_offset=form.cleaned_data["dc_offset"],
            came_back=form.cleaned_data["came_back"],
            note=form.cleaned_data["note"],
            **stamp,
        ),
        said="Noted.",
    )


@require_POST
@at_the_bench
def soak_end(request: StaffRequest, number: str) -> HttpResponseBase:
    """End the soak test."""
    return write(
        request,
        number,
        "soak_end",
        SoakEndForm,
        lambda form, stamp: actions.end_running_soak(
            result=form.cleaned_data["result"], note=form.cleaned_data["note"], **stamp
        ),
        said="The soak test has ended.",
    )
