"""The owner's pages: how the office reckons, each thing from a day on."""

from __future__ import annotations

from itertools import groupby

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.frame import clock, joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm, whole_number
from shop.frame.models import Role
from shop.frame.profile import the_profile
from shop.frame.tabs import Tab, Tabs
from shop.office import actions, pricing
from shop.office.forms.rules import (
    EndRulesForm,
    FlatPriceForm,
    RatesForm,
    ReadyMadeForm,
    RulesForm,
    TaxRuleForm,
)
from shop.office.models import FlatPrice, LabourRate, OfficeRules, TaxRule

of_the_owner = for_roles(Role.OWNER)
TABS = Tabs(
    "How the office calculates",
    (
        Tab("Office rules", "office:rules"),
        Tab("Hourly rates", "office:rates"),
        Tab("Flat prices", "office:flat_prices"),
        Tab("Taxes", "office:taxes"),
    ),
)


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def rules(request: StaffRequest) -> HttpResponseBase:
    """Rounding, minimum charge, how long estimates stand, what papers are made."""
    form = RulesForm(request.POST) if request.method == "POST" else RulesForm.of_today()
    return joint.answer(
        request,
        form,
        lambda key: actions.set_rules(**form.facts(), by=request.user, once_key=key),
        then=reverse("office:rules"),
        said="The rules are set.",
        page=lambda: _rules_page(request, form),
    )


