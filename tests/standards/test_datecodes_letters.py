"""IEC 60062 letters of years and months against the published tables."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from shop.handbook.datecodes import (
    Certainty,
    Kind,
    System,
    encode_month_year,
    encode_one_letter,
    encode_year_month,
    read_date,
)
from tests.standards.datecode_cases import LETTERS, MONTHS, TODAY, intervals, months, only, refusal


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
    (found,) = (one for one in read_date("8C", TODAY) if one.system is not System.DIGIT_MONTH)
    assert (str(found.first), str(found.last)) == ("1972-08-01", "1972-08-31")
    assert (found.system, found.certainty) == (System.MONTH_YEAR, Certainty.SEVERAL)
    assert found.reading == "month 8, year letter C: August 1972"
    assert only("8P").certainty is Certainty.DOUBTFUL
    assert only("8P").reading == "month 8, year letter P in an order last seen in 1977: August 1982"
    assert only("8X").first == date(1989, 8, 1)


# IEC 60062:2004 lists a two-character code with a ten-year cycle (its summary, looked up); the letters from memory.
@pytest.mark.parametrize(
    "code, month, year_ends_in, how_many",
    [
        ("7A", 1, 7, 1),
        ("6E", 5, 6, 1),
        ("4C", 3, 4, 1),
        ("3H", 8, 3, 1),
        ("8J", 9, 8, 2),
        ("8I", 9, 8, 1),
        ("8M", 12, 8, 1),
    ],
)
def test_a_digit_and_a_letter_may_be_a_year_and_its_month(code, month, year_ends_in, how_many):
    found = [one for one in read_date(code, TODAY) if one.system is System.DIGIT_MONTH]
    assert {one.first.year % 10 for one in found} == {year_ends_in}
    assert month in {one.first.month for one in found}
    assert len({one.first.month for one in found}) == how_many
    assert all(one.certainty is not Certainty.ONLY for one in found)
    assert date(1970 + year_ends_in, month, 1) in {one.first for one in found}


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
