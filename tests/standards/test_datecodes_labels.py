"""Dates on labels and stickers in American, European and Japanese order against published tables and worked examples."""

from __future__ import annotations

import re
from calendar import month_name
from datetime import date

import pytest

from shop.handbook.datecodes import (
    Certainty,
    Kind,
    System,
    read_date,
)
from tests.standards.datecode_cases import TODAY, intervals, months, only, refusal

# --- labels -------------------------------------------------------------------------------------------------


# Orders by country: common practice, no source. The first five are the traps that strptime and dateutil fall into:
# both put 65 and 68 into the next century (tried with Python 3.11 and dateutil 4.0.0).
@pytest.mark.parametrize(
    "label, us, europe",
    [
        ("6-1-65", "1965-06-01", "1965-01-06"),
        ("3-4-68", "1968-03-04", "1968-04-03"),
        ("3-4-69", "1969-03-04", "1969-04-03"),
        ("3-4-75", "1975-03-04", "1975-04-03"),
        ("3-4-76", "1976-03-04", "1976-04-03"),
        ("3-4-82", "1982-03-04", "1982-04-03"),
        ("03/04/1982", "1982-03-04", "1982-04-03"),
        ("3.4.82", "1982-03-04", "1982-04-03"),
        ("3. 4. 82", "1982-03-04", "1982-04-03"),
    ],
)
def test_a_label_whose_order_is_open_is_read_in_both(label, us, europe):
    found = {one.system: one for one in read_date(label, TODAY)}
    assert set(found) == {System.LABEL_US, System.LABEL_EUROPE}
    assert str(found[System.LABEL_US].first) == us
    assert str(found[System.LABEL_EUROPE].first) == europe
    assert {one.certainty for one in found.values()} == {Certainty.SEVERAL}
    assert str(only(label, Kind.LABEL_US).first) == us
    assert str(only(label, Kind.LABEL_EUROPE).first) == europe


@pytest.mark.parametrize("label, system", [("8-14-79", System.LABEL_US), ("14-8-79", System.LABEL_EUROPE)])
def test_a_field_above_twelve_settles_the_order(label, system):
    found = only(label)
    assert (str(found.first), found.first, found.system) == ("1979-08-14", found.last, system)
    assert found.certainty is Certainty.BY_FORM
    assert found.reading == f"{system}: 14 August 1979"


def test_a_label_that_means_the_same_day_in_both_orders_has_one_reading():
    found = only("3-3-82")
    assert found.certainty is Certainty.BY_FORM
    assert found.reading == "month-day-year: 3 March 1982; or day-month-year: 3 March 1982"


def test_two_digit_years_never_land_in_the_future():
    assert [one.first.year for one in read_date("3-4-27", TODAY, Kind.LABEL_US)] == [1927]
    assert [one.first.year for one in read_date("3-4-26", TODAY, Kind.LABEL_US)] == [1926, 2026]
    assert [one.first.year for one in read_date("12-4-26", TODAY, Kind.LABEL_US)] == [1926]
    assert [one.first.year for one in read_date("3-4-20", TODAY, Kind.LABEL_US)] == [1920, 2020]
    assert [one.first.year for one in read_date("3-4-19", TODAY, Kind.LABEL_US)] == [2019]


def test_the_japanese_order_is_year_month_day():
    assert intervals("82.3.4") == [("1982-03-04", "1982-03-04")]
    assert only("78/8/14").system is System.LABEL_JAPAN
    assert ("2005-06-07", "2005-06-07") in intervals("05.6.7", Kind.LABEL_JAPAN)


@pytest.mark.parametrize("label", ["1982-03-04", "1982.3.4", "1982/3/4", "1982 3 4"])
def test_a_four_digit_year_in_front_is_a_date_and_not_a_source_code(label):
    found = only(label)
    assert (str(found.first), found.certainty) == ("1982-03-04", Certainty.ONLY)
    assert only("1982-03-04", Kind.SOURCE_DATE).reading == "source 1982, 2003, week 4"


