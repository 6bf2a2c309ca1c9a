"""What is open in the office, and all invoices."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from typing import Any

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import render
from django.views.decorators.http import require_safe

from shop.frame import clock, spelling
from shop.frame.cells import cell
from shop.frame.doors import StaffRequest, for_roles
from shop.frame.formwork import whole_number
from shop.frame.models import Role
from shop.frame.sorting import MOST, Order, sorted_by, wanted
from shop.handbook.money import Money
from shop.office import queries
from shop.office.models import Invoice

in_the_office = for_roles(Role.COUNTER)


@require_safe
@in_the_office
def office(request: StaffRequest) -> HttpResponse:
    """Estimates that await an answer, jobs ready to invoice, invoices not paid: a page of each, one list wholly."""
    shown = request.GET.get("list", "")
    after = request.GET.get("after", "")
    lists = [one for one in queries.OPEN_LISTS if not shown or one.key == shown] or list(queries.OPEN_LISTS)
    sorts = bool(shown) and bool(wanted(request.GET, lists[0].columns))
    pages = [
        one.page(
            after if one.key == shown and not sorts else "",
            short=not shown,
            most=MOST if sorts else 0,
        )
        for one in lists
    ]
    context: dict[str, Any] = {
        "pages": [(page, _order(request, page, one)) for one, page in zip(lists, pages, strict=True)],
        "shown": shown,
        "sorts": sorts,
        "today": clock.today(),
    }
    unpaid = [invoice.pk for page in pages if page.key == "due" for invoice in page.rows]
    context["reminders"] = set(
        queries.reminders_due(clock.today()).filter(pk__in=unpaid).values_list("pk", flat=True)
    )
    if not shown:
        context["troubles"] = queries.stint_troubles()
    return render(request, "office/office.html", context)


def _order(request: StaffRequest, page: queries.OpenPage, one: queries.OpenList) -> Order[Any]:
    """The rows of a list; a head of a short one leads to the whole list, sorted by it."""
    return replace(sorted_by(request.GET, page.rows, one.columns), kept=f"list={one.key}")


@require_safe
@in_the_office
def invoices(request: StaffRequest) -> HttpResponse:
    """All invoices and credit notes, one line each, the newest first or by any column."""
    which = request.GET.get("which", "")
    which = which if which in queries.INVOICES else ""
    found = queries.invoices_shown(which)
    sorts = bool(wanted(request.GET, queries.INVOICE_COLUMNS))
    before = whole_number(request.GET.get("before", ""))
    if before is not None and not sorts:
        found = found.filter(pk__lt=before)
    size = MOST if sorts else queries.PAGE_ROWS
    rows = list(found[: size + 1])
    more = len(rows) > size
    context: dict[str, Any] = {
        "order": sorted_by(request.GET, rows[:size], queries.INVOICE_COLUMNS),
        "which": which,
        "filters": [(key, words) for key, (words, _condition) in queries.INVOICES.items()],
        "sorted_of_more": sorts and more,
        "most": MOST,
        "newer": f"?which={which}" if before and not sorts else "",
        "older": f"?which={which}&before={rows[size - 1].pk}" if more and not sorts else "",
        "today": clock.today(),
    }
    return render(request, "office/invoices.html", context)


@require_safe
@in_the_office
def invoices_csv(request: StaffRequest) -> HttpResponseBase:
    """The invoices that a filter leaves, all of them, as a file for a spreadsheet."""
    which = request.GET.get("which", "")
    found = queries.invoices_shown(which if which in queries.INVOICES else "")
    written = io.StringIO()
    writer = csv.writer(written, delimiter=";" if spelling.decimal_mark() == "," else ",")
    writer.writerow(
        ("number", "kind", "customer", "dated", "due", "before tax", "tax", "total", "open", "currency")
    )
    for one in found:
        sums = (one.net_minor, one.tax_minor, one.total_minor, queries.asked_for(one).minor)
        writer.writerow(
            cell(value)
            for value in (
                one.number or "draft",
                one.get_kind_display(),
                str(one.customer),
                one.issue_date,
                one.due_date if one.kind == Invoice.Kind.INVOICE else None,
                *(Money(minor, one.currency).decimal for minor in sums),
                one.currency,
            )
        )
    name = f"invoices-{which or 'all'}-{clock.today().isoformat()}.csv"
    return HttpResponse(
        "\ufeff" + written.getvalue(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
