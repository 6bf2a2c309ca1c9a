"""Which parts of the stockroom the bench offers for a job."""

from __future__ import annotations

from django.db.models import Q

from shop.counter.models import Job
from shop.premises import spelling
from shop.stockroom.models import Part, PartFitted

OFFERED = 5
FOUND = 8


def parts_like(typed: str, *, limit: int = FOUND) -> list[Part]:
    """Parts of which every typed word stands in the number, the description, the designation or the value."""
    matching = Part.objects.filter(retired_at__isnull=True).select_related("level")
    for word in typed.split()[:6]:
        matching = matching.filter(
            Q(number__icontains=word)
            | Q(description__icontains=word)
            | Q(designation__icontains=word)
            | Q(words__icontains=word)
        )
    return list(matching.order_by("number")[:limit]) if typed.split() else []


def likely_parts(job: Job, *, limit: int = OFFERED) -> list[Part]:
    """What was fitted in this model before, the latest first: the parts that this job may well need."""
    earlier = (
        PartFitted.objects.filter(
            job__unit__model_id=job.unit.model_id, struck_at__isnull=True, part__retired_at__isnull=True
        )
        .exclude(part=None)
        .order_by("-id")
        .values_list("part_id", flat=True)[:40]
    )
    order = list(dict.fromkeys(earlier))[:limit]
    if not order:
        return []
    parts = Part.objects.select_related("level").in_bulk(order)
    return [parts[pk] for pk in order]


def part_with(pk: str) -> Part | None:
    """The part of that id, as a form sends it back."""
    if not (pk.isascii() and pk.isdigit() and len(pk) < 19):
        return None
    return Part.objects.filter(pk=int(pk), retired_at__isnull=True).select_related("level").first()


def in_a_line(part: Part) -> str:
    """A part as it is offered: number, what it is, how many lie in which drawer."""
    level = getattr(part, "level", None)
    left = spelling.quantity(level.quantity_thousandths if level is not None else 0)
    where = f" in drawer {part.drawer}" if part.drawer else ""
    return f"{part.number} · {part.description} · {left} left{where}"
