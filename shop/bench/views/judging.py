"""What the handbook says of a reading or a trace while it is typed; nothing is written."""

from __future__ import annotations

from typing import TypeVar

from django.db.models import Model
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.bench import listing, stock
from shop.bench.judging import judged_reading, read_evidence
from shop.bench.models import EvidenceKind, Meter
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench
from shop.counter.models import TestPoint
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.formwork import whole_number
from shop.frame.refusal import Refusal
from shop.handbook.parts_list import ListError

T = TypeVar("T", bound=Model)


@require_safe
@at_the_bench
def judge_reading(request: StaffRequest, number: str) -> HttpResponse:
    """The verdict on what stands on the keypad, or why it can't be read yet."""
    asked = request.GET
    typed, quantity = asked.get("typed", "").strip(), asked.get("quantity", "")
    expected = asked.get("expected", "")
    point = _known(TestPoint, asked.get("test_point", ""))
    if point is not None:
        quantity, expected = quantity or point.quantity, expected or point.expected
    if not typed or not quantity:
        return HttpResponse()
    try:
        judged = judged_reading(
            typed=typed[:60],
            quantity=quantity,
            expected=expected[:80],
            meter=_known(Meter, asked.get("meter", "")),
            condition=asked.get("condition", "")[:160],
            on=clock.today(),
        )
    except Refusal as refusal:
        return render(request, "bench/parts/judged.html", {"unreadable": refusal.sentence})
    return render(request, "bench/parts/judged.html", {"judged": judged})


@require_safe
@at_the_bench
def judge_evidence(request: StaffRequest, number: str) -> HttpResponse:
    """What a marking says: its readings and the argument, or what a device's designation tells."""
    page = BenchPage.of(number, request.user)
    asked = request.GET
    kind, marking = asked.get("kind", ""), asked.get("marking", "")[:120]
    if kind not in EvidenceKind.values or not marking.strip():
        return HttpResponse()
    try:
        read = read_evidence(
            job=page.job,
            kind=kind,
            where=asked.get("where", "")[:160],
            marking=marking,
            today=clock.today(),
        )
    except Refusal as refusal:
        return render(request, "bench/parts/judged.html", {"unreadable": refusal.sentence})
    return render(request, "bench/parts/read.html", {"read": read})


@require_safe
@at_the_bench
def offer_parts(request: StaffRequest, number: str) -> HttpResponse:
    """Parts in the drawers that match what is typed; what this model likely needs while nothing is."""
    page = BenchPage.of(number, request.user)
    words = request.GET.get("drawer", "").strip()
    found = stock.parts_like(words) if words else stock.likely_parts(page.job)
    context = {"offered": stock.offered(found), "chosen": str(found[0].pk) if len(found) == 1 else ""}
    return render(request, "bench/parts/offered.html", context)


@require_safe
@at_the_bench
def judge_list(request: StaffRequest, number: str) -> HttpResponse:
    """What becomes of a list of parts: which come from a drawer, which stay words, or what can't be read."""
    page = BenchPage.of(number, request.user)
    typed = request.GET.get("text", "")
    if not typed.strip():
        return HttpResponse()
    try:
        context: dict[str, object] = {"parts": listing.parts_of(typed, page.job)}
    except ListError as error:
        context = {"wrong": str(error)}
    return render(request, "bench/parts/listed.html", context)


def _known(kind: type[T], pk: str) -> T | None:
    """The row of that id as a form sends it back, or none."""
    known = whole_number(pk)
    return None if known is None else kind._default_manager.filter(pk=known).first()
