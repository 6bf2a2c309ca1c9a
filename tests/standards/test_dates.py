"""Dates against a worked case, numpy, statsmodels, simpy and the laws of queues."""

from __future__ import annotations

import datetime as dt
import math
import random
import time
from collections.abc import Generator, Sequence

import numpy as np
import pytest
import simpy
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.duration.survfunc import SurvfuncRight

from shop.handbook.dates.evening import Candidate, Pick, Why, evening
from shop.handbook.dates.forecasting import (
    History,
    Learned,
    Open,
    Owed,
    Past,
    Spread,
    Step,
    forecast,
    learn,
    queue_hours,
)
from shop.handbook.dates.kept import Gone, Record, widened, widening
from shop.handbook.dates.load import load_of
from shop.handbook.dates.refused import DatesError, Stream
from shop.handbook.dates.waits import Wait, Waits, waits_of
from shop.handbook.dates.work import Taken, hours_of
from shop.handbook.dates.worked import Bench, Plan, Week, bench_of

MONDAY = dt.date(2026, 3, 2)


def chance(seed: int | str) -> random.Random:
    return random.Random(seed)  # noqa: S311 - a forecast, not a secret


def chances(seed: int = 1) -> Stream:
    return lambda name: chance(f"{seed} {name}")


def plan(*hours: float, off: Sequence[dt.date] = ()) -> Plan:
    return Plan(hours, frozenset(off))


def steady(*hours: float, start: dt.date = MONDAY) -> Bench:
    """A bench that works exactly as planned."""
    return bench_of(start, plan(*hours))


def only(hours: float) -> Learned:
    """A past in which every job took the same, nobody was asked and nothing was ordered."""
    past = [Past(Taken(hours), 0.5, asked=False, parts=False, soak_hours=0.0)] * 2000
    return learn(History(past), strength=0)


# --- the worked case, exact over all 512 triples: past hours 1, 1.5, 1.5, 2, 2.5, 3, 3.5, 6 and three jobs ahead ------------

CASE = [1, 1.5, 1.5, 2, 2.5, 3, 3.5, 6]


def test_three_jobs_ahead_take_what_the_worked_case_says() -> None:
    hours = hours_of(map(Taken, CASE), strength=0)
    runs = queue_hours(hours, [((), 0.0)] * 3, chances(), runs=40_000)
    spread = Spread(tuple(round(one * 60) for one in runs), 10**6)
    assert spread.percentile(0.5) == pytest.approx(7.5 * 60, abs=1)
    assert spread.percentile(0.85) == pytest.approx(10.5 * 60, abs=1)
    assert spread.percentile(0.95) == pytest.approx(12.5 * 60, abs=1)
    # three standard errors of a share of 40,000 draws, and of their mean
    assert spread.share_within(9 * 60) == pytest.approx(0.714844, abs=0.007)
    assert spread.share_within(6 * 60) == pytest.approx(0.3125, abs=0.007)
    assert sum(runs) / len(runs) == pytest.approx(7.875, abs=0.045)
    # at five bench hours a week
    weeks = [spread.percentile(share) / 60 / 5 for share in (0.5, 0.85, 0.95)]
    assert weeks == pytest.approx((1.5, 2.1, 2.5), abs=0.01)


def test_the_whole_forecast_comes_to_the_worked_case_as_well() -> None:
    """One hour is worked each day, so that days count hours: the third job is ready on the day that reaches its sum."""
    past = [Past(Taken(hours), 0.5, asked=False, parts=False, soak_hours=0.0) for hours in CASE * 250]
    told = forecast(
        [Open(name, Step.KNOWN) for name in "abc"],
        learn(History(past), strength=0),
        steady(*[1.0] * 7),
        chances(),
        runs=20_000,
    )
    ready = told[2].ready
    # the day is counted from 0: 7.5 hours are reached on the eighth day
    assert [ready.percentile(share) + 1 for share in (0.5, 0.85, 0.95)] == [8, 11, 13]
    assert ready.share_within(8) == pytest.approx(0.714844, abs=0.01)


