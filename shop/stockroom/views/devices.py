"""Measured devices of one part: kept, paired, fitted as a set."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from shop.frame.doors import StaffRequest
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
from shop.handbook.matching import Basis
from shop.stockroom import actions, queries
from shop.stockroom.forms.devices import DeviceForm, FitDevicesForm, PairForm
from shop.stockroom.models import MatchedDevice, Part
from shop.stockroom.queries.devices import MatchingError, devices_of, pairs_of, pick
from shop.stockroom.views.pages import in_the_stockroom, page


@require_safe
@in_the_stockroom
def devices(request: StaffRequest, pk: int) -> HttpResponse:
    """What is kept for matching, and the pairs that were asked for."""
    return _devices_page(request, get_object_or_404(queries.whole_parts(), pk=pk))


@require_POST
@in_the_stockroom
def keep_device(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Write down what a device measures."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form = DeviceForm(request.POST)
    if form.is_valid():
        try:
            kept = form.taken_by(
                actions.keep_device, part=part, by=request.user, once_key=form.once_key, **form.values()
            )
        except AlreadyTaken:
            return redirect("stockroom:devices", pk)
        if kept is not None:
            messages.success(request, f"{kept.label} is written down.")
            return redirect("stockroom:devices", pk)
    return _devices_page(request, part, device_form=form)


@require_POST
@in_the_stockroom
def fit_devices(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Fit a matched set on a job."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form = FitDevicesForm(request.POST)
    chosen = pick(request.POST.getlist("device")[:20])
    if form.is_valid():
        try:
            fitted = form.taken_by(
                actions.fit_devices,
                devices=chosen,
                job=form.cleaned_data["job"],
                position=form.cleaned_data["position"],
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken:
            return redirect("stockroom:devices", pk)
        if fitted is not None:
            messages.success(request, f"Fitted on {form.cleaned_data['job'].number}.")
            return redirect("stockroom:devices", pk)
    return _devices_page(request, part, fit_form=form, chosen=chosen)


@require_POST
@in_the_stockroom
def discard_device(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A measured device is not there any more."""
    device = get_object_or_404(MatchedDevice.objects.select_related("part"), pk=pk)
    try:
        actions.discard_device(device=device, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, f"{device.label} is kept no longer.")
    return redirect("stockroom:devices", device.part_id)


def _devices_page(
    request: StaffRequest, part: Part, *, chosen: list[MatchedDevice] | None = None, **forms: Any
) -> HttpResponse:
    asked = "within" in request.GET
    pair_form = PairForm(request.GET if asked else None)
    pairs, sentence = _pairs(part, pair_form) if asked and pair_form.is_valid() else ([], "")
    context = {
        "part": part,
        "devices": devices_of(part),
        "pair_form": pair_form,
        "asked": asked and pair_form.is_valid(),
        "pairs": [
            {"found": found, "form": FitDevicesForm(auto_id=f"pair{at}_%s")} for at, found in enumerate(pairs)
        ],
        "sentence": sentence,
        "chosen": chosen,
        "device_form": DeviceForm(),
        "fit_form": FitDevicesForm(),
    }
    return page(
        request,
        "stockroom/devices.html",
        context | forms,
        refused=bool(forms) or (asked and not pair_form.is_valid()),
    )


def _pairs(part: Part, form: PairForm) -> tuple[list[Any], str]:
    data = form.cleaned_data
    volts = data["vbe_within"] / Decimal(1000) if data["vbe_within"] is not None else None
    try:
        found = pairs_of(
            part,
            within_percent=data["within"],
            vbe_within_volt=volts,
            wanted=data["wanted"],
            basis=Basis(data["basis"] or Basis.OF_LOWER.value),
            other=data["other"],
        )
    except MatchingError as error:
        return [], str(error)
    return found, ""
