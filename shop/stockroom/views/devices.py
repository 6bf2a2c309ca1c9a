"""Measured devices of one part: kept, paired, fitted as a set."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
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
    return joint.answer(
        request,
        form,
        lambda key: actions.keep_device(part=part, **form.facts(), by=request.user, once_key=key),
        then=_address(pk),
        said=lambda kept: f"{kept.label} is written down.",
        page=lambda: _devices_page(request, part, device_form=form),
    )


@require_POST
@in_the_stockroom
def fit_devices(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Fit a matched set on a job."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form = FitDevicesForm(request.POST)
    chosen = pick(request.POST.getlist("device")[:20])
    return joint.answer(
        request,
        form,
        lambda key: actions.fit_devices(
            devices=chosen,
            job=form.cleaned_data["job"],
            position=form.cleaned_data["position"],
            by=request.user,
            once_key=key,
        ),
        then=_address(pk),
        said=lambda _: f"Fitted on {form.cleaned_data['job'].number}.",
        page=lambda: _devices_page(request, part, fit_form=form, chosen=chosen),
    )


@require_POST
@in_the_stockroom
def discard_device(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A measured device is not there any more."""
    device = get_object_or_404(MatchedDevice.objects.select_related("part"), pk=pk)
    form, back = PlainForm(request.POST), _address(device.part_id)
    return joint.answer(
        request,
        form,
        lambda key: actions.discard_device(device=device, by=request.user, once_key=key),
        then=back,
        said=f"{device.label} is kept no longer.",
        page=lambda: joint.sent_back(request, form, back),
    )


def _address(pk: int) -> str:
    return reverse("stockroom:devices", args=[pk])


def _devices_page(
    request: StaffRequest, part: Part, *, chosen: list[MatchedDevice] | None = None, **forms: object
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
