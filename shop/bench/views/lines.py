"""Writing lines into a job's record, and striking them out."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions, models
from shop.bench.forms import (
    CautionsForm,
    ConclusionForm,
    EvidenceForm,
    FindingForm,
    FitForm,
    OverruleForm,
    PhotosForm,
    ReadingForm,
    StrikeForm,
    WantForm,
)
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, page_of_its_own, take_form, taken_well, write
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.stockroom import actions as stockroom
from shop.stockroom.models import PartFitted


@require_POST
@at_the_bench
def finding(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down what was seen."""
    return write(
        request,
        number,
        "finding",
        FindingForm,
        lambda form, stamp: actions.add_finding(text=form.cleaned_data["text"], **stamp),
        said="Noted.",
        again=True,
    )


@require_POST
@at_the_bench
def reading(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down a measured value with its verdict."""
    return write(
        request,
        number,
        "reading",
        ReadingForm,
        lambda form, stamp: actions.add_reading(**form.facts(), **stamp),
        said="Noted.",
        again=True,
    )


@require_POST
@at_the_bench
def evidence(request: StaffRequest, number: str) -> HttpResponseBase:
    """Write down a trace of an earlier repair, with what it says."""
    return write(
        request,
        number,
        "evidence",
        EvidenceForm,
        lambda form, stamp: actions.add_evidence(**form.facts(), **stamp),
        said="Noted.",
        again=True,
    )


@require_POST
@at_the_bench
def photos(request: StaffRequest, number: str) -> HttpResponseBase:
    """Keep photographs, all of them or none."""
    return write(
        request,
        number,
        "photos",
        PhotosForm,
        lambda form, stamp: actions.add_pictures(
            photos=form.cleaned_data["photos"],
            shows=form.cleaned_data["shows"],
            caption=form.cleaned_data["caption"],
            **stamp,
        ),
        said="Kept with the job.",
        again=True,
    )


@require_POST
@at_the_bench
def part(request: StaffRequest, number: str) -> HttpResponseBase:
    """Fit a part."""
    return write(
        request,
        number,
        "part",
        FitForm,
        lambda form, stamp: stockroom.fit_part(**form.facts(), **stamp),
        said="Fitted.",
        again=True,
    )


@require_POST
@at_the_bench
def want(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put a part on the order list, and set the job aside for it where that was said."""
    take = actions.want_and_await if "set_aside" in request.POST else stockroom.want_part
    return write(
        request,
        number,
        "want",
        WantForm,
        lambda form, stamp: take(**form.facts(), **stamp),
        said="On the order list.",
    )


@require_POST
@at_the_bench
def conclusion(request: StaffRequest, number: str) -> HttpResponseBase:
    """State what had failed, how, and what put it right."""
    return write(
        request,
        number,
        "conclusion",
        ConclusionForm,
        lambda form, stamp: actions.conclude(**form.facts(), **stamp),
        said="Concluded.",
    )


@require_POST
@at_the_bench
def cautions(request: StaffRequest, number: str) -> HttpResponseBase:
    """Note that the cautions on the page were read."""
    return write(
        request,
        number,
        "cautions",
        CautionsForm,
        lambda form, stamp: actions.read_cautions(keys=form.cleaned_data["key"], **stamp),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def overrule(request: StaffRequest, number: str, rule: str) -> HttpResponseBase:
    """Set a suggestion aside, with the reason."""
    page = BenchPage.of(number, request.user)
    found = [one for one in page.suggested if one.suggestion.rule == rule]
    form = page.form_of(OverruleForm, "overrule", *((request.POST,) if request.method == "POST" else ()))
    if take_form(
        request,
        page,
        form,
        lambda form, stamp: actions.overrule(rule=rule, reason=form.cleaned_data["reason"], **stamp),
    ):
        return taken_well(request, page, "", said="Set aside.", again=False)
    return page_of_its_own(request, "bench/overrule.html", page, form, found=found)


REASONS = ("Typing mistake", "Wrong place", "Wrong range", "Wrong unit", "Measured anew")
"""The usual reasons, each given with one touch."""

LINES: dict[str, Any] = {
    "finding": models.Finding,
    "reading": models.Reading,
    "evidence": models.Evidence,
    "stint": models.Stint,
    "conclusion": models.Conclusion,
    "safety": models.SafetyCheck,
    "waiver": models.SafetyWaiver,
    "part": PartFitted,
}


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def strike(request: StaffRequest, number: str, kind: str, pk: int) -> HttpResponseBase:
    """Strike a wrong line out, with the reason."""
    page = BenchPage.of(number, request.user)
    line = get_object_or_404(LINES[kind], pk=pk, job=page.job)
    form = page.form_of(StrikeForm, "strike", *((request.POST,) if request.method == "POST" else ()))

    def struck(key: joint.Key) -> object:
        reason = form.cleaned_data["reason"]
        if isinstance(line, PartFitted):
            return stockroom.strike_part(fitted=line, reason=reason, by=request.user, once_key=key)
        return actions.strike(line=line, reason=reason, by=request.user, entry=key)

    if joint.taken(form, struck) is not None:
        return taken_well(request, page, "", said="Struck out.", again=False)
    return page_of_its_own(request, "bench/strike.html", page, form, line=line, reasons=REASONS)
