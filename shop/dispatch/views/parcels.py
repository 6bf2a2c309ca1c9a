"""One parcel: what to see to, its label and slip, handing it over, where it is."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.counter.moving import held_back
from shop.counter.stages import Stage
from shop.dispatch import actions, queries
from shop.dispatch.advice import advice_for, cautions_for, weight_of
from shop.dispatch.forms import HandOverForm, LostForm
from shop.dispatch.models import Parcel
from shop.dispatch.papers import ADDRESS_LABEL, address_labels
from shop.dispatch.tracking import tracking_link
from shop.dispatch.views.pages import at_dispatch
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.refusal import Refusal
from shop.press.labelling import WhereForm


@require_safe
@at_dispatch
def parcel(request: StaffRequest, pk: int) -> HttpResponse:
    """One parcel and the next step."""
    return _parcel_page(request, get_object_or_404(queries.whole_parcels(), pk=pk))


@require_safe
@at_dispatch
def label(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The label on the parcel as PDF, on the roll or on a sheet that was begun."""
    parcel = get_object_or_404(queries.whole_parcels(), pk=pk)
    form = WhereForm(request.GET)
    if not form.is_valid():
        return _parcel_page(request, parcel, where_form=form)
    jobs = [link.job for link in parcel.job_links.all()]
    try:
        pdf = form.pdf(
            ADDRESS_LABEL,
            lambda width, height: address_labels(parcel, jobs, width, height),
            title=f"Label for parcel {parcel.pk}",
        )
    except Refusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        return _parcel_page(request, parcel, where_form=form)
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="label-{parcel.pk}.pdf"'},
    )


@require_POST
@at_dispatch
def issue_slip(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue the return slip, or open the one that was issued."""
    parcel = get_object_or_404(queries.whole_parcels(), pk=pk)
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.issue_slip(parcel=parcel, by=request.user, once_key=key),
        then=lambda made: reverse("premises:paper", args=[made]),
        page=lambda: _parcel_page(request, parcel, wrong=form),
    )


@require_POST
@at_dispatch
def hand_over(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Give the parcel to the carrier: its units have gone home."""
    parcel = get_object_or_404(queries.whole_parcels(), pk=pk)
    form = HandOverForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.hand_over(
            parcel=parcel,
            carrier=form.cleaned_data["carrier"],
            tracking=form.cleaned_data["tracking"],
            tell=form.cleaned_data["tell"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("dispatch:parcel", args=[pk]),
        said=lambda _: f"On its way to its owner.{_told(parcel, form)}",
        page=lambda: _parcel_page(request, parcel, hand_over_form=form),
    )


def _told(parcel: Parcel, form: HandOverForm) -> str:
    told = form.cleaned_data["tell"] and parcel.customer.email
    return " A letter to the customer is in the outbox." if told else ""


@require_POST
@at_dispatch
def unpack(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Open the parcel again before it leaves."""
    parcel, form = get_object_or_404(queries.whole_parcels(), pk=pk), PlainForm(request.POST)
    return _on_parcel(
        request,
        parcel,
        form,
        lambda key: actions.unpack(parcel=parcel, by=request.user, once_key=key),
        said="Opened again.",
    )


@require_POST
@at_dispatch
def note_delivered(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The carrier says that it was delivered."""
    parcel, form = get_object_or_404(queries.whole_parcels(), pk=pk), PlainForm(request.POST)
    return _on_parcel(
        request,
        parcel,
        form,
        lambda key: actions.note_delivered(parcel=parcel, by=request.user, once_key=key),
        said="Delivered.",
    )


@require_POST
@at_dispatch
def note_lost(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The carrier has lost it."""
    parcel, form = get_object_or_404(queries.whole_parcels(), pk=pk), LostForm(request.POST)
    return _on_parcel(
        request,
        parcel,
        form,
        lambda key: actions.note_lost(
            parcel=parcel, tell=form.cleaned_data["tell"], by=request.user, once_key=key
        ),
        said="Noted as lost.",
    )


def _on_parcel(
    request: StaffRequest,
    parcel: Parcel,
    form: PlainForm,
    action: Callable[[joint.Key], object],
    *,
    said: str,
) -> HttpResponseBase:
    return joint.answer(
        request,
        form,
        action,
        then=reverse("dispatch:parcel", args=[parcel.pk]),
        said=said,
        page=lambda: _parcel_page(request, parcel, wrong=form),
    )


def _parcel_page(request: StaffRequest, parcel: Parcel, **forms: object) -> HttpResponse:
    if forms:  # what was refused may have touched the parcel in memory: the page tells what is written
        parcel = queries.whole_parcels().get(pk=parcel.pk)
    jobs = [link.job for link in parcel.job_links.all()]
    waiting = parcel.handed_over_at is None and parcel.unpacked_at is None
    told = bool(parcel.customer.email)
    context = {
        "parcel": parcel,
        "jobs": jobs,
        "waiting": waiting,
        "advice": advice_for(parcel, jobs, on=clock.today()) if waiting else [],
        "cautions": cautions_for(jobs, weight_of(parcel)) if waiting else [],
        "held_back": [sentence for one in jobs for sentence in held_back(one, Stage.GONE_HOME)]
        if waiting
        else [],
        "link": tracking_link(parcel.tracking, parcel.carrier),
        "hand_over_form": HandOverForm(
            initial={"carrier": parcel.carrier, "tracking": parcel.tracking, "tell": told}
        ),
        "lost_form": LostForm(initial={"tell": told}),
        "where_form": WhereForm(),
        "told": told,
    }
    return render(request, "dispatch/parcel.html", context | forms, status=422 if forms else 200)
