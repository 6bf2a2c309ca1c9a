"""Date codes and labels against published tables, worked examples and the calendar of the standard library."""

from __future__ import annotations

from calendar import month_name
from contextlib import suppress
from datetime import date, timedelta

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from shop.handbook.datecodes import (
    ERAS,
    Candidate,
    Certainty,
    Kind,
    NotADate,
    System,
    WeekRule,
    encode_era,
    encode_label,
    encode_month_year,
    encode_one_letter,
    encode_source_date,
    encode_year_month,
    encode_yww,
    encode_yyww,
    read_date,
    week_of,
)

TODAY = date(2026, 11, 25)
FIRST_DAY, LAST_DAY = date(1945, 1, 8), TODAY
LABEL_KINDS = (Kind.LABEL, Kind.LABEL_US, Kind.LABEL_EUROPE, Kind.LABEL_JAPAN)

days = st.dates(FIRST_DAY, LAST_DAY)
todays = st.dates(date(1945, 1, 1), date(2120, 12, 31))
kinds = st.sampled_from([None, *Kind])
scraps = st.text(alphabet="0123456789-/. '’ABCDNOSHRX昭和年月日元６", max_size=12)


def day(text: str) -> date:
    return date.fromisoformat(text)


def intervals(text: str, kind: Kind | None = None, today: date = TODAY) -> list[tuple[str, str]]:
    return [(str(found.first), str(found.last)) for found in read_date(text, today, kind)]


def months(text: str, kind: Kind | None = None, today: date = TODAY) -> list[str]:
    return [f"{found.first:%Y-%m}" for found in read_date(text, today, kind)]


def only(text: str, kind: Kind | None = None, today: date = TODAY) -> Candidate:
    (found,) = read_date(text, today, kind)
    return found


def holds(found: Candidate, when: date) -> bool:
    return found.first <= when <= found.last


def refusal(text: str, kind: Kind | None = None, today: date = TODAY) -> str:
    with pytest.raises(NotADate) as refused:
        read_date(text, today, kind)
    return str(refused.value)


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
    assert (found.system, found.certainty) == (System.YYWW, Certainty.ONLY)
    year, week, weekday = found.first.isocalendar()
    assert (f"{year % 100:02d}{week:02d}", weekday) == (code, 1)


# ISO years of 53 weeks between 1970 and 2027, computed with the standard library and tabled in public sources.
YEARS_OF_53 = {1970, 1976, 1981, 1987, 1992, 1998, 2004, 2009, 2015, 2020, 2026}


def test_week_53_is_plain_in_the_iso_years_that_have_it_and_doubtful_in_the_others():
    for year in range(1970, 2026):
        found = only(f"{year % 100:02d}53", Kind.WEEK_CODE)
        assert (found.certainty is Certainty.ONLY) == (year in YEARS_OF_53), year


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


# --- IEC 60062 letters --------------------------------------------------------------------------------------

# Table of DIN EN 60062 (bedienungsanleitung.elektronotdienst-nuernberg.de/din-en-60062.html), three turns of 20 years.
LETTERS = list("ABCDEFHJKLMNPRSTUVWX")
# Months of the same table.
MONTHS = list("123456789OND")


@pytest.mark.parametrize("place, letter", list(enumerate(LETTERS)))
def test_each_year_letter_stands_for_one_year_in_each_turn_of_twenty(place, letter):
    far = date(2029, 12, 31)
    assert months(letter + "1", today=far) == [f"{start + place}-01" for start in (1970, 1990, 2010)]
    for start in (1970, 1990, 2010):
        assert encode_year_month(date(start + place, 1, 31)) == letter + "1"


# primidi.com, imprinted markings: R=2003 S=2004 T=2005 U=2006 V=2007 W=2008, which leaves no year for G.
@pytest.mark.parametrize("letter, year", list(zip("RSTUVW", range(2003, 2009), strict=True)))
def test_the_second_source_agrees_on_the_letters_of_the_two_thousands(letter, year):
    assert f"{year}-05" in months(letter + "5")


@pytest.mark.parametrize("place, character", list(enumerate(MONTHS, 1)))
def test_each_month_character_stands_for_one_month(place, character):
    first = read_date("A" + character, TODAY)[0]
    assert (first.first.month, first.first.day) == (place, 1)
    assert (first.last + timedelta(days=1)).day == 1
    assert (first.last + timedelta(days=1) - first.first).days in (28, 29, 30, 31)
    assert encode_year_month(date(1970, place, 15)) == "A" + character


