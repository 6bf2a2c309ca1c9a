"""Codes of year and week against the calendar of the standard library, and EIA source-date codes."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.handbook.datecodes import (
    Certainty,
    Kind,
    System,
    WeekRule,
    encode_source_date,
    encode_yww,
    encode_yyww,
    read_date,
    week_of,
)
from tests.standards.datecode_cases import TODAY, days, holds, intervals, months, only, refusal


def day(text: str) -> date:
    return date.fromisoformat(text)


# --- four digits: year and week -----------------------------------------------------------------------------

# Computed with date.fromisocalendar (ISO 8601); the turn of the year is where hand-made rules go wrong.
WEEKS = [
    ("7832", "1978-08-07", "1978-08-13"),
    ("7910", "1979-03-05", "1979-03-11"),
    ("8101", "1980-12-29", "1981-01-04"),
    ("7653", "1976-12-27", "1977-01-02"),
    ("9253", "1992-12-28", "1993-01-03"),
    ("0453", "2004-12-27", "2005-01-02"),
    ("9148", "1991-11-25", "1991-12-01"),
    ("1208", "2012-02-20", "2012-02-26"),  # primidi.com, imprinted markings: 1208 is week 8 of 2012
]


@pytest.mark.parametrize("code, monday, sunday", WEEKS)
def test_a_four_digit_code_is_one_iso_week(code, monday, sunday):
    found = only(code)
    assert (found.first, found.last) == (day(monday), day(sunday))
    assert (found.system, found.certainty) == (System.YYWW, Certainty.BY_FORM)
    year, week, weekday = found.first.isocalendar()
    assert (f"{year % 100:02d}{week:02d}", weekday) == (code, 1)


# ISO years of 53 weeks between 1970 and 2027, computed with the standard library and tabled in public sources.
YEARS_OF_53 = {1970, 1976, 1981, 1987, 1992, 1998, 2004, 2009, 2015, 2020, 2026}


def test_week_53_is_plain_in_the_iso_years_that_have_it_and_doubtful_in_the_others():
    for year in range(1970, 2026):
        found = only(f"{year % 100:02d}53", Kind.WEEK_CODE)
        assert (found.certainty is Certainty.BY_FORM) == (year in YEARS_OF_53), year


def test_a_week_53_that_iso_does_not_have_is_read_by_the_other_rule_and_flagged():
    with pytest.raises(ValueError, match="week"):
        date.fromisocalendar(1982, 53, 1)
    found = only("8253")
    assert (str(found.first), str(found.last)) == ("1982-12-26", "1982-12-31")
    assert found.certainty is Certainty.DOUBTFUL
    assert found.reading == "1982, week 53, which by ISO 8601 that year does not have: its last days"
    assert encode_yyww(date(1982, 12, 28), WeekRule.JANUARY_FIRST) == "8253"
    assert encode_yww(date(1982, 12, 28), WeekRule.JANUARY_FIRST) == "253"
    assert encode_source_date("999", date(1982, 12, 28), rule=WeekRule.JANUARY_FIRST) == "9998253"
    assert intervals("0053") == [("2000-12-24", "2000-12-30")]  # by that rule 2000 has even a week 54


# Reverse, from the standard library: the last days of a year may belong to week 1, the first to week 52 or 53.
@pytest.mark.parametrize(
    "when, code",
    [("1984-12-31", "8501"), ("1974-12-30", "7501"), ("2005-01-01", "0453"), ("2010-01-03", "0953")],
)
def test_a_day_at_the_turn_of_the_year_is_stamped_with_its_iso_year(when, code):
    year, week, _ = day(when).isocalendar()
    assert code == f"{year % 100:02d}{week:02d}" == encode_yyww(day(when))
    assert holds(only(code), day(when))


# Years that begin on a Monday: their first day is the first of week 1 (standard library).
@pytest.mark.parametrize("year", [1973, 1979, 1990, 2001, 2007, 2018, 2024])
def test_a_year_that_begins_on_a_monday_begins_with_its_first_week(year):
    assert week_of(date(year, 1, 1)) == date(year, 1, 1).isocalendar()[:2] == (year, 1)


@given(st.dates(date(1, 1, 8), date(9998, 12, 31)))
def test_weeks_agree_with_the_calendar_of_the_standard_library(when):
    assert week_of(when) == when.isocalendar()[:2]


def test_every_iso_week_since_1945_is_read_as_the_standard_library_has_it():
    for year in range(1945, 2026):
        for week in range(1, 54 if date(year, 12, 28).isocalendar().week == 53 else 53):
            found = only(f"{year % 100:02d}-{week:02d}", Kind.WEEK_CODE)
            assert found.first == date.fromisocalendar(year, week, 1)
            assert found.last == date.fromisocalendar(year, week, 7)


@pytest.mark.parametrize("code", ["7800", "7854", "7899", "800", "854", "999-78-00", "9997854"])
def test_a_week_that_no_year_has_is_refused(code):
    assert "weeks run from 01 to 53" in refusal(code)


def test_the_edges_of_the_weeks_are_read():
    assert intervals("7801") == [("1978-01-02", "1978-01-08")]
    assert intervals("801", today=date(1980, 1, 1))[-1] == ("1978-01-02", "1978-01-08")


@pytest.mark.parametrize("form", ["7832", "78-32", "78/32", "78 32", " 7832 ", "７８３２", "78–32"])
def test_a_week_code_may_be_parted_and_typed_with_any_dash_or_width(form):
    assert intervals(form) == [("1978-08-07", "1978-08-13")]


# Maker's legend, looked up: "week of January 1 is week 01". The registrar's own example (ecianow.org, EIA source codes):
# source 113 with 9910 is the production week of 7 to 13 March 1999, Sunday to Saturday; ISO week 10 is one day later.
def test_the_registrars_own_example_lies_within_the_leeway_of_the_iso_week():
    found = only("113-9910")
    assert (str(found.first), str(found.last)) == ("1999-03-08", "1999-03-14")
    assert found.earliest <= date(1999, 3, 7)
    assert found.latest >= date(1999, 3, 13)
    assert found.reading == "source 113, 1999, week 10"


def test_the_week_of_1_january_is_week_1_by_the_other_rule():
    for year in range(1945, 2027):
        assert week_of(date(year, 1, 1), WeekRule.JANUARY_FIRST) == (year, 1)
    assert week_of(date(1999, 1, 2), WeekRule.JANUARY_FIRST) == (1999, 1)  # a Saturday
    assert week_of(date(1999, 1, 3), WeekRule.JANUARY_FIRST) == (1999, 2)  # the Sunday after


@given(days)
def test_a_week_stamped_by_the_other_rule_lies_within_the_leeway(when):
    year, week = week_of(when, WeekRule.JANUARY_FIRST)
    assume(week <= 53)
    found = read_date(f"{year % 100:02d}{week:02d}", date(2030, 1, 1), Kind.WEEK_CODE)
    assert any(one.earliest <= when <= one.latest for one in found)


def test_a_week_code_has_a_leeway_of_a_week_and_a_day_before_and_a_week_after():
    found = only("7832")
    assert found.first - found.earliest == timedelta(days=8)
    assert found.latest - found.last == timedelta(days=7)


# --- three digits: last digit of the year and week ----------------------------------------------------------


# homyetpart.com: 342 is week 42 of a year ending in 3. Years that end in 8 between 1945 and 2026, counted by hand.
def test_a_three_digit_code_is_read_in_every_decade_since_1945():
    assert [found.first.year for found in read_date("832", TODAY)] == [
        1948,
        1958,
        1968,
        1978,
        1988,
        1998,
        2008,
        2018,
    ]
    assert [found.first.year for found in read_date("342", TODAY)] == [
        1953,
        1963,
        1973,
        1983,
        1993,
        2003,
        2013,
        2023,
    ]
    assert {found.certainty for found in read_date("342", TODAY)} == {Certainty.SEVERAL}
    assert {found.system for found in read_date("342", TODAY)} == {System.YWW}
    assert intervals("342")[2] == ("1973-10-15", "1973-10-21")


# The scheme began in 1945 (abstract of EIA-476-B, looked up).
def test_no_year_before_the_scheme_began_is_read():
    assert months("530")[0] == "1945-07"
    assert months("430")[0] == "1954-07"
    assert months("4501") == ["1945-01"]
    assert "lies after today" in refusal("4432")


# --- source and date ----------------------------------------------------------------------------------------


# Splits from stereophile.com (listening 61), guitarhq.com (pots), w9wze.net and avtonod.ru; the source 999 is made up.
def test_six_digits_are_source_year_digit_and_week():
    assert months("999832") == [f"{year}-08" for year in range(1948, 2020, 10)]
    assert read_date("999832", TODAY)[3].reading == "source 999, 1978, week 32"


def test_seven_digits_are_read_by_both_splits():
    found = read_date("9997832", TODAY)
    assert len(found) == 8
    (both,) = [one for one in found if one.first == date(1978, 8, 7)]
    assert both.reading == "source 999, 1978, week 32; or source 9997, 1978, week 32"
    assert found[0].reading == "source 9997, 1948, week 32"


def test_a_split_whose_week_does_not_exist_is_left_out():
    assert only("22078541").reading == "source 2207, 1985, week 41"


def test_eight_digits_are_a_longer_source_or_end_in_plant_or_shift():
    assert [(str(one.first), one.reading) for one in read_date("22078321", TODAY)] == [
        ("1978-08-07", "source 220, plant or shift 1, 1978, week 32"),
        ("1983-05-23", "source 2207, 1983, week 21"),
    ]


def test_five_digits_are_read_by_both_splits_since_no_source_gives_one():
    readings = [one.reading for one in read_date("15132", date(1970, 1, 1))]
    assert readings == ["source 15, 1951, week 32; or source 1, 1951, week 32", "source 15, 1961, week 32"]


# raumtelecom.ru: EIA 606-4-21 is the 21st week of 1964; a year digit leaves the decade open.
@pytest.mark.parametrize("form", ["EIA 606-4-21", "606-4-21", "606-421", "606421", "606 4 21"])
def test_the_parted_forms_of_a_year_digit_give_the_same_weeks(form):
    assert ("1964-05-18", "1964-05-24") in intervals(form)
    assert "1954-05" in months(form)


@pytest.mark.parametrize("form", ["999-78-32", "999-7832", "999 78 32", "9999-78-32"])
def test_the_parted_forms_of_two_year_digits_leave_one_reading(form):
    assert intervals(form) == [("1978-08-07", "1978-08-13")]


# Made-up source: 999-6-21 is week 21 of a year ending in 6.
def test_a_hyphened_year_digit_is_read_in_every_decade():
    assert [one.first.year for one in read_date("999-6-21", TODAY)] == list(range(1946, 2027, 10))


def test_a_short_source_is_read_only_when_the_person_says_that_it_is_one():
    assert only("12-78-32", Kind.SOURCE_DATE).reading == "source 12, 1978, week 32"
    assert "no order" in refusal("12-78-32")
    assert only("1-78-32", Kind.SOURCE_DATE).reading == "source 1, 1978, week 32"
    assert only("120-78-32").system is System.SOURCE_DATE


# guitarhq.com: some makers date a month or two ahead, so the part may be older than its date says.
def test_a_source_date_may_have_been_printed_two_months_ahead():
    found = only("999-7832")
    assert found.first - found.earliest == timedelta(days=62)
    assert found.latest - found.last == timedelta(days=7)


@pytest.mark.parametrize(
    "source, digits", [("", 2), ("12345", 2), ("a", 2), ("٧٨٣", 2), ("999", 3), ("999", 0)]
)
def test_a_source_code_that_does_not_exist_is_not_encoded(source, digits):
    with pytest.raises(ValueError, match="source code"):
        encode_source_date(source, TODAY, digits)
