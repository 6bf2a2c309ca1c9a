"""Days that laws count: months that agree with each other, and a form whose last day is no working day.

Sources: Regulation (EEC, Euratom) 1182/71, Article 3(4), from memory; weekdays by Python's calendar; months against
python-dateutil's relativedelta.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.counting import CountingError, months_between, months_later
from shop.handbook.law import form_stands_until

DAYS = st.dates(date(1920, 1, 1), date(2100, 12, 31))


# 30 days from the day given: computed; Saturdays and Sundays by the calendar.
@pytest.mark.parametrize(
    "given_on, last",
    [
        (date(2026, 11, 25), date(2026, 12, 25)),  # a Friday
        (date(2026, 11, 26), date(2026, 12, 28)),  # Saturday the 26th
        (date(2026, 11, 27), date(2026, 12, 28)),  # Sunday the 27th
        (date(2026, 11, 28), date(2026, 12, 28)),
        (date(2027, 1, 31), date(2027, 3, 2)),
        (date(2028, 2, 1), date(2028, 3, 2)),
    ],
)
def test_a_form_that_ends_on_a_weekend_stands_until_the_next_working_day(given_on, last):
    assert form_stands_until(given_on) == last


def test_a_holiday_that_the_shop_names_is_no_working_day():
    christmas = {date(2026, 12, 25)}
    assert form_stands_until(date(2026, 11, 25), holidays=christmas) == date(2026, 12, 28)
    assert form_stands_until(date(2026, 11, 25), 45) == date(2027, 1, 9)  # as agreed, though a Saturday


@given(DAYS)
def test_a_form_never_ends_early_nor_on_a_weekend(given_on):
    last = form_stands_until(given_on)
    assert given_on + timedelta(days=30) <= last <= given_on + timedelta(days=32)
    assert last.weekday() < 5


@given(DAYS, st.integers(-600, 600))
def test_counting_months_on_and_counting_them_back_agree(day, months):
    later = months_later(day, months)
    assert later == day + relativedelta(months=months)
    if months >= 0:
        assert months_between(day, later) == months


def test_the_last_day_of_a_shorter_month_completes_it():
    assert months_between(date(2026, 1, 31), date(2026, 2, 28)) == 1
    assert months_between(date(2026, 1, 31), date(2026, 2, 27)) == 0
    assert months_between(date(2024, 1, 31), date(2024, 2, 28)) == 0
    assert months_between(date(2024, 1, 31), date(2024, 2, 29)) == 1


def test_the_calendar_has_an_end():
    with pytest.raises(CountingError, match="ends with the year 9999"):
        months_later(date(9999, 12, 1), 1)
