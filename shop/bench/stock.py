"""Which parts of the stockroom the bench offers for a job."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from django.db.models import QuerySet, Value

from shop.bench.queries import latest_units_of
from shop.counter.models import Job
from shop.frame import spelling
from shop.frame.formwork import whole_number
from shop.stockroom.models import Part, PartFitted, PartState, PartWanted
from shop.stockroom.pricing import price_of_wanted
from shop.stockroom.queries import find_parts

OFFERED = 5
FOUND = 8


def parts_like(typed: str, *, limit: int = FOUND) -> list[Part]:
    """Parts that what was typed may mean, as the stockroom finds them: by value, by anybody's number, by words."""
    return list(find_parts(typed).order_by("number")[:limit]) if typed.split() else []


@dataclass(slots=True)
class Drawers:
    """What lies in the drawers under some words, as `parts_like` finds it; words that are told together are asked at once."""

    _found: dict[str, list[Part]] = field(default_factory=dict)

    def look_for(self, typed: Iterable[str]) -> None:
        """Look for all of these in one query, but for those that were looked for before."""
        words = [one for one in dict.fromkeys(typed) if one.split() and one not in self._found]
        self._found |= {one: [] for one in words}
        each = [
            find_parts("").filter(pk__in=_first_of(one)).annotate(asked=Value(at))
            for at, one in enumerate(words)
        ]
        found = each[0].union(*each[1:], all=True) if each else []
        for part in sorted(found, key=lambda one: one.number):
            self._found[words[vars(part)["asked"]]].append(part)

    def like(self, typed: str) -> list[Part]:
        """Parts that these words may mean."""
        self.look_for([typed])
        return list(self._found.get(typed, ()))


def _first_of(typed: str) -> QuerySet[Part, int]:
    return find_parts(typed).order_by("number").values_list("pk", flat=True)[:FOUND]


def likely_parts(job: Job, *, limit: int = OFFERED) -> list[Part]:
    """What was fitted in this model before, the latest first: the parts that this job may well need. One query."""
    earlier = PartFitted.objects.filter(
        job__unit_id__in=latest_units_of(job.unit.model_id), struck_at__isnull=True, part__isnull=False
    )
    latest = earlier.select_related("part__level").order_by("-id")[:40]
    parts = {one.part_id: one.part for one in latest if one.part is not None and one.part.retired_at is None}
    return list(parts.values())[:limit]


def part_with(pk: str) -> Part | None:
    """The part of that id, as a form sends it back."""
    return (
        Part.objects.filter(pk=whole_number(pk) or 0, retired_at__isnull=True).select_related("level").first()
    )


@dataclass(frozen=True, slots=True)
class OfferedPart:
    """A part as a tile offers it."""

    pk: int
    key: str
    text: str
    left: str


def offered(parts: Iterable[Part]) -> list[OfferedPart]:
    """Parts as they are offered: number, what it is, how many lie in which drawer."""
    return [
        OfferedPart(one.pk, str(one.pk), f"{one.number} · {one.description}", left_of(one)) for one in parts
    ]


@dataclass(frozen=True, slots=True)
class Arrived:
    """A wanted part that lies here for the job: how many, what one cost, and what one costs the customer."""

    want: PartWanted
    part: Part
    cost_ten_thousandths: int
    price_ten_thousandths: int | None

    @property
    def quantity_thousandths(self) -> int:
        """How many lie here."""
        return self.want.kept_thousandths

    @property
    def state(self) -> str:
        """New, unless too few in the drawer are."""
        level = self.part.level
        new = level.quantity_thousandths - level.second_hand_thousandths
        return PartState.NEW if new >= self.quantity_thousandths else PartState.USED


def arrived(wants: Iterable[PartWanted]) -> list[Arrived]:
    """What of these wants, read `with_rule`, lies here, at the cost and price of the day."""
    return [
        Arrived(want, want.part, want.part.level.average_cost_ten_thousandths, price_of_wanted(want))
        for want in wants
        if want.kept_thousandths and want.part is not None
    ]


def left_of(part: Part) -> str:
    """How much of a part lies in which drawer."""
    level = getattr(part, "level", None)
    left = spelling.quantity(level.quantity_thousandths if level is not None else 0)
    return f"{left} left" + (f" in drawer {part.drawer}" if part.drawer else "")