@given(st.lists(st.integers(0, 400), min_size=1, max_size=300), st.floats(0.01, 1))
def test_percentiles_are_numpys_inverted_distribution(days: list[int], share: float) -> None:
    assert Spread(tuple(sorted(days)), 1000).percentile(share) == np.percentile(
        days, share * 100, method="inverted_cdf"
    )


# --- waits, with those that still last ------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(8))
def test_the_share_still_waiting_is_the_product_limit_of_statsmodels(seed: int) -> None:
    r = chance(seed)
    waits = [Wait(r.randrange(1, 40), r.random() < 0.7) for _ in range(60)]
    told = waits_of(waits)
    theirs = SurvfuncRight([one.days for one in waits], [int(one.ended) for one in waits])
    ours = dict(zip(told.days, told.ended_by, strict=True))
    for day, still in zip(theirs.surv_times, theirs.surv_prob, strict=True):
        if day in ours:
            assert ours[day] == pytest.approx(1 - still)
    assert set(theirs.surv_times) >= set(ours)


def test_parts_still_owed_make_the_wait_longer_than_those_that_came_say() -> None:
    came = [Wait(7)] * 10
    silent = waits_of([*came, *[Wait(60, ended=False)] * 10])
    assert median(waits_of(came)) == 7
    assert silent.drawn(0.49) == 7
    assert silent.drawn(0.75) == 120


def test_a_part_that_is_owed_longer_than_any_came_takes_as_long_again_as_likely_as_not() -> None:
    told = waits_of([Wait(days) for days in (5, 7, 9)])
    assert told.drawn(0.5, waited=50) == 100
    assert all(told.drawn(u / 100, waited=50) >= 50 for u in range(100))


def test_a_wait_is_drawn_from_those_that_lasted_as_long() -> None:
    told = waits_of([Wait(days) for days in (2, 4, 6, 8)])
    assert [told.drawn(u) for u in (0.1, 0.3, 0.6, 0.9)] == [2, 4, 6, 8]
    assert [told.drawn(u, waited=5) for u in (0.2, 0.7)] == [6, 8]
    assert told.drawn(0.0, waited=6) == 6


def test_a_supplier_with_one_delivery_is_taken_to_be_much_like_the_others() -> None:
    others = [Wait(10)] * 100
    once = waits_of([Wait(60)], others)
    often = waits_of([Wait(60)] * 50, others)
    assert median(once) == 10
    assert median(often) == 60


def test_a_wait_that_ended_before_it_began_says_nothing() -> None:
    assert waits_of([Wait(-3), Wait(4)]) == waits_of([Wait(4)])


def median(waits: Waits) -> int:
    return waits.drawn(0.5)


# --- hours ----------------------------------------------------------------------------------------------------------------


def test_a_history_of_one_job_is_mostly_what_is_assumed() -> None:
    hours = hours_of([Taken(40.0)])
    assert 2.5 < hours.typical(()) < 5
    told = forecast(
        [Open("a", Step.KNOWN)], learn(History([Past(Taken(40.0))])), steady(*[2.0] * 7), chances()
    )
    assert told[0].basis.jobs == 1


def test_a_thin_model_is_pulled_to_its_kind_and_that_to_the_shop() -> None:
    shop = [Taken(2.0, ("radio",))] * 100 + [Taken(6.0, ("deck",))] * 100
    hours = hours_of([*shop, Taken(20.0, ("deck", "deck 7"))])
    assert hours.typical(("radio",)) < hours.typical(()) < hours.typical(("deck",))
    assert hours.typical(("deck",)) < hours.typical(("deck", "deck 7")) < 10
    assert hours.typical(("never seen",)) == hours.typical(())
    assert hours.basis(("deck", "deck 7")).like == 1
    assert hours.basis(("deck", "deck 8")).group == "deck"


def test_what_was_done_counts_and_what_is_left_is_of_jobs_that_took_longer() -> None:
    hours = hours_of(map(Taken, (1.0, 2.0, 3.0, 4.0)), strength=0)
    chances_ = [0.0, 0.4, 0.6, 0.99]
    assert hours.left((), 0.0, chances_) == pytest.approx([1, 2, 3, 4])
    assert hours.left((), 2.5, chances_) == pytest.approx([0.5, 0.5, 1.5, 1.5])
    assert all(0.9 < left < 5.1 for left in hours.left((), 10.0, chances_))


