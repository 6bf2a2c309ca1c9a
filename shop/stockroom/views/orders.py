"""Orders: the list of what is short, orders in hand, one order from its opening to its last delivery."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.counter.models import Job
from shop.counter.said import no_repair
from shop.counter.stages import Stage
from shop.frame import joint
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import Message
from shop.stockroom import actions, landed, queries
from shop.stockroom.actions.ordering import LineTyped
from shop.stockroom.forms.orders import (
    CameForm,
    ChangeLineForm,
    DeliveryForm,
    LineForm,
    OrderForm,
    ReferenceForm,
    SendForm,
)
from shop.stockroom.forms.returns import CreditForm
from shop.stockroom.models import Order, OrderLine, PartSentBack, PartWanted
from shop.stockroom.views.pages import asked_id, in_the_stockroom, page, what_came

T = TypeVar("T")
LIST, ORDERS = "stockroom:order_list", "stockroom:orders"


@require_safe
@in_the_stockroom
def order_list(request: StaffRequest) -> HttpResponse:
    """What is short and what jobs wait for, by supplier."""
    return _list_page(request)


@require_POST
@in_the_stockroom
def open_order(request: StaffRequest, sheet: str) -> HttpResponseBase:
    """Open an order from one supplier's part of the list; `sheet` is the supplier's id, or 0 for those without one."""
    found = next((one for one in queries.order_list() if _key(one) == sheet), None)
    # what was ordered stands on the list no more: the form of nothing leads on where it was taken before
    form = OrderForm(request.POST, sheet=found or queries.OrderSheet(supplier=None), prefix=sheet)
    return joint.answer(
        request,
        form,
        lambda key: _open(form, request.user, key),
        then=_address,
        said=lambda order: f"{order.number} is open. Look it over and send it.",
        page=lambda: _list_page(request, wrong=(sheet, form)) if found else _nothing_there(request),
    )


def _open(form: OrderForm, by: Staff, key: joint.Key) -> Order:
    data = form.cleaned_data
    if data["supplier"] is None:
        return actions.open_order_elsewhere(
            name=data["new_supplier"], email=data["new_email"], lines=form.asked(), by=by, once_key=key
        )
    return actions.open_order(supplier=data["supplier"], lines=form.asked(), by=by, once_key=key)


def _nothing_there(request: StaffRequest) -> HttpResponse:
    joint.say(request, "There is nothing to order there any more.", messages.WARNING)
    return joint.see_other(request, reverse(LIST))


@require_POST
@in_the_stockroom
def note_came(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A wanted part is here without an order; what it cost stands in its line's box."""
    wanted, form = _want(pk), CameForm(request.POST)
    return _on_want(
        request,
        wanted,
        lambda key: actions.note_came(
            wanted=wanted,
            unit_cost_ten_thousandths=form.cleaned_data["cost"],
            by=request.user,
            once_key=key,
        ),
        said="It is here.",
        form=form,
    )