def test_a_four_digit_number_that_is_no_year_of_ours_stays_a_source_code():
    assert only("1919-78-32").reading == "source 1919, 1978, week 32"
    assert only("2027-78-32").reading == "source 2027, 1978, week 32"
    assert "no order" in refusal("2026-78-32")
    assert "no order" in refusal("1920-78-32")


# Eras: Showa 53 is 1978, Heisei 1 is 1989 (itsudakke.com wareki, utilrepo.com: first and last days of each).
@pytest.mark.parametrize(
    "label, expected",
    [
        ("S53.8.14", "1978-08-14"),
        ("S53-8-14", "1978-08-14"),
        ("s.53.8.14", "1978-08-14"),
        ("Showa 53.8.14", "1978-08-14"),
        ("昭和53年8月14日", "1978-08-14"),
        ("昭53.8.14", "1978-08-14"),
        ("Ｓ５３．８．１４", "1978-08-14"),
        ("㍼５３年８月１４日", "1978-08-14"),
        ("㍻1.1.8", "1989-01-08"),
        ("㋿1.5.1", "2019-05-01"),
        ("S53\u30008\u300014", "1978-08-14"),
        ("S64.1.7", "1989-01-07"),
        ("H1.1.8", "1989-01-08"),
        ("平成元年1月8日", "1989-01-08"),
        ("H31.4.30", "2019-04-30"),
        ("R1.5.1", "2019-05-01"),
        ("令和元年5月1日", "2019-05-01"),
        ("R8.11.25", "2026-11-25"),
        ("S1.12.25", "1926-12-25"),
    ],
)
def test_era_dates_are_read(label, expected):
    found = only(label)
    assert (str(found.first), found.last, found.system) == (expected, found.first, System.LABEL_ERA)
    assert found.certainty is Certainty.ONLY


# i009.net japanera: days of the year in which eras change are met under either name.
@pytest.mark.parametrize(
    "label, expected",
    [
        ("S64.1.8", "1989-01-08"),
        ("S64.3.1", "1989-03-01"),
        ("H1.1.7", "1989-01-07"),
        ("H31.5.1", "2019-05-01"),
        ("R1.4.30", "2019-04-30"),
        ("S1.12.24", "1926-12-24"),
    ],
)
def test_a_day_outside_its_era_is_doubtful(label, expected):
    found = only(label)
    assert (str(found.first), found.certainty) == (expected, Certainty.DOUBTFUL)
    assert found.reading.endswith(", outside the era's own days")


@pytest.mark.parametrize(
    "label, why",
    [
        ("S65.1.1", "the Showa era has no year 65"),
        ("H32.1.1", "the Heisei era has no year 32"),
        ("R0.1.1", "the Reiwa era has no year 0"),
        ("R9.1.1", "lies after today"),
        ("S53.2.30", "1978 (Showa 53) has no such day"),
        ("S53.13.1", "1978 (Showa 53) has no such day"),
        ("S53.13", "a year has no month 13"),
        ("S53.0", "a year has no month 0"),
    ],
)
def test_an_era_date_that_never_was_is_refused(label, why):
    assert why in refusal(label)


def test_an_era_date_may_stop_at_the_month_or_on_a_label_at_the_year():
    assert intervals("S53.8") == [("1978-08-01", "1978-08-31")] == intervals("昭和53年8月")
    assert (only("S53.8").system, only("S53.8").reading) == (System.LABEL_ERA, "Showa 53: August 1978")
    assert only("S53.8.14").reading == "Showa 53: 14 August 1978"
    year = only("S53", Kind.LABEL)
    assert (year.system, year.reading) == (System.LABEL_ERA, "Showa 53: 1978")
    assert intervals("S53.12") == [("1978-12-01", "1978-12-31")]
    assert intervals("S53", Kind.LABEL) == [("1978-01-01", "1978-12-31")] == intervals("昭和53年", Kind.LABEL)
    assert "none of the forms" in refusal("S53")
    assert months("S8") == ["1984-08", "2004-08", "2024-08"]
    assert intervals("S8", Kind.LABEL) == [("1933-01-01", "1933-12-31")]
    assert only("R1.4", Kind.LABEL).certainty is Certainty.DOUBTFUL
    assert only("R1.5", Kind.LABEL).certainty is Certainty.ONLY
    assert only("S64.1").certainty is Certainty.ONLY
    assert only("S64.2").certainty is Certainty.DOUBTFUL


