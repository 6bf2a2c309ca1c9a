"""What stands at the head of the shop's papers beside its name."""

from __future__ import annotations

from shop.keeping.models import Picture
from shop.press.models import Letterhead


def the_logo() -> Picture | None:
    """The picture at the head of papers, or None while the shop has none."""
    letterhead = Letterhead.objects.select_related("logo").first()
    return letterhead.logo if letterhead is not None else None
