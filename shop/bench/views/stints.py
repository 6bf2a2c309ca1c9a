"""The times of a stint, put right."""

from __future__ import annotations

from django.http import HttpResponseBase
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_http_methods

from shop.bench import actions
from shop.bench.forgotten import as_local_text
from shop.bench.forms import MendStintForm
from shop.bench.models import Stint
from shop.bench.page import BenchPage
from shop.bench.views.writing import at_the_bench, page_of_its_own, posted, taken_well
from shop.frame import joint
from shop.frame.doors import StaffRequest


@require_http_methods(["GET", "HEAD", "POST"])
@at_the_bench
def mend_stint(request: StaffRequest, number: str, pk: int) -> HttpResponseBase:
    """Put the times of a stint right; one that still runs is stopped by it."""
    page = BenchPage.of(number, request.user)
    stint = get_object_or_404(Stint, pk=pk, job=page.job, struck_at__isnull=True)
    times = {"started_at": as_local_text(stint.started_at), "kind": stint.kind}
    if stint.stopped_at is not None:
        times["stopped_at"] = as_local_text(stint.stopped_at)
    elif page.forgotten is not None and page.forgotten.stint.pk == stint.pk:
        times["stopped_at"] = page.forgotten.stopped
    form = MendStintForm(posted(request), initial=times, auto_id="mend-%s")
    mended = joint.taken(
        form,
        lambda key: actions.mend_stint(
            stint=stint,
            started_at=form.cleaned_data["started_at"],
            stopped_at=form.cleaned_data["stopped_at"],
            kind=form.cleaned_data["kind"] or None,
            by=request.user,
            entry=key,
        ),
    )
    if mended is not None:
        return taken_well(request, page, said="Corrected.")
    return page_of_its_own(request, "bench/mend_stint.html", page, form, stint=stint)
