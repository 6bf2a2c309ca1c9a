"""The keeping's news: letters that did not go, backups that were not made, chores that failed."""

from __future__ import annotations

import os
from collections.abc import Iterator

from django.conf import settings
from django.urls import reverse

from shop.frame import clock
from shop.frame.models import Role, Staff
from shop.frame.news import Piece, forget_old
from shop.keeping import health, shelf
from shop.keeping.night import Night
from shop.keeping.queries import waiting_messages
from shop.keeping.tasks.queries import failed_turns

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


def backup_key(staff: Staff) -> Iterator[Piece]:
    """Backups that anybody who finds one can read; told once, until a key is named."""
    if not staff.is_owner or settings.DEMO or os.environ.get("SHOP_BACKUP_KEY"):
        return
    if newest := shelf.last_backup():
        yield Piece(
            key="backup-key",
            icon="lock",
            title="Backups are not encrypted",
            words="Whoever finds one can read it. Make a key with “age-keygen”, keep it in another house, and name its public "
            "half: SHOP_BACKUP_KEY=age1…",
            at=newest.made_at,
            address=reverse("premises:health"),
        )


def chores(staff: Staff) -> Iterator[Piece]:
    """What the clock asked for and could not be done, for the owner."""
    if not staff.is_owner:
        return
    for turn in failed_turns():
        if turn.last:
            yield Piece(
                key=f"chore:{turn.last.pk}",
                icon="circle-alert",
                title=f"Not done: {turn.name}",
                words=turn.sentence,
                at=turn.last.ended_at or turn.last.asked_at,
                address=reverse("premises:health"),
            )


def clear_seen(night: Night) -> None:
    """Clear away who has seen what long ago."""
    night.note(forget_old(), "One old piece of news was cleared.", "{} old pieces of news were cleared.")
