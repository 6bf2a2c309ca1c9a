"""The calendar as other programs read it: by vobject, in three zones, over both changes of the clock."""

from __future__ import annotations

import datetime as dt
import zoneinfo

import pytest
import time_machine
import vobject
from django.test import Client
from django.urls import reverse

from shop.counter import actions as counter
from shop.counter.models import Promise
from shop.frame import clock
from shop.front_door.security import without_secrets
from shop.planner.actions import make_feed_key, withdraw_feed_key
from shop.planner.feed import calendar
from shop.planner.week import Entry
from shop.premises.actions import add_days_off
from tests.factories.counter import CustomerFactory, UnitFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = pytest.mark.django_db

# The days on which clocks change: Los Angeles 8 March and 1 November 2026, Berlin 29 March and 25 October 2026 (IANA tz
# database); Kolkata never changes.
ZONES = ("America/Los_Angeles", "Europe/Berlin", "Asia/Kolkata")
CHANGES = (dt.date(2026, 3, 8), dt.date(2026, 3, 29), dt.date(2026, 10, 25), dt.date(2026, 11, 1))


def read(key: object) -> list[vobject.base.Component]:
    return list(vobject.readOne(calendar(key).decode()).components())


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("change", CHANGES)
def test_days_and_moments_are_the_shops_own_over_both_changes(
    zone: str, change: dt.date, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = zoneinfo.ZoneInfo(zone)
    eve = change - dt.timedelta(days=1)
    with time_machine.travel(dt.datetime.combine(eve, dt.time(12), tzinfo=here), tick=False):
        ShopProfileFactory(time_zone=zone)
        job = booked_in()
        key, _ = make_feed_key(label="Phone", names=False, by=job.accepted_by)
        ends = [
            dt.datetime.combine(eve, dt.time(23, 30), tzinfo=here) + dt.timedelta(hours=at) for at in range(6)
        ]
        soaks = [Entry(f"soak-{at}", one.date(), "Soak", job, one) for at, one in enumerate(ends)]
        monkeypatch.setattr("shop.planner.week._soaks", lambda: soaks)
        for day in (eve, change, change + dt.timedelta(days=1)):
            counter.promise(job=job, promised_for=day, what=Promise.What.WORD, by=job.accepted_by)
            found = read(key)
            (given,) = [one for one in found if one.uid.value.startswith("promise-")]
            assert given.dtstart.value == day
            assert given.dtend.value - given.dtstart.value == dt.timedelta(days=1)
        timed = sorted(one.dtstart.value for one in found if one.uid.value.startswith("soak-"))
        assert timed == sorted(one.astimezone(dt.UTC) for one in ends)


def test_a_guessed_key_opens_nothing_and_neither_does_a_withdrawn_one(client: Client) -> None:
    ShopProfileFactory()
    owner = StaffFactory()
    key, secret = make_feed_key(label="Phone", names=False, by=owner)
    answer = client.get(reverse("planner:feed", args=[secret]))
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert client.get(reverse("planner:feed", args=["A" * 32])).status_code == 404
    withdraw_feed_key(key=key, by=owner)
    assert client.get(reverse("planner:feed", args=[secret])).status_code == 404
    for _ in range(20):
        last = client.get(reverse("planner:feed", args=["B" * 32]))
    assert last.status_code == 429
    assert secret not in without_secrets(f"GET {reverse('planner:feed', args=[secret])}")


def test_names_stand_in_it_only_if_the_shop_wants_them() -> None:
    ShopProfileFactory()
    job = booked_in(unit=UnitFactory(owner=CustomerFactory(regular=True)))
    counter.promise(
        job=job,
        promised_for=clock.today() + dt.timedelta(days=3),
        what=Promise.What.WORD,
        by=job.accepted_by,
    )
    add_days_off(first=clock.today(), last=clock.today(), why="Holiday", by=None)
    without, _ = make_feed_key(label="Phone", names=False, by=job.accepted_by)
    named, _ = make_feed_key(label="Desk", names=True, by=job.accepted_by)
    assert "Osei" not in calendar(without).decode()
    assert "Osei" in calendar(named).decode().replace("\r\n ", "")
    assert "Holiday" in calendar(without).decode()
