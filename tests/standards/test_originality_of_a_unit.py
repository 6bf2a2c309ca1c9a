"""All traces of one unit together narrow its build window and the date of the earlier work; laws for any unit and any dates.

The rules are common practice without a published source; the dates in the examples were worked out by hand with the
ISO 8601 weeks of the standard library.
"""

from __future__ import annotations

import random
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.datecodes import Candidate, Certainty, Kind, System, read_date
from shop.handbook.originality import (
    Evidence,
    Mark,
    Story,
    Verdict,
    Window,
    contradictions,
    judge,
    narrowed,
    story,
)
from tests.standards.originality_cases import TODAY

SINCE = date(1970, 1, 1)


def part(where: str, marking: str, *, untouched: bool = False) -> Evidence:
    return Evidence(where, Mark.PART, marking, read_date(marking, TODAY), untouched)


def label(marking: str, kind: Kind = Kind.LABEL) -> Evidence:
    return Evidence("case lid", Mark.REPAIR_LABEL, marking, read_date(marking, TODAY, kind))


def stamp(marking: str, where: str = "chassis stamp") -> Evidence:
    return Evidence(where, Mark.FACTORY_STAMP, marking, read_date(marking, TODAY))


def told(first: int, last: int, *traces: Evidence) -> Story:
    return story(Window.years(first, last), traces, TODAY)


# --- all traces of a unit -----------------------------------------------------------------------------------


def test_the_story_of_an_earlier_repair_is_two_sentences_built_from_the_facts():
    found = told(1976, 1979, part("Q701", "7832"), part("Q703", "9148"), part("Q705", "832"), label("3-4-82"))
    assert found.sentences == (
        "Built between 1976 and 1979; Q701 “7832” can be original; if so, not built before 30 July 1978.",
        (
            "Earlier work: case lid “3-4-82” dates it to 4 March 1982 or 3 April 1982; Q703 “9148” was made after the "
            "unit and fitted between 17 November 1991 and 25 November 2026; Q705 “832” may be original or not."
        ),
    )
    assert found.not_before == date(1978, 7, 30)
    assert [judgement.verdict for _, judgement in found.judgements] == [
        Verdict.ORIGINAL,
        Verdict.LATER,
        Verdict.OPEN,
    ]


def test_a_part_that_a_repair_label_can_explain_is_told_with_it():
    found = told(1976, 1979, part("Q703", "8148"), part("Q704", "8210"), label("14-8-82"))
    assert found.sentences[1] == (
        "Earlier work: case lid “14-8-82” dates it to 14 August 1982, when Q703 “8148” and Q704 “8210” can have been "
        "fitted."
    )
    (work,) = found.works
    assert (work.first, work.last, work.parts) == (
        date(1982, 8, 14),
        date(1982, 8, 14),
        ("Q703 “8148”", "Q704 “8210”"),
    )


def test_parts_too_young_for_the_label_tell_of_a_second_repair():
    found = told(1976, 1979, label("14-8-82"), part("Q703", "9148"), part("Q704", "9210"))
    first, second = found.works
    assert first.label is not None
    assert second.label is None
    assert (second.first, second.last) == (date(1992, 3, 2) - timedelta(days=8), TODAY)
    assert "Q703 “9148” and Q704 “9210” were made after the unit" in found.sentences[1]


def test_each_part_goes_to_the_first_label_that_can_explain_it():
    later_label = Evidence("back", Mark.REPAIR_LABEL, "14-8-93", read_date("14-8-93", TODAY))
    found = told(1976, 1979, later_label, label("14-8-82"), part("Q703", "9148"), part("Q704", "8148"))
    assert [(work.first.year, work.parts) for work in found.works] == [
        (1982, ("Q704 “8148”",)),
        (1993, ("Q703 “9148”",)),
    ]


def test_a_factory_stamp_narrows_the_build_window_and_so_the_verdicts():
    found = told(1976, 1982, stamp("S53.8.14"), part("Q703", "8001"), part("Q704", "7720"))
    assert str(found.built) == "on 14 August 1978"
    assert [judgement.verdict for _, judgement in found.judgements] == [Verdict.LATER, Verdict.ORIGINAL]
    assert found.sentences[0] == "Built on 14 August 1978; Q704 “7720” can be original."
    assert told(1976, 1982, part("Q703", "8001")).judgements[0][1].verdict is Verdict.ORIGINAL


def test_a_repair_label_and_an_untouched_part_bound_the_build_from_either_side():
    found = told(1975, 1985, label("14-8-82"), part("C12", "7832", untouched=True))
    assert found.built == Window(date(1978, 7, 30), date(1982, 8, 14))
    assert found.contradictions == ()


