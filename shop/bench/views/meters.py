"""The shop's meters and testers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.bench import actions, judging
from shop.bench.forms import MeterForm
from shop.bench.models import Meter
from shop.bench.views.writing import at_the_bench
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.once import AlreadyTaken
from shop.handbook.meters import calibration


@require_safe
@at_the_bench
def meters(request: StaffRequest) -> HttpResponse:
    """All meters, those in use first, with the state of their calibration."""
    today = clock.today()
    known = Meter.objects.prefetch_related("ranges").order_by("retired_at", "name")
    lines = [(meter, calibration(judging.handbook_meter(meter), today)) for meter in known]
    return render(request, "bench/meters.html", {"lines": lines})


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def meter(request: StaffRequest, pk: int | None = None) -> HttpResponseBase:
    """Write a meter down, or put one right."""
    known = get_object_or_404(Meter, pk=pk) if pk is not None else None
    form = MeterForm(request.POST or None, meter=known)
    if form.is_bound and form.is_valid():
        try:
            kept = form.taken_by(
                actions.keep_meter, meter=known, by=request.user, entry=form.once_key, **form.values()
            )
        except AlreadyTaken:
            return redirect("bench:meters")
        if kept is not None:
            messages.success(request, "Kept.")
            return redirect("bench:meters")
    status = 422 if form.is_bound else 200
    return render(request, "bench/meter.html", {"form": form, "meter": known}, status=status)


@require_POST
@at_the_bench
def retire(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a meter out of use, or back into it."""
    actions.retire_meter(meter=get_object_or_404(Meter, pk=pk), by=request.user)
    return redirect("bench:meters")
