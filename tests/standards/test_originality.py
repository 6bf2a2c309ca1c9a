"""Original, fitted later, older stock or open: worked examples of one part.

The rules are common practice without a published source; the dates in the examples were worked out by hand with the
ISO 8601 weeks of the standard library.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from shop.handbook.datecodes import Candidate, Certainty, System, read_date
from shop.handbook.originality import (
    Judgement,
    Verdict,
    Window,
    WindowError,
    judge,
)
from tests.standards.originality_cases import TODAY


def judged(year: int, marking: str) -> Judgement:
    return judge(Window.years(year), read_date(marking, TODAY), TODAY, f"“{marking}”")


def years(candidates: list[Candidate]) -> list[int]:
    return [candidate.first.year for candidate in candidates]


# --- one part -----------------------------------------------------------------------------------------------


# The five worked cases: 832, 7832 and 9148 in a unit of 1978, K8 in one of 1975, M3 in one of 1981.
@pytest.mark.parametrize(
    "year, marking, verdict, original, later",
    [
        (1978, "832", Verdict.OPEN, [1978], [1988, 1998, 2008, 2018]),
        (1978, "7832", Verdict.ORIGINAL, [1978], []),
        (1978, "9148", Verdict.LATER, [], [1991]),
        (1975, "K8", Verdict.LATER, [], [1978, 1998, 2018]),
        (1981, "M3", Verdict.OPEN, [1980], [2000, 2020]),
    ],
)
def test_a_part_is_judged_by_every_reading_of_its_date(year, marking, verdict, original, later):
    found = judged(year, marking)
    assert found.verdict is verdict
    assert years(found.read_as(Verdict.ORIGINAL)) == original
    assert years(found.read_as(Verdict.LATER)) == later
    assert found.latest == (TODAY if later else None)


def test_a_part_fitted_later_can_not_have_been_fitted_before_it_was_made():
    found = judged(
        1978, "9148"
    )  # the week of 25 November 1991, and up to 8 days earlier by another week rule
    assert (found.earliest, found.latest) == (date(1991, 11, 17), TODAY)
    assert found.argument == (
        "“9148” was fitted later: dated the week of 25 November 1991, for a unit built in 1978; "
        "so it was fitted between 17 November 1991 and 25 November 2026."
    )


def test_a_part_of_an_open_decade_gives_the_earliest_day_of_its_later_readings():
    found = judged(1978, "832")
    assert found.earliest == date(1988, 8, 8) - timedelta(days=8)
    assert found.argument == (
        "“832” is open for a unit built in 1978: original if dated the week of 7 August 1978, fitted later if dated "
        "1988, 1998, 2008 or 2018, older stock if dated the week of 2 August 1948, the week of 4 August 1958 or the "
        "week of 5 August 1968."
    )


def test_an_original_part_has_no_day_of_later_fitting():
    found = judged(1978, "7832")
    assert (found.earliest, found.latest) == (None, None)
    assert (
        found.argument == "“7832” can be original: dated the week of 7 August 1978, for a unit built in 1978."
    )


def test_old_stock_beside_an_original_reading_proves_nothing_later():
    found = judge(Window.years(1978), read_date("832", date(1980, 1, 1)), date(1980, 1, 1))
    assert found.verdict is Verdict.ORIGINAL
    assert "unless it means the week of 2 August 1948" in found.argument


def test_a_part_much_older_than_the_unit_is_older_stock():
    found = judged(1985, "7832")
    assert (found.verdict, found.earliest, found.latest) == (Verdict.OLDER, date(1985, 1, 1), TODAY)
    assert found.argument == (
        "“7832” is older stock, a used part or misread: dated the week of 7 August 1978, more than 3 years before a "
        "unit built in 1985."
    )


def test_three_years_of_stock_are_borne_and_not_a_day_more():
    built = Window(date(1980, 6, 15), date(1980, 6, 30))

    def verdict(day: date) -> Verdict:
        found = Candidate(day, day, System.LABEL_US, Certainty.ONLY, "")
        return judge(built, (found,), TODAY).verdict

    assert verdict(date(1977, 6, 15)) is Verdict.ORIGINAL
    assert verdict(date(1977, 6, 14)) is Verdict.OLDER
    assert verdict(date(1980, 6, 30)) is Verdict.ORIGINAL
    assert verdict(date(1980, 7, 1)) is Verdict.LATER


def test_three_years_before_a_leap_day_end_on_28_february():
    found = Candidate(date(1977, 2, 28), date(1977, 2, 28), System.LABEL_US, Certainty.ONLY, "")
    assert judge(Window(date(1980, 2, 29), date(1980, 3, 1)), (found,), TODAY).verdict is Verdict.ORIGINAL


def test_the_leeway_of_a_week_code_is_on_the_parts_side():
    assert (
        judge(Window(date(1978, 1, 1), date(1978, 7, 30)), read_date("7832", TODAY), TODAY).verdict
        is Verdict.ORIGINAL
    )
    assert (
        judge(Window(date(1978, 1, 1), date(1978, 7, 29)), read_date("7832", TODAY), TODAY).verdict
        is Verdict.LATER
    )
    assert judge(Window(date(1981, 8, 20), None), read_date("7832", TODAY), TODAY).verdict is Verdict.OPEN
    assert judge(Window(date(1981, 8, 21), None), read_date("7832", TODAY), TODAY).verdict is Verdict.OLDER


# Some makers date a month or two ahead (guitarhq.com, pots): a source-dated part may be up to two months too young.
def test_a_part_dated_two_months_ahead_is_no_proof_of_a_repair():
    built = Window(date(1978, 1, 1), date(1978, 6, 6))
    assert judge(built, read_date("999-7832", TODAY), TODAY).verdict is Verdict.ORIGINAL
    assert judge(built, read_date("7832", TODAY), TODAY).verdict is Verdict.LATER


def test_without_a_build_window_only_what_one_side_settles_is_settled():
    nothing = judge(Window(), read_date("7832", TODAY), TODAY)
    assert (nothing.verdict, nothing.earliest, nothing.latest) == (Verdict.OPEN, None, None)
    assert "the build window is not known on that side" in nothing.argument
    assert judge(Window(last=date(1975, 1, 1)), read_date("7832", TODAY), TODAY).verdict is Verdict.LATER
    assert judge(Window(last=date(1979, 1, 1)), read_date("7832", TODAY), TODAY).verdict is Verdict.OPEN
    assert judge(Window(), (), TODAY).argument == "The part is open: its date has no reading."
    assert judge(Window.years(1978), (), TODAY).verdict is Verdict.OPEN


def test_a_doubtful_reading_decides_only_when_there_is_no_sounder_one():
    sound_and_doubtful = read_date(
        "DN", TODAY
    )  # November 1973, 1993, 2013; December 1981 in an order then out of use
    assert [one.certainty for one in sound_and_doubtful].count(Certainty.DOUBTFUL) == 1
    found = judge(Window.years(1980, 1982), sound_and_doubtful, TODAY)
    assert years(found.read_as(Verdict.ORIGINAL)) == [1981]
    assert found.verdict is Verdict.OPEN  # 1973 is old stock, 1993 and 2013 later
    only_later = judge(Window.years(1972), sound_and_doubtful, TODAY)
    assert only_later.verdict is Verdict.LATER
    early = judge(Window.years(1980, 1982), read_date("53.8.14", TODAY), TODAY)
    assert early.verdict is Verdict.OLDER
    assert early.argument.endswith("built between 1980 and 1982, unless it means 14 August 1978.")
    alone = judge(Window.years(1982), read_date("8253", TODAY), TODAY)
    assert alone.verdict is Verdict.ORIGINAL


def test_a_build_window_that_ends_before_it_begins_is_refused():
    with pytest.raises(WindowError):
        Window(date(1979, 1, 1), date(1978, 12, 31))
    assert str(Window(date(1978, 8, 14), date(1978, 8, 14))) == "on 14 August 1978"


@pytest.mark.parametrize(
    "window, words",
    [
        (Window(), "at an unknown time"),
        (Window(date(1978, 1, 1), None), "on or after 1 January 1978"),
        (Window(None, date(1978, 1, 1)), "by 1 January 1978"),
        (Window.years(1978), "in 1978"),
        (Window.years(1976, 1979), "between 1976 and 1979"),
        (Window(date(1978, 2, 1), date(1978, 2, 28)), "in February 1978"),
        (Window(date(1978, 2, 3), date(1978, 2, 28)), "between 3 February 1978 and 28 February 1978"),
        (Window(date(1978, 2, 1), date(1978, 2, 27)), "between 1 February 1978 and 27 February 1978"),
        (Window(date(1978, 2, 1), date(1979, 2, 28)), "between 1 February 1978 and 28 February 1979"),
        (Window(date(1978, 8, 7), date(1978, 8, 13)), "in the week of 7 August 1978"),
        (Window(date(1978, 8, 7), date(1978, 8, 14)), "between 7 August 1978 and 14 August 1978"),
    ],
)
def test_a_build_window_is_said_in_words(window, words):
    assert str(window) == words
