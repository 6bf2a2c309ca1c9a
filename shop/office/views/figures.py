"""Figures for the books, as a page with a plot and as tables to save."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Iterable, Sequence
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.frame import clock, spelling
from shop.frame.cells import cell
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.frame.plots import Pair, pairs
from shop.frame.profile import the_profile
from shop.handbook.money import Money
from shop.office.forms.figures import PeriodForm
from shop.office.queries.figures import Figures, Period, figures


@require_safe
@for_roles(Role.OWNER)
def figures_page(request: StaffRequest) -> HttpResponse:
    """The figures of a period; of this year where none is named."""
    form, found = _asked(request)
    context: dict[str, Any] = {"form": form}
    if found is not None:
        context |= {"figures": found, "plot": _plot(found), "query": request.GET.urlencode()}
    return render(request, "office/figures.html", context, status=422 if found is None else 200)


@require_safe
@for_roles(Role.OWNER)
def figures_csv(request: StaffRequest) -> HttpResponse:
    """The same figures as a table: UTF-8 with commas, sums in major units with a decimal point, days as ISO 8601 dates."""
    form, found = _asked(request)
    if found is None:
        return render(request, "office/figures.html", {"form": form}, status=422)
    name = f"figures-{found.period.starts}-{found.period.ends}.csv"
    response = HttpResponse(
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
    csv.writer(response).writerows([cell(value) for value in row] for row in _rows(found))
    return response


def _asked(request: StaffRequest) -> tuple[PeriodForm, Figures | None]:
    today = clock.today()
    this_year = {"starts": today.replace(month=1, day=1), "ends": today}
    form = PeriodForm(request.GET) if "starts" in request.GET else PeriodForm(initial=this_year)
    if form.is_bound and not form.is_valid():
        return form, None
    asked = form.cleaned_data if form.is_bound else this_year
    period = Period(asked["starts"], asked["ends"])
    return form, figures(period, currency=the_profile().currency, today=today)


def _plot(found: Figures) -> str:
    bars = [
        Pair(
            label=_month_label(one.first, many=len(found.months) > 12),
            first=one.net.minor,
            second=one.came_in.minor,
            spoken=f"{spelling.month(one.first)}: invoiced {spelling.money(one.net)}, came in {spelling.money(one.came_in)}",
        )
        for one in found.months
    ]
    currency = found.net.currency

    def tick(minor: int) -> str:
        return spelling.amount(Money(minor, currency)).removesuffix(f"{spelling.decimal_mark()}00")

    return pairs(
        bars, title="Invoiced and taken by month", names=("Invoiced, before tax", "Received"), ticks_as=tick
    )


def _month_label(first: dt.date, *, many: bool) -> str:
    return f"{first:%m/%y}" if many else spelling.month_name(first)


def _rows(found: Figures) -> Iterable[Sequence[str]]:
    currency = found.net.currency
    yield ("section", "key", "net", "tax", "amount", "currency")
    for month in found.months:
        yield (
            "month",
            f"{month.first:%Y-%m}",
            month.net.plain,
            month.tax.plain,
            month.came_in.plain,
            currency,
        )
    for tax in found.taxes:
        key = f"{tax.name} {tax.category} {tax.percent.normalize():f} %"
        yield ("tax", key, tax.base.plain, tax.tax.plain, "", currency)
    hour = found.hour.plain if found.hour is not None else ""
    for key, money in (
        ("outstanding", found.outstanding.plain),
        ("overdue", found.overdue.plain),
        ("parts sold", found.parts_sold.plain),
        ("parts cost", found.parts_cost.plain),
        ("margin on parts", found.margin.plain),
        ("labor", found.labour.plain),
        ("labor per bench hour", hour),
    ):
        yield ("figure", key, "", "", money, currency)
    yield ("figure", "bench hours", "", "", f"{found.bench_seconds / 3600:.2f}", "h")
