"""Days that laws count: calendar months, a warranty's last day, the thirty days of the EU repair form.

Sources
    A month ends on the same day of a later month, or on its last day where that day is missing (common practice; the
    corresponding date rule of the common law, and Regulation (EEC, Euratom) 1182/71 Article 3, from memory). That a
    period which ends on a Saturday, a Sunday or a public holiday ends with the next working day: Article 3(4) of the
    same, from memory; public holidays are those of the member state, and only the days handed in are known.
    Directive (EU) 2024/1799 Article 4: the conditions on the repair information form stay as they are for 30 calendar
    days from the day it is given, or longer if agreed (30 days: legalregister.co.uk; the rest from memory).
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

from shop.handbook.counting import months_later

__all__ = ["REPAIR_FORM_DAYS", "form_stands_until", "months_later", "warranty_until"]

REPAIR_FORM_DAYS = 30
_SATURDAY = 5


def form_stands_until(
    given: date, agreed_days: int = REPAIR_FORM_DAYS, holidays: Collection[date] = ()
) -> date:
    """The last day on which the conditions of an EU repair information form may not change.

    Fewer days than thirty can't be agreed. Thirty days that end on a Saturday, a Sunday or one of the public
    ``holidays`` of the place end with the next working day; more days are as agreed.
    """
    last = given + timedelta(days=REPAIR_FORM_DAYS)
    while last.weekday() >= _SATURDAY or last in holidays:
        last += timedelta(days=1)
    return max(last, given + timedelta(days=agreed_days))


def warranty_until(handed_back: date, days: int) -> date:
    """The last day of a warranty on the repair; the day after handing back is its first."""
    return handed_back + timedelta(days=days)
