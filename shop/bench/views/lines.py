"""Writing lines into a job's record."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST

from shop.bench import actions, models
from shop.bench.forms import StrikeForm
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, refused, taken_well, write
from shop.premises.doors import StaffRequest
from shop.stockroom import actions as stockroom
from shop.stockroom.models import PartFitted


@require_POST
@at_the_bench
def finding(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down what was seen."""
    return write(request, number, "finding", actions.add_finding, said="Noted.", again=True)


@require_POST
@at_the_bench
def reading(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down a measured value with its verdict."""
    return write(request, number, "reading", actions.add_reading, said="Noted.", again=True)


@require_POST
@at_the_bench
def evidence(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down a trace of an earlier repair, with what it says."""
    return write(request, number, "evidence", actions.add_evidence, said="Noted.", again=True)


@require_POST
@at_the_bench
def photos(request: StaffRequest, number: str) -> HttpResponseBase:
    """Keep photographs, all of them or none."""
    return write(request, number, "photos", actions.add_pictures, said="Kept with the job.", again=True)


@require_POST
@at_the_bench
def part(request: StaffRequest, number: str) -> HttpResponseBase:
    """Fit a part."""
    return write(request, number, "part", stockroom.fit_part, said="Fitted.", again=True)


@require_POST
@at_the_bench
def want(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put a part on the order list, and set the job aside for it where that was said."""
    aside = "set_aside" in request.POST
    take = actions.want_and_await if aside else stockroom.want_part
    return write(request, number, "want", take, said="On the order list.")


@require_POST
@at_the_bench
def conclusion(request: StaffRequest, number: str) -> HttpResponseBase:
    """State what had failed, how, and what put it right."""
    return write(request, number, "conclusion", actions.conclude, said="Concluded.")


LINES: dict[str, Any] = {
    "finding": models.Finding,
    "reading": models.Reading,
    "evidence": models.Evidence,
    "stint": models.Stint,
    "conclusion": models.Conclusion,
    "soak": models.SoakTest,
    "safety": models.SafetyCheck,
    "waiver": models.SafetyWaiver,
    "part": PartFitted,
}


@require_POST
@at_the_bench
def strike(request: StaffRequest, number: str, kind: str, pk: int) -> HttpResponseBase:
    """Strike a wrong line out, with the reason."""
    page = BenchPage.of(number, request.user)
    line = get_object_or_404(LINES[kind], pk=pk, job=page.job)
    form = StrikeForm(request.POST, auto_id=f"strike-{kind}-{pk}-%s")
    if form.is_valid():
        reason = form.cleaned_data["reason"]
        if kind == "part":
            struck = form.taken_by(stockroom.strike_part, fitted=line, reason=reason, by=request.user)
        else:
            struck = form.taken_by(actions.strike, line=line, reason=reason, by=request.user)
        if struck is not None:
            return taken_well(request, page, "", said="Struck out.", again=False)
    return refused(request, page, f"strike-{kind}-{pk}", form)