# Worked from the table; the future is dropped (XD would be December 2029).
@pytest.mark.parametrize(
    "code, expected",
    [
        ("K8", ["1978-08", "1998-08", "2018-08"]),
        ("AO", ["1970-10", "1990-10", "2010-10"]),
        ("XD", ["1989-12", "2009-12"]),
        ("M3", ["1980-03", "2000-03", "2020-03"]),
        ("UN", ["1986-11", "2006-11", "2026-11"]),
        ("C8", ["1972-08", "1992-08", "2012-08"]),
    ],
)
def test_a_letter_code_is_read_in_every_turn_up_to_today(code, expected):
    assert months(code) == expected == months(code.lower()) == months(code, Kind.LETTER_CODE)
    assert {found.system for found in read_date(code, TODAY)} == {System.YEAR_MONTH}
    assert {found.certainty for found in read_date(code, TODAY)} == {Certainty.SEVERAL}


def test_a_month_that_has_only_begun_ends_today():
    assert intervals("UN")[-1] == ("2026-11-01", "2026-11-25")
    assert months("UN", today=date(2026, 10, 31)) == ["1986-11", "2006-11"]


# Same page: from 1969 to 1975 the norm was month then year, met until 1977.
def test_the_reversed_order_is_read_in_its_own_years():
    found = only("8C")
    assert (str(found.first), str(found.last)) == ("1972-08-01", "1972-08-31")
    assert (found.system, found.certainty) == (System.MONTH_YEAR, Certainty.ONLY)
    assert found.reading == "month 8, year letter C: August 1972"
    assert only("8J").reading == "month 8, year letter J: August 1977"
    assert only("8J").certainty is Certainty.ONLY
    assert only("8K").certainty is Certainty.DOUBTFUL  # 1978
    assert only("8K").reading == "month 8, year letter K in an order last seen in 1977: August 1978"
    assert only("8X").first == date(1989, 8, 1)


# The letters N and D are months too: with a letter for the year, the order can't be told.
@pytest.mark.parametrize(
    "code, expected",
    [
        ("ND", ["1973-11", "1981-12", "2001-12", "2021-12"]),
        ("DN", ["1973-11", "1981-12", "1993-11", "2013-11"]),
        ("DD", ["1973-12", "1993-12", "2013-12"]),
        ("NN", ["1981-11", "2001-11", "2021-11"]),
    ],
)
def test_two_letters_that_could_both_be_the_month_are_read_both_ways(code, expected):
    assert months(code) == expected


def test_two_ways_to_the_same_month_are_one_candidate_that_names_both():
    found = read_date("DD", TODAY)[0]
    assert found.reading == "year letter D, month D: December 1973; or month D, year letter D: December 1973"
    sounder = read_date("NN", TODAY)[0]
    assert (sounder.system, sounder.certainty) == (System.YEAR_MONTH, Certainty.SEVERAL)


# Same table: these letters are no years.
@pytest.mark.parametrize("code", ["G5", "I2", "Q7", "O1", "Y1", "Z1"])
def test_letters_that_are_no_years_are_refused(code):
    assert f"{code[0]} is not a year letter" in refusal(code)


@pytest.mark.parametrize(
    "code, why",
    [
        ("K0", "October is the letter O"),
        ("0K", "October is the letter O"),
        ("X0", "October is the letter O"),
        ("KK", "a year letter goes with a month character"),
        ("KX", "a year letter goes with a month character"),
        ("32", "has a year letter and a month character"),
        ("KG", "a year letter goes with a month character"),
        ("GK", "a year letter goes with a month character"),
        ("G0", "has a year letter and a month character"),
    ],
)
def test_a_two_character_code_that_is_no_date_is_refused_with_the_reason(code, why):
    assert why in refusal(code)
    assert why in refusal(code, Kind.LETTER_CODE)


@pytest.mark.parametrize("encode", [encode_year_month, encode_month_year])
def test_years_before_the_letters_are_not_encoded(encode):
    assert encode(date(1970, 1, 1)) in ("A1", "1A")
    with pytest.raises(ValueError, match="1970"):
        encode(date(1969, 12, 31))