# --- the bench's week -----------------------------------------------------------------------------------------------------


def test_weeks_off_move_the_date_and_nothing_else() -> None:
    fortnight = [MONDAY + dt.timedelta(days=at) for at in range(14)]
    job = [Open("a", Step.KNOWN)]
    usual = forecast(job, only(4.0), steady(*[2.0] * 7), chances(), runs=100)
    away = forecast(job, only(4.0), bench_of(MONDAY, plan(*[2.0] * 7, off=fortnight)), chances(), runs=100)
    assert usual[0].ready.percentile(0.5) == 1
    assert away[0].ready.percentile(0.5) == 15


def test_hours_are_those_really_worked_by_weekday() -> None:
    """Planned on Monday and Tuesday, but for a year of weeks all of it was done on Saturdays."""
    bench = bench_of(MONDAY, plan(4, 4, 0, 0, 0, 0, 0), [Week((0, 0, 0, 0, 0, 8, 0))] * 52)
    told = forecast([Open("a", Step.KNOWN)], only(2.0), bench, chances(), runs=2000)
    saturdays = sum(day % 7 == 5 for day in told[0].ready.days)
    assert saturdays > 0.85 * 2000


def test_a_plan_that_was_doubled_counts_for_the_weeks_to_come() -> None:
    past = [Week((2, 2, 0, 0, 0, 0, 0), planned=4.0)] * 52
    assert bench_of(MONDAY, plan(4, 4, 0, 0, 0, 0, 0), past).mean_week == pytest.approx(8)


@pytest.mark.parametrize("hours", [(0.0,) * 7, (30.0, *[0.0] * 6), (-1.0, *[2.0] * 6), (2.0,) * 6])
def test_impossible_hours_are_a_sentence(hours: tuple[float, ...]) -> None:
    with pytest.raises(DatesError, match=r"\.$"):
        bench_of(MONDAY, Plan(hours))


def test_a_shop_that_never_did_what_it_planned_still_gets_dates() -> None:
    bench = bench_of(MONDAY, plan(*[1.0] * 7), [Week((0.0,) * 7)] * 52)
    told = forecast([Open("a", Step.KNOWN)], only(2.0), bench, chances())
    assert told[0].ready.percentile(0.5) > 14


# --- the queue ------------------------------------------------------------------------------------------------------------


def test_moving_a_job_moves_only_those_that_it_passes() -> None:
    """Common random numbers: below the place that changed, every run is the same run."""
    past = [Past(Taken(hours), 0.4, asked=False, parts=False, soak_hours=1.0) for hours in (1, 2, 3, 5)] * 20
    learned, bench = learn(History(past)), steady(2, 2, 0, 2, 0, 4, 0)
    queue = [Open(name, Step.KNOWN) for name in "abcdef"]
    before = {one.key: one.ready for one in forecast(queue, learned, bench, chances())}
    swapped = [queue[1], queue[0], *queue[2:]]
    after = {one.key: one.ready for one in forecast(swapped, learned, bench, chances())}
    assert before["a"] != after["a"]
    assert before["b"] != after["b"]
    assert [before[name] for name in "cdef"] == [after[name] for name in "cdef"]


def test_a_soak_test_takes_attended_hours_and_leaves_the_bench_free() -> None:
    """Six hours of soak at two attended hours a day are three days; the job behind it doesn't wait."""
    queue = [Open("soaking", Step.SOAK, soak_left=6.0), Open("next", Step.KNOWN)]
    told = forecast(queue, only(2.0), steady(*[2.0] * 7), chances(), runs=100)
    assert [one.ready.percentile(0.85) for one in told] == [2, 0]


