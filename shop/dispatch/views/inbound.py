"""Parcels that come in: which are on their way, and what is done when one comes damaged."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import InboundParcel
from shop.dispatch import actions, queries
from shop.dispatch.forms.tables import DamageForm, InboundPhotosForm
from shop.dispatch.views.pages import at_dispatch, page
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm

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
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.note_arrived(inbound=parcel, by=request.user, once_key=key),
        then=_address(pk),
        said="Here. Photograph the box before you open it.",
        page=lambda: joint.sent_back(request, form, _address(pk)),
    )


@require_POST
@at_dispatch
def photograph(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep photographs of the packing."""
    parcel = get_object_or_404(queries.whole_inbound(), pk=pk)
    form = InboundPhotosForm(request.POST, request.FILES)
    return joint.answer(
        request,
        form,
        lambda key: actions.photograph_packing(
            inbound=parcel,
            photos=form.cleaned_data["photos"],
            caption=form.cleaned_data["caption"],
            by=request.user,
            once_key=key,
        ),
        then=_address(pk),
        said="Kept with the job.",
        page=lambda: _inbound_page(request, parcel, photos_form=form),
    )


@require_POST
@at_dispatch
def report_damage(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Issue the report for the claim."""
    parcel = get_object_or_404(queries.whole_inbound(), pk=pk)
    form = DamageForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.issue_damage_report(
            inbound=parcel,
            found=form.cleaned_data["found"],
            claimed_minor=form.cleaned_data["claimed"],
            pictures=queries.packing_pictures(parcel),
            by=request.user,
            once_key=key,
        ),
        then=lambda made: reverse("premises:paper", args=[queries.paper_of_report(made)]),
        page=lambda: _inbound_page(request, parcel, damage_form=form),
    )


def _address(pk: int) -> str:
    return reverse("dispatch:inbound_parcel", args=[pk])


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
