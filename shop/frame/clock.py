"""The shop's clock: the one place where rooms ask what time it is, and which day of the shop's calendar a moment falls on.

A moment is kept in UTC, a day is the shop's own: at six in the evening of 31 December in Los Angeles it is next year in
Greenwich, and this year's number is due all the same. So no other module turns a moment into a date, a year or a time of day,
and none asks the machine's time zone.
"""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Iterable

from django.db.models import Q

from shop.frame.moments import now
from shop.frame.profile import the_profile

__all__ = ["A_DAY", "day_of", "days_of", "local", "moment_of", "now", "today", "within", "zone", "zone_of"]

A_DAY = dt.timedelta(days=1)


def zone() -> zoneinfo.ZoneInfo:
    """The shop's time zone, the profile's; UTC before there is a shop."""
    return zone_of(the_profile().time_zone)


def zone_of(name: str) -> zoneinfo.ZoneInfo:
    """Return the time zone that the IANA calls `name`; UTC for a name that it does not have."""
    try:
        return zoneinfo.ZoneInfo(name)
    except (ValueError, OSError, zoneinfo.ZoneInfoNotFoundError):
        return zoneinfo.ZoneInfo("UTC")


def local(moment: dt.datetime) -> dt.datetime:
    """The same moment, aware, as the shop's own clock shows it."""
    return moment.astimezone(zone())


def day_of(moment: dt.datetime) -> dt.date:
    """The shop's calendar day at a moment: what a paper of that moment is dated. In an act, ask `Act.day`."""
    return local(moment).date()


def days_of(moments: Iterable[dt.datetime]) -> list[dt.date]:
    """The shop's calendar days of many moments, in their order; the profile is asked once."""
    here = zone()
    return [moment.astimezone(here).date() for moment in moments]


def today() -> dt.date:
    """The shop's calendar day at present."""
    return day_of(now())


def moment_of(day: dt.date, hour: int = 0, minute: int = 0) -> dt.datetime:
    """The moment, aware, at which the shop's clock shows this time of that day; of one that it shows twice, the first."""
    return dt.datetime.combine(day, dt.time(hour, minute), tzinfo=zone())


def within(column: str, first: dt.date | None, last: dt.date | None) -> Q:
    """The condition that a column's moment falls on the shop's days from `first` to `last`, both included; None for no end."""
    asked = Q()
    if first is not None:
        asked &= Q(**{f"{column}__gte": moment_of(first)})
    if last is not None:
        asked &= Q(**{f"{column}__lt": moment_of(last + A_DAY)})
    return asked
