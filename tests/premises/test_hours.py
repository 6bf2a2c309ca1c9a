"""The shop's hours, its days off, and how it deals with promised dates."""

from __future__ import annotations

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from shop.frame import clock
from shop.frame.models import Role
from shop.premises.forms.shop import HoursForm
from shop.premises.models import BenchWeek, DaysOff
from shop.premises.queries import bench_week_on, days_off, promise_rules
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.pages import words_on

pytestmark = pytest.mark.django_db

A_DAY = dt.timedelta(days=1)


@pytest.fixture
def owner(client: Client) -> Client:
    ShopProfileFactory()
    client.force_login(StaffFactory(roles=[Role.OWNER]))
    return client


@pytest.mark.parametrize(
    "typed, minutes", [("2", 120), ("2.5", 150), ("2,5", 150), ("2:30", 150), ("", 0), ("24", 1440)]
)
def test_hours_are_typed_as_people_write_them(typed: str, minutes: int) -> None:
    form = HoursForm({"from_date": str(clock.today()), "monday": typed, "tuesday": "1"})
    assert form.is_valid()
    assert form.minutes[0] == minutes


@pytest.mark.parametrize("typed", ["200", "25", "-1", "two", "2:75", "1e9", "nan", "٣"])
def test_hours_that_no_day_has_are_refused_in_a_sentence(typed: str) -> None:
    form = HoursForm({"from_date": str(clock.today()), "monday": typed})
    assert form.errors["monday"] == ["Write hours between 0 and 24, such as 2, 2.5 or 2:30."]


def test_new_hours_hold_from_their_day_and_the_earlier_ones_stay(owner: Client) -> None:
    today = clock.today()
    for from_date, monday in ((today - 30 * A_DAY, "4"), (today, "1")):
        sent = {"from_date": str(from_date), "monday": monday}
        assert owner.post(reverse("premises:hours"), sent).status_code == 303
    assert BenchWeek.objects.count() == 2
    assert bench_week_on(today).hours[0] == 1
    assert bench_week_on(today - A_DAY).hours[0] == 4
    assert bench_week_on(today - 40 * A_DAY) is None


def test_a_week_off_is_written_down_shown_and_taken_back(owner: Client) -> None:
    first = clock.today() + 10 * A_DAY
    sent = {"first": str(first), "last": str(first + 6 * A_DAY), "why": "At the sea"}
    assert owner.post(reverse("premises:add_days_off"), sent).status_code == 303
    assert "At the sea" in words_on(owner.get(reverse("premises:hours")))
    assert list(days_off(first + 2 * A_DAY, first + 20 * A_DAY)) == [first + at * A_DAY for at in range(2, 7)]
    off = DaysOff.objects.get()
    assert owner.post(reverse("premises:take_back_days_off", args=[off.pk])).status_code == 303
    assert not DaysOff.objects.exists()


def test_promise_rules_are_as_usual_until_the_shop_says_otherwise(owner: Client) -> None:
    assert (promise_rules().retell_days, promise_rules().on_papers) == (3, False)
    owner.post(reverse("premises:set_promise_rules"), {"retell_days": 7, "quiet_hour": 20, "on_papers": "on"})
    rules = promise_rules()
    assert (rules.retell_days, rules.quiet_hour, rules.on_papers) == (7, 20, True)
