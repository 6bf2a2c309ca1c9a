"""What the stockroom prints: purchase orders, and the labels on drawers."""

from __future__ import annotations

from typing import Any

from shop.handbook.money import Money, UnitPrice
from shop.premises import spelling
from shop.premises.models import IssuedPaper, Staff
from shop.premises.press import Address, Fact, Line, LineGroup, LineTable, Signature, Total, issue_paper
from shop.premises.profile import the_profile
from shop.stockroom import landed
from shop.stockroom.models import Order, OrderLine, PartNumber

PURCHASE_ORDER = "purchase_order"


def issue_purchase_order(*, order: Order, by: Staff) -> IssuedPaper:
    """Issue the paper of an order that is being sent. Joins the caller's act."""
    return issue_paper(
        kind=PURCHASE_ORDER,
        number=order.number,
        title=f"Purchase order {order.number}",
        heading="Purchase order",
        template="papers/stockroom/purchase_order.html",
        context=purchase_order_context(order, by=by),
        by=by,
    )


def purchase_order_context(order: Order, *, by: Staff) -> dict[str, Any]:
    """Everything a purchase order says."""
    supplier, shop = order.supplier, the_profile()
    lines = list(order.lines.select_related("part").order_by("pk"))
    theirs = {
        number.part_id: number.number
        for number in PartNumber.objects.filter(
            supplier=supplier, part__in=[line.part_id for line in lines if line.part_id]
        )
    }
    priced = any(line.unit_cost_ten_thousandths for line in lines)
    return {
        "to": Address.of(f"{supplier.name}\n{supplier.address}"),
        "facts": [
            Fact("Date", spelling.day(order.sent_at or order.opened_at), strong=True),
            Fact("Our account with you", supplier.our_account or "—"),
            Fact("Deliver to", f"{shop.name}\n{shop.address}", wide=True),
        ],
        "table": LineTable(
            groups=[LineGroup("", [_line(line, theirs, order.currency, priced=priced) for line in lines])],
            currency=order.currency,
            text_head="Part",
        ),
        "totals": _totals(order) if priced else [],
        "note": order.note,
        "signatures": [
            Signature("Ordered by", name=by.signature, day=(order.sent_at or order.opened_at).date())
        ],
    }


def _line(line: OrderLine, theirs: dict[int, str], currency: str, *, priced: bool) -> Line:
    part = line.part
    their_number = theirs.get(part.pk, "") if part is not None else ""
    notes = [f"your number {their_number}"] if their_number else []
    if part is not None:
        notes += [text for text in (part.designation, part.rating, part.tolerance, part.package) if text]
        notes.append(f"our number {part.number}")
    return Line(
        line.description,
        note=", ".join(notes),
        quantity=spelling.quantity(line.quantity_thousandths),
        price=UnitPrice(line.unit_cost_ten_thousandths, currency) if priced else None,
        amount=landed.amount(line, currency) if priced else None,
    )


def _totals(order: Order) -> list[Total]:
    total = landed.total(order)
    carriage = Money(order.carriage_minor, order.currency)
    totals = [Total("Freight and fees as agreed", carriage)] if carriage else []
    return [*totals, Total("Order in all, before tax", total, strong=True)]