# electronics.stackexchange.com 240258, after a capacitor maker's data sheet: A-M without I are the months of 1997, 2001,
# 2005 ..., N-Z without O those of 1998 ..., small letters those of 1999 and 2000 ...; the asker's M was December.
@pytest.mark.parametrize(
    "letter, month, years",
    [
        ("A", 1, (1997, 2001, 2005, 2009, 2013)),
        ("M", 12, (1997, 2001, 2005, 2009, 2013)),
        ("N", 1, (1998, 2002, 2006, 2010, 2014)),
        ("Z", 12, (1998, 2002, 2006, 2010, 2014)),
        ("a", 1, (1999, 2003, 2007, 2011, 2015)),
        ("n", 1, (2000, 2004, 2008, 2012, 2016)),
        ("z", 12, (2000, 2004, 2008, 2012, 2016)),
    ],
)
def test_one_letter_is_a_month_of_every_fourth_year_when_asked_for(letter, month, years):
    found = months(letter, Kind.ONE_LETTER)
    assert set(found) >= {f"{year}-{month:02d}" for year in years}
    assert {(int(one[:4]) - years[0]) % 4 for one in found} == {0}
    assert encode_one_letter(date(years[0], month, 3)) == letter
    assert {one.system for one in read_date(letter, TODAY, Kind.ONE_LETTER)} == {System.ONE_LETTER}


def test_the_one_letter_code_begins_with_the_first_cycle_that_may_have_used_it():
    assert [months(letter, Kind.ONE_LETTER)[0] for letter in "ANan"] == [
        "1969-01",
        "1970-01",
        "1971-01",
        "1972-01",
    ]
    assert read_date("c", TODAY, Kind.ONE_LETTER)[0].reading == "letter c of a four-year cycle: March 1971"


def test_one_letter_is_not_read_unless_asked_for():
    assert "none of the forms" in refusal("A")
    for wrong in ("I", "o", "1", "AB", "ß"):
        assert "one-letter code" in refusal(wrong, Kind.ONE_LETTER)


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
    assert found.certainty is Certainty.ONLY
    assert found.reading == f"{system}: 14 August 1979"


def test_a_label_that_means_the_same_day_in_both_orders_has_one_reading():
    found = only("3-3-82")
    assert found.certainty is Certainty.ONLY
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
    assert (str(found.first), found.last, found.certainty) == (expected, found.first, Certainty.ONLY)
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


# --- what is no date ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "  ", "\n"])
def test_nothing_typed_is_refused(text):
    assert refusal(text) == "Nothing was typed."


@pytest.mark.parametrize(
    "text",
    ["hello", "é8", "-8", "12", "1", "123456789", "2SC1815", "4k7", "7832A", "-", "²³", "٧٨٣٢", "7832\x00"],
)
def test_what_has_no_form_of_a_date_is_refused_in_one_sentence(text):
    sentence = refusal(text)
    assert sentence.startswith(f"“{text}” can't be read as a date: ")
    assert sentence.count(".") == 1
    assert ("none of the forms" in sentence) == (text != "12")
    assert sentence.endswith(".")


def test_a_long_text_is_refused_and_not_repeated_in_full():
    assert refusal("7" * 41).startswith("“" + "7" * 23 + "…” can't")
    assert refusal("7" * 24).startswith("“" + "7" * 24 + "” can't")
    assert refusal("7" * 25).startswith("“" + "7" * 23 + "…” can't")
    assert intervals("4" + " " * 31 + "Mar 1982") == [("1982-03-04", "1982-03-04")]
    refusal("4" + " " * 32 + "Mar 1982")
    with pytest.raises(NotADate) as refused:
        read_date("hello", TODAY)
    assert refused.value.text == "hello"


@pytest.mark.parametrize(
    "text, kind, hint",
    [
        ("K8", Kind.WEEK_CODE, "three or four digits"),
        ("832", Kind.SOURCE_DATE, "five to eight digits"),
        ("832", Kind.LETTER_CODE, "a year letter and a month character"),
        ("832", Kind.LABEL, "a label has a day, month and year"),
        ("832", Kind.LABEL_US, "an American label"),
        ("832", Kind.LABEL_EUROPE, "a European label"),
        ("832", Kind.LABEL_JAPAN, "a Japanese label"),
    ],
)
def test_a_marking_that_is_not_of_the_named_kind_is_refused_with_an_example(text, kind, hint):
    assert hint in refusal(text, kind)


