"""A discount as a line of its own kind: it takes the tax of the lines that it comes off (Directive 2006/112/EC Art. 79(b)).

Where those are taxed differently, or belong to several jobs, it is shared out over them in proportion to their sums, a line
for each, so that every rate's base is right (18 CCR 1655(a), the gross receipts of what is sold at a discount; both articles
from memory; sharing by largest remainders, common practice). Whenever the lines are written, the shares are put together again
first, so that a discount follows the lines that it comes off.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from shop.counter.models import Customer, Job
from shop.frame import spelling
from shop.frame.refusal import Refusal
from shop.handbook import tax
from shop.handbook.money import Money, UnitPrice, currency_named, round_half_up, share
from shop.office import taxing
from shop.office.models import PERCENT, Estimate, EstimateLine, Invoice, InvoiceLine, LineKind
from shop.office.pricing import PricedItem, as_items

Key = tuple[int | None, tax.Category, tax.Percent]
Groups = dict[Key, list[PricedItem]]
OF_A_RATE, UNTAXED = ", on what is taxed at ", ", on what is not taxed"
LONGEST = 300


def reckoned(
    items: Sequence[PricedItem],
    *,
    customer: Customer,
    currency: str,
    on: dt.date,
    jobs: Collection[Job],
    lump_sum: bool = False,
) -> tuple[list[PricedItem], tax.Totals]:
    """The lines with their discounts shared out, and what they come to. Refuses to take off more than the lines come to."""

    def totals(lines: Sequence[PricedItem]) -> tax.Totals:
        return taxing.totals(lines, customer=customer, currency=currency, on=on, jobs=jobs, lump_sum=lump_sum)

    found = together(items)
    others = [item for item in found if not _takes_off(item)]
    if len(others) < len(found):
        found = _shared_out(found, others, totals(others))
    return found, totals(found)


def together(items: Sequence[PricedItem]) -> list[PricedItem]:
    """The lines as they were typed: the shares of one discount as the one line that they were."""
    found: list[PricedItem] = []
    taken: set[tuple[str, str, bool]] = set()
    for item in items:
        if not _takes_off(item):
            found.append(item)
            continue
        whole, mine = _whole(item), (item.of_kind, item.rate, item.margin)
        last = found[-1] if found else None
        if item.of_kind and mine not in taken and last is not None and _are_one(last, whole):
            found[-1] = replace(last, unit_price=_added(last, whole))
            taken.add(mine)
        else:
            found.append(whole)
            taken = {mine} if item.of_kind else set()
    return found


def with_promised(job: Job, items: Sequence[PricedItem]) -> list[PricedItem]:
    """What a job comes to, with the discounts of the estimate that the customer agreed to; a sum is taken off once."""
    agreed = Estimate.objects.filter(job=job, state__in=[Estimate.State.ACCEPTED, Estimate.State.PARTLY])
    estimate = agreed.order_by("-version").first()
    if estimate is None or not sum(item.amount.minor for item in items):
        return list(items)
    lines = list(estimate.lines.filter(kind=LineKind.DISCOUNT))
    found = list(items)
    for off in together(as_items(lines, estimate.currency, job)):
        left = Money.sum((item.amount for item in found), estimate.currency)
        if off.unit == PERCENT:
            found.append(off)
        elif left.minor > 0 and not _was_taken_off(job, off):
            most = min(abs(off.amount), left)
            found.append(replace(off, unit_price=UnitPrice.of(most), quantity_thousandths=-1000))
    return found


def _was_taken_off(job: Job, off: PricedItem) -> bool:
    lines = InvoiceLine.objects.filter(
        job=job,
        kind=LineKind.DISCOUNT,
        invoice__kind=Invoice.Kind.INVOICE,
        invoice__issued_at__isnull=False,
        taken_back_by__isnull=True,
        description__startswith=off.description,
    )
    return lines.exists()


def net_of_accepted(lines: Iterable[EstimateLine], accepted: Collection[int]) -> int:
    """What the accepted lines come to before tax, in minor units, less their share of the estimate's discounts."""
    offs = [line for line in lines if line.kind == LineKind.DISCOUNT]
    others = [line for line in lines if line.kind != LineKind.DISCOUNT]
    mine = sum(line.net_minor for line in others if line.pk in accepted)
    whole, off = sum(line.net_minor for line in others), sum(line.net_minor for line in offs)
    return mine + round_half_up(off * mine, whole) if off and whole else mine