@require_POST
@in_the_stockroom
def drop_want(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A part is no longer wanted."""
    wanted = _want(pk)
    return _on_want(
        request,
        wanted,
        lambda key: actions.drop_want(wanted=wanted, by=request.user, once_key=key),
        said="No longer wanted.",
    )


@require_safe
@in_the_stockroom
def orders(request: StaffRequest) -> HttpResponse:
    """Orders in hand, and the closed ones."""
    closed = queries.closed_orders(asked_id(request, "before"))
    shown = closed[: queries.MOST_ORDERS]
    context = {
        "in_hand": queries.orders_in_hand(),
        "closed": shown,
        "older": f"?before={shown[-1].pk}" if len(closed) > len(shown) else "",
    }
    return page(request, "stockroom/orders.html", context, tab=ORDERS)


@require_safe
@in_the_stockroom
def order(request: StaffRequest, pk: int) -> HttpResponse:
    """One order: its lines, what came of them, and the next step."""
    return _order_page(request, get_object_or_404(queries.whole_order(), pk=pk))


@require_POST
@in_the_stockroom
def add_line(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put one more part on an order that has not been sent."""
    order = get_object_or_404(queries.whole_order(), pk=pk)
    form = LineForm(request.POST)
    return _on_order(
        request,
        pk,
        form,
        lambda key: actions.add_line(order=order, asked=form.asked(), by=request.user, once_key=key),
        said="On the order.",
        page=lambda: _order_page(request, _order(pk), line_form=form),
    )


@require_POST
@in_the_stockroom
def change_line(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put quantity and price of a line right, and of every other that was typed in meanwhile."""
    line = get_object_or_404(OrderLine, pk=pk)
    order = queries.whole_order().get(pk=line.order_id)
    sheet = LineSheet(request, order, PlainForm(request.POST))
    return _on_order(
        request,
        order.pk,
        sheet,
        lambda key: actions.change_lines(order=order, typed=sheet.typed(), by=request.user, once_key=key),
        said="Corrected.",
        page=lambda: _order_page(request, order, boxes=sheet.boxes, plain_form=sheet.form),
    )


@require_POST
@in_the_stockroom
def take_line_off(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a line off an order that has not been sent."""
    line = _line(pk)
    return _on_plain(
        request,
        line.order_id,
        lambda key: actions.take_line_off(line=line, by=request.user, once_key=key),
        said="Taken off.",
    )


@require_POST
@in_the_stockroom
def give_up_line(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The rest of a line will not come."""
    line = _line(pk)
    return _on_plain(
        request,
        line.order_id,
        lambda key: actions.give_up_line(line=line, by=request.user, once_key=key),
        said="Given up; what jobs wait for is on the list again.",
    )


@require_POST
@in_the_stockroom
def send_order(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Send the order: its paper is issued."""
    order, form = _order(pk), SendForm(request.POST)
    sheet = LineSheet(request, order, form)
    return _on_order(
        request,
        pk,
        sheet,
        lambda key: actions.send_order(
            order=order,
            letter=form.cleaned_data["letter"],
            reference=form.cleaned_data["reference"],
            link=form.cleaned_data["link"],
            typed=sheet.typed(),
            by=request.user,
            once_key=key,
        ),
        said=lambda sent: [
            f"Its letter to {sent.supplier} is in the outbox."
            if form.cleaned_data["letter"]
            else "Marked as sent. Its paper is there to print."
        ],
        page=lambda: _order_page(request, _order(pk), boxes=sheet.wrong_boxes, send_form=form),
    )


@require_POST
@in_the_stockroom
def note_reference(request: StaffRequest, pk: int) -> HttpResponseBase:
    """What the supplier calls the order, and its web page."""
    order, form = _order(pk), ReferenceForm(request.POST)
    return _on_order(
        request,
        pk,
        form,
        lambda key: actions.note_reference(
            order=order,
            reference=form.cleaned_data["reference"],
            link=form.cleaned_data["link"],
            by=request.user,
            once_key=key,
        ),
        said="Noted.",
        page=lambda: _order_page(request, _order(pk), reference_form=form),
    )


@require_POST
@in_the_stockroom
def receive_delivery(request: StaffRequest, pk: int) -> HttpResponseBase:
    """What came of an order."""
    order = get_object_or_404(queries.whole_order(), pk=pk)
    form = DeliveryForm(request.POST, order=order)
    return _on_order(
        request,
        pk,
        form,
        lambda key: actions.receive_delivery(
            order=order,
            came=form.came(),
            carriage_minor=form.cleaned_data["carriage"],
            by=request.user,
            once_key=key,
        ),
        said=lambda arrivals: ["Booked in.", *what_came(arrivals)],
        page=lambda: _order_page(request, _order(pk), delivery_form=form),
    )


@require_POST
@in_the_stockroom
def close_order(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Close an order; what did not come is given up."""
    order = _order(pk)
    return _on_plain(
        request,
        pk,
        lambda key: actions.close_order(order=order, by=request.user, once_key=key),
        said="Closed.",
    )


Boxes = list[tuple[OrderLine, ChangeLineForm]]


class LineSheet:
    """The boxes of an order's lines as they came with a form, and the form that carries the key."""

    def __init__(self, request: StaffRequest, order: Order, form: PlainForm) -> None:
        self.form = form
        self.boxes: Boxes = [
            (line, ChangeLineForm(request.POST, prefix=f"l{line.pk}"))
            for line in order.lines.all()
            if f"l{line.pk}-quantity" in request.POST
        ]

    @property
    def is_bound(self) -> bool:
        """Whether it was sent."""
        return self.form.is_bound

    @property
    def once_key(self) -> joint.Key:
        """The key of the sheet as a whole."""
        return self.form.once_key

    @property
    def key_sent(self) -> str:
        """The key as it was sent."""
        return self.form.key_sent

    @property
    def wrong_boxes(self) -> Boxes | None:
        """The boxes, where one of them is wrong."""
        return None if all(box.is_valid() for _, box in self.boxes) else self.boxes

    def is_valid(self) -> bool:
        """Every box is looked at, so that all that is wrong is said at once."""
        return all([self.form.is_valid(), *(box.is_valid() for _, box in self.boxes)])

    def refuse(self, refusal: Refusal) -> None:
        """Show a refusal at the form."""
        self.form.refuse(refusal)

    def typed(self) -> list[LineTyped]:
        """What stands in each line's boxes."""
        return [box.typed(line) for line, box in self.boxes]


def _order(pk: int) -> Order:
    return get_object_or_404(queries.whole_order(), pk=pk)


def _line(pk: int) -> OrderLine:
    return get_object_or_404(OrderLine.objects.select_related("order"), pk=pk)


def _want(pk: int) -> PartWanted:
    return get_object_or_404(PartWanted.objects.select_related("job", "part"), pk=pk)


def _address(pk: int) -> str:
    return reverse("stockroom:order", args=[pk])


def _on_order(
    request: StaffRequest,
    pk: int,
    form: joint.Sent,
    action: Callable[[joint.Key], T],
    *,
    said: str | Callable[[T], list[str]],
    page: Callable[[], HttpResponseBase],
) -> HttpResponseBase:
    return joint.answer(request, form, action, then=_address(pk), said=said, page=page)


def _on_plain(
    request: StaffRequest, pk: int, action: Callable[[joint.Key], object], *, said: str
) -> HttpResponseBase:
    form = PlainForm(request.POST)
    return _on_order(
        request,
        pk,
        form,
        action,
        said=said,
        page=lambda: _order_page(request, _order(pk), plain_form=form),
    )


def _on_want(
    request: StaffRequest,
    wanted: PartWanted,
    action: Callable[[joint.Key], Job],
    *,
    said: str,
    form: PlainForm | None = None,
) -> HttpResponseBase:
    aside, form = wanted.job.stage == Stage.AWAITING_PARTS, form or PlainForm(request.POST)

    def told(job: Job) -> str:
        back = aside and job.stage == Stage.ON_THE_BENCH
        return f"{said} {job.number} is back on the bench." if back else said

    return joint.answer(
        request,
        form,
        action,
        then=reverse(LIST),
        said=told,
        page=lambda: joint.sent_back(request, form, reverse(LIST)),
    )


def _key(sheet: queries.OrderSheet) -> str:
    return str(sheet.supplier.pk if sheet.supplier is not None else 0)


def _list_page(request: StaffRequest, *, wrong: tuple[str, OrderForm] | None = None) -> HttpResponse:
    sheets = [
        {
            "sheet": sheet,
            "key": _key(sheet),
            "form": wrong[1]
            if wrong and wrong[0] == _key(sheet)
            else OrderForm(sheet=sheet, prefix=_key(sheet)),
        }
        for sheet in queries.order_list()
    ]
    return page(request, "stockroom/order_list.html", {"sheets": sheets}, tab=LIST, refused=wrong is not None)


def _order_page(
    request: StaffRequest,
    order: Order,
    *,
    boxes: Boxes | None = None,
    **forms: PlainForm,
) -> HttpResponse:
    typed = {line.pk: box for line, box in boxes or []}
    rows = []
    for line in order.lines.all():
        form = typed.get(line.pk) or ChangeLineForm.of(line)
        rows.append({"line": line, "amount": landed.amount(line, order.currency), "form": form})
    context: dict[str, Any] = {
        "order": order,
        "rows": rows,
        "refused": no_repair.among({want.job_id for line in order.lines.all() for want in line.wanted.all()}),
        "total": landed.total(order),
        "line_form": LineForm(),
        "send_form": SendForm(),
        "reference_form": ReferenceForm(initial={"reference": order.reference, "link": order.link}),
        "letter": Message.objects.filter(paper=order.paper_id).order_by("-id").first()
        if order.paper_id
        else None,
        "sent_back": PartSentBack.objects.filter(order_line__order=order).select_related("part"),
        "credit_form": CreditForm(),
        "delivery_form": DeliveryForm(order=order),
    }
    return page(
        request,
        "stockroom/order.html",
        context | forms,
        tab=ORDERS,
        refused=bool(forms),
    )
