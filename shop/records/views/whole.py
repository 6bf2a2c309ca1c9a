"""The whole shop at a glance, and the whole of one job on one page."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.bench.queries import running_stint
from shop.premises import clock
from shop.premises.doors import StaffRequest
from shop.records import first_screen as first
from shop.records.card import JobCard


@require_safe
def first_screen(request: StaffRequest) -> HttpResponse:
    """What is in the shop, by whose move it is and how long it has waited."""
    running = running_stint(request.user)
    context = {
        "screen": first.first_screen(request.user),
        "running": running,
        "running_seconds": int((clock.now() - running.started_at).total_seconds()) if running else 0,
    }
    return render(request, "records/first_screen.html", context)


@require_safe
def job_card(request: StaffRequest, number: str) -> HttpResponse:
    """Everything about one job on one page, printable."""
    card = JobCard.of(number.upper())
    if card is None:
        raise Http404
    return render(request, "records/job_card.html", {"card": card, "job": card.job})
