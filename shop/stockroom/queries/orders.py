"""What is to be ordered, and what is on order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import Count, F, Prefetch, Q, QuerySet

from shop.counter.said import no_repair
from shop.counter.stages import ENDED
from shop.stockroom.models import Order, OrderLine, PartNumber, PartWanted, Supplier
from shop.stockroom.queries.standing import Standing, shortages

MOST_WANTS = 300
MOST_ORDERS = 100


@dataclass(slots=True)
class ToOrder:
    """One line of the order list: a part that is short, or words; how many, at what price, and which jobs wait for it."""

    key: str
    standing: Standing | None
    description: str
    quantity_thousandths: int
    unit_cost_ten_thousandths: int
    wants: list[PartWanted] = field(default_factory=list)
    refused: frozenset[int] = frozenset()

    @property
    def is_needed(self) -> bool:
        """Whether anybody still needs it: not where it is for jobs alone whose customers said no since."""
        return not self.wants or any(want.job_id not in self.refused for want in self.wants)


@dataclass(slots=True)
class OrderSheet:
    """What is to be ordered from one supplier; None where nobody has said from whom."""

    supplier: Supplier | None
    lines: list[ToOrder] = field(default_factory=list)


def order_list() -> list[OrderSheet]:
    """What is to be ordered, by supplier; those without one last."""
    wants = list(_unordered_wants()[:MOST_WANTS])
    refused = no_repair.among({want.job_id for want in wants})
    short = shortages()
    prices = _prices(short)
    sheets: dict[int | None, OrderSheet] = {}
    for standing in short:
        supplier = standing.part.preferred_supplier
        sheet = sheets.setdefault(supplier.pk if supplier else None, OrderSheet(supplier))
        line = ToOrder(
            key=f"p{standing.part.pk}",
            standing=standing,
            description=standing.part.description,
            quantity_thousandths=standing.suggested,
            unit_cost_ten_thousandths=prices.get(standing.part.pk, 0),
            wants=[want for want in wants if want.part_id == standing.part.pk],
            refused=refused,
        )
        sheet.lines.append(line)
    for want in wants:
        if want.part_id is None:
            sheet = sheets.setdefault(None, OrderSheet(None))
            sheet.lines.append(
                ToOrder(f"w{want.pk}", None, want.description, want.quantity_thousandths, 0, [want], refused)
            )
    return sorted(sheets.values(), key=lambda one: (one.supplier is None, str(one.supplier).casefold()))


def orders_in_hand() -> QuerySet[Order]:
    """Orders that are not closed: those not sent first, then the longest out."""
    return _with_counts(Order.objects.filter(closed_at=None)).order_by(
        F("sent_at").asc(nulls_first=True), "id"
    )


def closed_orders(before: int | None = None) -> list[Order]:
    """Closed orders, the newest first, from just below `before`."""
    closed = Order.objects.filter(closed_at__isnull=False)
    if before is not None:
        closed = closed.filter(id__lt=before)
    return list(_with_counts(closed).order_by("-id")[: MOST_ORDERS + 1])


def whole_order() -> QuerySet[Order]:
    """Orders with everything their page shows."""
    wanted = PartWanted.objects.select_related("job").order_by("id")
    lines = (
        OrderLine.objects.select_related("part__level")
        .prefetch_related(Prefetch("wanted", wanted))
        .order_by("id")
    )
    return Order.objects.select_related("supplier", "paper").prefetch_related(Prefetch("lines", lines))


def delivered_order(order: Order) -> list[OrderLine]:
    """The lines of which something is still to come."""
    return [
        line
        for line in order.lines.all()
        if line.given_up_at is None and line.received_thousandths < line.quantity_thousandths
    ]


def _unordered_wants() -> QuerySet[PartWanted]:
    open_wants = PartWanted.objects.filter(came_at=None, fitted_at=None, dropped_at=None, order_line=None)
    return (
        open_wants.exclude(job__stage__in=ENDED)
        .select_related("job__unit__model__maker", "part")
        .order_by("id")
    )


def _with_counts(orders: QuerySet[Order]) -> QuerySet[Order]:
    is_open = Q(lines__given_up_at=None, lines__received_thousandths__lt=F("lines__quantity_thousandths"))
    return orders.select_related("supplier").annotate(
        line_count=Count("lines"), open_count=Count("lines", filter=is_open)
    )


def _prices(short: Iterable[Standing]) -> dict[int, int]:
    """What each part last cost at its preferred supplier, else its average cost in the drawer."""
    prices = {one.part.pk: one.average_cost for one in short}
    known = PartNumber.objects.filter(
        part__in=prices, supplier=F("part__preferred_supplier"), price_ten_thousandths__isnull=False
    )
    return prices | {number.part_id: number.price_ten_thousandths or 0 for number in known}


def orders_hold_to_currency(old: str, new: str) -> str | None:
    """Why the shop can't reckon in another currency yet: orders that are open in the old one."""
    open_ones = list(
        Order.objects.filter(currency=old, closed_at__isnull=True).values_list("number", flat=True)[:4]
    )
    if not open_ones:
        return None
    return f"Orders are open in {old} ({', '.join(open_ones)}): close them before the shop works in {new}."
