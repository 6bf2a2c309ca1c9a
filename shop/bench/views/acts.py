"""The clock, the soak test, and where the job goes next."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions
from shop.bench.forgotten import as_local_text
from shop.bench.forms import MendStintForm
from shop.bench.models import Stint
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, page_of_its_own, taken_well, write
from shop.frame.doors import StaffRequest


@require_POST
@at_the_bench
def start(request: StaffRequest, number: str) -> HttpResponseBase:
    """Start the clock; a job on its shelf is taken to the bench along with it."""
    return write(request, number, "start", actions.start_stint, said="The clock runs.")


@require_POST
@at_the_bench
def stop(request: StaffRequest, number: str) -> HttpResponseBase:
    """Stop the clock on this job, for a pause or for today."""
    then = reverse("bench:bench") if request.POST.get("then") == "bench" else ""
    return write(request, number, "plain", actions.stop_running_stint, said="The clock stands.", then=then)


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
    if form.is_bound and form.is_valid():
        mended = form.taken_by(actions.mend_stint, stint=stint, by=request.user, **form.values())
        if mended is not None:
            return taken_well(request, page, "", said="Put right.", again=False)
    return page_of_its_own(request, "bench/mend_stint.html", page, form, stint=stint)


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