def test_a_part_that_may_have_been_fitted_at_any_time_does_not_bound_the_build():
    assert told(1975, 1985, part("C12", "7832")).built == Window.years(1975, 1985)


def test_a_stamp_with_an_open_decade_narrows_to_what_the_window_leaves():
    found = told(1976, 1989, stamp("832"))
    assert (found.built.first, found.built.last) == (date(1978, 7, 30), date(1988, 8, 21))
    assert [one.settled for one in found.contradictions] == [False] * 6
    assert (
        found.sentences[1]
        == "Earlier work is not proven: 6 contradictions between the dates, in some readings only."
    )


def test_an_untouched_part_younger_than_the_unit_is_reported_and_no_repair_is_made_of_it():
    found = told(1976, 1979, part("C12", "8432", untouched=True))
    (clash,) = found.contradictions
    assert clash.settled
    assert (clash.early, clash.late) == ("the build window", "C12 “8432” as the week of 6 August 1984")
    assert clash.sentence == (
        "The build window has the unit built by 31 December 1979, "
        "C12 “8432” as the week of 6 August 1984 not before 29 July 1984."
    )
    assert found.works == ()
    assert found.built == Window.years(1976, 1979)
    assert found.sentences[1] == (
        "Earlier work is not proven: the build window and C12 “8432” as the week of 6 August 1984 contradict each other."
    )


def test_a_repair_before_the_unit_was_built_is_a_contradiction_and_not_a_work():
    found = told(1976, 1979, label("14-8-75"))
    assert [one.settled for one in found.contradictions] == [True]
    assert found.works == ()
    half = told(1976, 1979, label("12-1-75"), label("3-4-82"))
    assert len(half.contradictions) == 2
    assert len(half.works) == 1


def test_contradictions_that_no_other_reading_escapes_are_told_without_reserve():
    assert told(1976, 1979, label("3-4-75")).sentences[1] == (
        "Earlier work is not proven: 2 contradictions between the dates."
    )


def test_two_stamps_that_disagree_leave_the_window_as_it_was():
    found = told(1976, 1985, stamp("S53.8.14"), stamp("S55.8.14", "inside the lid"))
    assert found.built == Window.years(1976, 1985)
    (clash,) = found.contradictions
    assert clash.settled
    assert clash.early == "chassis stamp “S53.8.14” as 14 August 1978"


def test_traces_that_contradict_do_not_spoil_what_the_others_say():
    built = Window(date(1978, 8, 14), date(1978, 8, 14))
    good, wrong = stamp("S53.8.14"), stamp("S60.8.14", "inside the lid")
    later_label = label("14-8-82")
    assert narrowed(Window.years(1976, 1985), [good, later_label]) == built
    assert narrowed(Window.years(1976, 1980), [good, later_label, label("14-8-75")]) == built
    assert narrowed(Window.years(1976, 1980), [part("C12", "8432", untouched=True), good]) == built
    # the two stamps contradict each other and are left out; the untouched part still bounds the build
    untouched = part("C12", "7720", untouched=True)
    assert narrowed(Window.years(1976, 1986), [good, wrong, untouched]) == Window(
        date(1977, 5, 8), date(1986, 12, 31)
    )


def test_a_narrowing_that_depends_on_another_is_followed_to_the_end():
    def dated(where: str, mark: Mark, *days: date) -> Evidence:
        readings = tuple(Candidate(day, day, System.LABEL_US, Certainty.SEVERAL, "") for day in days)
        return Evidence(where, mark, "x", readings)

    open_stamp = dated("1", Mark.FACTORY_STAMP, date(1978, 5, 1), date(1988, 5, 1))
    early_label = dated("2", Mark.REPAIR_LABEL, date(1980, 1, 1))
    only_day = Window(date(1978, 5, 1), date(1978, 5, 1))
    assert narrowed(Window.years(1976, 1989), [open_stamp, early_label]) == only_day
    assert narrowed(Window.years(1976, 1989), [early_label, open_stamp]) == only_day


def test_a_part_and_a_label_of_the_same_day_go_together_and_a_label_of_the_build_day_counts():
    day = date(1982, 8, 14)
    fitted = Evidence("Q703", Mark.PART, "x", (Candidate(day, day, System.LABEL_US, Certainty.ONLY, ""),))
    (work,) = told(1976, 1979, label("14-8-82"), fitted).works
    assert work.parts == ("Q703 “x”",)
    (first_day,) = told(1982, 1982, label("1-1-82")).works
    assert (first_day.first, first_day.last) == (date(1982, 1, 1), date(1982, 1, 1))


