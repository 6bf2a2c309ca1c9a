"""One drawer: its level under lock, and the one way in which it changes."""

from __future__ import annotations

from shop.frame.journal import Act
from shop.frame.refusal import Refusal
from shop.handbook.counting import AverageCost
from shop.stockroom.models import LedgerEntry, Part, StockLevel

MOST_THOUSANDTHS = 10**12


def book(
    act: Act,
    *,
    part: Part,
    kind: str,
    quantity_thousandths: int,
    unit_cost_ten_thousandths: int | None = None,
    second_hand_thousandths: int | None = None,
    note: str = "",
    **more: object,
) -> LedgerEntry:
    """One ledger entry, and the level under its row's lock: two hands never take the last part twice.

    What comes in moves the average cost (`shop.handbook.counting`); what goes out takes the average of the day.
    `second_hand_thousandths` says how many of them are not new, with the same sign; None takes new ones out first.
    """
    if abs(quantity_thousandths) > MOST_THOUSANDTHS:
        raise Refusal("That is more than any drawer holds; check the quantity.", field="quantity")
    if (unit_cost_ten_thousandths or 0) < 0:
        raise Refusal("A cost can't be less than nothing.", field="unit_cost")
    level = level_of(part)
    had, had_used, had_cost = (
        level.quantity_thousandths,
        level.second_hand_thousandths,
        level.average_cost_ten_thousandths,
    )
    has = had + quantity_thousandths
    if has < 0:
        raise Refusal(
            f"There is not that much of {part.number} in the drawer: {had / 1000:g} left.", field="quantity"
        )
    if second_hand_thousandths is None:
        second_hand_thousandths = min(had_used, has) - had_used
    has_used = had_used + second_hand_thousandths
    cost = had_cost if unit_cost_ten_thousandths is None else unit_cost_ten_thousandths
    moved = had_cost
    if quantity_thousandths > 0:
        moved = AverageCost(had, had_cost).received(quantity_thousandths, cost).unit_cost
    StockLevel.objects.filter(pk=level.pk).update(
        quantity_thousandths=has, second_hand_thousandths=has_used, average_cost_ten_thousandths=moved
    )
    entry = LedgerEntry.objects.create(
        part=part,
        kind=kind,
        quantity_thousandths=quantity_thousandths,
        second_hand_thousandths=second_hand_thousandths,
        unit_cost_ten_thousandths=cost,
        note=note.strip()[:200],
        at=act.at,
        by=act.by,
        **more,
    )
    act.seal(entry)
    return entry


def level_of(part: Part) -> StockLevel:
    """What is in the drawer, with its row locked until the transaction ends (on SQLite the whole book is)."""
    locked = StockLevel.objects.select_for_update()
    level = locked.filter(part=part).first()
    if level is None:
        StockLevel.objects.get_or_create(part=part)
        level = locked.get(part=part)
    return level