def _takes_off(item: PricedItem) -> bool:
    return item.kind == LineKind.DISCOUNT


def _whole(item: PricedItem) -> PricedItem:
    """A share as the discount that it comes from; one that was typed stays as it is."""
    if not item.of_kind:
        return item
    quantity = 0 if item.unit == PERCENT else item.quantity_thousandths
    return replace(
        item,
        description=item.description.removesuffix(UNTAXED).split(OF_A_RATE)[0],
        of_kind="",
        rate=taxing.STANDARD,
        margin=False,
        quantity_thousandths=quantity,
    )


def _are_one(last: PricedItem, whole: PricedItem) -> bool:
    if not _takes_off(last) or (last.job, last.description, last.unit) != (
        whole.job,
        whole.description,
        whole.unit,
    ):
        return False
    return whole.unit != PERCENT or last.unit_price == whole.unit_price


def _added(last: PricedItem, whole: PricedItem) -> UnitPrice:
    return last.unit_price if whole.unit == PERCENT else UnitPrice.of(-(last.amount + whole.amount))


def _shared_out(
    items: Sequence[PricedItem], others: Sequence[PricedItem], before: tax.Totals
) -> list[PricedItem]:
    """The lines with each discount shared out over the others, and never more taken off than these come to."""
    groups: Groups = {}
    for item, total in zip(others, before.lines, strict=True):
        key = (item.job.pk if item.job else None, total.treatment.category, total.treatment.percent)
        groups.setdefault(key, []).append(item)
    left = {key: sum(row.amount.minor for row in rows) for key, rows in groups.items()}
    found: list[PricedItem] = []
    for item in items:
        if not _takes_off(item):
            found.append(item)
            continue
        mine = {
            key: rows for key, rows in groups.items() if item.job is None or key[0] in {None, item.job.pk}
        }
        for key, piece in _pieces(item, mine):
            left[key] += piece.amount.minor
            if left[key] < 0:
                _refuse(item)
            found.append(piece)
    return found


def _refuse(item: PricedItem) -> None:
    raise Refusal(f"“{item.description}” takes off more than the lines come to: make it smaller.")


def _pieces(item: PricedItem, groups: Groups) -> list[tuple[Key, PricedItem]]:
    sums = {key: max(0, sum(row.amount.minor for row in rows)) for key, rows in groups.items()}
    sums = {key: minor for key, minor in sums.items() if minor}
    parts = _parts(item, sums)
    several = len({percent for (_job, _category, percent) in parts}) > 1
    return [(key, _piece(item, groups[key], part, key[2], several=several)) for key, part in parts.items()]


def _parts(item: PricedItem, sums: dict[Key, int]) -> dict[Key, PricedItem]:
    """Quantity and price of each share: a percentage of what it comes off, or its part of a sum."""
    currency = item.unit_price.currency
    if item.unit == PERCENT:
        if not sums:
            _refuse(item)
        scale = 10 ** (3 - min(3, currency_named(currency).digits))
        return {key: replace(item, quantity_thousandths=-minor * scale) for key, minor in sums.items()}
    off = Money(abs(item.amount.minor), currency)
    if off.minor > sum(sums.values()):
        _refuse(item)
    if not off:
        return {}
    return {
        key: replace(item, unit_price=UnitPrice.of(part), quantity_thousandths=-1000, unit="pc")
        for key, part in zip(sums, share(off, list(sums.values())), strict=True)
        if part
    }


def _piece(
    item: PricedItem, rows: Sequence[PricedItem], part: PricedItem, percent: tax.Percent, *, several: bool
) -> PricedItem:
    largest = max(rows, key=lambda row: row.amount.minor)
    rate = ""
    if several:
        rate = f"{OF_A_RATE}{spelling.percent(percent.decimal)}" if percent > tax.Percent(0) else UNTAXED
    return replace(
        part,
        description=item.description[: LONGEST - len(rate)] + rate,
        rate=largest.rate,
        margin=largest.margin,
        of_kind=largest.kind,
        job=largest.job,
        sources=(),
    )
