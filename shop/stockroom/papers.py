"""What the stockroom prints: purchase orders, and the labels on drawers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.urls import reverse

from shop.frame import spelling
from shop.frame.clock import day_of
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.barcodes import QR_QUIET_MODULES, code128
from shop.handbook.money import Money, UnitPrice
from shop.keeping.models import IssuedPaper
from shop.press.building import Address, Fact, Line, LineGroup, LineTable, Signature, Total
from shop.press.issuing import issue_paper
from shop.press.label_sheets import LETTER_WIDTH, LINE_HEIGHT, POINT_MM, SAFE_MM, points_for
from shop.stockroom import landed
from shop.stockroom.models import Order, OrderLine, Part, PartNumber

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
            *([Fact("Our account with you", supplier.our_account)] if supplier.our_account else []),
            Fact("Deliver to", f"{shop.name}\n{shop.address}", wide=True),
        ],
        "table": LineTable(
            groups=[LineGroup("", [_line(line, theirs, order.currency) for line in lines])],
            currency=order.currency,
            text_head="Part",
        ),
        "totals": _totals(order, all_priced=all(line.unit_cost_ten_thousandths for line in lines))
        if priced
        else [],
        "note": order.note,
        "signatures": [
            Signature("Ordered by", name=by.signature, day=day_of(order.sent_at or order.opened_at))
        ],
    }


def _line(line: OrderLine, theirs: dict[int, str], currency: str) -> Line:
    part, text, notes = line.part, line.description, []
    if part is not None:
        text = f"{text} {part.designation}".rstrip()
        notes = [f"your number {theirs[part.pk]}"] if part.pk in theirs else []
        notes += [fact for fact in (part.rating, part.tolerance, part.package) if fact]
        notes.append(f"our number {part.number}")
    priced = bool(line.unit_cost_ten_thousandths)
    return Line(
        text,
        note=", ".join(notes),
        quantity=spelling.quantity(line.quantity_thousandths),
        price=UnitPrice(line.unit_cost_ten_thousandths, currency) if priced else None,
        amount=landed.amount(line, currency) if priced else None,
    )


def _totals(order: Order, *, all_priced: bool) -> list[Total]:
    total = landed.total(order)
    carriage = Money(order.carriage_minor, order.currency)
    totals = [Total("Freight and fees as agreed", carriage)] if carriage else []
    said = "Order in all, before tax" if all_priced else "Lines with a price, before tax"
    return [*totals, Total(said, total, strong=True)]


# --- labels on drawers --------------------------------------------------------------------------------------------

DRAWER_LABEL = "papers/labels/drawer.html"
DOT_MM = 0.125
"""One dot of a label printer of 203 dpi: modules are whole dots, so that bars and squares stay sharp."""

QR_MODULES_MM = (4 * DOT_MM, 3 * DOT_MM)
BAR_MODULES_MM = (3 * DOT_MM, 2 * DOT_MM)


def drawer_labels(parts: Sequence[Part], width: float, height: float) -> list[dict[str, object]]:
    """What stands on the label of each part's drawer, for labels of so many millimetres."""
    return [_drawer_label(part, width - 2 * SAFE_MM - 2, height - 2 * SAFE_MM) for part in parts]


def part_address(part: Part) -> str:
    """The page of a part at the shop's own address, which a camera opens; empty before the shop has one."""
    web = the_profile().web_address.rstrip("/")
    return f"{web}{reverse('stockroom:part', args=[part.pk])}" if web else ""


def _drawer_label(part: Part, width: float, height: float) -> dict[str, object]:
    address = part_address(part)
    code = part.number.upper() if part.number.isascii() else ""
    qr_module, bar_module, left = _codes(address, code, width, height)
    number = min(
        points_for(
            [f"{part.number}{' ' * 5 if part.drawer else ''}{part.drawer}"],
            width=left * 0.92,
            height=height * 0.35,
        ),
        18,
    )
    small = 9 if height > 30 else 8 if height > 22 else 7
    rest = height - number * POINT_MM * 1.1 - ((9 if height > 30 else 7) if bar_module else 0)
    lines = max(int(rest / (small * POINT_MM * LINE_HEIGHT)), 1)
    return {
        "number": part.number,
        "drawer": part.drawer,
        "text": _cut(" ".join(filter(None, (part.designation, part.description))), left, small, lines),
        "note": _cut(" ".join(filter(None, (part.rating, part.tolerance, part.package))), left, small, 1)
        if lines > 2
        else "",
        "number_class": f"strong pt-{number}",
        "text_class": f"pt-{small}",
        "note_class": f"pt-{small}",
        "code": code if bar_module else "",
        "module_mm": bar_module or 0,
        "bar_mm": 8 if height > 30 else 6,
        "qr": address if qr_module else "",
        "qr_module_mm": qr_module or 0,
    }


def _codes(address: str, code: str, width: float, height: float) -> tuple[float | None, float | None, float]:
    """The modules of QR and bars, and the width that is left beside the QR: both codes, if the QR has to be smaller for it."""
    squares = _qr_modules(address) if address else 0
    fitting = [one for one in QR_MODULES_MM if squares and one * squares <= min(height, width * 0.42)]
    bars = code128(code).modules_with_quiet if code else 0
    for qr_module in fitting:
        left = width - squares * qr_module - 1
        if bars and (bar_module := _largest(BAR_MODULES_MM, bars, left)):
            return qr_module, bar_module, left
    if not fitting:
        return None, _largest(BAR_MODULES_MM, bars, width) if bars else None, width
    return fitting[0], None, width - squares * fitting[0] - 1


def _largest(modules_mm: Sequence[float], modules: int, room: float) -> float | None:
    return next((one for one in modules_mm if one * modules <= room), None)


def _qr_modules(text: str) -> int:
    import segno  # noqa: PLC0415  only where a label is made

    return len(segno.make_qr(text, error="q").matrix) + 2 * QR_QUIET_MODULES


def _cut(text: str, width: float, points: int, lines: int) -> str:
    """As much of a text as fits so many lines, an ellipsis where it was cut."""
    most = int(width / (points * LETTER_WIDTH * POINT_MM)) * max(lines - 1, 1)
    return text if len(text) <= most else f"{text[: max(most - 1, 1)].rstrip()}…"
