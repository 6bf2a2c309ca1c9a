"""The bench itself, and the bench page of a job."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.gzip import gzip_page
from django.views.decorators.http import require_safe

from shop.bench import queries, sheet
from shop.bench.drawing import context_of
from shop.bench.forgotten import forgotten
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench
from shop.counter.models import Job
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.frame.rooms import open_door


@require_safe
@gzip_page
@at_the_bench
def bench(request: StaffRequest) -> HttpResponseBase:
    """What runs, what is on the bench and what waits; a typed number leads to its job."""
    typed = request.GET.get("number", "").strip()
    found = queries.jobs_meant(typed) if typed else []
    if len(found) == 1:
        return redirect("bench:job", found[0].number)
    running = queries.running_stint(request.user)
    context = {
        "typed": typed,
        "found": found,
        "running": running,
        "forgotten": forgotten(running),
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
        "soaks": queries.running_soaks(),
        "shelves": queries.bench_shelves(),
    }
    return render(request, "bench/bench.html", context)


@require_safe
@gzip_page
@at_the_bench
def job(request: StaffRequest, number: str) -> HttpResponse:
    """The bench page of a job; `rows` names a template whose rows are put on its sheet."""
    page = BenchPage.of(number, request.user)
    more = sheet.chosen_rows(page.job, request.GET["rows"]) if request.GET.get("rows") else ()
    context = context_of(page, open_panel=request.GET.get("open", ""), more_rows=more)
    return render(request, "bench/job.html", context)


@require_safe
@for_roles(Role.BENCH, Role.COUNTER)
def tag(request: StaffRequest, number: str) -> HttpResponseBase:
    """Where the tag's QR code leads: to the bench page for the bench, else to the job card."""
    meant = get_object_or_404(Job, number=number.upper())
    if request.user.has_role(Role.BENCH):
        return redirect("bench:job", meant.number)
    return redirect(open_door("records:job_card", meant.number) or open_door("counter:job", meant.number))