def test_a_job_that_waits_for_parts_lets_the_others_by_and_comes_back_to_its_place() -> None:
    history = History(
        [Past(Taken(2.0), 0.5, asked=False, parts=False, soak_hours=0.0)] * 2000, parts={"s": [Wait(4)] * 500}
    )
    learned = learn(history, strength=0)
    queue = [Open("parts", Step.PARTS, owed=(Owed("s", 1),)), *[Open(name, Step.KNOWN) for name in "abcd"]]
    told = {
        one.key: one.ready.percentile(0.5) for one in forecast(queue, learned, steady(*[2.0] * 7), chances())
    }
    assert told == {"a": 0, "b": 1, "c": 2, "parts": 3, "d": 4}


def test_all_jobs_in_one_stage_and_an_empty_queue_are_told_as_well() -> None:
    learned, bench = learn(History()), steady(2, 2, 0, 2, 0, 4, 0)
    assert forecast([], learned, bench, chances()) == []
    for step in Step:
        told = forecast([Open(str(at), step) for at in range(20)], learned, bench, chances())
        assert all(one.ready.percentile(0.5) <= one.ready.percentile(0.85) for one in told)
        assert (told[0].first_word is None) == (step not in {Step.COMING, Step.TO_LOOK_AT})


def test_what_lies_beyond_all_that_was_worked_out_is_told_as_beyond() -> None:
    queue = [Open(str(at), Step.KNOWN) for at in range(400)]
    last = forecast(queue, only(20.0), steady(0.5, *[0.0] * 6), chances(), runs=100)[-1]
    assert last.ready.percentile(0.5) == last.ready.beyond


def test_a_clock_that_was_set_back_makes_no_wait_of_less_than_nothing() -> None:
    queue = [
        Open("a", Step.PARTS, owed=(Owed("s", -5),), waited=-5),
        Open("b", Step.WORD, waited=-5),
        Open("c", Step.COMING, waited=-5, done=-1.0),
    ]
    told = forecast(queue, learn(History()), steady(*[2.0] * 7), chances())
    assert all(day >= 0 for one in told for day in one.ready.days)


def test_five_hundred_jobs_take_a_third_of_a_second() -> None:
    """Of the processor's time; the least of five tries, on whatever machine this is."""
    r = chance(1)
    past = [
        Past(Taken(r.lognormvariate(0.8, 0.7), (r.choice("abcd"),)), 0.3, asked=True, parts=r.random() < 0.5)
        for _ in range(400)
    ]
    history = History(
        past,
        [Wait(r.randrange(10)) for _ in range(300)],
        {name: [Wait(r.randrange(3, 30)) for _ in range(60)] for name in "xyz"},
    )
    steps = [Step.TO_LOOK_AT] * 5 + [Step.KNOWN, Step.WORD, Step.PARTS, Step.SOAK, Step.COMING]
    queue = [Open(str(at), steps[at % 10], (r.choice("abcd"),), waited=3, soak_left=2.0) for at in range(500)]
    bench, spent = bench_of(MONDAY, plan(2, 2, 0, 2, 0, 4, 0), [Week((2, 1, 0, 2, 0, 3, 0))] * 50), []
    for _ in range(5):
        started = time.process_time()
        told = forecast(queue, learn(history), bench, chances())
        spent.append(time.process_time() - started)
    assert len(told) == 500
    assert min(spent) < 0.3


# --- against a simulation by another library --------------------------------------------------------------------------------


def work_through(hours: Sequence[float], waits: Sequence[int]) -> list[int]:
    """One bench in simpy that never sleeps: of each job a quarter is finding, then it waits for whole days, older jobs first.

    Returns the day, from 0, on which each ends.
    """
    env, ended = simpy.Environment(), [0] * len(hours)
    bench = simpy.PriorityResource(env, capacity=1)

    def job(at: int) -> Generator[simpy.Event, object, None]:
        with bench.request(priority=at) as turn:
            yield turn
            yield env.timeout(0.25 * hours[at] + 0.75 * hours[at] * (not waits[at]))
        if waits[at]:
            yield env.timeout((math.ceil(env.now / 24) - 1 + waits[at]) * 24 - env.now)
            with bench.request(priority=at) as turn:
                yield turn
                yield env.timeout(0.75 * hours[at])
        ended[at] = math.ceil(env.now / 24 - 1e-9) - 1

    for at in range(len(hours)):
        env.process(job(at))
    env.run()
    return ended


