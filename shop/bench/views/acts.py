"""The clock, the soak test, and where the job goes next."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, stamp, taken_well, write
from shop.handbook.safety import SafetyTest
from shop.premises.doors import StaffRequest
from shop.premises.once import AlreadyTaken


@require_POST
@at_the_bench
def start(request: StaffRequest, number: str) -> HttpResponseBase:
    """Start the clock; a job on its shelf is taken to the bench along with it."""
    return write(request, number, "start", actions.start_stint, said="The clock runs.")


@require_POST
@at_the_bench
def stop(request: StaffRequest, number: str) -> HttpResponseBase:
    """Stop the clock on this job."""
    return write(request, number, "plain", actions.stop_running_stint, said="The clock stands.")


@require_POST
@at_the_bench
def take(request: StaffRequest, number: str) -> HttpResponseBase:
    """Take the unit to the bench without starting the clock."""
    return write(request, number, "plain", actions.take_to_bench, said="On the bench.")


@require_POST
@at_the_bench
def shelve(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put the unit back on its shelf with the work not done."""
    return write(request, number, "plain", actions.put_back_on_shelf, said="Back on its shelf.")


@require_POST
@at_the_bench
def await_parts(request: StaffRequest, number: str) -> HttpResponseBase:
    """Set the job aside until its parts have come."""
    return write(request, number, "plain", actions.set_aside, said="Set aside until the parts have come.")


@require_POST
@at_the_bench
def ready(request: StaffRequest, number: str) -> HttpResponseBase:
    """Call the job ready without a soak test."""
    return write(request, number, "ready", actions.call_ready, said="Ready to go back.")


@require_POST
@at_the_bench
def soak(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put the unit on soak test."""
    return write(request, number, "soak", actions.start_soak, said="On soak test.")


@require_POST
@at_the_bench
def soak_check(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note a look at the unit on soak test."""
    return write(request, number, "soak_check", actions.check_running_soak, said="Noted.")


@require_POST
@at_the_bench
def soak_end(request: StaffRequest, number: str) -> HttpResponseBase:
    """End the soak test."""
    return write(request, number, "soak_end", actions.end_running_soak, said="The soak test has ended.")


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def safety(request: StaffRequest, number: str) -> HttpResponseBase:
    """The safety check: fields for what this unit owes, the last check with its verdicts, and the written reason."""
    page = BenchPage.of(number, request.user)
    posted = (request.POST,) if request.method == "POST" else ()
    form = page.form("safety", *posted)
    if posted and form.is_valid():
        try:
            taken = form.taken_by(
                actions.record_safety_check, job=page.job, by=request.user, **stamp(form), **form.values()
            )
        except AlreadyTaken:
            taken = page.job
        if taken is not None:
            return taken_well(request, page, "", said="Written down.", again=False)
    return _safety_page(request, page, safety=form)


@require_POST
@at_the_bench
def waiver(request: StaffRequest, number: str) -> HttpResponseBase:
    """Let a mains unit go home without a passed check, for a written reason."""
    page = BenchPage.of(number, request.user)
    form = page.form("waiver", request.POST)
    if form.is_valid():
        try:
            taken = form.taken_by(
                actions.waive_safety, job=page.job, by=request.user, **stamp(form), **form.values()
            )
        except AlreadyTaken:
            taken = page.job
        if taken is not None:
            return taken_well(request, page, "", said="Written down.", again=False)
    return _safety_page(request, page, waiver=form)


def _safety_page(request: StaffRequest, page: BenchPage, **forms: object) -> HttpResponseBase:
    drawn = {"safety": page.form("safety"), "waiver": page.form("waiver")} | forms
    bound = any(form.is_bound for form in drawn.values())
    context = {
        "page": page,
        "job": page.job,
        "form": drawn["safety"],
        "waiver_form": drawn["waiver"],
        "checks": [one for one in page.record.safety_checks if one.struck_at is None][::-1],
        "waivers": page.record.waivers,
        "visual_way": SafetyTest.VISUAL.how,
    }
    return render(request, "bench/safety.html", context, status=422 if bound else 200)