def test_a_code_that_lies_wholly_in_the_future_is_refused():
    assert (
        refusal("2649") == "“2649” can't be read as a date: every reading lies after today, 25 November 2026."
    )
    assert intervals("2648") == [("2026-11-23", "2026-11-25")]
    assert only("2648", today=date(2026, 11, 23)).last == date(2026, 11, 23)
    refusal("2648", today=date(2026, 11, 22))


def test_a_week_of_next_year_that_has_begun_is_read():
    assert intervals("8101", today=date(1980, 12, 30)) == [("1980-12-29", "1980-12-30")]
    refusal("8101", today=date(1980, 12, 28))


# --- whatever is typed --------------------------------------------------------------------------------------


@given(st.one_of(st.text(max_size=45), scraps), todays, kinds)
@example("9999-12-31", date(2120, 1, 1), None)
@example("S1", date(1945, 1, 1), Kind.LABEL_JAPAN)
@example("0-0-00", date(1945, 1, 1), Kind.LABEL_JAPAN)
def test_reading_raises_nothing_but_its_own_refusal_and_never_a_day_after_today(text, today, kind):
    try:
        found = read_date(text, today, kind)
    except NotADate:
        return
    assert found
    assert list(found) == sorted(found, key=lambda one: (one.first, one.last))
    assert len({(one.first, one.last) for one in found}) == len(found)
    for one in found:
        assert one.earliest <= one.first <= one.last <= today
        assert one.last <= one.latest
        assert one.reading
    assert (Certainty.ONLY in {one.certainty for one in found}) <= (len(found) == 1)


@pytest.mark.parametrize("today", [date.min, date(1945, 1, 1), date.max])
@pytest.mark.parametrize(
    "text",
    ["7832", "832", "9997832", "K8", "3-4-82", "S53.8.14", "'78", "5.4.3", "9999", "R1.1.1", "001", "0001"],
)
def test_any_day_of_reading_is_borne(text, today):
    for kind in (None, *Kind):
        with suppress(NotADate):
            assert all(one.last <= today for one in read_date(text, today, kind))


def encoded_again(one: Candidate, code: str, when: date) -> bool:
    """Whether a maker who follows the reading's own scheme would have put this code on a part that day."""
    again: dict[System, list[str]] = {
        System.YYWW: [encode_yyww(when, rule) for rule in WeekRule],
        System.YWW: [encode_yww(when, rule) for rule in WeekRule],
        System.YEAR_MONTH: [encode_year_month(when)] if when.year >= 1970 else [],
        System.MONTH_YEAR: [encode_month_year(when)] if when.year >= 1970 else [],
        System.ONE_LETTER: [encode_one_letter(when)],
        System.LABEL_US: [encode_label(when), encode_label(when, year_digits=4)],
        System.LABEL_EUROPE: [encode_label(when, System.LABEL_EUROPE, digits) for digits in (2, 4)],
        System.LABEL_JAPAN: [encode_label(when, System.LABEL_JAPAN, digits) for digits in (2, 4)],
        System.LABEL_ERA: [encode_era(when)] if when >= ERAS[0].first else [],
    }
    return code in again[one.system]


def some_day_encodes_again(one: Candidate, code: str) -> bool:
    span = (one.last - one.first).days
    return any(encoded_again(one, code, one.first + timedelta(days=step)) for step in range(span + 1))


@given(st.integers(0, 99), st.integers(1, 53), todays, st.booleans())
def test_each_week_read_holds_a_day_that_is_stamped_with_the_code(year, week, today, short):
    code = f"{year % 10}{week:02d}" if short else f"{year:02d}{week:02d}"
    try:
        found = read_date(code, today, Kind.WEEK_CODE)
    except NotADate:
        return
    assert all(some_day_encodes_again(one, code) for one in found)


@given(st.from_regex(r"[0-9]{5,8}", fullmatch=True), todays)
def test_each_week_read_with_a_source_holds_a_day_that_is_stamped_with_both(code, today):
    try:
        found = read_date(code, today, Kind.SOURCE_DATE)
    except NotADate:
        return
    for one in found:
        days_of_it = [one.first + timedelta(days=step) for step in range((one.last - one.first).days + 1)]
        assert any(
            code.startswith(encode_source_date(code[:source_digits], when, year_digits, rule))
            for when in days_of_it
            for rule in WeekRule
            for source_digits in range(1, 5)
            for year_digits in (1, 2)
        )


