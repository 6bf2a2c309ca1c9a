"""Tags of the records: who wrote a line, and texts with what was asked for marked in them."""

from __future__ import annotations

import datetime as dt

from django import template

from shop.premises.models import Staff

register = template.Library()


@register.filter
def who(staff: Staff | None) -> str:
    """The name by which the shop knows somebody; nothing for nobody."""
    return "" if staff is None else staff.get_full_name() or staff.username


@register.filter
def span(start: dt.datetime, stop: dt.datetime) -> int:
    """Whole seconds from one moment to another."""
    return int((stop - start).total_seconds())
