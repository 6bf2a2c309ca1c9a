"""The planner's news: that there are letters to look at, told once a day and whenever what they are about changes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator

from django.urls import reverse

from shop.frame import clock
from shop.frame.models import Role, Staff
from shop.frame.news import Piece
from shop.planner.queries import state


def reminders(staff: Staff) -> Iterator[Piece]:
    """What customers and suppliers should be reminded of, as it was when the dates were calculated last."""
    if not staff.has_role(Role.COUNTER):
        return
    known = state()
    if known is None or not known.reminders:
        return
    said = hashlib.sha256(known.reminders.encode()).hexdigest()[:12]
    yield Piece(
        key=f"reminders:{clock.day_of(known.made_at)}:{said}",
        icon="mail",
        title="Reminders to send",
        words=f"{known.reminders[0].upper()}{known.reminders[1:]}.",
        at=known.made_at,
        address=reverse("planner:reminders"),
    )
