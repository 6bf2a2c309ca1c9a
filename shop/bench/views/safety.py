"""The safety check, its record on paper, and the written reason in its place."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponseBase, QueryDict
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions, papers
from shop.bench.cautions import cautions_of
from shop.bench.drawing import context_of
from shop.bench.forms import SafetyForm, WaiverForm
from shop.bench.models import SafetyCheck
from shop.bench.page import BenchPage
from shop.bench.queries import record_of
from shop.bench.views.writing import answered, at_the_bench, from_outbox, posted, take_form, taken_well
from shop.counter.stages import ENDED
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.handbook.cautions import Step
from shop.handbook.safety import SafetyTest


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def safety(request: StaffRequest, number: str) -> HttpResponseBase:
    """The safety check: fields for what this unit owes, and the last check with its verdicts."""
    page = BenchPage.of(number, request.user)
    form = _safety_form(page, posted(request))
    if take_form(
        request,
        page,
        form,
        lambda form, stamp: actions.record_safety_check(**form.facts(), **stamp),
    ):
        return taken_well(request, page, said="Written down.", then=page.safety_address)
    return _safety_page(request, page, form=form)


@require_POST
@at_the_bench
def waiver(request: StaffRequest, number: str) -> HttpResponseBase:
    """Let a mains unit go home without a passed check, for a written reason."""
    page = BenchPage.of(number, request.user)
    form = _waiver_form(page, request.POST)
    if take_form(
        request,
        page,
        form,
        lambda form, stamp: actions.waive_safety(reason=form.cleaned_data["reason"], **stamp),
    ):
        return taken_well(request, page, said="Written down.")
    return _safety_page(request, page, waiver_form=form)


@require_POST
@at_the_bench
def safety_record(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Issue a check's record on paper; the same check is printed once and shown again after that."""
    page = BenchPage.of(number, request.user)
    check = get_object_or_404(SafetyCheck, pk=pk, job=page.job, struck_at__isnull=True)
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: papers.issue_safety_record(check=check, by=request.user, entry=key),
        then=lambda made: reverse("premises:paper", args=[made]),
        page=lambda: _safety_page(
            request, page, form=_safety_form(page), refused=" ".join(map(str, form.non_field_errors()))
        ),
    )


def _safety_form(page: BenchPage, data: QueryDict | None = None) -> SafetyForm:
    return SafetyForm(data, job=page.job, meters=page.meters, auto_id="safety-%s")


def _waiver_form(page: BenchPage, data: QueryDict | None = None) -> WaiverForm:
    return WaiverForm(data, job=page.job, auto_id="waiver-%s")


def _safety_page(
    request: StaffRequest, page: BenchPage, *, refused: str = "", **given: Any
) -> HttpResponseBase:
    page.record = record_of(page.job)
    forms = {"form": _safety_form(page), "waiver_form": _waiver_form(page)} | given
    bound = next((form for form in forms.values() if getattr(form, "is_bound", False)), None)
    context = context_of(page) | {
        "checks": [one for one in page.record.safety_checks if one.struck_at is None][::-1],
        "visual_way": SafetyTest.VISUAL.how,
        "warnings": cautions_of(page.job, (Step.SAFETY_CHECK,), read=()),
        "refused": refused,
        "over": page.job.stage in ENDED,
        **forms,
    }
    response = render(request, "bench/safety.html", context, status=422 if bound or refused else 200)
    if bound is not None and from_outbox(request):
        return answered(request, response, bound)
    return response
