"""The window's news: what customers said on their pages."""

from __future__ import annotations

from collections.abc import Iterator

from shop.frame.models import Staff
from shop.frame.news import Piece
from shop.frame.rooms import open_door
from shop.window.models import Word

MOST = 30


def words(staff: Staff) -> Iterator[Piece]:
    """What customers said, until somebody has answered it or noted it as read with the job."""
    said = Word.objects.filter(from_customer=True, seen_at__isnull=True)
    for word in said.select_related("job__customer", "job__unit__model__maker").order_by("-at")[:MOST]:
        card = open_door("records:job_card", word.job.number)
        yield Piece(
            key=f"word:{word.pk}",
            icon="message-circle",
            title=f"{word.job.customer.name} wrote about {word.job.number}",
            words=f"{word.job.unit.model}: “{word.text[:140]}”",
            at=word.at,
            address=f"{card}#words" if card else "",
        )