# Common practice, no source: a Japanese label may leave the era's letter out.
def test_an_era_without_its_letter_is_a_doubtful_reading_where_no_other_order_fits():
    western, era = read_date("53.8.14", TODAY)
    assert (str(western.first), western.system, western.certainty) == (
        "1953-08-14",
        System.LABEL_JAPAN,
        Certainty.SEVERAL,
    )
    assert (str(era.first), era.system, era.certainty) == ("1978-08-14", System.LABEL_ERA, Certainty.DOUBTFUL)
    assert era.reading == "year-month-day with Showa 53 left unnamed: 14 August 1978"
    assert System.LABEL_ERA not in {one.system for one in read_date("3-4-05", TODAY)}
    assert intervals("5.4.3", Kind.LABEL_JAPAN) == [
        (one, one) for one in ("1930-04-03", "1993-04-03", "2023-04-03")
    ]
    assert intervals("65.1.2") == [("1965-01-02", "1965-01-02")]
    assert intervals("64.1.7") == [("1964-01-07", "1964-01-07"), ("1989-01-07", "1989-01-07")]
    assert intervals("64.1.8") == [("1964-01-08", "1964-01-08")]
    assert intervals("1.1.8", Kind.LABEL_JAPAN) == [("1989-01-08", "1989-01-08")]
    assert "no order" in refusal("0.1.8", Kind.LABEL_JAPAN)
    assert "no order" in refusal("053.8.14", Kind.LABEL_JAPAN)


@pytest.mark.parametrize(
    "label, expected",
    [
        ("4 Mar 82", "1982-03-04"),
        ("4-MAR-1982", "1982-03-04"),
        ("Mar 4, 1982", "1982-03-04"),
        ("March 4th 82", "1982-03-04"),
        ("4th March '82", "1982-03-04"),
        ("04MAR82", "1982-03-04"),
        ("31 Dec 1999", "1999-12-31"),
        ("Sept 9 79", "1979-09-09"),
        ("sep. 9. 79", "1979-09-09"),
        ("29 Feb 1980", "1980-02-29"),
    ],
)
def test_a_month_by_name_settles_the_order(label, expected):
    found = only(label)
    assert (str(found.first), found.last) == (expected, found.first)
    assert found.certainty is (Certainty.ONLY if re.search("19[0-9]{2}", label) else Certainty.BY_FORM)
    assert found.system is System.LABEL_NAMED
    assert found.reading.startswith("month by name: ")


@pytest.mark.parametrize("label", ["Mar 82", "MARCH 1982", "mar. '82", "MAR/82", "mar82"])
def test_a_month_by_name_without_a_day_is_the_whole_month(label):
    assert (only(label).system, only(label).reading) == (System.LABEL_NAMED, "month by name: March 1982")
    assert intervals(label) == [("1982-03-01", "1982-03-31")]


@pytest.mark.parametrize("number, name", list(enumerate(month_name))[1:])
def test_every_month_is_read_by_its_name_and_by_three_letters(number, name):
    assert only(f"{name} 1977").first == date(1977, number, 1) == only(f"{name[:3]} 77").first


