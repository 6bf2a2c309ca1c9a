"""The stockroom's verbs and things as the journal tells them."""

from __future__ import annotations

from collections.abc import Iterable

from django.urls import reverse

from shop.frame.wording import Name, counted
from shop.stockroom.models import Order, Part, PartFitted, PartWanted, Supplier

WORDS = {
    "part.fitted": "fitted a part, {state}",
    "part.struck": "struck out a part that was fitted",
    "part.wanted": "put a part on the order list",
    "part.kept": "reserved a part for a job that needs it",
    "part.kept_no_more": "took a part that was kept for a job: the job waits for it again",
    "part.sent_back": "sent {quantity_thousandths} back to the supplier, {fault}",
    "part.credited": "was credited {credited_minor} for what went back",
    "donor.noted": "noted what can be had from a donor unit",
    "donor.struck": "took a part off what can be had from a donor unit",
    "part.no_longer_wanted": "took a part off the order list",
    "part.came": "noted that a wanted part is here",
    "parts.arrived": "has all the parts it needed",
    "devices.fitted": "fitted a matched set",
    "part.added": "wrote a part down",
    "part.changed": "put a part right: {fields}",
    "part.named": "noted what somebody else calls a part",
    "part.number_taken_away": "took a wrong number of a part away",
    "part.pictured": "kept a photograph or data sheet of a part",
    "part.retired": "keeps no more of a part",
    "part.brought_back": "keeps a part again",
    "part.received": "put {quantity_thousandths} into the drawer, {state}",
    "part.salvaged": "put {quantity_thousandths} out of a donor unit into the drawer",
    "part.scrapped": "threw {quantity_thousandths} away",
    "part.counted": "counted {quantity_thousandths}, {difference_thousandths} apart from the book",
    "substitute.allowed": "said what may stand in for a part",
    "substitute.withdrawn": "said that something may no longer stand in for a part",
    "device.kept": "wrote a measured device down",
    "device.discarded": "keeps a measured device no longer",
    "supplier.added": "wrote a supplier down",
    "supplier.changed": "put a supplier right: {fields}",
    "price_rule.added": "wrote a price rule in effect from {from_date}",
    "price_rule.withdrawn": "withdrew the price rule that was to take effect on {from_date}",
    "order.opened": "opened an order of {lines}",
    "order.line_added": "put a line on an order",
    "order.line_changed": "changed a line of an order to {quantity_thousandths}",
    "order.line_taken_off": "took a line off an order",
    "order.sent": "sent an order",
    "order.line_received": "booked in {quantity_thousandths} of an order",
    "order.line_given_up": "gave up the rest of a line of an order",
    "order.carriage_set": "put freight and fees of an order at {carriage_minor}",
    "order.referenced": "noted what the supplier calls an order",
    "order.closed": "closed an order",
}


def part_names(ids: Iterable[int]) -> dict[int, Name]:
    """Parts by id, with their page."""
    parts = Part.objects.filter(pk__in=list(ids))
    return {part.pk: Name(str(part), reverse("stockroom:part", args=[part.pk])) for part in parts}


def fitted_names(ids: Iterable[int]) -> dict[int, Name]:
    """Parts fitted by id."""
    return {one.pk: Name(one.description) for one in PartFitted.objects.filter(pk__in=list(ids))}


def wanted_names(ids: Iterable[int]) -> dict[int, Name]:
    """Parts wanted by id."""
    return {one.pk: Name(one.description) for one in PartWanted.objects.filter(pk__in=list(ids))}


def order_names(ids: Iterable[int]) -> dict[int, Name]:
    """Orders by id, with their page."""
    orders = Order.objects.filter(pk__in=list(ids))
    return {order.pk: Name(order.number, reverse("stockroom:order", args=[order.pk])) for order in orders}


def supplier_names(ids: Iterable[int]) -> dict[int, Name]:
    """Suppliers by id, with their page."""
    suppliers = Supplier.objects.filter(pk__in=list(ids))
    return {one.pk: Name(one.name, reverse("stockroom:supplier", args=[one.pk])) for one in suppliers}


SPEAKERS = {("order.opened", "lines"): counted("line", "lines")}

NAMERS = {
    "stockroom.part": part_names,
    "stockroom.partfitted": fitted_names,
    "stockroom.partwanted": wanted_names,
    "stockroom.order": order_names,
    "stockroom.supplier": supplier_names,
}
