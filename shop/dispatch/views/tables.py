"""The shop's own tables: boxes, and the owner's carriers with their rules and rates."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.dispatch import actions, measures, queries
from shop.dispatch.forms.tables import BoxForm, CarrierForm, CarrierRuleForm
from shop.dispatch.models import Box, Carrier, CarrierRule
from shop.dispatch.views.pages import at_dispatch, of_the_owner, page
from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.once import AlreadyTaken
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook.parcels import DIM_RULES, GROUPS

BOXES, CARRIERS = "dispatch:boxes", "dispatch:carriers"


@require_http_methods(["GET", "HEAD", "POST"])
@at_dispatch
def boxes(request: StaffRequest) -> HttpResponseBase:
    """The boxes that the shop keeps, and a form for another."""
    form = BoxForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = form.taken_by(actions.add_box, by=request.user, once_key=form.once_key, **form.values())
        except AlreadyTaken:
            return redirect(BOXES)
        if added is not None:
            messages.success(request, f"{added} is written down.")
            return redirect(BOXES)
    context = {
        "form": form,
        "boxes": Box.objects.filter(retired_at=None).order_by("name")[:200],
        "imperial": the_profile().measures == "imperial",
    }
    return page(request, "dispatch/boxes.html", context, tab=BOXES, refused=form.is_bound)


@require_POST
@at_dispatch
def retire_box(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The box is not kept any more."""
    try:
        actions.retire_box(box=get_object_or_404(Box, pk=pk), by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "It is not kept any more.")
    return redirect(BOXES)


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def carriers(request: StaffRequest) -> HttpResponseBase:
    """Whom the shop sends with, and a form for another."""
    form = CarrierForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            added = form.taken_by(
                actions.add_carrier, by=request.user, once_key=form.once_key, **form.values()
            )
        except AlreadyTaken:
            return redirect(CARRIERS)
        if added is not None:
            messages.success(request, f"{added} is written down. Now its rule.")
            return redirect("dispatch:carrier", added.pk)
    context = {"form": form, "carriers": queries.carriers_with_rules(clock.today())}
    return page(request, "dispatch/carriers.html", context, tab=CARRIERS, refused=form.is_bound)


@require_safe
@of_the_owner
def carrier(request: StaffRequest, pk: int) -> HttpResponse:
    """One carrier: what is known of it, and its rules by day."""
    return _carrier_page(request, get_object_or_404(Carrier, pk=pk))


@require_POST
@of_the_owner
def change_carrier(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put right what is known of a carrier."""
    known = get_object_or_404(Carrier, pk=pk)
    form = CarrierForm(request.POST)
    if form.is_valid():
        try:
            changed = form.taken_by(
                actions.change_carrier,
                carrier=known,
                by=request.user,
                once_key=form.once_key,
                retired="retired" in request.POST,
                **form.values(),
            )
        except AlreadyTaken:
            return redirect("dispatch:carrier", pk)
        if changed is not None:
            messages.success(request, "Put right.")
            return redirect("dispatch:carrier", pk)
    return _carrier_page(request, get_object_or_404(Carrier, pk=pk), form=form)


@require_POST
@of_the_owner
def add_rule(request: StaffRequest, pk: int) -> HttpResponseBase:
    """How it weighs and prices from a day on."""
    known = get_object_or_404(Carrier, pk=pk)
    form = CarrierRuleForm(request.POST)
    if form.is_valid():
        try:
            added = form.taken_by(
                actions.add_carrier_rule,
                carrier=known,
                by=request.user,
                once_key=form.once_key,
                **form.values(),
            )
        except AlreadyTaken:
            return redirect("dispatch:carrier", pk)
        if added is not None:
            messages.success(request, "The rule is written down.")
            return redirect("dispatch:carrier", pk)
    return _carrier_page(request, known, rule_form=form)


@require_POST
@of_the_owner
def withdraw_rule(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take back a rule that does not hold yet."""
    rule = get_object_or_404(CarrierRule.objects.select_related("carrier"), pk=pk)
    try:
        actions.withdraw_carrier_rule(rule=rule, today=clock.today(), by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "That rule is taken back.")
    return redirect("dispatch:carrier", rule.carrier_id)


def _carrier_page(request: StaffRequest, carrier: Carrier, **forms: Any) -> HttpResponse:
    names = ("name", "tracking_link", "claim_days", "checks_s10")
    today = clock.today()
    rules = list(CarrierRule.objects.filter(carrier=carrier).order_by("-from_date")[:50])
    context = {
        "carrier": carrier,
        "rules": rules,
        "holding": next((rule for rule in rules if rule.from_date <= today), None),
        "today": today,
        "currency": the_profile().currency,
        "known_rules": [
            {"at": at, "group": GROUPS[rule.group], "rule": rule} for at, rule in enumerate(DIM_RULES)
        ],
        "form": CarrierForm(initial={name: getattr(carrier, name) for name in names}),
        "rule_form": CarrierRuleForm(initial=_from_handbook(request.GET.get("like", "")), auto_id="rule_%s"),
    }
    return page(request, "dispatch/carrier.html", context | forms, tab=CARRIERS, refused=bool(forms))


def _from_handbook(like: str) -> dict[str, Any]:
    """The facts of one of the handbook's rules, to begin from; the shop checks them against its tariff."""
    if not (like.isascii() and like.isdigit() and int(like) < len(DIM_RULES)):
        return {"units": measures.by_measure("in_lb", "cm_kg")}
    rule = DIM_RULES[int(like)]
    return {
        "from_date": rule.since,
        "units": "cm_kg" if rule.size_unit == "cm" else "in_lb",
        "divisor": f"{rule.divisor:f}",
        "rounding": rule.sides,
        "threshold": f"{rule.over_volume:f}" if rule.over_volume is not None else "",
        "source": f"{rule.source}{' (from memory)' if rule.from_memory and 'memory' not in rule.source else ''}"[
            :200
        ],
    }
