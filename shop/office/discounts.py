"""A discount as a line of its own kind: it takes the tax of the lines that it comes off (Directive 2006/112/EC Art. 79(b)).

Where those are taxed differently, or belong to several jobs, it is shared out over them in proportion to their sums, a line
for each, so that every rate's base is right (18 CCR 1655(a), the gross receipts of what is sold at a discount; both articles
from memory; sharing by largest remainders, common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from shop.frame import spelling
from shop.frame.refusal import Refusal
from shop.handbook import tax
from shop.handbook.money import Money, UnitPrice, share
from shop.office.models import LineKind
from shop.office.pricing import PricedItem

Key = tuple[int | None, tax.Category, tax.Percent]


def taken_off(items: Sequence[PricedItem]) -> bool:
    """Whether some discount among the lines is not shared out yet."""
    return any(_waits(item) for item in items)


def shared_out(items: Sequence[PricedItem], treatments: Sequence[tax.LineTotal]) -> list[PricedItem]:
    """The lines with each discount shared out over the others; `treatments` are those of the others, in their order.

    Refuses a discount that is more than what it comes off.
    """
    others = [item for item in items if not _waits(item)]
    groups: dict[Key, list[PricedItem]] = {}
    for item, total in zip(others, treatments, strict=True):
        key = (item.job.pk if item.job else None, total.treatment.category, total.treatment.percent)
        groups.setdefault(key, []).append(item)
    found: list[PricedItem] = []
    for item in items:
        if not _waits(item):
            found.append(item)
            continue
        mine = {
            key: rows for key, rows in groups.items() if item.job is None or key[0] in {None, item.job.pk}
        }
        found += _pieces(item, mine)
    return found


def _waits(item: PricedItem) -> bool:
    return item.kind == LineKind.DISCOUNT and not item.of_kind


def _pieces(item: PricedItem, groups: dict[Key, list[PricedItem]]) -> list[PricedItem]:
    off = Money(abs(item.amount.minor), item.unit_price.currency)
    sums = [max(0, sum(row.amount.minor for row in rows)) for rows in groups.values()]
    if off.minor > sum(sums):
        raise Refusal(f"“{item.description}” takes off more than the lines come to: make it smaller.")
    if not off:
        return []
    parts = [
        (key, rows, part)
        for (key, rows), part in zip(groups.items(), share(off, sums), strict=True)
        if part.minor
    ]
    several = len({percent for (_job, _category, percent), _rows, _part in parts}) > 1
    return [
        replace(
            item,
            description=_said(item.description, key[2], several=several),
            unit_price=UnitPrice.of(part),
            quantity_thousandths=-1000,
            unit="pc",
            rate=largest.rate,
            margin=largest.margin,
            of_kind=largest.of_kind or largest.kind,
            job=largest.job,
            sources=(),
        )
        for key, rows, part in parts
        for largest in [max(rows, key=lambda row: row.amount.minor)]
    ]


def _said(words: str, percent: tax.Percent, *, several: bool) -> str:
    return f"{words}, on what is taxed at {spelling.percent(percent.decimal)}" if several else words
