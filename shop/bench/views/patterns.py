"""The shop's own rows for the sheet of readings, and its own checklists."""

from __future__ import annotations

from dataclasses import asdict

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.bench import actions
from shop.bench.forms import PatternForm
from shop.bench.forms.patterns import as_lines
from shop.bench.models import Pattern
from shop.bench.views.writing import at_the_bench
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.handbook.checklists import CHECKLISTS
from shop.handbook.sheet import TEMPLATES


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def patterns(request: StaffRequest) -> HttpResponseBase:
    """All patterns, and a form for one of the shop's own; `of` and `name` fill it with one that is there."""
    own = list(Pattern.objects.all())
    form = PatternForm(request.POST or None, initial=_begun(request, own))
    context = {"form": form, "own": own, "rows": TEMPLATES, "checklists": CHECKLISTS}
    return joint.answer(
        request,
        form,
        lambda key: actions.keep_pattern(**form.facts(), by=request.user, entry=key),
        then=reverse("bench:patterns"),
        said="Kept.",
        page=lambda: render(request, "bench/patterns.html", context, status=422 if form.is_bound else 200),
    )


@require_POST
@at_the_bench
def drop(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Throw one of the shop's own away."""
    form = PlainForm(request.POST)
    there = reverse("bench:patterns")

    def act(key: joint.Key) -> None:
        actions.drop_pattern(pattern=get_object_or_404(Pattern, pk=pk), by=request.user, entry=key)

    return joint.answer(
        request,
        form,
        act,
        then=there,
        said="Discarded.",
        page=lambda: joint.sent_back(request, form, there),
    )


def _begun(request: StaffRequest, own: list[Pattern]) -> dict[str, str]:
    """What the form begins with: the pattern that is asked for by its name, the shop's own first."""
    of, name = request.GET.get("of", ""), request.GET.get("name", "")
    mine = next((one for one in own if one.of == of and one.name == name), None)
    if mine is not None:
        return {"of": of, "name": name, "kind": mine.kind, "lines": as_lines(of, mine.lines)}
    if of == Pattern.Of.STEPS:
        lines = next((list(one.steps) for one in CHECKLISTS if one.name == name), [])
        return {"of": of, "name": name, "lines": as_lines(of, lines)}
    rows = next(([asdict(row) for row in one.rows] for one in TEMPLATES if one.name == name), [])
    return {"of": Pattern.Of.ROWS, "name": name, "lines": as_lines(Pattern.Of.ROWS, rows)}
