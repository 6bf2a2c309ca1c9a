"""How every form of the bench page is taken: once, from a browser without script or from a tablet's outbox alike."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar
from urllib.parse import quote

from django.conf import settings
from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_POST

from shop.bench.drawing import context_of, form_of
from shop.bench.forms import BenchForm
from shop.bench.page import BenchPage
from shop.bench.panels import Button, Stamp
from shop.frame import joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role

at_the_bench = for_roles(Role.BENCH)

ENTRY = "X-Bench-Entry"
"""The entry's own id: a tablet sends it along with the form, and gets it back once the entry is taken or refused."""

REASON = "X-Bench-Reason"
"""Why an entry was refused, percent-encoded: kept beside the entry on the tablet."""


F = TypeVar("F", bound=BenchForm)


def door_of(button: Button[Any]) -> Callable[..., HttpResponseBase]:
    """The view that hands the form of a panel or button to its action; a repeat is answered as the first time was."""

    @require_POST
    @at_the_bench
    def view(request: StaffRequest, number: str) -> HttpResponseBase:
        page = BenchPage.of(number, request.user)
        form = form_of(page, button, request.POST, request.FILES)
        if take_form(request, page, form, button.take):
            stays = button.name if button.stays else ""
            return taken_well(request, page, said=button.said, then=button.then(form), stays=stays)
        return refused(request, page, button, form)

    return view


def take_form(request: StaffRequest, page: BenchPage, form: F, take: Callable[[F, Stamp], object]) -> bool:
    """Hand a form to its action. True when it is taken, now or before; False leaves the reason in the form."""

    def act(key: joint.Key) -> object:
        return take(form, {"job": page.job, "by": request.user, "entry": key, "at": form.at})

    done = joint.taken(form, act)
    if done is None and form.is_bound:
        page.job.refresh_from_db()
    return done is not None


def refused(request: StaffRequest, page: BenchPage, button: Button[Any], form: PlainForm) -> HttpResponseBase:
    """The same page, or for a tablet the same panel, with what was typed and the sentence at its field; 422."""
    if not from_outbox(request):
        return render(request, "bench/job.html", context_of(page, wrong=(button, form)), status=422)
    context = context_of(page, wrong=(button, form), open_panel=button.name, only_open=True)
    return answered(request, render(request, "bench/parts/refused.html", context, status=422), form)


def taken_well(
    request: StaffRequest, page: BenchPage, *, said: str, then: str = "", stays: str = ""
) -> HttpResponseBase:
    """Back to the bench page, or to `then`; a tablet gets the word to load it.

    Where the panel `stays` open for the next one of its kind, the tablet gets the pieces that changed.
    """
    address = then or page.address
    if said and not (stays and from_outbox(request)):
        messages.success(request, said)
    if not from_outbox(request):
        return joint.see_other(request, address)
    if not stays:
        response = HttpResponse(status=200)
        response["X-Bench-Next"] = address
        return answered(request, response)
    context = context_of(page.anew(), open_panel=stays, only_open=True)
    return answered(request, render(request, "bench/parts/taken.html", context))


def posted(request: StaffRequest) -> QueryDict | None:
    """What was sent, for a form on a page of its own; None where the page is only asked for."""
    return request.POST if request.method == "POST" else None


def from_outbox(request: StaffRequest) -> bool:
    """Whether a tablet's outbox sent this."""
    return ENTRY in request.headers


def answered(request: StaffRequest, response: HttpResponse, form: PlainForm | None = None) -> HttpResponse:
    """Tell the outbox which entry this answer is for: any other answer, such as a page to sign in, takes nothing."""
    response[ENTRY] = request.headers.get(ENTRY, "")[:64]
    if form is not None:
        response[REASON] = quote(first_sentence(form))[:900]
    return response


def first_sentence(form: PlainForm) -> str:
    """The first sentence of what is wrong with a form."""
    return next((str(one) for errors in form.errors.values() for one in errors), "This was not taken.")


def page_of_its_own(
    request: StaffRequest, template: str, page: BenchPage, form: Any, **more: object
) -> HttpResponseBase:
    """A form that stands on a page of its own; 422 with its reason when it was refused."""
    context = {
        "page": page,
        "job": page.job,
        "form": form,
        "csrf_cookie": settings.CSRF_COOKIE_NAME,
        **more,
    }
    response = render(request, template, context, status=422 if form.is_bound else 200)
    if from_outbox(request) and form.is_bound:
        return answered(request, response, form)
    return response
