"""Suppliers, and the owner's price rules."""

from __future__ import annotations

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.profile import the_profile
from shop.stockroom import actions
from shop.stockroom.forms.orders import SupplierForm
from shop.stockroom.forms.prices import PriceRuleForm
from shop.stockroom.models import PriceRule, Supplier
from shop.stockroom.pricing import bands_in_words, examples_of
from shop.stockroom.views.pages import in_the_stockroom, of_the_owner, page

SUPPLIERS, PRICES = "stockroom:suppliers", "stockroom:prices"


@require_safe
@in_the_stockroom
def suppliers(request: StaffRequest) -> HttpResponse:
    """Everybody parts come from."""
    context = {"suppliers": Supplier.objects.order_by("name")[:500]}
    return page(request, "stockroom/suppliers.html", context, tab=SUPPLIERS)


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_stockroom
def add_supplier(request: StaffRequest) -> HttpResponseBase:
    """Write a supplier down, and go back to the order list for whoever came from there."""
    form = SupplierForm(request.POST or None)
    to_order = request.GET.get("for") == "order"
    return joint.answer(
        request,
        form,
        lambda key: actions.add_supplier(**form.facts(), by=request.user, once_key=key),
        then=reverse("stockroom:order_list" if to_order else SUPPLIERS),
        said=lambda added: f"{added} is written down.",
        page=lambda: _supplier_page(request, {"form": form}, refused=form.is_bound),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_stockroom
def supplier(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put right what is known of a supplier."""
    known = get_object_or_404(Supplier, pk=pk)
    names = ("name", "email", "phone", "our_account", "lead_days", "address", "note")
    form = SupplierForm(request.POST or None, initial={name: getattr(known, name) for name in names})
    return joint.answer(
        request,
        form,
        lambda key: actions.change_supplier(supplier=known, **form.facts(), by=request.user, once_key=key),
        then=reverse(SUPPLIERS),
        said="Corrected.",
        page=lambda: _supplier_page(
            request,
            {"form": form, "supplier": get_object_or_404(Supplier, pk=pk)},
            refused=form.is_bound,
        ),
    )


def _supplier_page(request: StaffRequest, context: dict[str, object], *, refused: bool) -> HttpResponse:
    return page(request, "stockroom/supplier.html", context, tab=SUPPLIERS, refused=refused)


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def prices(request: StaffRequest) -> HttpResponseBase:
    """What parts cost the customer, from which day, and a form for the next rule."""
    form = PriceRuleForm(request.POST or None)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_price_rule(
            from_date=form.cleaned_data["from_date"],
            bands=form.bands(),
            rounding=form.cleaned_data["rounding"],
            by=request.user,
            once_key=key,
        ),
        then=reverse(PRICES),
        said="The rule is written down.",
        page=lambda: _prices_page(request, form),
    )


def _prices_page(request: StaffRequest, form: PriceRuleForm) -> HttpResponse:
    currency = the_profile().currency
    rules = list(PriceRule.objects.order_by("-from_date")[:50])
    holding = next((rule for rule in rules if rule.from_date <= clock.today()), None)
    context = {
        "form": form,
        "rules": [
            {"rule": rule, "bands": bands_in_words(rule, currency), "examples": examples_of(rule, currency)}
            for rule in rules
        ],
        "holding": holding,
        "today": clock.today(),
        "currency": currency,
    }
    return page(request, "stockroom/prices.html", context, tab=PRICES, refused=form.is_bound)


@require_POST
@of_the_owner
def withdraw_price_rule(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take back a rule that does not hold yet."""
    rule = get_object_or_404(PriceRule, pk=pk)
    form = PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.withdraw_price_rule(rule=rule, by=request.user, once_key=key),
        then=reverse(PRICES),
        said="That rule is taken back.",
        page=lambda: joint.sent_back(request, form, reverse(PRICES)),
    )
