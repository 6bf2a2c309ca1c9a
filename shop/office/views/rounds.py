"""The end of a month: many papers in one go, made by the worker with the progress shown, and handed out in one file."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import clock, joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.keeping.papers import Altered
from shop.keeping.tasks.queries import latest
from shop.office import long_work, queries, rounds
from shop.office.bundles import papers_in_one
from shop.office.forms.rounds import PapersForm, TurnForm
from shop.office.views.lists import in_the_office

MOST_DRAFTS = 200
PROGRESS = "going-"


@require_safe
@in_the_office
def month_end(request: StaffRequest) -> HttpResponse:
    """What a month's end has to be written: drafts, reminders, statements; and what was issued, in one file."""
    if request.headers.get("HX-Target", "").startswith(PROGRESS):
        return _progress(request)
    return _page(request)


def _progress(request: StaffRequest) -> HttpResponse:
    """How far one round is; the whole page anew where it is over."""
    key = request.headers["HX-Target"].removeprefix(PROGRESS)
    going = rounds.ROUNDS.get(key)
    task = latest(long_work.same_of(going)) if going else None
    if task is None or not task.is_open:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return render(request, "office/parts/round_going.html", {"going": going, "task": task})


@require_POST
@in_the_office
def go_round(request: StaffRequest, key: str) -> HttpResponseBase:
    """Have the papers of a round made; the page shows how far it is."""
    if key not in rounds.ROUNDS:
        raise Http404
    going, form = rounds.ROUNDS[key], TurnForm(request.POST)
    if not form.is_valid():
        return _page(request, period_form=form)
    keys = form.keys() if going is rounds.DRAFTS else going.keys()
    period, back = form.period(rounds.last_month(clock.today())), reverse("office:month_end")
    if not keys:
        messages.info(request, going.nothing if going is not rounds.DRAFTS else "None was checked.")
        return joint.see_other(request, back)
    return joint.answer(
        request,
        form,
        lambda key: long_work.ask_to_go_round(
            going=going, keys=keys, period=period, by=request.user, once_key=key
        ),
        then=back,
        page=lambda: joint.sent_back(request, form, back),
    )


@require_safe
@for_roles(Role.OWNER)
def papers_zip(request: StaffRequest) -> HttpResponseBase:
    """Papers of a kind and a time exactly as they were issued, in one file; invoices with a list of them beside."""
    form = PapersForm(request.GET)
    if not form.is_valid():
        return _page(request, papers_form=form)
    starts, ends = form.cleaned_data["starts"], form.cleaned_data["ends"]
    try:
        together = papers_in_one(form.kinds, starts=starts, ends=ends)
    except Altered as altered:
        messages.error(request, f"{altered} The nightly check names it; a backup may still hold it.")
        return redirect("office:month_end")
    name = f"{form.cleaned_data['kind']}-{starts}-{ends}.zip"
    return FileResponse(together, as_attachment=True, filename=name, content_type="application/zip")


def _page(request: StaffRequest, **sent: object) -> HttpResponse:
    first, last = rounds.last_month(clock.today())
    context: dict[str, Any] = {
        "rounds": [(one, one.count(), latest(long_work.same_of(one))) for one in rounds.ROUNDS.values()],
        "drafts": list(queries.drafts()[:MOST_DRAFTS]),
        "period_form": TurnForm(initial={"starts": first, "ends": last}),
        "papers_form": PapersForm(initial={"starts": first, "ends": clock.today()}),
    }
    return render(request, "office/month_end.html", {**context, **sent}, status=422 if sent else 200)
