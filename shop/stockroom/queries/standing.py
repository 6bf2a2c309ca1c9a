"""How the stock of parts stands: what is there, what is spoken for, what is on its way, and whether that will last."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from shop.counter.stages import ENDED
from shop.frame import clock
from shop.handbook.counting import CountingError, reorder_point
from shop.stockroom.models import LedgerEntry, OrderLine, Part, PartWanted, StockLevel
from shop.stockroom.queries.finding import whole_parts

LOOK_BACK_DAYS = 365
LEAST_DAYS = 90
"""Two pieces used in the first week of a drawer are no rule of two a week."""

USUAL_LEAD_DAYS = 14
SERVICE = 0.95
MOST_SHORTAGES = 300


@dataclass(frozen=True, slots=True)
class Standing:
    """How one part stands, in thousandths. `point` is where it should be ordered again; None where nothing says so.

    `kept` lies in the drawer for jobs that waited for it, `waiting` is wanted and not there, `coming` is on orders.
    """

    part: Part
    held: int = 0
    second_hand: int = 0
    average_cost: int = 0
    kept: int = 0
    waiting: int = 0
    coming: int = 0
    point: int | None = None
    used: int = 0
    over_days: int = LOOK_BACK_DAYS

    @property
    def free(self) -> int:
        """What lies in the drawer and is kept for nobody."""
        return self.held - self.kept

    @property
    def available(self) -> int:
        """What will be left when everything on order has come and every job has what it wants. May be less than none."""
        return self.free + self.coming - self.waiting

    @property
    def is_low(self) -> bool:
        """Whether it is to be ordered: jobs wait for more than comes, or stock is at or below the reorder point."""
        return self.available < 0 or (self.point is not None and self.available <= self.point)

    @property
    def suggested(self) -> int:
        """How many to order: enough for the waiting jobs and to stand above the reorder point, or the usual quantity."""
        if not self.is_low:
            return 0
        short = -self.available if self.point is None else self.point + 1000 - self.available
        whole = -(-max(short, 1000) // 1000) * 1000
        return max(whole, self.part.reorder_quantity_thousandths or 0)


def standing_of(parts: Iterable[Part]) -> dict[int, Standing]:
    """How each of these parts stands, by id: five queries, whatever their number."""
    parts = list(parts)
    ids = [part.pk for part in parts]
    figures = _Figures.of(ids)
    return {part.pk: figures.standing(part) for part in parts}


def shortages() -> list[Standing]:
    """Every part that is to be ordered, by number."""
    watched = Part.objects.filter(retired_at=None).filter(
        Q(reorder_at_thousandths__isnull=False)
        | Q(pk__in=_open_wants().filter(came_at=None).values("part"))
        | Q(pk__in=_uses().values("part"))
    )
    parts = list(whole_parts().filter(pk__in=watched.values("pk")).order_by("number"))
    standing = standing_of(parts)
    return [standing[part.pk] for part in parts if standing[part.pk].is_low][:MOST_SHORTAGES]


@dataclass(frozen=True, slots=True)
class _Figures:
    """What the database adds up for some parts."""

    levels: Mapping[int, StockLevel] = field(default_factory=dict)
    wants: Mapping[int, tuple[int, int]] = field(default_factory=dict)
    coming: Mapping[int, int] = field(default_factory=dict)
    uses: Mapping[int, int] = field(default_factory=dict)
    firsts: Mapping[int, dt.datetime] = field(default_factory=dict)

    @classmethod
    def of(cls, ids: list[int]) -> _Figures:
        wants = (
            _open_wants()
            .filter(part__in=ids)
            .values("part")
            .annotate(
                kept=Sum("kept_thousandths"),
                waiting=Sum(F("quantity_thousandths") - F("kept_thousandths") - F("fitted_thousandths")),
            )
        )
        coming = (
            OrderLine.objects.filter(part__in=ids, order__closed_at=None, given_up_at=None)
            .filter(received_thousandths__lt=F("quantity_thousandths"))
            .values("part")
            .annotate(sum=Sum(F("quantity_thousandths") - F("received_thousandths")))
        )
        uses = _uses().filter(part__in=ids).values("part").annotate(sum=Sum("quantity_thousandths"))
        # the first entry of each, found at the end of an index: a least of all would be looked for among all
        ledger = LedgerEntry.objects.filter(part=OuterRef("pk")).order_by("at").values("at")
        firsts = Part.objects.filter(pk__in=ids).annotate(first=Subquery(ledger[:1]))
        return cls(
            {level.part_id: level for level in StockLevel.objects.filter(part__in=ids)},
            {row["part"]: (row["kept"], row["waiting"]) for row in wants},
            {row["part"]: row["sum"] for row in coming},
            {row["part"]: -row["sum"] for row in uses},
            {part: first for part, first in firsts.values_list("pk", "first") if first is not None},
        )

    def standing(self, part: Part) -> Standing:
        level = self.levels.get(part.pk) or StockLevel(part=part)
        kept, waiting = self.wants.get(part.pk, (0, 0))
        used = max(self.uses.get(part.pk, 0), 0)
        days = self._days(part.pk)
        return Standing(
            part=part,
            held=level.quantity_thousandths,
            second_hand=level.second_hand_thousandths,
            average_cost=level.average_cost_ten_thousandths,
            kept=kept,
            waiting=waiting,
            coming=self.coming.get(part.pk, 0),
            point=_point(part, used, days),
            used=used,
            over_days=days,
        )

    def _days(self, part_id: int) -> int:
        first = self.firsts.get(part_id)
        known = (clock.now() - first).days if first is not None else 0
        return min(max(known, LEAST_DAYS), LOOK_BACK_DAYS)


def _point(part: Part, used: int, days: int) -> int | None:
    """The shop's own reorder point, else the handbook's from use and lead time; None for a part that nobody uses."""
    if part.reorder_at_thousandths is not None:
        return part.reorder_at_thousandths
    if not used:
        return None
    supplier = part.preferred_supplier
    lead = supplier.lead_days if supplier is not None else USUAL_LEAD_DAYS
    try:
        return reorder_point(-(-used // 1000), days, lead, SERVICE).point * 1000
    except CountingError:
        return None


def _open_wants() -> QuerySet[PartWanted]:
    return PartWanted.objects.filter(fitted_at=None, dropped_at=None).exclude(job__stage__in=ENDED)


def _uses() -> QuerySet[LedgerEntry]:
    since = clock.now() - dt.timedelta(days=LOOK_BACK_DAYS)
    kinds = (LedgerEntry.Kind.FITTED, LedgerEntry.Kind.RETURNED)
    return LedgerEntry.objects.filter(kind__in=kinds, at__gte=since)
