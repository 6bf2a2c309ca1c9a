"""Parcels that come in: which are on their way, and what is done when one comes damaged."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import InboundParcel
from shop.dispatch import actions, queries
from shop.dispatch.forms.tables import DamageForm, InboundPhotosForm
from shop.dispatch.views.pages import at_dispatch, page
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal

TAB = "dispatch:inbound"


@require_safe
@at_dispatch
def inbound(request: StaffRequest) -> HttpResponse:
    """What is on its way, what stands here unopened, and what came damaged."""
    context = {
        "coming": queries.inbound_coming()[:100],
        "unopened": queries.inbound_unopened()[:100],
        "damaged": queries.inbound_damaged()[:50],
    }
    return page(request, "dispatch/inbound.html", context, tab=TAB)


@require_safe
@at_dispatch
def inbound_parcel(request: StaffRequest, pk: int) -> HttpResponse:
    """One parcel that came or is coming: its units, photographs of the packing, reports to the carrier."""
    return _inbound_page(request, get_object_or_404(queries.whole_inbound(), pk=pk))


@require_POST
@at_dispatch
def note_arrived(request: StaffRequest, pk: int) -> HttpResponseBase:
    """It stands here, not opened yet."""
    parcel = get_object_or_404(queries.whole_inbound(), pk=pk)
    try:
        actions.note_arrived(inbound=parcel, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "Here. Photograph the box before you open it.")
    return redirect("dispatch:inbound_parcel", pk)


@require_POST
@at_dispatch
def photograph(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep photographs of the packing."""
    parcel = get_object_or_404(queries.whole_inbound(), pk=pk)
    form = InboundPhotosForm(request.POST, request.FILES)
    if form.is_valid():
        data = form.cleaned_data
        try:
            kept = form.taken_by(
                actions.photograph_packing,
                inbound=parcel,
                photos=data["photos"],
                caption=data["caption"],
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken:
            return redirect("dispatch:inbound_parcel", pk)
        if kept is not None:
            messages.success(request, "Kept with the job.")
            return redirect("dispatch:inbound_parcel", pk)
    return _inbound_page(request, parcel, photos_form=form)


@require_POST
@at_dispatch
def report_damage(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue the report for the claim."""
    parcel = get_object_or_404(queries.whole_inbound(), pk=pk)
    form = DamageForm(request.POST)
    if form.is_valid():
        data = form.cleaned_data
        try:
            report = form.taken_by(
                actions.issue_damage_report,
                inbound=parcel,
                found=data["found"],
                claimed_minor=data["claimed"],
                pictures=queries.packing_pictures(parcel),
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken:
            return redirect("dispatch:inbound_parcel", pk)
        if report is not None:
            return redirect("premises:paper", report.paper_id)
    return _inbound_page(request, parcel, damage_form=form)


def _inbound_page(request: StaffRequest, parcel: InboundParcel, **forms: PlainForm) -> HttpResponse:
    context = {
        "parcel": parcel,
        "jobs": queries.jobs_in_inbound(parcel),
        "pictures": queries.packing_pictures(parcel),
        "reports": queries.damage_reports_of(parcel),
        "claim_by": queries.claim_by(parcel),
        "photos_form": InboundPhotosForm(),
        "damage_form": DamageForm(initial={"found": parcel.packing_note}),
    }
    return page(request, "dispatch/inbound_parcel.html", context | forms, tab=TAB, refused=bool(forms))
