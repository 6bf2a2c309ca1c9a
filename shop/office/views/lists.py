"""What is open in the office."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.frame import clock
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.models import Role
from shop.office import queries

in_the_office = for_roles(Role.COUNTER)


@require_safe
@in_the_office
def office(request: StaffRequest) -> HttpResponse:
    """Estimates that await an answer, jobs ready to invoice, invoices not paid: a page of each, one list wholly."""
    shown = request.GET.get("list", "")
    after = request.GET.get("after", "")
    lists = [one for one in queries.OPEN_LISTS if not shown or one.key == shown] or list(queries.OPEN_LISTS)
    pages = [one.page(after if one.key == shown else "", short=not shown) for one in lists]
    context: dict[str, Any] = {"pages": pages, "shown": shown, "today": clock.today()}
    unpaid = [invoice.pk for page in pages if page.key == "due" for invoice in page.rows]
    context["reminders"] = set(
        queries.reminders_due(clock.today()).filter(pk__in=unpaid).values_list("pk", flat=True)
    )
    if not shown:
        context["troubles"] = queries.stint_troubles()
    return render(request, "office/office.html", context)
