"""The ledger of one part, with what lay in the drawer after each entry."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet, Sum

from shop.stockroom.models import LedgerEntry, Part, StockLevel

PAGE = 25


@dataclass(frozen=True, slots=True)
class LedgerRow:
    """One entry, and what lay in the drawer after it, in thousandths."""

    entry: LedgerEntry
    left_thousandths: int


@dataclass(frozen=True, slots=True)
class LedgerPage:
    """Some entries, the newest first, and the id to go on from (None at the end)."""

    rows: list[LedgerRow]
    older_than: int | None = None
    is_first: bool = True


def ledger_of(part: Part, *, before: int | None = None) -> LedgerPage:
    """The ledger from just below `before`, or from the newest entry."""
    ledger = LedgerEntry.objects.filter(part=part)
    shown = ledger.filter(id__lt=before) if before is not None else ledger
    entries = list(
        shown.select_related("job", "donor__model__maker", "order_line__order", "by").order_by("-id")[
            : PAGE + 1
        ]
    )
    left = _held_below(part, ledger, before)
    rows = []
    for entry in entries[:PAGE]:
        rows.append(LedgerRow(entry, left))
        left -= entry.quantity_thousandths
    older = entries[PAGE - 1].pk if len(entries) > PAGE else None
    return LedgerPage(rows, older, before is None)


def _held_below(part: Part, ledger: QuerySet[LedgerEntry], before: int | None) -> int:
    """How much there was after the entry just below `before`: the level now, less what came since."""
    level = StockLevel.objects.filter(part=part).values_list("quantity_thousandths", flat=True).first() or 0
    if before is None:
        return level
    since = ledger.filter(id__gte=before).aggregate(sum=Sum("quantity_thousandths"))["sum"] or 0
    return level - int(since)
