"""Lists of jobs, on the screen and as files."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.frame.doors import StaffRequest
from shop.frame.sorting import MOST, sorted_by, wanted
from shop.records.first_screen import MOVERS
from shop.records.job_list import COLUMNS, JobPage, jobs_to_sort, newest_jobs, waiting_jobs
from shop.records.searching.address import Address, asking_from

MOVES = {mover.value: mover.label for mover in MOVERS}


@require_safe
def jobs(request: StaffRequest) -> HttpResponse:
    """All jobs, newest first; or the open ones of one mover, the longest waiting first."""
    mover = request.GET.get("move", "")
    asking = asking_from(request.GET)
    if wanted(request.GET, COLUMNS):
        page = JobPage(jobs_to_sort(asking.filters, mover if mover in MOVES else ""))
    elif mover in MOVES:
        page = waiting_jobs(mover, from_key=request.GET.get("from", ""))
    else:
        page = newest_jobs(asking.filters, before=asking.before, after=asking.after)
    context = {
        "page": page,
        "order": sorted_by(request.GET, page.jobs, COLUMNS),
        "most": MOST,
        "mover": mover if mover in MOVES else "",
        "moves": MOVES,
        "filters": asking.filters,
    }
    address = Address(request.GET)
    context |= {
        "address": address,
        "newer": f"{address.with_(**{'from': None})}&{page.newer}" if page.newer else "",
        "older": f"{address.with_(**{'from': None})}&{page.older}" if page.older else "",
    }
    return render(request, "records/jobs.html", context)