def _rules_page(request: StaffRequest, form: RulesForm) -> HttpResponse:
    context = {
        "form": form,
        "holding": pricing.rules_on(clock.today()),
        "all_rules": OfficeRules.objects.all()[:12],
    }
    return _page(request, "office/rules.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def rates(request: StaffRequest) -> HttpResponseBase:
    """What an hour costs, by kind of work."""
    form = RatesForm(request.POST) if request.method == "POST" else RatesForm.of_today()
    return joint.answer(
        request,
        form,
        lambda key: actions.set_rates(
            from_date=form.cleaned_data["from_date"], rates=form.typed(), by=request.user, once_key=key
        ),
        then=joint.way_back(request, reverse("office:rates")),
        said="The rates are set.",
        page=lambda: _rates_page(request, form),
    )


def _rates_page(request: StaffRequest, form: RatesForm) -> HttpResponse:
    context = {"form": form, "earlier": LabourRate.objects.order_by("-from_date", "kind")[:40]}
    return _page(request, "office/rates.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def flat_prices(request: StaffRequest) -> HttpResponseBase:
    """Fixed prices for common work, and a form for another."""
    form = FlatPriceForm(request.POST or None)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_flat_price(
            name=form.cleaned_data["name"],
            price_ten_thousandths=form.cleaned_data["price"],
            covers=form.cleaned_data["covers"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("office:flat_prices"),
        said="It is offered on estimates from now on.",
        page=lambda: _flat_page(request, form),
    )


@require_POST
@of_the_owner
def change_flat_price(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Change what common work costs."""
    flat = get_object_or_404(FlatPrice, pk=pk)
    form = FlatPriceForm(request.POST, prefix=f"f{pk}")
    del form.fields["name"]
    return joint.answer(
        request,
        form,
        lambda key: actions.change_flat_price(
            flat=flat,
            price_ten_thousandths=form.cleaned_data["price"],
            covers=form.cleaned_data["covers"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("office:flat_prices"),
        said="Changed; what was written before stays as it is.",
        page=lambda: _flat_page(request, FlatPriceForm(), wrong=(pk, form)),
    )


@require_POST
@of_the_owner
def retire_flat_price(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Offer it no more."""
    flat, form = get_object_or_404(FlatPrice, pk=pk), PlainForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.retire_flat_price(flat=flat, by=request.user, once_key=key),
        then=reverse("office:flat_prices"),
        said="It is not offered any more.",
        page=lambda: joint.sent_back(request, form, reverse("office:flat_prices")),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def taxes(request: StaffRequest) -> HttpResponseBase:
    """The tax rules with their days and sources, and a form for another."""
    form = TaxRuleForm(request.POST or None, initial={"from_date": clock.today()})
    return joint.answer(
        request,
        form,
        lambda key: actions.add_tax_rule(**form.facts(), by=request.user, once_key=key),
        then=joint.way_back(request, reverse("office:taxes")),
        said="The rule is entered.",
        page=lambda: _tax_page(request, form=form),
    )


@require_POST
@of_the_owner
def start_with(request: StaffRequest) -> HttpResponseBase:
    """Enter a ready-made set."""
    form = ReadyMadeForm(request.POST, prefix="set")
    return joint.answer(
        request,
        form,
        lambda key: actions.start_with(ready_made=form.cleaned_data["rules"], by=request.user, once_key=key),
        then=joint.way_back(request, reverse("office:taxes")),
        said="The rules are entered.",
        page=lambda: _tax_page(request, set_form=form),
    )


@require_POST
@of_the_owner
def end_rules(request: StaffRequest) -> HttpResponseBase:
    """Let rules end on a day."""
    keys = [whole_number(key) for key in request.POST.getlist("rule")[:20]]
    rows = list(TaxRule.objects.filter(pk__in=[key for key in keys if key is not None]))
    if not rows:
        return redirect("office:taxes")
    form = EndRulesForm(request.POST, prefix=f"end{rows[0].pk}")
    return joint.answer(
        request,
        form,
        lambda key: actions.end_tax_rules(
            rules=rows, to_date=form.cleaned_data["to_date"], by=request.user, once_key=key
        ),
        then=reverse("office:taxes"),
        said="The rule ends.",
        page=lambda: _tax_page(request, wrong=(rows[0].pk, form)),
    )


def _flat_page(
    request: StaffRequest, form: FlatPriceForm, *, wrong: tuple[int, FlatPriceForm] | None = None
) -> HttpResponse:
    offered = FlatPrice.objects.filter(retired_at__isnull=True).order_by("name")
    rows = [(flat, wrong[1] if wrong and wrong[0] == flat.pk else FlatPriceForm.of(flat)) for flat in offered]
    context = {"form": form, "rows": rows, "retired": FlatPrice.objects.filter(retired_at__isnull=False)[:40]}
    return _page(request, "office/flat_prices.html", context, wrong=bool(wrong))


def _tax_page(
    request: StaffRequest,
    *,
    form: TaxRuleForm | None = None,
    set_form: ReadyMadeForm | None = None,
    wrong: tuple[int, EndRulesForm] | None = None,
) -> HttpResponse:
    def alike(rule: TaxRule) -> tuple[object, ...]:
        return (rule.from_date, rule.to_date, rule.name, rule.rate, str(rule.rate_percent), rule.category)

    rows = list(TaxRule.objects.order_by("-from_date", "name", "rate", "id")[:200])
    groups = []
    rows.sort(key=lambda rule: (-rule.from_date.toordinal(), *map(str, alike(rule))))
    for _, found in groupby(rows, alike):
        rules = list(found)
        sent = wrong is not None and wrong[0] == rules[0].pk
        end = wrong[1] if wrong is not None and sent else EndRulesForm(prefix=f"end{rules[0].pk}")
        groups.append((rules, end))
    context = {
        "form": form or TaxRuleForm(initial={"from_date": clock.today()}),
        "set_form": set_form or ReadyMadeForm(prefix="set", initial={"starts": clock.today()}),
        "groups": groups,
        "today": clock.today(),
    }
    return _page(request, "office/taxes.html", context, wrong=bool(wrong))


def _page(
    request: StaffRequest, template: str, context: dict[str, object], *, wrong: bool = False
) -> HttpResponse:
    refused = wrong or any(
        isinstance(value, PlainForm) and value.is_bound and value.errors for value in context.values()
    )
    tabs = TABS.context(request.user, request.path)
    context = {**tabs, "currency": the_profile().currency, **context}
    return render(request, template, context, status=422 if refused else 200)
