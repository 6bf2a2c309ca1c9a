"""Striking out what is written on a job, and setting a suggestion aside."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods

from shop.bench import actions, models
from shop.bench.forms import OverruleForm, StrikeForm
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, page_of_its_own, posted, take_form, taken_well
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.stockroom import actions as stockroom
from shop.stockroom.models import PartFitted


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def overrule(request: StaffRequest, number: str, rule: str) -> HttpResponseBase:
    """Dismiss a suggestion, with the reason."""
    page = BenchPage.of(number, request.user)
    found = [one for one in page.suggested if one.suggestion.rule == rule]
    form = OverruleForm(posted(request), job=page.job, auto_id="overrule-%s")
    if take_form(
        request,
        page,
        form,
        lambda form, stamp: actions.overrule(rule=rule, reason=form.cleaned_data["reason"], **stamp),
    ):
        return taken_well(request, page, said="Dismissed.")
    return page_of_its_own(request, "bench/overrule.html", page, form, found=found)


REASONS: dict[str, tuple[str, ...]] = {
    "reading": ("Typing mistake", "Wrong place", "Wrong range", "Wrong unit", "Measured again"),
    "finding": ("Typing mistake", "Wrong job", "It was something else", "Said better below"),
    "evidence": ("Misread marking", "Wrong place", "It is the original", "Wrong job"),
    "stint": ("Clock left running", "Wrong job", "Wrong kind of work", "Not to be charged"),
    "conclusion": ("It was something else", "The fault came back", "Typing mistake", "Wrong job"),
    "part": ("Taken out again", "Not fitted after all", "Wrong part chosen", "Wrong job"),
    "safety": ("Wrong meter", "Wrong setting", "Measured again", "Wrong job"),
    "waiver": ("Checked after all", "Wrong job", "Typing mistake"),
    "temporary": ("Never made", "Noted twice", "Typing mistake", "Wrong job"),
    "left_off": ("Said better below", "Typing mistake", "Wrong job"),
    "ticked": ("Not done after all", "Not on this unit", "Wrong job"),
    "overruled": ("It was right after all", "Typing mistake", "Wrong job"),
}
"""The usual reasons to strike such a line out, each given with one touch."""

LINES: dict[str, Any] = {
    "finding": models.Finding,
    "reading": models.Reading,
    "evidence": models.Evidence,
    "stint": models.Stint,
    "conclusion": models.Conclusion,
    "safety": models.SafetyCheck,
    "waiver": models.SafetyWaiver,
    "part": PartFitted,
    "temporary": models.Temporary,
    "left_off": models.LeftOff,
    "ticked": models.Ticked,
    "overruled": models.Overruled,
}


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def strike(request: StaffRequest, number: str, kind: str, pk: int) -> HttpResponseBase:
    """Strike a wrong line out, with the reason."""
    page = BenchPage.of(number, request.user)
    line = get_object_or_404(LINES[kind], pk=pk, job=page.job)
    form = StrikeForm(posted(request), job=page.job, auto_id="strike-%s")

    def struck(key: joint.Key) -> object:
        reason = form.cleaned_data["reason"]
        if isinstance(line, PartFitted):
            return stockroom.strike_part(fitted=line, reason=reason, by=request.user, once_key=key)
        return actions.strike(line=line, reason=reason, by=request.user, entry=key)

    if joint.taken(form, struck) is not None:
        return taken_well(request, page, said="Struck out.")
    return page_of_its_own(request, "bench/strike.html", page, form, line=line, reasons=REASONS[kind])
