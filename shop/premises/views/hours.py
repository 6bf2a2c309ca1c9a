"""The owner's page about time: hours at the bench, days off, and how promised dates are dealt with."""

from __future__ import annotations

import datetime as dt

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from shop.frame import clock, joint
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.handbook.dates.worked import PRIOR_WEEK
from shop.premises import actions, queries
from shop.premises.forms.shop import DaysOffForm, HoursForm, PromiseRulesForm
from shop.premises.models import BenchWeek, DaysOff
from shop.premises.views.pages import page

of_the_owner = for_roles(Role.OWNER)
SHOWN_BACK = dt.timedelta(days=30)


@require_http_methods(["GET", "HEAD", "POST"])
@of_the_owner
def hours(request: StaffRequest) -> HttpResponseBase:
    """Hours for the bench on each weekday."""
    form = HoursForm(request.POST or None, initial=_week_now())
    return joint.answer(
        request,
        form,
        lambda key: actions.set_hours(
            from_date=form.cleaned_data["from_date"], minutes=form.minutes, by=request.user, once_key=key
        ),
        then=reverse("premises:hours"),
        said="The hours are written down. Dates are calculated with them from now on.",
        page=lambda: _hours_page(request, form=form),
    )


def _week_now() -> dict[str, object]:
    week = queries.bench_week_on(clock.today())
    minutes = week.minutes if week is not None else [round(hours * 60) for hours in PRIOR_WEEK]
    return HoursForm.facts_of(minutes)


def _hours_page(
    request: StaffRequest,
    *,
    form: HoursForm | None = None,
    off_form: DaysOffForm | None = None,
    rules_form: PromiseRulesForm | None = None,
) -> HttpResponse:
    rules, today = queries.promise_rules(), clock.today()
    context = {
        "form": form or HoursForm(initial=_week_now()),
        "off_form": off_form or DaysOffForm(),
        "rules_form": rules_form
        or PromiseRulesForm(
            initial={
                "retell_days": rules.retell_days,
                "quiet_hour": rules.quiet_hour,
                "on_papers": rules.on_papers,
            }
        ),
        "weeks": BenchWeek.objects.all()[:12],
        "off": DaysOff.objects.filter(last__gte=today - SHOWN_BACK),
    }
    return page(request, "premises/hours.html", context)


@require_POST
@of_the_owner
def add_days_off(request: StaffRequest) -> HttpResponseBase:
    """Days on which nothing is done."""
    form = DaysOffForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.add_days_off(
            first=form.cleaned_data["first"],
            last=form.cleaned_data["last"],
            why=form.cleaned_data["why"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("premises:hours"),
        said="Written down. Dates are calculated without those days.",
        page=lambda: _hours_page(request, off_form=form),
    )


@require_POST
@of_the_owner
def take_back_days_off(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Days that are worked after all."""
    off, form, back = get_object_or_404(DaysOff, pk=pk), PlainForm(request.POST), reverse("premises:hours")
    return joint.answer(
        request,
        form,
        lambda key: actions.take_back_days_off(off=off, by=request.user, once_key=key),
        then=back,
        said="Taken back.",
        page=lambda: joint.sent_back(request, form, back),
    )


@require_POST
@of_the_owner
def set_promise_rules(request: StaffRequest) -> HttpResponseBase:
    """How promised dates are dealt with."""
    form = PromiseRulesForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: actions.set_promise_rules(
            retell_days=form.cleaned_data["retell_days"],
            on_papers=form.cleaned_data["on_papers"],
            quiet_hour=form.cleaned_data["quiet_hour"],
            by=request.user,
            once_key=key,
        ),
        then=reverse("premises:hours"),
        said="Kept.",
        page=lambda: _hours_page(request, rules_form=form),
    )
