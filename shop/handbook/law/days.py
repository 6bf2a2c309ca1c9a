"""Days that laws count: calendar months, a warranty's last day, the thirty days of the EU repair form.

Sources
    A month ends on the same day of a later month, or on its last day where that day is missing (common practice; the
    corresponding date rule of the common law, and Regulation (EEC, Euratom) 1182/71 Article 3, from memory).
    Directive (EU) 2024/1799 Article 4: the conditions on the repair information form stay as they are for 30 calendar
    days from the day it is given, or longer if agreed (30 days: legalregister.co.uk; the rest from memory).
"""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta

REPAIR_FORM_DAYS = 30


def months_later(day: date, months: int) -> date:
    """The same day so many months later, or the last day of that month."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def form_stands_until(given: date, agreed_days: int = REPAIR_FORM_DAYS) -> date:
    """The last day on which the conditions of an EU repair information form may not change.

    Fewer days than thirty can't be agreed.
    """
    return given + timedelta(days=max(agreed_days, REPAIR_FORM_DAYS))


def warranty_until(handed_back: date, days: int) -> date:
    """The last day of a warranty on the repair; the day after handing back is its first."""
    return handed_back + timedelta(days=days)