def test_a_named_date_that_never_was_is_refused():
    assert "February has no day 30" in refusal("30 Feb 80")
    assert "February has no day 29" in refusal("29 Feb 1981")
    assert "March has no day 0" in refusal("0 Mar 1981")
    assert "on either side" in refusal("4 Mar 5 82")
    assert "lies after today" in refusal("26 Nov 2026")
    assert intervals("25 Nov 2026") == [("2026-11-25", "2026-11-25")]


@pytest.mark.parametrize(
    "label, expected",
    [
        ("3/78", ["1978-03"]),
        ("03/1978", ["1978-03"]),
        ("1978-03", ["1978-03"]),
        ("1978.12", ["1978-12"]),
        ("12/78", ["1978-12"]),
        ("1/78", ["1978-01"]),
        ("12/05", ["2005-12", "2012-05"]),
    ],
)
def test_a_month_and_a_year_are_read_in_either_order_on_a_label(label, expected):
    assert months(label, Kind.LABEL) == expected
    assert {one.system for one in read_date(label, TODAY, Kind.LABEL)} == {System.LABEL_MONTH}


def test_a_month_and_year_keep_to_the_order_that_the_person_names():
    assert months("12/05", Kind.LABEL_US) == ["2005-12"] == months("12/05", Kind.LABEL_EUROPE)
    assert months("12/05", Kind.LABEL_JAPAN) == ["2012-05"]
    assert "neither of the two numbers" in refusal("13/14", Kind.LABEL)
    assert "neither of the two numbers" in refusal("0/78", Kind.LABEL)
    assert "neither of the two numbers" in refusal("001/78", Kind.LABEL)
    assert only("3/78", Kind.LABEL).reading == "month and year: March 1978"
    assert "neither of the two numbers" in refusal("3/5", Kind.LABEL)
    assert "neither of the two numbers" in refusal("78/3", Kind.LABEL_US)


def test_a_parted_pair_may_be_a_week_or_a_month():
    assert [(one.system, str(one.first)) for one in read_date("78-12", TODAY)] == [
        (System.YYWW, "1978-03-20"),
        (System.LABEL_MONTH, "1978-12-01"),
    ]


def test_a_year_alone_is_the_whole_year():
    assert intervals("'78") == [("1978-01-01", "1978-12-31")] == intervals("’78") == intervals("1978")
    assert intervals("2026", Kind.LABEL) == [("2026-01-01", "2026-11-25")]
    assert intervals("1920", Kind.LABEL) == [("1920-01-01", "1920-12-31")]
    refusal("1919", Kind.LABEL)
    refusal("2027", Kind.LABEL)
    refusal("'27", Kind.LABEL, today=date(1926, 1, 1))
    assert only("1978").reading == "the year 1978"
    assert [one.system for one in read_date("1952", TODAY)] == [System.LABEL_YEAR, System.YYWW]


def test_digits_without_separators_are_read_on_a_label():
    assert intervals("820304", Kind.LABEL_JAPAN) == [("1982-03-04", "1982-03-04")]
    assert intervals("030482", Kind.LABEL_US) == [("1982-03-04", "1982-03-04")]
    assert intervals("030482", Kind.LABEL_EUROPE) == [("1982-04-03", "1982-04-03")]
    assert intervals("03041982", Kind.LABEL_US) == [("1982-03-04", "1982-03-04")]
    assert intervals("03041982", Kind.LABEL_EUROPE) == [("1982-04-03", "1982-04-03")]
    assert intervals("19820304", Kind.LABEL) == [("1982-03-04", "1982-03-04")]
    assert [(one.system, str(one.first)) for one in read_date("12111982", TODAY, Kind.LABEL)] == [
        (System.LABEL_EUROPE, "1982-11-12"),
        (System.LABEL_US, "1982-12-11"),
    ]
    assert only("821112", Kind.LABEL).system is System.LABEL_JAPAN
    assert ("1982-11-12", "1982-11-12") in intervals("19821112")
    assert read_date("19821112", TODAY)[0].system is System.LABEL_JAPAN
    assert "no order" in refusal("991399", Kind.LABEL)
    assert {one.system for one in read_date("820304", TODAY)} == {System.SOURCE_DATE}
    assert ("1982-03-04", "1982-03-04") in intervals("19820304")


