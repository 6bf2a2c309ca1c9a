"""Counting on the tablet: one drawer after the other, the differences looked at before they are booked."""

from __future__ import annotations

from dataclasses import dataclass

from django import forms
from django.http import HttpResponse, HttpResponseBase
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.stockroom import actions, queries
from shop.stockroom.forms.fields import CountField
from shop.stockroom.models import Part
from shop.stockroom.views.pages import asked, in_the_stockroom, page, what_came

TAB = "stockroom:stock_take"


@dataclass(frozen=True, slots=True)
class Difference:
    """One part that was counted: what the book says, what lies there, and how far apart they are, in thousandths."""

    part: Part
    book: int
    counted: int

    @property
    def apart(self) -> int:
        return self.counted - self.book


class DrawerForm(PlainForm):
    """A count for each part of one drawer; what is left empty was not looked at."""

    drawer = forms.CharField(max_length=40, widget=forms.HiddenInput)
    looked = forms.BooleanField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: object, parts: list[Part], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.parts = parts
        for part in parts:
            self.fields[f"n{part.pk}"] = CountField(required=False, label=f"{part.number} {part.description}")

    def rows(self) -> list[dict[str, object]]:
        """The parts with their controls, for the template."""
        return [{"part": part, "field": self[f"n{part.pk}"]} for part in self.parts]

    def clean(self) -> dict[str, object]:
        """At least one was counted."""
        data = super().clean() or self.cleaned_data
        if not self.errors and all(data.get(f"n{part.pk}") is None for part in self.parts):
            self.add_error(None, "Count at least one of them.")
        return data

    def differences(self) -> list[Difference]:
        """What was counted beside what the book says."""
        counted = ((part, self.cleaned_data[f"n{part.pk}"]) for part in self.parts)
        return [
            Difference(part, part.level.quantity_thousandths if hasattr(part, "level") else 0, number)
            for part, number in counted
            if number is not None
        ]


@require_safe
@in_the_stockroom
def stock_take(request: StaffRequest) -> HttpResponse:
    """Choose a drawer, or count the one that was chosen."""
    drawer = asked(request, "drawer")
    parts = queries.parts_in(drawer) if drawer else []
    form = DrawerForm(parts=parts, initial={"drawer": drawer}) if parts else None
    context = {"drawers": queries.drawers(), "drawer": drawer, "form": form}
    return page(request, "stockroom/stock_take.html", context, tab=TAB)


@require_POST
@in_the_stockroom
def count_drawer(request: StaffRequest) -> HttpResponseBase:
    """Show the differences of a drawer; once they were looked at, book them."""
    drawer = request.POST.get("drawer", "").replace("\0", "").strip()
    form = DrawerForm(request.POST, parts=queries.parts_in(drawer))
    context = {"drawers": queries.drawers(), "drawer": drawer, "form": form}
    if not form.is_valid():
        return page(request, "stockroom/stock_take.html", context, tab=TAB, refused=True)
    if not form.cleaned_data["looked"]:
        context["differences"] = form.differences()
        return page(request, "stockroom/differences.html", context, tab=TAB)
    return joint.answer(
        request,
        form,
        lambda key: actions.count_drawer(
            counts=[(one.part, one.counted) for one in form.differences()], by=request.user, once_key=key
        ),
        then=f"{reverse('stockroom:stock_take')}#drawers",
        said=lambda arrivals: [f"Drawer {drawer} is counted.", *what_came(arrivals)],
        again=f"Drawer {drawer} is counted.",
        page=lambda: page(request, "stockroom/stock_take.html", context, tab=TAB, refused=True),
    )
