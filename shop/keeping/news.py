"""The keeping's news: letters that did not go, a backup that was not made."""

from __future__ import annotations

from collections.abc import Iterator

from django.urls import reverse

from shop.frame import clock
from shop.frame.models import Role, Staff
from shop.frame.news import Piece, forget_old
from shop.keeping import health
from shop.keeping.night import Night
from shop.keeping.queries import waiting_messages

MOST = 20


def letters(staff: Staff) -> Iterator[Piece]:
    """Letters that could not be sent."""
    if not staff.has_role(Role.COUNTER):
        return
    for one in waiting_messages().exclude(last_error="")[:MOST]:
        yield Piece(
            key=f"letter:{one.pk}",
            icon="mail",
            title="A letter did not go",
            words=f"“{one.subject}” to {one.to}: {one.last_error}",
            at=one.written_at,
            address=reverse("premises:outbox"),
        )


def backup(staff: Staff) -> Iterator[Piece]:
    """A backup that is overdue: told anew each day that it is."""
    if not staff.is_owner:
        return
    sign = health.backup_sign()
    if sign.state == health.GOOD:
        return
    yield Piece(
        key=f"backup:{clock.today()}",
        icon="archive",
        title="No backup was made",
        words=sign.sentence,
        at=clock.now(),
        address=reverse("premises:health"),
    )


def clear_seen(night: Night) -> None:
    """Clear away who has seen what long ago."""
    night.note(forget_old(), "One old piece of news was cleared.", "{} old pieces of news were cleared.")
