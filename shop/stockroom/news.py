"""The stockroom's news: parts that came for jobs."""

from __future__ import annotations

from collections.abc import Iterator

from shop.counter.stages import OPEN
from shop.frame import spelling
from shop.frame.models import Staff
from shop.frame.news import Piece
from shop.frame.rooms import open_door
from shop.stockroom.models import PartWanted

MOST = 30


def parts_here(staff: Staff) -> Iterator[Piece]:
    """What jobs wanted and lies here for them, not fitted yet."""
    here = (
        PartWanted.objects.filter(
            job__stage__among=OPEN, kept_thousandths__gt=0, fitted_at=None, dropped_at=None
        )
        .select_related("job__unit__model__maker", "part", "order_line__order")
        .order_by("-id")[:MOST]
    )
    for want in here:
        many, all_of_it = want.kept_thousandths, want.quantity_thousandths
        part_of = "" if many == all_of_it else f" of {spelling.quantity(all_of_it)}"
        yield Piece(
            key=f"part:{want.pk}:{many}",
            icon="package",
            title=f"A part came for {want.job.number}",
            words=f"{spelling.quantity(many)}{part_of} × {want.description}, for {want.job.unit.model}.",
            at=want.came_at or want.at,
            address=open_door("bench:job", want.job.number),
        )
