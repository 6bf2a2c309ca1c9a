"""Model files and figures: what the history adds up to, with plots that print."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from shop.counter import model_file
from shop.counter.models import Kind, UnitModel
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import whole_number
from shop.frame.models import Role
from shop.frame.plots import bars
from shop.planner.queries import state as forecast_state
from shop.records.across import faults_across
from shop.records.figures import Figures, years
from shop.records.forms import ModelForm
from shop.records.model_files import COUNTED_TO, LOOKED_AT, ModelFile, listed_models


@require_safe
def models(request: StaffRequest) -> HttpResponse:
    """All models that the shop knows, by maker and number."""
    typed = request.GET.get("model", "").strip()[:80]
    found, following = listed_models(typed, after=request.GET.get("after", "")[:260])
    context = {"models": found, "following": following, "typed": typed, "counted_to": COUNTED_TO}
    return render(request, "records/models.html", context)


@require_safe
def model(request: StaffRequest, pk: int) -> HttpResponse:
    """One model's file, with what its history adds up to."""
    known = get_object_or_404(UnitModel.objects.select_related("maker", "merged_into"), pk=pk)
    if known.merged_into_id:
        return redirect("records:model", known.merged_into_id)
    file = ModelFile(known)
    context = {
        "model": known,
        "file": file,
        "may_describe": request.user.has_role(Role.BENCH, Role.COUNTER),
        "looked_at": LOOKED_AT,
        "limits": getattr(known, "safety_limits", None),
        "points": known.test_points.all(),
        "originals": known.originals.all(),
        "papers": known.papers.select_related("file", "picture"),
        "learnt": known.learnt.select_related("job", "by")[:40],
        "twins": known.twins.select_related("maker"),
    }
    return render(request, "records/model.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@for_roles(Role.BENCH, Role.COUNTER)
def describe_model(request: StaffRequest, pk: int) -> HttpResponseBase:
    """What the shop knows of a model as a whole: kind, family, years, weight, dangers, twins, notes."""
    known = get_object_or_404(UnitModel.objects.select_related("maker"), pk=pk, merged_into__isnull=True)
    form = ModelForm(request.POST if request.method == "POST" else None, model=known)
    context = {"model": known, "form": form}
    return joint.answer(
        request,
        form,
        lambda key: model_file.describe_model(model=known, by=request.user, once_key=key, **form.facts()),
        then=reverse("records:model", args=[known.pk]),
        page=lambda: render(
            request, "records/describe_model.html", context, status=422 if form.is_bound else 200
        ),
    )


@require_safe
def figures(request: StaffRequest) -> HttpResponse:
    """The shop's figures for one year."""
    known = years()
    asked = whole_number(request.GET.get("year", ""), digits=4)
    year = asked if asked in known else known[0]
    told = Figures(year)
    context = {
        "figures": told,
        "years": known,
        "wait_plot": bars("Median days", told.wait_bars),
        "failure_plot": bars("How things failed", [row.bar for row in told.failures]),
        "kind_plot": bars("Kinds of units that came", told.kinds),
        # the queue is today's, whatever year is looked at: it stands with this year's figures alone
        "forecast": forecast_state() if year == clock.today().year else None,
    }
    return render(request, "records/figures.html", context)


@require_safe
def across(request: StaffRequest) -> HttpResponse:
    """Which models of a kind have a fault more often than the others."""
    asked = request.GET.get("kind", "")
    kind = Kind(asked) if asked in Kind.values else Kind.RECEIVER
    return render(request, "records/across.html", {"kind": kind, "kinds": Kind, "told": faults_across(kind)})
