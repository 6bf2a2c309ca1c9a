"""How every form of the bench page is taken: once, from a browser without script or from a tablet's outbox alike."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render

from shop.bench.forms import BenchForm
from shop.bench.page import BenchPage
from shop.premises.doors import StaffRequest, for_roles
from shop.premises.models import Role
from shop.premises.once import AlreadyTaken

at_the_bench = for_roles(Role.BENCH)

ENTRY = "X-Bench-Entry"
"""The entry's own id: sent by a tablet along with the form, and sent back once the entry is taken or refused."""


def write(
    request: StaffRequest,
    number: str,
    panel: str,
    take: Callable[..., object],
    *,
    said: str = "",
    again: bool = False,
) -> HttpResponseBase:
    """Hand the panel's form to `take(job=, by=, at=, entry=, ...)`; a repeat is answered as the first time was.

    `again`: the panel stays open for the next one of its kind.
    """
    page = BenchPage.of(number, request.user)
    form: Any = page.form(panel, request.POST, request.FILES)
    if not form.is_valid():
        return refused(request, page, panel, form)
    try:
        taken = form.taken_by(take, job=page.job, by=request.user, **stamp(form), **form.values())
    except AlreadyTaken:
        return taken_well(request, page, panel, said=said, again=again)
    if taken is None:
        page.job.refresh_from_db()
        return refused(request, page, panel, form)
    return taken_well(request, page, panel, said=said, again=again)


def stamp(form: BenchForm) -> dict[str, Any]:
    """The entry's id and its moment."""
    return {"entry": form.once_key, "at": form.at}


def refused(request: StaffRequest, page: BenchPage, panel: str, form: Any) -> HttpResponseBase:
    """The same page, or for a tablet the same panel, with what was typed and the sentence at its field; 422."""
    context = page.context(wrong=(panel, form))
    if from_outbox(request):
        context |= {"panel": panel, "form": form}
        return answered(request, render(request, "bench/parts/refused.html", context, status=422))
    return render(request, "bench/job.html", context, status=422)


def taken_well(
    request: StaffRequest, page: BenchPage, panel: str, *, said: str, again: bool
) -> HttpResponseBase:
    """Back to the bench page; a tablet gets the pieces that changed."""
    if not from_outbox(request):
        if said:
            messages.success(request, said)
        return redirect("bench:job", page.job.number)
    fresh = BenchPage.of(page.job.number, request.user)
    context = fresh.context(open_panel=panel if again else "")
    return answered(request, render(request, "bench/parts/taken.html", context))


def from_outbox(request: StaffRequest) -> bool:
    """Whether a tablet's outbox sent this."""
    return ENTRY in request.headers


def answered(request: StaffRequest, response: HttpResponse) -> HttpResponse:
    """Tell the outbox which entry this answer is for: any other answer, such as a page to sign in, takes nothing."""
    response[ENTRY] = request.headers.get(ENTRY, "")
    return response
