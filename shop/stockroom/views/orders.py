"""Orders: the list of what is short, orders in hand, one order from its opening to its last delivery."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST, require_safe

from shop.frame import once
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.once import AlreadyTaken
from shop.frame.refusal import Refusal
from shop.stockroom import actions, landed, queries
from shop.stockroom.forms.orders import ChangeLineForm, DeliveryForm, LineForm, OrderForm, SendForm
from shop.stockroom.models import Order, OrderLine, PartWanted
from shop.stockroom.views.pages import asked_id, in_the_stockroom, page, say_what_came

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
    if (taken := once.taken_before(request.POST.get(f"{sheet}-once", ""))) is not None:
        return redirect("stockroom:order", taken.result_id)
    found = next((one for one in queries.order_list() if _key(one) == sheet), None)
    if found is None:
        messages.warning(request, "There is nothing to order there any more.")
        return redirect(LIST)
    form = OrderForm(request.POST, sheet=found, prefix=sheet)
    if form.is_valid():
        try:
            order = form.taken_by(
                actions.open_order,
                supplier=form.cleaned_data["supplier"],
                lines=form.asked(),
                by=request.user,
                once_key=form.once_key,
            )
        except AlreadyTaken as again:
            return redirect("stockroom:order", again.result_id)
        if order is not None:
            messages.success(request, f"{order.number} is open. Look it over and send it.")
            return redirect("stockroom:order", order.pk)
    return _list_page(request, wrong=(sheet, form))


@require_POST
@in_the_stockroom
def note_came(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A wanted part without a drawer is here."""
    return _act_on_want(request, pk, actions.note_came, said="It is here.")


@require_POST
@in_the_stockroom
def drop_want(request: StaffRequest, pk: int) -> HttpResponseBase:
    """A part is no longer wanted."""
    return _act_on_want(request, pk, actions.drop_want, said="No longer wanted.")


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
    if form.is_valid():
        return _taken(request, order, form, actions.add_line, said="On the order.", asked=form.asked())
    return _order_page(request, order, line_form=form)


@require_POST
@in_the_stockroom
def change_line(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Put quantity and price of a line right, and of every other that was typed in meanwhile."""
    line = get_object_or_404(OrderLine, pk=pk)
    order = queries.whole_order().get(pk=line.order_id)
    boxes = _boxes(request, order)
    form = PlainForm(request.POST)
    form.is_valid()
    if _are_right(boxes):
        typed = [box.typed(line) for line, box in boxes]
        if form.taken_by(actions.change_lines, order=order, typed=typed, by=request.user) is not None:
            messages.success(request, "Put right.")
            return redirect("stockroom:order", order.pk)
    return _order_page(request, order, boxes=boxes, plain_form=form)


@require_POST
@in_the_stockroom
def take_line_off(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Take a line off an order that has not been sent."""
    return _act_on_line(request, pk, actions.take_line_off, said="Taken off.")


@require_POST
@in_the_stockroom
def give_up_line(request: StaffRequest, pk: int) -> HttpResponseBase:
    """The rest of a line will not come."""
    return _act_on_line(
        request, pk, actions.give_up_line, said="Given up; what jobs wait for is on the list again."
    )


@require_POST
@in_the_stockroom
def send_order(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Send the order: its paper is issued."""
    order = get_object_or_404(queries.whole_order(), pk=pk)
    form = SendForm(request.POST)
    form.is_valid()
    boxes = _boxes(request, order)
    if not _are_right(boxes):
        return _order_page(request, order, boxes=boxes, send_form=form)
    return _taken(
        request,
        order,
        form,
        actions.send_order,
        said="Sent. Here is its paper.",
        letter=form.cleaned_data.get("letter", False),
        typed=[box.typed(line) for line, box in boxes],
    )


@require_POST
@in_the_stockroom
def receive_delivery(request: StaffRequest, pk: int) -> HttpResponseBase:
    """What came of an order."""
    order = get_object_or_404(queries.whole_order(), pk=pk)
    form = DeliveryForm(request.POST, order=order)
    if form.is_valid():
        carriage = form.cleaned_data["carriage"]
        return _taken(
            request,
            order,
            form,
            actions.receive_delivery,
            said="Booked in.",
            came=form.came(),
            carriage_minor=carriage,
        )
    return _order_page(request, order, delivery_form=form)


@require_POST
@in_the_stockroom
def close_order(request: StaffRequest, pk: int) -> HttpResponseBase:
    """Close an order; what did not come is given up."""
    order = get_object_or_404(queries.whole_order(), pk=pk)
    form = PlainForm(request.POST)
    form.is_valid()
    if form.taken_by(actions.close_order, order=order, by=request.user) is None:
        return _order_page(request, order, plain_form=form)
    messages.success(request, "Closed.")
    return redirect("stockroom:order", pk)


Boxes = list[tuple[OrderLine, ChangeLineForm]]


def _boxes(request: StaffRequest, order: Order) -> Boxes:
    """The lines whose boxes came with the form, each with what was typed."""
    return [
        (line, ChangeLineForm(request.POST, prefix=f"l{line.pk}"))
        for line in order.lines.all()
        if f"l{line.pk}-quantity" in request.POST
    ]


def _are_right(boxes: Boxes) -> bool:
    return all(box.is_valid() for _, box in boxes)


FORM_NAMES = {LineForm: "line_form", SendForm: "send_form", DeliveryForm: "delivery_form"}


def _taken(
    request: StaffRequest, order: Order, form: Any, action: Any, *, said: str, **values: Any
) -> HttpResponseBase:
    try:
        done = form.taken_by(action, order=order, by=request.user, once_key=form.once_key, **values)
    except AlreadyTaken:
        return redirect("stockroom:order", order.pk)
    if done is None:
        return _order_page(request, queries.whole_order().get(pk=order.pk), **{FORM_NAMES[type(form)]: form})
    say_what_came(request, done if isinstance(done, list) else [], said)
    return redirect("stockroom:order", order.pk)


def _act_on_line(request: StaffRequest, pk: int, action: Any, *, said: str) -> HttpResponseBase:
    line = get_object_or_404(OrderLine.objects.select_related("order"), pk=pk)
    form = PlainForm(request.POST)
    form.is_valid()
    if form.taken_by(action, line=line, by=request.user) is None:
        return _order_page(request, queries.whole_order().get(pk=line.order_id), plain_form=form)
    messages.success(request, said)
    return redirect("stockroom:order", line.order_id)


def _act_on_want(request: StaffRequest, pk: int, action: Any, *, said: str) -> HttpResponseBase:
    wanted = get_object_or_404(PartWanted.objects.select_related("job", "part"), pk=pk)
    aside = wanted.job.stage == "awaiting_parts"
    try:
        job = action(wanted=wanted, by=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect(LIST)
    back = aside and job.stage == "on_the_bench"
    messages.success(request, f"{said} {job.number} is back on the bench." if back else said)
    return redirect(LIST)


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
        "total": landed.total(order),
        "line_form": LineForm(),
        "send_form": SendForm(initial={"letter": bool(order.supplier.email)}),
        "delivery_form": DeliveryForm(order=order),
    }
    return page(
        request,
        "stockroom/order.html",
        context | forms,
        tab=ORDERS,
        refused=bool(forms),
    )
