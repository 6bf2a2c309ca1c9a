"""What is asked of the things that the shop keeps: letters in the outbox, last night's check."""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.db.models import QuerySet

from shop.keeping.models import Message, NightlyReport

SHOWN_MESSAGES = 100


def waiting_messages() -> QuerySet[Message]:
    """What is still to be sent, the oldest first."""
    return Message.objects.filter(sent_at__isnull=True, set_aside_at__isnull=True).order_by(
        "written_at", "pk"
    )


def messages_shown() -> list[Message]:
    """The outbox's last letters: what waits, what went, what was set aside, the newest first."""
    return list(Message.objects.select_related("paper").order_by("-written_at", "-pk")[:SHOWN_MESSAGES])


def last_night() -> NightlyReport | None:
    """The last nightly report, or None before the first."""
    return NightlyReport.objects.order_by("-at", "-pk").first()


def unwritten() -> Path:
    """The file that says what a night found which the book could not take; none after a night that it took."""
    return Path(settings.SHOP_DATA) / "night-unwritten.txt"
