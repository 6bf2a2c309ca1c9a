"""What the stockroom's pages have in common: the tabs, and what is said of parts that came."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse

from shop.counter.models import Job
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import whole_number
from shop.frame.models import Role
from shop.frame.tabs import Tab, Tabs
from shop.stockroom.actions import Arrival

in_the_stockroom = for_roles(Role.BENCH, Role.COUNTER)
of_the_owner = for_roles(Role.OWNER)

"""Digits: longer ones are beyond what a database counts to."""

TABS = Tabs(
    "Stockroom",
    (
        Tab("Parts", "stockroom:parts"),
        Tab("To order", "stockroom:order_list"),
        Tab("Orders", "stockroom:orders"),
        Tab("Donor units", "stockroom:donors"),
        Tab("Count stock", "stockroom:stock_take"),
        Tab("Labels", "stockroom:labels"),
        Tab("Suppliers", "stockroom:suppliers"),
        Tab("Price rules", "stockroom:prices", (Role.OWNER,)),
    ),
)


def page(
    request: StaffRequest,
    template: str,
    context: Mapping[str, object],
    *,
    tab: str = "stockroom:parts",
    refused: bool = False,
) -> HttpResponse:
    """Answer with a page of the stockroom under its tab; 422 when a form was refused."""
    tabs = TABS.context(request.user, reverse(tab))
    return render(request, template, {**tabs, **context}, status=422 if refused else 200)


def asked(request: StaffRequest, name: str) -> str:
    """What the address asks under that name, without the blanks around it."""
    return str(request.GET.get(name, "")).strip()


def asked_id(request: StaffRequest, name: str) -> int | None:
    """The id that the address asks under that name; None for what can't be one."""
    return whole_number(asked(request, name))


def what_came(arrivals: Iterable[Arrival]) -> list[str]:
    """Which jobs have their parts now, and which of them are back on the bench, in sentences."""
    arrivals = list(arrivals)
    back = _once(job for arrival in arrivals for job in arrival.back_on_the_bench)
    kept = _once(
        job for arrival in arrivals for job in arrival.kept_for if job.pk not in {one.pk for one in back}
    )
    verb = "is" if len(back) == 1 else "are"
    return [
        f"{_numbers(back)} {verb} back on the bench: every part it needs is here." if back else "",
        f"Kept for {_numbers(kept)}." if kept else "",
    ]


def _once(jobs: Iterable[Job]) -> list[Job]:
    return list({job.pk: job for job in jobs}.values())


def _numbers(jobs: Iterable[Job]) -> str:
    numbers = sorted(job.number for job in jobs)
    return numbers[0] if len(numbers) == 1 else f"{', '.join(numbers[:-1])} and {numbers[-1]}"
