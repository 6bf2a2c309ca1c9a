"""The shop's meters and testers."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.bench import actions, judging
from shop.bench.forms import MeterForm
from shop.bench.models import Meter
from shop.bench.views.writing import at_the_bench
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
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
    context = {"form": form, "meter": known}
    return joint.answer(
        request,
        form,
        lambda key: actions.keep_meter(meter=known, **form.facts(), by=request.user, entry=key),
        then=reverse("bench:meters"),
        said="Kept.",
        page=lambda: render(request, "bench/meter.html", context, status=422 if form.is_bound else 200),
    )


@require_POST
@at_the_bench
def retire(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a meter out of use, or back into it."""
    meter, form = get_object_or_404(Meter, pk=pk), PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.retire_meter(meter=meter, by=request.user, entry=key),
        then=reverse("bench:meters"),
        page=lambda: joint.sent_back(request, form, reverse("bench:meters")),
    )