@given(st.sampled_from(LETTERS), st.sampled_from(MONTHS), st.booleans(), todays)
def test_each_month_read_holds_a_day_that_is_stamped_with_the_code(letter, month, reverse, today):
    code = month + letter if reverse else letter + month
    try:
        found = read_date(code, today)
    except NotADate:
        assert today < date(1990, 1, 1)
        return
    assert all(some_day_encodes_again(one, code) for one in found)


@given(st.sampled_from("ABCDEFGHJKLMNPQRSTUVWXYZabcdefghjklmnpqrstuvwxyz"), todays)
def test_each_month_of_the_one_letter_code_holds_a_day_that_is_stamped_with_it(letter, today):
    try:
        found = read_date(letter, today, Kind.ONE_LETTER)
    except NotADate:
        assert today < date(1973, 1, 1)
        return
    assert all(some_day_encodes_again(one, letter) for one in found)


@given(days)
def test_a_day_is_among_the_readings_of_every_code_made_from_it(when):
    codes = [
        (encode_yyww(when), Kind.WEEK_CODE),
        (encode_yww(when), Kind.WEEK_CODE),
        (encode_source_date("137", when), Kind.SOURCE_DATE),
        (encode_source_date("137", when, 1), Kind.SOURCE_DATE),
        (encode_source_date("1370", when), Kind.SOURCE_DATE),
        (encode_era(when), Kind.LABEL),
        *((encode_label(when, order), kind) for order, kind in ORDERS for kind in (Kind.LABEL, kind)),
        *((encode_label(when, order, 4), kind) for order, kind in ORDERS for kind in (None, kind)),
    ]
    if when.year >= 1970:
        codes += [(encode_year_month(when), Kind.LETTER_CODE), (encode_one_letter(when), Kind.ONE_LETTER)]
    if 1970 <= when.year <= 1989:
        codes += [(encode_month_year(when), Kind.LETTER_CODE)]
    for code, kind in codes:
        for asked in {kind, None} - ({None} if kind is Kind.ONE_LETTER else set()):
            assert any(holds(one, when) for one in read_date(code, TODAY, asked)), (code, asked)


ORDERS = (
    (System.LABEL_US, Kind.LABEL_US),
    (System.LABEL_EUROPE, Kind.LABEL_EUROPE),
    (System.LABEL_JAPAN, Kind.LABEL_JAPAN),
)


@given(days, st.sampled_from(ORDERS), st.sampled_from([2, 4]))
def test_each_day_of_a_numeric_label_is_written_again_as_that_label(when, order, digits):
    system, _ = order
    label = encode_label(when, system, digits)
    for one in read_date(label, TODAY, Kind.LABEL):
        if one.system is not System.LABEL_ERA:
            assert fields(label) in [fields(encode_label(one.first, each, digits)) for each, _ in ORDERS]


def fields(label: str) -> list[int]:
    return [int(field) for field in label.replace(".", "-").split("-")]


@given(st.dates(date(1926, 12, 25), TODAY))
def test_an_era_date_is_written_again_as_it_was(when):
    found = only(encode_era(when))
    assert (found.first, found.certainty) == (when, Certainty.ONLY)


def test_era_dates_begin_with_showa_and_labels_have_three_orders():
    with pytest.raises(ValueError, match="1926"):
        encode_era(date(1926, 12, 24))
    with pytest.raises(ValueError, match="order"):
        encode_label(TODAY, System.LABEL_ERA)
    assert encode_label(date(1982, 3, 4)) == "3-4-82"
    assert encode_label(date(1982, 3, 4), System.LABEL_EUROPE) == "4.3.82"
    assert encode_label(date(1982, 3, 4), System.LABEL_JAPAN, 4) == "1982.3.4"
    assert encode_label(date(2005, 3, 4)) == "3-4-05"


def test_a_reading_has_no_leeway_unless_its_scheme_gives_one():
    found = Candidate(date(1978, 8, 7), date(1978, 8, 13), System.YYWW, Certainty.ONLY, "1978, week 32")
    assert (found.earliest, found.latest) == (found.first, found.last)


# A stamp names its day: common practice, no source. Only weeks (two rules) and parts dated ahead get a leeway.
@pytest.mark.parametrize("text", ["14 MAR 1992", "8-14-79", "Mar 82", "S53.8.14"])
def test_a_stamped_day_or_month_is_taken_at_its_word(text):
    for found in read_date(text, TODAY):
        assert (found.early, found.late) == (0, 0)
