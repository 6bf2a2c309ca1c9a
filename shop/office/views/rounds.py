"""The end of a month: many papers in one go, a turn at a time with the progress shown, and handed out in one file."""

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
from shop.office import queries, rounds
from shop.office.actions.many import Many
from shop.office.bundles import papers_in_one
from shop.office.forms.rounds import PapersForm, TurnForm
from shop.office.views.lists import in_the_office

MOST_DRAFTS = 200


@require_safe
@in_the_office
def month_end(request: StaffRequest) -> HttpResponse:
    """What a month's end has to be written: drafts, reminders, statements; and what was issued, in one file."""
    return _page(request)


@require_POST
@in_the_office
def go_round(request: StaffRequest, key: str) -> HttpResponseBase:
    """One turn of a round; what is left comes with the next."""
    if key not in rounds.ROUNDS:
        raise Http404
    going, form = rounds.ROUNDS[key], TurnForm(request.POST)
    if not form.is_valid():
        return _page(request, period_form=form)
    keys = form.keys() if form.cleaned_data["total"] or going is rounds.DRAFTS else going.keys()
    period = form.period(rounds.last_month(clock.today()))
    done = joint.taken(
        form, lambda key: rounds.turn(going, keys, by=request.user, period=period, once_key=key)
    )
    if done is None:
        return joint.sent_back(request, form, reverse("office:month_end"))
    # a reminder that was made is due no more, so none is passed over and none is written twice
    made_before = 0 if going is rounds.REMINDERS else rounds.IN_ONE_ACT
    turn = done.made or rounds.Turn(Many(), keys[made_before:])
    for row, sentence in turn.made.refused:
        messages.warning(request, f"{row.customer}: {sentence}")  # type: ignore[attr-defined]
    total = form.cleaned_data["total"] or len(keys)
    if not turn.rest:
        messages.success(request, f"{total} of {total} seen to." if total else going.nothing)
        return joint.see_other(request, reverse("office:month_end"))
    context = {
        "going": going,
        "rest": turn.rest,
        "total": total,
        "done": total - len(turn.rest),
        "period": period,
        "goes_on": not turn.made.refused,
    }
    return render(request, "office/going.html", context)


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


def _page(request: StaffRequest, **sent: Any) -> HttpResponse:
    first, last = rounds.last_month(clock.today())
    context: dict[str, Any] = {
        "rounds": [(one, one.waiting().count()) for one in rounds.ROUNDS.values()],
        "drafts": list(queries.drafts()[:MOST_DRAFTS]),
        "period_form": TurnForm(initial={"starts": first, "ends": last}),
        "papers_form": PapersForm(initial={"starts": first, "ends": clock.today()}),
    }
    return render(request, "office/month_end.html", {**context, **sent}, status=422 if sent else 200)