def test_every_part_is_judged_under_its_name_up_to_today():
    ((_, judgement),) = told(1976, 1979, part("Q703", "9148")).judgements
    assert judgement.latest == TODAY
    assert judgement.argument.startswith("Q703 “9148” was fitted later")


def test_a_window_open_on_one_side_is_told_as_far_as_it_is_known():
    assert story(Window(None, date(1979, 12, 31)), [part("Q1", "9148")], TODAY).sentences[0] == (
        "Built by 31 December 1979."
    )
    assert story(Window(date(1976, 1, 1), None), [part("Q1", "9148")], TODAY).sentences[0] == (
        "Built on or after 1 January 1976."
    )


def test_several_old_parts_are_told_in_the_plural():
    found = told(1990, 1991, part("Q1", "7832"), part("Q2", "7832"))
    assert found.sentences[0].endswith("Q1 “7832” and Q2 “7832” are older stock or misread.")


def test_a_label_of_many_readings_is_told_by_its_two_ends():
    def lid(*days: date) -> Evidence:
        readings = tuple(Candidate(day, day, System.LABEL_US, Certainty.SEVERAL, "") for day in days)
        return Evidence("lid", Mark.REPAIR_LABEL, "x", readings)

    days = [date(year, 2, 3) for year in (1984, 1990, 2003, 2021)]
    assert told(1976, 1979, lid(*days[:3])).sentences[1] == (
        "Earlier work: lid “x” dates it to 3 February 1984, 3 February 1990 or 3 February 2003."
    )
    assert told(1976, 1979, lid(*days)).sentences[1] == (
        "Earlier work: lid “x” dates it to between 3 February 1984 and 3 February 2021."
    )
    early = date(1975, 2, 3)
    assert "dates it to 3 February 1984;" in told(1976, 1979, lid(early, days[0])).sentences[1]


def test_traces_that_agree_two_by_two_but_not_together_leave_the_window_as_it_was():
    def stamped(where: str, *days: date) -> Evidence:
        readings = tuple(Candidate(day, day, System.LABEL_US, Certainty.SEVERAL, "") for day in days)
        return Evidence(where, Mark.FACTORY_STAMP, "x", readings)

    a, b, c = date(1977, 1, 1), date(1978, 1, 1), date(1979, 1, 1)
    triangle = [stamped("1", a, c), stamped("2", a, b), stamped("3", b, c)]
    assert narrowed(Window.years(1976, 1985), triangle) == Window.years(1976, 1985)
    assert not any(one.settled for one in contradictions(Window.years(1976, 1985), triangle))
    assert narrowed(Window(a, b), [stamped("1", a, c), stamped("2", b, c)]) == Window(a, b)
    assert narrowed(Window(a, a), triangle) == Window(a, a)  # the third has no reading there and is left out


def test_a_unit_without_dated_traces_has_no_story():
    assert story(Window.years(1978), [], TODAY).sentences == ()


def test_a_unit_whose_dates_all_fit_has_no_earlier_work():
    found = told(1976, 1979, part("Q701", "7832"), part("Q702", "7210"))
    assert found.sentences == (
        (
            "Built between 1976 and 1979; Q701 “7832” can be original; if so, not built before 30 July 1978; "
            "Q702 “7210” is older stock or misread."
        ),
        "No date here points to earlier work.",
    )


def test_an_unknown_build_window_is_said_to_be_unknown():
    found = story(Window(), [part("Q701", "7832"), part("Q702", "7210")], TODAY)
    assert found.sentences == (
        "When the unit was built is not known.",
        "Earlier work is not proven: Q701 “7832” and Q702 “7210” may be original or not.",
    )


# --- laws ---------------------------------------------------------------------------------------------------

spans = st.tuples(
    st.dates(SINCE, date(2000, 1, 1)), st.integers(0, 400), st.integers(0, 62), st.integers(0, 7)
)
windows = st.one_of(
    st.just(Window()),
    st.dates(SINCE, date(2000, 1, 1)).map(lambda day: Window(day, None)),
    st.dates(SINCE, date(2000, 1, 1)).map(lambda day: Window(None, day)),
    st.tuples(st.dates(SINCE, date(2000, 1, 1)), st.integers(0, 4000)).map(
        lambda pair: Window(pair[0], pair[0] + timedelta(days=pair[1]))
    ),
)