@pytest.mark.parametrize(
    "label", ["31.2.80", "0-1-80", "1-0-80", "32-1-80", "13-13-80", "1-2-3", "1-2-345", "29.2.81"]
)
def test_a_day_that_never_was_is_refused(label):
    assert "no order of day, month and year makes a day of it" in refusal(label)


def test_a_leap_day_is_read():
    assert intervals("29.2.80") == [("1980-02-29", "1980-02-29")]


# Names of months in German, French, Spanish, Italian and Dutch; Roman figures; the week by its word: common practice.
@pytest.mark.parametrize(
    "label, first",
    [
        ("14. März 1978", "1978-03-14"), ("14 MAERZ 78", "1978-03-14"), ("Mai 1978", "1978-05-01"),
        ("12 août 1978", "1978-08-12"), ("FÉVRIER 1978", "1978-02-01"), ("3 DÉC. 79", "1979-12-03"),
        ("7 enero 1981", "1981-01-07"), ("agosto 1980", "1980-08-01"), ("2 luglio 1977", "1977-07-02"),
        ("maart 1979", "1979-03-01"), ("Okt. 78", "1978-10-01"), ("1978 AUG 14", "1978-08-14"), ("1978 März", "1978-03-01"),
        ("14.III.78", "1978-03-14"), ("III/78", "1978-03-01"), ("XII 1978", "1978-12-01"), ("9-VIII-1978", "1978-08-09"),
        ("KW 32/78", "1978-08-07"), ("32. KW 1978", "1978-08-07"), ("WK32 78", "1978-08-07"), ("1978-W32", "1978-08-07"),
        ("78W32", "1978-08-07"), ("32/78", "1978-08-07"), ("KW 78/32", "1978-08-07"),
        ("week 32 1978", "1978-08-07"), ("1978/32", "1978-08-07"), ("7832A", "1978-08-07"),
        ("K7832", "1978-08-07"), ("7832-K", "1978-08-07"),
    ],
)  # fmt: skip
def test_other_tongues_roman_months_weeks_and_lot_letters_are_read(label, first):
    assert str(only(label).first) == first


def test_an_unnamed_era_may_stand_before_a_month():
    assert [str(one.first) for one in read_date("53.8", TODAY)] == ["1953-08-01", "1978-08-01"]


def test_a_slash_leaves_open_whether_year_or_week_comes_first():
    readings = read_date("51/20", date(2026, 11, 25))
    assert {one.reading for one in readings} == {"1951, week 20", "week first: 2020, week 51"}


def test_a_week_code_with_figures_behind_it_is_told_what_is_wrong():
    assert "7832 may be year and week, but “2” behind it belongs to no date code" in refusal("7832-2")
    assert "weeks run from 01 to 53" in refusal("KW 54/78")


@pytest.mark.parametrize("label", ["7832", "3-3-82", "8-14-79", "KW 32/78", "7832A", "999-7832", "Mar 82"])
def test_no_code_is_called_the_only_reading_where_no_register_says_so(label):
    assert all(one.certainty is not Certainty.ONLY for one in read_date(label, TODAY))


# German and Scandinavian makers print the week before the year, with a slash, point or hyphen: common practice, no source.
# Monday of week 7 and of week 12 of 1978: 13 February and 20 March, by ISO 8601
@pytest.mark.parametrize(
    "label,days",
    [("7/78", ["1978-02-13", "1978-07-01"]), ("12.78", ["1978-03-20", "1978-12-01"]), ("12-78", ["1978-03-20", "1978-12-01"]),
     ("32.78", ["1978-08-07"])],
)  # fmt: skip
def test_a_month_before_a_year_may_as_well_be_a_week(label, days):
    assert [str(one.first) for one in read_date(label, TODAY)] == days