def test_a_queue_with_waits_ends_when_simpys_bench_ends_it() -> None:
    """Twelve jobs, parts for every second one: each job's percentiles agree to the day."""
    taken, lead, r = (2.0, 3.0, 5.0, 9.0, 14.0, 30.0), (1, 2, 3, 5), chance(11)
    theirs = [
        work_through(
            [r.choice(taken) for _ in range(12)], [r.choice(lead) * (r.random() < 0.5) for _ in range(12)]
        )
        for _ in range(2000)
    ]
    past = [
        Past(Taken(hours), 0.25, asked=False, parts=at % 2 == 0, soak_hours=0.0)
        for at in range(700)
        for hours in taken
    ]
    learned = learn(History(past, parts={"s": [Wait(days) for days in lead] * 100}), strength=0)
    queue = [Open(str(at), Step.TO_LOOK_AT) for at in range(12)]
    told = forecast(queue, learned, steady(*[24.0] * 7), chances(), runs=2000)
    for at, one in enumerate(told):
        for share in (0.25, 0.5, 0.85, 0.95):
            day = np.percentile([run[at] for run in theirs], share * 100, method="inverted_cdf")
            assert one.ready.percentile(share) == pytest.approx(day, abs=1), (at, share)
        mean = np.mean([run[at] for run in theirs])
        assert np.mean(one.ready.days) == pytest.approx(mean, abs=0.3), at


def test_littles_law_holds_between_the_shelf_and_the_stays_that_were_forecast() -> None:
    """J. D. C. Little 1961: jobs in house are arrivals times stay.

    A plain queue that knows nothing of the forecast is counted for two thousand days; whoever comes is told a stay, and the
    mean of what was told times the arrivals is what stood on the shelf.
    """
    taken, r = (1.0, 2.0, 3.0, 8.0), chance(3)
    past = [Past(Taken(hours), 0.3, asked=False, parts=False, soak_hours=0.0) for hours in taken * 500]
    learned, bench = learn(History(past), strength=0), steady(*[2.0] * 7)
    queue: list[list[float]] = []  # hours in all and hours done of each job, the oldest first
    told, shelf = [], []
    for day in range(2000):
        if r.random() < 0.46:
            queue.append([r.choice(taken), 0.0])
            ahead = [Open(str(at), Step.KNOWN, done=done) for at, (_, done) in enumerate(queue)]
            last = forecast(ahead, learned, bench, chances(day), runs=60)[-1]
            told.append(np.mean(last.ready.days) + 1)
        shelf.append(len(queue))
        left = 2.0
        while queue and left > 0:
            step = min(left, queue[0][0] - queue[0][1])
            queue[0][1] += step
            left -= step
            if queue[0][1] >= queue[0][0]:
                queue.pop(0)
    assert np.mean(shelf) > 2
    assert len(told) / len(shelf) * np.mean(told) == pytest.approx(np.mean(shelf), rel=0.05)


# --- more in than out ---------------------------------------------------------------------------------------------------------


def test_more_in_than_out_says_since_when_and_what_would_mend_it() -> None:
    """1.5 jobs a week of 2.625 h against 8 h a week load the bench to 0.49; five a week, to 1.64."""
    calm = load_of([1, 2] * 10, 2.625, 8)
    assert calm.share == pytest.approx(0.492, abs=0.001)
    assert calm.grows_since is None
    busy = load_of([1] * 10 + [9] * 10, 2.625, 8)
    assert busy.share > 1
    assert busy.grows_since == 10
    # with so many hours more the bench is loaded to nine tenths, and so it is with so many jobs
    assert busy.came / (busy.worked + busy.more_hours) == pytest.approx(0.9)
    assert busy.jobs_it_bears * 2.625 / 8 == pytest.approx(0.9)


def test_a_load_without_weeks_or_hours_is_a_sentence() -> None:
    for weeks, job, week in (([], 2, 8), ([1], 2, 0), ([1], 0, 8)):
        with pytest.raises(DatesError):
            load_of(weeks, job, week)