@st.composite
def a_candidate(draw: st.DrawFn) -> Candidate:
    first, length, early, late = draw(spans)
    certainty = draw(st.sampled_from(Certainty))
    return Candidate(first, first + timedelta(days=length), System.YYWW, certainty, "reading", early, late)


@st.composite
def a_trace(draw: st.DrawFn) -> Evidence:
    where = draw(st.sampled_from(["Q1", "Q2", "lid", "chassis"]))
    readings = tuple(draw(st.lists(a_candidate(), max_size=3)))
    return Evidence(where, draw(st.sampled_from(Mark)), "x", readings, draw(st.booleans()))


traces = st.lists(a_trace(), max_size=5)


def pairs(built: Window, evidence: list[Evidence]) -> set[tuple[str, str]]:
    return {(one.early, one.late) for one in contradictions(built, evidence)}


@given(windows, st.lists(a_trace(), min_size=1, max_size=5), a_candidate(), st.data())
def test_adding_a_reading_never_makes_a_contradiction_vanish(built, evidence, candidate, data):
    place = data.draw(st.integers(0, len(evidence) - 1))
    old = evidence[place]
    more = Evidence(old.where, old.mark, old.marking, (*old.candidates, candidate), old.untouched)
    longer = [*evidence[:place], more, *evidence[place + 1 :]]
    assert pairs(built, evidence) <= pairs(built, longer)


@given(windows, traces, a_trace())
def test_adding_a_trace_never_makes_a_contradiction_vanish(built, evidence, another):
    assert pairs(built, evidence) <= pairs(built, [*evidence, another])


@given(windows, traces)
def test_every_contradiction_is_told_and_none_is_invented(built, evidence):
    found = story(built, evidence, TODAY)
    assert found.contradictions == contradictions(built, evidence)
    said = " ".join(found.sentences)
    assert bool(found.contradictions) == ("contradict" in said)


@given(windows, traces)
def test_the_story_has_at_most_two_sentences_and_judges_every_part(built, evidence):
    found = story(built, evidence, TODAY)
    assert len(found.sentences) == (2 if evidence else 0)
    assert all(sentence.endswith(".") and sentence[0].isupper() for sentence in found.sentences)
    assert [trace for trace, _ in found.judgements] == [one for one in evidence if one.mark is Mark.PART]
    for work in found.works:
        assert work.first <= work.last <= TODAY


@given(windows, traces, st.randoms(use_true_random=False))
def test_the_order_in_which_traces_were_found_does_not_matter(built, evidence, shuffler: random.Random):
    mixed = list(evidence)
    shuffler.shuffle(mixed)
    assert narrowed(built, evidence) == narrowed(built, mixed)


@given(windows, traces)
def test_the_narrowed_window_lies_within_the_given_one(built, evidence):
    found = narrowed(built, evidence)
    assert found.cut(built) == found


@given(st.dates(date(1975, 1, 1), date(1990, 1, 1)), st.data())
def test_the_true_build_day_is_never_cut_away_and_true_dates_never_contradict_for_good(build, data):
    """A unit is made up with true dates, among false readings; whatever is concluded must leave the truth possible."""
    before, after = data.draw(st.integers(0, 2000)), data.draw(st.integers(0, 2000))
    built = Window(build - timedelta(days=before), build + timedelta(days=after))
    evidence = []
    for mark in data.draw(st.lists(st.sampled_from(Mark), max_size=5)):
        away = timedelta(days=data.draw(st.integers(0, 1500)))
        true = {Mark.PART: build - away, Mark.FACTORY_STAMP: build, Mark.REPAIR_LABEL: build + away}[mark]
        truth = Candidate(true, true, System.LABEL_US, Certainty.SEVERAL, "true")
        readings = (truth, *data.draw(st.lists(a_candidate(), max_size=2)))
        evidence.append(Evidence("x", mark, "y", readings, untouched=mark is Mark.PART))
    found = narrowed(built, evidence)
    assert found.first is not None
    assert found.last is not None
    assert found.first <= build <= found.last
    assert not any(one.settled for one in contradictions(built, evidence))


@given(windows, st.lists(a_candidate(), max_size=4), a_candidate())
def test_a_verdict_of_fitted_later_is_reached_only_when_every_sound_reading_is_later(
    built, readings, another
):
    found = judge(built, (*readings, another), TODAY)
    sound = [meant for one, meant in found.readings if one.certainty is not Certainty.DOUBTFUL]
    if found.verdict is Verdict.LATER:
        assert set(sound or [meant for _, meant in found.readings]) == {Verdict.LATER}
        assert found.earliest == min(one.earliest for one in found.read_as(Verdict.LATER))
    assert found.argument.endswith(".")
