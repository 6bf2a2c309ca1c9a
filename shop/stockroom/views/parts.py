"""Parts: finding one, its page, and everything that is done with it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar
from urllib.parse import urlencode

from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import clock, joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.sorting import MOST, sorted_by, wanted
from shop.stockroom import actions, queries
from shop.stockroom.actions import Arrival
from shop.stockroom.forms.parts import (
    CountForm,
    NumberForm,
    PartForm,
    PicturesForm,
    ReceiveForm,
    SalvageForm,
    ScrapForm,
    SubstituteForm,
)
from shop.stockroom.models import Part, PartNumber, PartWanted, Substitute
from shop.stockroom.pricing import price_of
from shop.stockroom.queries.standing import Standing
from shop.stockroom.views.pages import asked, asked_id, in_the_stockroom, page, what_came

T = TypeVar("T")
FORMS: dict[str, type[PlainForm]] = {
    "receive_form": ReceiveForm,
    "count_form": CountForm,
    "salvage_form": SalvageForm,
    "scrap_form": ScrapForm,
    "number_form": NumberForm,
    "substitute_form": SubstituteForm,
    "pictures_form": PicturesForm,
}


COLUMNS: dict[str, Callable[[Standing], Any]] = {
    "part": lambda one: one.part.number,
    "what": lambda one: one.part.description,
    "type": lambda one: one.part.designation,
    "drawer": lambda one: one.part.drawer,
    "stock": lambda one: one.held,
}
"""How a part stands in each column of the list."""


@require_safe
@in_the_stockroom
def parts(request: StaffRequest) -> HttpResponseBase:
    """Find a part. A number read off a drawer's label leads straight to its page."""
    typed, drawer = asked(request, "q"), asked(request, "drawer")
    piece = request.headers.get("HX-Target") == "part-list"
    if typed and not piece and (exact := queries.part_numbered(typed)) is not None:
        return redirect("stockroom:part", exact.pk)
    retired = "retired" in request.GET
    found = queries.parts_page(
        typed,
        drawer=drawer,
        retired=retired,
        after=asked(request, "after"),
        before=asked(request, "before"),
        most=MOST if wanted(request.GET, COLUMNS) else 0,
    )
    standing = queries.standing_of(found.parts)
    kept = {"q": typed, "drawer": drawer} | ({"retired": "on"} if retired else {})
    context = {
        "typed": typed,
        "add_address": f"{reverse('stockroom:add_part')}?{urlencode({'q': typed})}"
        if typed
        else reverse("stockroom:add_part"),
        "drawer": drawer,
        "retired": retired,
        "order": sorted_by(request.GET, [standing[part.pk] for part in found.parts], COLUMNS),
        "back": _address(kept, before=found.before) if found.before else "",
        "on": _address(kept, after=found.after) if found.after else "",
        "drawers": [] if piece else queries.drawers(),
    }
    template = "stockroom/parts/part_list.html" if piece else "stockroom/parts.html"
    return page(request, template, context)


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_stockroom
def add_part(request: StaffRequest) -> HttpResponseBase:
    """Write a kind of part down."""
    form = PartForm(request.POST or None, initial={"description": asked(request, "q")[:200]})
    return joint.answer(
        request,
        form,
        lambda key: actions.add_part(**form.facts(), by=request.user, once_key=key),
        then=_address_of,
        said=lambda part: f"{part.number} is written down. Say how many there are.",
        page=lambda: page(request, "stockroom/part_form.html", {"form": form}, refused=form.is_bound),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_stockroom
def change_part(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put right what is known of a part."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form, number = PartForm(request.POST or None, initial=PartForm.facts_of(part)), part.number
    return joint.answer(
        request,
        form,
        lambda key: actions.change_part(
            part=part, **form.facts(number=number), by=request.user, once_key=key
        ),
        then=_address_of(pk),
        said="Corrected.",
        page=lambda: _part_form_page(request, pk, form),
    )


def _part_form_page(request: StaffRequest, pk: int, form: PartForm) -> HttpResponse:
    context = {"form": form, "part": get_object_or_404(queries.whole_parts(), pk=pk)}
    return page(request, "stockroom/part_form.html", context, refused=form.is_bound)


@require_safe
@in_the_stockroom
def part(request: StaffRequest, pk: int) -> HttpResponse:
    """One part: what is there and for whom, what stands in for it, its ledger."""
    return _part_page(request, get_object_or_404(queries.whole_parts(), pk=pk))


@require_POST
@in_the_stockroom
def receive(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put parts into the drawer without an order."""
    part, form = _part(pk), ReceiveForm(request.POST, auto_id=_ids(ReceiveForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.receive(
            part=part,
            quantity_thousandths=form.cleaned_data["quantity"],
            unit_cost_ten_thousandths=form.cleaned_data["unit_cost"],
            state=form.cleaned_data["state"] or "new",
            note=form.cleaned_data["note"],
            by=request.user,
            once_key=key,
        ),
        said="In the drawer.",
    )


@require_POST
@in_the_stockroom
def salvage(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put parts out of a donor unit into the drawer."""
    part, form = _part(pk), SalvageForm(request.POST, auto_id=_ids(SalvageForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.salvage(
            part=part,
            quantity_thousandths=form.cleaned_data["quantity"],
            donor=form.cleaned_data["donor"],
            note=form.cleaned_data["note"],
            by=request.user,
            once_key=key,
        ),
        said="In the drawer, marked as salvaged.",
    )


@require_POST
@in_the_stockroom
def scrap(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Throw parts away."""
    part, form = _part(pk), ScrapForm(request.POST, auto_id=_ids(ScrapForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.scrap(
            part=part,
            quantity_thousandths=form.cleaned_data["quantity"],
            reason=form.cleaned_data["reason"],
            by=request.user,
            once_key=key,
        ),
        said="Booked out.",
    )


@require_POST
@in_the_stockroom
def count(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say how many really lie in the drawer."""
    part, form = _part(pk), CountForm(request.POST, auto_id=_ids(CountForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.count(
            part=part, counted_thousandths=form.cleaned_data["counted"], by=request.user, once_key=key
        ),
        said="Counted.",
    )


@require_POST
@in_the_stockroom
def add_number(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note what a maker or a supplier calls it."""
    part, form = _part(pk), NumberForm(request.POST, auto_id=_ids(NumberForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.name_part(part=part, given=form.given(), by=request.user, once_key=key),
        said="Noted.",
    )


@require_POST
@in_the_stockroom
def forget_number(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a wrong number away."""
    number = get_object_or_404(PartNumber.objects.select_related("part"), pk=pk)
    return _on_part(
        request,
        number.part,
        PlainForm(request.POST),
        lambda key: actions.forget_number(number=number, by=request.user, once_key=key),
        said="Taken away.",
    )


@require_POST
@in_the_stockroom
def keep_pictures(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep a photograph or a data sheet."""
    part, form = _part(pk), PicturesForm(request.POST, request.FILES, auto_id=_ids(PicturesForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.picture_part(
            part=part,
            photo=form.cleaned_data["photo"],
            data_sheet=form.cleaned_data["data_sheet"],
            by=request.user,
            once_key=key,
        ),
        said="Kept.",
    )


@require_POST
@in_the_stockroom
def allow_substitute(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say which part may stand in for this one."""
    part, form = _part(pk), SubstituteForm(request.POST, auto_id=_ids(SubstituteForm))
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.allow_substitute(
            part=form.cleaned_data["substitute"],
            stands_in_for=part,
            condition=form.cleaned_data["condition"],
            both_ways=form.cleaned_data["both_ways"],
            by=request.user,
            once_key=key,
        ),
        said=lambda allowed: f"{allowed.part.number} may stand in.",
    )


@require_POST
@in_the_stockroom
def withdraw_substitute(request: StaffRequest, pk: int) -> HttpResponseBase:
    """One part may no longer stand in for another."""
    substitute = get_object_or_404(Substitute.objects.select_related("stands_in_for"), pk=pk)
    return _on_part(
        request,
        substitute.stands_in_for,
        PlainForm(request.POST),
        lambda key: actions.withdraw_substitute(substitute=substitute, by=request.user, once_key=key),
        said="It stands in no longer.",
    )


@require_POST
@in_the_stockroom
def retire(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Stop stocking it."""
    part, form = _part(pk), PlainForm(request.POST)
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.retire_part(part=part, by=request.user, once_key=key),
        said="It is no longer offered anywhere.",
    )


@require_POST
@in_the_stockroom
def bring_back(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Stock it again."""
    part, form = _part(pk), PlainForm(request.POST)
    return _on_part(
        request,
        part,
        form,
        lambda key: actions.bring_back_part(part=part, by=request.user, once_key=key),
        said="It is kept again.",
    )


def _on_part(
    request: StaffRequest,
    part: Part,
    form: PlainForm,
    action: Callable[[joint.Key], T],
    *,
    said: str | Callable[[T], str],
) -> HttpResponseBase:
    """Hand a form of the part's page to its action; where parts came in, it is told for which jobs."""

    def told(done: T) -> list[str]:
        first = said(done) if callable(said) else said
        return [first, *what_came([done] if isinstance(done, Arrival) else [])]

    return joint.answer(
        request,
        form,
        action,
        then=_address_of(part.pk),
        said=told,
        page=lambda: _part_page(request, part, wrong=form),
    )


def _part(pk: int) -> Part:
    return get_object_or_404(queries.whole_parts(), pk=pk)


def _address_of(pk: int) -> str:
    return reverse("stockroom:part", args=[pk])


def _part_page(request: StaffRequest, part: Part, *, wrong: PlainForm | None = None) -> HttpResponse:
    if (
        wrong is not None
    ):  # what was refused may have touched the part in memory: the page tells what is written
        part = queries.whole_parts().get(pk=part.pk)
    standing = queries.standing_of([part])[part.pk]
    forms: dict[str, PlainForm] = {
        name: wrong if type(wrong) is kind and wrong is not None else kind(auto_id=_ids(kind))
        for name, kind in FORMS.items()
    }
    wants = PartWanted.objects.filter(part=part, fitted_at=None, dropped_at=None)
    context = {
        "part": part,
        "standing": standing,
        "price": price_of(part, standing.average_cost, on=clock.today()),
        "ledger": queries.ledger_of(part, before=asked_id(request, "ledger")),
        "wants": wants.select_related("job__unit__model__maker", "order_line__order").order_by("id")[:50],
        "numbers": part.numbers.select_related("supplier").order_by("id"),
        "replacements": queries.replacements_of(part),
        "stands_in": queries.stands_in_of(part),
        "device_count": part.measured.filter(gone_at=None).count(),
        "wrong": wrong,
        **forms,
    }
    return page(request, "stockroom/part.html", context, refused=wrong is not None)


def _ids(kind: type[PlainForm]) -> str:
    """Several forms stand on the part's page, and some have fields of one name."""
    return f"{kind.__name__.lower()}_%s"


def _address(kept: dict[str, str], **more: str) -> str:
    asked = {name: value for name, value in (kept | more).items() if value}
    return f"{reverse('stockroom:parts')}?{urlencode(asked)}"
