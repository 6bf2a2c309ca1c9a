"""Labels of drawers, on the roll or on a sheet; and which labels the shop has."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.refusal import Refusal
from shop.press.label_sheets import sheet_pdf
from shop.press.label_stock import change_label_stock, sheet_in_use, the_label_stock
from shop.press.labelling import LabelStockForm, WhereForm
from shop.stockroom import queries
from shop.stockroom.models import Part
from shop.stockroom.papers import DRAWER_LABEL, drawer_labels
from shop.stockroom.views.pages import asked, asked_id, in_the_stockroom, page

TAB = "stockroom:labels"


@require_safe
@in_the_stockroom
def labels(request: StaffRequest) -> HttpResponse:
    """What to print and on what; the labels in the printers."""
    return _labels_page(request)


@require_safe
@in_the_stockroom
def print_labels(request: StaffRequest) -> HttpResponse:
    """The labels of one part, or of everything in a drawer, as PDF."""
    form = WhereForm(request.GET)
    parts = _asked_parts(request)
    if not parts:
        form.is_valid()
        form.add_error(None, "Choose a drawer with something in it.")
        return _labels_page(request, where_form=form)
    if not form.is_valid():
        return _labels_page(request, where_form=form)
    try:
        pdf = form.pdf(
            DRAWER_LABEL, lambda width, height: drawer_labels(parts, width, height), title="Drawer labels"
        )
    except Refusal as refusal:
        form.add_error(refusal.field if refusal.field in form.fields else None, refusal.sentence)
        return _labels_page(request, where_form=form)
    return as_pdf(pdf, "drawer-labels")


@require_safe
@in_the_stockroom
def print_outlines(request: StaffRequest) -> HttpResponseBase:
    """A sheet with the edge of every label, to hold against the light together with a real one."""
    stock = the_label_stock()
    sheet = sheet_in_use(stock)
    facts = [{"number": str(spot.place), "number_class": "strong pt-12"} for spot in sheet.spots()]
    try:
        pdf = sheet_pdf(
            DRAWER_LABEL,
            facts,
            sheet=sheet,
            shift_x=stock.shift_x_tenths / 10,
            shift_y=stock.shift_y_tenths / 10,
            outlined=True,
            title=f"Outlines: {sheet.name}",
        )
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect(TAB)
    return as_pdf(pdf, "outlines")


@require_POST
@in_the_stockroom
def set_labels(request: StaffRequest) -> HttpResponseBase:
    """Say which labels are in the printers."""
    form = LabelStockForm(request.POST)
    return joint.answer(
        request,
        form,
        lambda key: change_label_stock(**form.facts(), by=request.user, once_key=key),
        then=reverse(TAB),
        said="Noted. Print the outlines once and hold them against a real sheet.",
        page=lambda: _labels_page(request, stock_form=form),
    )


def as_pdf(pdf: bytes, name: str) -> HttpResponse:
    """Answer with a PDF that opens in the browser."""
    return HttpResponse(
        pdf, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}.pdf"'}
    )


def _asked_parts(request: StaffRequest) -> list[Part]:
    if pk := asked_id(request, "part"):
        return [get_object_or_404(Part, pk=pk)]
    drawer = asked(request, "drawer")
    return queries.parts_in(drawer) if drawer else []


def _labels_page(request: StaffRequest, **forms: object) -> HttpResponse:
    pk = asked_id(request, "part")
    part = Part.objects.filter(pk=pk).first() if pk else None
    stock = the_label_stock()
    context = {
        "part": part,
        "drawer": request.GET.get("drawer", ""),
        "drawers": queries.drawers(),
        "where_form": WhereForm(),
        "stock_form": LabelStockForm(initial=LabelStockForm.facts_of(stock)),
        "sheet": sheet_in_use(stock),
    }
    return page(request, "stockroom/labels.html", context | forms, tab=TAB, refused=bool(forms))
