"""What is no date, and whatever else is typed: against the calendar of the standard library."""

from __future__ import annotations

from contextlib import suppress
from datetime import date, timedelta

import pytest
from hypothesis import example, given
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
)
from tests.standards.datecode_cases import LETTERS, MONTHS, TODAY, days, holds, intervals, only, refusal

todays = st.dates(date(1945, 1, 1), date(2120, 12, 31))
kinds = st.sampled_from([None, *Kind])
scraps = st.text(alphabet="0123456789-/. '’ABCDNOSHRX昭和年月日元６", max_size=12)


# --- what is no date ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["", "  ", "\n"])
def test_nothing_typed_is_refused(text):
    assert refusal(text) == "Nothing was typed."


@pytest.mark.parametrize(
    "text",
    ["hello", "é8", "-8", "12", "1", "123456789", "2SC1815", "4k7", "7832-A2", "-", "²³", "٧٨٣٢", "7832\x00"],
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
    coded = [one for one in found if one.system is not System.DIGIT_MONTH]
    assert all(some_day_encodes_again(one, code) for one in coded)


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
