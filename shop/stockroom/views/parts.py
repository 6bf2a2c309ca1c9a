"""Parts: finding one, its page, and everything that is done with it."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from shop.frame import clock
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
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
from shop.stockroom.views.pages import asked, asked_id, in_the_stockroom, page, say_what_came

FORMS: dict[str, type[PlainForm]] = {
    "receive_form": ReceiveForm,
    "count_form": CountForm,
    "salvage_form": SalvageForm,
    "scrap_form": ScrapForm,
    "number_form": NumberForm,
    "substitute_form": SubstituteForm,
    "pictures_form": PicturesForm,
}


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
        "rows": [standing[part.pk] for part in found.parts],
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
    if request.method == "POST" and form.is_valid():
        try:
            part = form.taken_by(actions.add_part, by=request.user, once_key=form.once_key, **form.values())
        except AlreadyTaken as taken:
            return redirect("stockroom:part", taken.result_id)
        if part is not None:
            messages.success(request, f"{part.number} is written down. Say how many there are.")
            return redirect("stockroom:part", part.pk)
    return page(request, "stockroom/part_form.html", {"form": form}, refused=form.is_bound)


@require_http_methods(["GET", "HEAD", "POST"])
@in_the_stockroom
def change_part(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put right what is known of a part."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form = PartForm(request.POST or None, initial=PartForm.facts_of(part))
    if request.method == "POST" and form.is_valid():
        values = form.values()
        values["number"] = values["number"] or part.number
        try:
            changed = form.taken_by(
                actions.change_part, part=part, by=request.user, once_key=form.once_key, **values
            )
        except AlreadyTaken:
            return redirect("stockroom:part", pk)
        if changed is not None:
            messages.success(request, "Put right.")
            return redirect("stockroom:part", pk)
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
    return _act(request, pk, ReceiveForm, actions.receive, said="In the drawer.")


@require_POST
@in_the_stockroom
def salvage(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put parts out of a donor unit into the drawer."""
    return _act(request, pk, SalvageForm, actions.salvage, said="In the drawer, marked as salvaged.")


@require_POST
@in_the_stockroom
def scrap(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Throw parts away."""
    return _act(request, pk, ScrapForm, actions.scrap, said="Booked out.")


@require_POST
@in_the_stockroom
def count(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say how many really lie in the drawer."""
    return _act(request, pk, CountForm, actions.count, said="Counted.")


@require_POST
@in_the_stockroom
def add_number(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Note what a maker or a supplier calls it."""
    return _act(request, pk, NumberForm, actions.name_part, said="Noted.")


@require_POST
@in_the_stockroom
def forget_number(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a wrong number away."""
    number = get_object_or_404(PartNumber.objects.select_related("part"), pk=pk)
    part = actions.forget_number(number=number, by=request.user)
    messages.success(request, "Taken away.")
    return redirect("stockroom:part", part.pk)


@require_POST
@in_the_stockroom
def keep_pictures(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep a photograph or a data sheet."""
    return _act(request, pk, PicturesForm, actions.picture_part, said="Kept.")


@require_POST
@in_the_stockroom
def allow_substitute(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Say which part may stand in for this one."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form = SubstituteForm(request.POST, auto_id=_ids(SubstituteForm))
    if form.is_valid():
        data = form.cleaned_data
        try:
            allowed = form.taken_by(
                actions.allow_substitute,
                part=data["substitute"],
                stands_in_for=part,
                condition=data["condition"],
                both_ways=data["both_ways"],
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken:
            return redirect("stockroom:part", pk)
        if allowed is not None:
            messages.success(request, f"{data['substitute'].number} may stand in.")
            return redirect("stockroom:part", pk)
    return _part_page(request, part, wrong=form)


@require_POST
@in_the_stockroom
def withdraw_substitute(request: StaffRequest, pk: int) -> HttpResponseBase:
    """One part may no longer stand in for another."""
    substitute = get_object_or_404(Substitute.objects.select_related("stands_in_for"), pk=pk)
    actions.withdraw_substitute(substitute=substitute, by=request.user)
    messages.success(request, "It stands in no longer.")
    return redirect("stockroom:part", substitute.stands_in_for_id)


@require_POST
@in_the_stockroom
def retire(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep no more of it."""
    return _switch(request, pk, actions.retire_part, said="It is offered nowhere any more.")


@require_POST
@in_the_stockroom
def bring_back(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Keep it again."""
    return _switch(request, pk, actions.bring_back_part, said="It is kept again.")


def _act(request: StaffRequest, pk: int, kind: type[Any], action: Any, *, said: str) -> HttpResponseBase:
    """Hand a form of the part's page to its action; a repeat of the same form leads to the page."""
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    form = kind(request.POST, request.FILES, auto_id=_ids(kind))
    if form.is_valid():
        try:
            done = form.taken_by(action, part=part, by=request.user, once_key=form.once_key, **form.values())
        except AlreadyTaken:
            return redirect("stockroom:part", pk)
        if done is not None:
            say_what_came(request, [done] if isinstance(done, Arrival) else [], said)
            return redirect("stockroom:part", pk)
    return _part_page(request, part, wrong=form)


def _switch(request: StaffRequest, pk: int, action: Any, *, said: str) -> HttpResponseBase:
    part = get_object_or_404(queries.whole_parts(), pk=pk)
    try:
        action(part=part, by=request.user)
    except Refusal as refusal:
        form = PlainForm(request.POST)
        form.is_valid()
        form.refuse(refusal)
        return _part_page(request, part, wrong=form)
    messages.success(request, said)
    return redirect("stockroom:part", pk)


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
