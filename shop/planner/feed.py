"""The calendar as other programs read it (RFC 5545), by a library. Moments stand in UTC, days as days."""

from __future__ import annotations

import datetime as dt

from icalendar import Calendar, Event

from shop.frame import clock
from shop.frame.profile import the_profile
from shop.planner.models import FeedKey
from shop.planner.week import Entry, entries
from shop.premises.queries import days_off

BACK, AHEAD = dt.timedelta(days=14), dt.timedelta(days=120)


def calendar(key: FeedKey) -> bytes:
    """Two weeks back and four months ahead; customers by name only if the key has them."""
    today = clock.today()
    book = Calendar()
    book.add("prodid", "-//Mendwright//Planner//EN")
    book.add("version", "2.0")
    book.add("x-wr-calname", the_profile().name)
    for one in entries(today - BACK, today + AHEAD):
        book.add_component(_event(one, names=key.names))
    for day, why in days_off(today - BACK, today + AHEAD).items():
        book.add_component(_event(Entry(f"off-{day}", day, why or "Off"), names=False))
    return bytes(book.to_ical())


def _event(one: Entry, *, names: bool) -> Event:
    event = Event()
    event.add("uid", f"{one.uid}@mendwright")
    event.add("dtstamp", clock.now())
    if one.moment is not None:
        starts = dt.datetime.fromtimestamp(one.moment.timestamp(), tz=dt.UTC)
        event.add("dtstart", starts)
        event.add("dtend", starts + dt.timedelta(minutes=15))
    else:
        event.add("dtstart", one.day)
        event.add("dtend", one.day + clock.A_DAY)
    whose = f" ({one.job.customer})" if names and one.job else ""
    event.add("summary", f"{one.whole}{whose}")
    return event
