"""The model file on the bench: read, written into with one touch; the wait, the maker's limits, matched sets."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.bench import actions, learning, queries
from shop.bench.forms import LimitsForm, MatchedSetForm, ReservoirForm
from shop.bench.models import Reading
from shop.bench.page import BenchPage
from shop.bench.panels import Stamp
from shop.bench.safety import printed_for
from shop.bench.views.writing import at_the_bench, page_of_its_own, posted, take_form, taken_well
from shop.frame.doors import StaffRequest
from shop.frame.formwork import whole_number
from shop.frame.refusal import Refusal
from shop.handbook.isolation import Role


@require_safe
@at_the_bench
def aside(request: StaffRequest, number: str) -> HttpResponse:
    """What the records know of such a complaint, and what failed in this model before; asked for after the page is there."""
    page = BenchPage.of(number, request.user)
    piece = request.headers.get("X-Requested-With") == "bench"
    template = "bench/parts/aside.html" if piece else "bench/aside.html"
    return render(request, template, {"page": page, "job": page.job})


@require_safe
@at_the_bench
def model_file(request: StaffRequest, number: str) -> HttpResponse:
    """What the shop knows of this model: notes, test points, originals, papers, what failed before."""
    page = BenchPage.of(number, request.user)
    model = page.job.unit.model
    context = {
        "page": page,
        "job": page.job,
        "failed": queries.failed_before(page.job, limit=20),
        "notes": model.learnt.select_related("job")[:50],
        "originals": model.originals.all(),
        "limits": printed_for(model),
        "papers": model.papers.select_related("file", "picture"),
    }
    return render(request, "bench/model_file.html", context)


@require_POST
@at_the_bench
def learn(request: StaffRequest, number: str) -> HttpResponseBase:
    """Put a reading, a finding or a device into the model file with one touch."""
    page = BenchPage.of(number, request.user)
    kind, pk = next(((one, request.POST[one]) for one in learning.LEARNT if one in request.POST), ("", ""))
    try:
        said = learning.learn(job=page.job, kind=kind, pk=pk, by=request.user)
        messages.success(request, said)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect(page.address)


@require_POST
@at_the_bench
def role(request: StaffRequest, number: str) -> HttpResponseBase:
    """Say with one touch what the place of a reading is to its circuit."""
    page = BenchPage.of(number, request.user)
    pk, _, chosen = request.POST.get("as", "").partition(":")
    reading = get_object_or_404(Reading, pk=whole_number(pk), job=page.job)
    try:
        actions.set_role(reading=reading, role=chosen, by=request.user)
        messages.success(request, f"{reading.where}: {Role(chosen).label.lower()}.")
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect(f"{page.address}#reading-{reading.pk}")


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def reservoir(request: StaffRequest, number: str) -> HttpResponseBase:
    """The largest capacitor and its bleeder: the wait is computed from them and stands in the caution."""
    page = BenchPage.of(number, request.user)
    form = ReservoirForm(
        posted(request),
        job=page.job,
        known=page.reservoir,
        auto_id="reservoir-%s",
    )
    if take_form(request, page, form, _set_reservoir):
        return taken_well(request, page, said="Computed, and kept in the model file.")
    return page_of_its_own(request, "bench/reservoir.html", page, form)


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def limits(request: StaffRequest, number: str) -> HttpResponseBase:
    """What this model's maker prints where it differs from the common limits."""
    page = BenchPage.of(number, request.user)
    form = LimitsForm(
        posted(request), job=page.job, known=printed_for(page.job.unit.model), auto_id="limits-%s"
    )
    if take_form(request, page, form, lambda form, stamp: actions.set_limits(**form.facts(), **stamp)):
        return taken_well(request, page, said="Kept in the model file.")
    return page_of_its_own(request, "bench/limits.html", page, form)


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def matched_set(request: StaffRequest, number: str) -> HttpResponseBase:
    """Compare devices that must match; the report is kept as evidence."""
    page = BenchPage.of(number, request.user)
    form = MatchedSetForm(
        posted(request), job=page.job, known=printed_for(page.job.unit.model), auto_id="set-%s"
    )
    wanted = request.POST.get("act") == "keep"
    if wanted and take_form(request, page, form, _add_set):
        return taken_well(request, page, said="Noted.")
    if form.is_bound and not wanted and form.is_valid():
        context = {"page": page, "job": page.job, "form": form, "report": form.report}
        return render(request, "bench/matched_set.html", context)
    return page_of_its_own(request, "bench/matched_set.html", page, form)


def _set_reservoir(form: ReservoirForm, stamp: Stamp) -> object:
    data = form.cleaned_data
    return actions.set_reservoir(
        where=data["where"], volt=data["volt"], farad=data["farad"], ohm=data["ohm"], **stamp
    )


def _add_set(form: MatchedSetForm, stamp: Stamp) -> object:
    data = form.cleaned_data
    return actions.add_matched_set(report=data["report"], marking=data["marking"], **stamp)
