"""The shop's own tables: boxes, and the owner's carriers with their rules and rates."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.dispatch import actions, measures, queries
from shop.dispatch.forms.tables import BoxForm, CarrierForm, CarrierRuleForm
from shop.dispatch.models import Box, Carrier, CarrierRule
from shop.dispatch.views.pages import at_dispatch, of_the_owner, page
from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.profile import the_profile
from shop.handbook.parcels import DIM_RULES, GROUPS

BOXES, CARRIERS = "dispatch:boxes", "dispatch:carriers"


@require_http_methods(["GET", "HEAD", "POST"])
@at_dispatch
def boxes(request: StaffRequest) -> HttpResponseBase:
    """The boxes that the shop keeps, and a form for another."""
    form = BoxForm(request.POST or None)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_box(**form.facts(), by=request.user, once_key=key),
        then=reverse(BOXES),
        said=lambda box: f"{box} is written down.",
        page=lambda: _boxes_page(request, form),
    )


def _boxes_page(request: StaffRequest, form: BoxForm) -> HttpResponse:
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
    box, form = get_object_or_404(Box, pk=pk), PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.retire_box(box=box, by=request.user, once_key=key),
        then=reverse(BOXES),
        said="It is not kept any more.",
        page=lambda: joint.sent_back(request, form, reverse(BOXES)),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def carriers(request: StaffRequest) -> HttpResponseBase:
    """Carriers the shop uses, and a form for another."""
    form = CarrierForm(request.POST or None)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_carrier(**form.facts(), by=request.user, once_key=key),
        then=_address,
        said=lambda carrier: f"{carrier} is written down. Now its rule.",
        page=lambda: _carriers_page(request, form),
    )


def _carriers_page(request: StaffRequest, form: CarrierForm) -> HttpResponse:
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
    return joint.answer(
        request,
        form,
        lambda key: actions.change_carrier(
            carrier=known,
            retired="retired" in request.POST,
            **form.facts(),
            by=request.user,
            once_key=key,
        ),
        then=_address(pk),
        said="Corrected.",
        page=lambda: _carrier_page(request, get_object_or_404(Carrier, pk=pk), form=form),
    )


@require_POST
@of_the_owner
def add_rule(request: StaffRequest, pk: int) -> HttpResponseBase:
    """How it weighs and prices from a day on."""
    known = get_object_or_404(Carrier, pk=pk)
    form = CarrierRuleForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_carrier_rule(carrier=known, **form.facts(), by=request.user, once_key=key),
        then=_address(pk),
        said="The rule is written down.",
        page=lambda: _carrier_page(request, known, rule_form=form),
    )


@require_POST
@of_the_owner
def withdraw_rule(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take back a rule that does not hold yet."""
    rule = get_object_or_404(CarrierRule.objects.select_related("carrier"), pk=pk)
    form, back = PlainForm(request.POST), _address(rule.carrier_id)
    return joint.answer(
        request,
        form,
        lambda key: actions.withdraw_carrier_rule(rule=rule, by=request.user, once_key=key),
        then=back,
        said="That rule is taken back.",
        page=lambda: joint.sent_back(request, form, back),
    )


def _address(pk: int) -> str:
    return reverse("dispatch:carrier", args=[pk])


def _carrier_page(request: StaffRequest, carrier: Carrier, **forms: object) -> HttpResponse:
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


def _from_handbook(like: str) -> dict[str, object]:
    """The facts of one of the handbook's rules, to begin from; the shop checks them against its tariff."""
    if not (like.isascii() and like.isdigit() and len(like) < 4 and int(like) < len(DIM_RULES)):
        return {"units": measures.by_measure("in_lb", "cm_kg")}
    rule = DIM_RULES[int(like)]
    return {
        "from_date": rule.since,
        "units": "cm_kg" if rule.size_unit == "cm" else "in_lb",
        "divisor": f"{rule.divisor:f}",
        "rounding": rule.sides,
        "threshold": f"{rule.over_volume:f}" if rule.over_volume is not None else "",
        "source": f"{rule.source}{' (check the tariff)' if rule.from_memory and 'check' not in rule.source else ''}"[
            :200
        ],
    }