# --- promises -------------------------------------------------------------------------------------------------------------


def test_promises_kept_come_with_wilsons_interval_and_below_thirty_are_noise() -> None:
    """45 of 50: 0.786398 to 0.956524 (statsmodels proportion_confint, method "wilson")."""
    record = Record(45, 50)
    assert (record.percent, record.is_noise) == (90, False)
    assert (record.interval.lower, record.interval.upper) == pytest.approx((0.786398, 0.956524), abs=1e-6)
    assert Record(20, 29).is_noise
    assert Record(0, 0).percent == 0


def test_a_forecast_that_holds_is_not_widened_and_one_that_misses_is() -> None:
    holds = [Gone(10, 8)] * 17 + [Gone(10, 13)] * 3
    assert widening([]) == pytest.approx(1)
    assert widening(holds) == pytest.approx(1, abs=0.03)
    misses = [Gone(10, 15)] * 20
    assert widening(misses) == pytest.approx(1.5, abs=0.11)
    assert 0.7 <= widening([*misses, *[Gone(10, 5)] * 60]) < 1
    assert (widened(10, 1.0), widened(10, 1.25), widened(0, 4.0)) == (10, 13, 0)


def test_a_late_promise_counts_before_it_ended_and_one_in_time_does_not() -> None:
    assert widening([Gone(10, 25, ended=False)] * 30) == pytest.approx(2.5)
    assert widening([Gone(10, 5, ended=False)] * 30) == pytest.approx(1)


# --- the evening ------------------------------------------------------------------------------------------------------------


def names(picks: Sequence[Pick]) -> list[str]:
    return [one.key for one in picks]


def test_an_evening_takes_what_is_promised_then_what_came_then_what_can_be_finished() -> None:
    queue = [
        Candidate("old", 3.0),
        Candidate("quick", 0.5),
        Candidate("yes", 0.5, why=frozenset({Why.YES_CAME})),
        Candidate("part", 0.5, why=frozenset({Why.PART_CAME})),
        Candidate("risk", 0.5, why=frozenset({Why.AT_RISK})),
    ]
    told = evening(queue, 2.5, begins=17)
    assert names(told) == ["risk", "part", "yes", "quick", "old"]
    assert [one.finishes for one in told] == [True] * 4 + [False]
    assert told[-1].why == (Why.NEXT,)
    assert sum(one.hours for one in told) == pytest.approx(2.5)


def test_loud_work_comes_before_nine_and_not_at_all_after() -> None:
    queue = [Candidate("a", 1.5), Candidate("amplifier", 1.0, loud=True)]
    assert names(evening(queue, 2.5, begins=19)) == ["amplifier", "a"]
    assert Why.LOUD in evening(queue, 2.5, begins=19)[0].why
    assert names(evening(queue, 2.5, begins=22)) == ["a"]


def test_loud_work_is_not_for_the_small_hours() -> None:
    loud, quiet = Candidate("loud", 1.0, loud=True), Candidate("quiet", 1.0)
    assert [one.key for one in evening([loud, quiet], 2.0, begins=0.5)] == ["quiet"]
    assert [one.key for one in evening([loud, quiet], 2.0, begins=8.0)] == ["loud", "quiet"]


def test_jobs_of_the_same_kind_are_done_together() -> None:
    queue = [
        Candidate("deck 1", 1.5, "deck"),
        Candidate("radio", 1.5, "radio"),
        Candidate("deck 2", 1.5, "deck"),
    ]
    told = evening(queue, 4.5, begins=14)
    assert names(told) == ["deck 1", "deck 2", "radio"]
    assert told[1].why == (Why.SAME_KIND,)


@pytest.mark.parametrize("hours", [0, -1, 25])
def test_an_evening_of_impossible_hours_is_a_sentence(hours: float) -> None:
    with pytest.raises(DatesError, match=r"\.$"):
        evening([Candidate("a", 1)], hours)


def test_an_evening_without_jobs_is_empty() -> None:
    assert evening([], 2.5) == []
