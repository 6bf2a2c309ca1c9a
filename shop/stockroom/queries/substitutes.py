"""Which parts may stand in for which: by what the shop has written down, in its direction only."""

from __future__ import annotations

from dataclasses import dataclass

from shop.stockroom.models import Part, Substitute
from shop.stockroom.queries.standing import Standing, standing_of


@dataclass(frozen=True, slots=True)
class Stands:
    """One part that may stand in for another, under its condition, and how its stock stands."""

    substitute: Substitute
    part: Part
    standing: Standing


def replacements_of(part: Part) -> list[Stands]:
    """What may be fitted instead of a part; those in stock first."""
    known = Substitute.objects.filter(stands_in_for=part).select_related("part__preferred_supplier")
    rows = list(known.order_by("part__number"))
    return _with_stock([(row, row.part) for row in rows])


def stands_in_of(part: Part) -> list[Stands]:
    """What a part may be fitted instead of."""
    known = Substitute.objects.filter(part=part).select_related("stands_in_for__preferred_supplier")
    rows = list(known.order_by("stands_in_for__number"))
    return _with_stock([(row, row.stands_in_for) for row in rows])


def _with_stock(rows: list[tuple[Substitute, Part]]) -> list[Stands]:
    standing = standing_of([part for _, part in rows]) if rows else {}
    found = [Stands(row, part, standing[part.pk]) for row, part in rows]
    return sorted(found, key=lambda one: one.standing.free <= 0)
