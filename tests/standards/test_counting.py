"""Counting against worked tables, statsmodels, rank-bm25, numpy, scipy and dateutil."""

from __future__ import annotations

import math
import random
from collections import Counter
from datetime import date
from decimal import Decimal
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rank_bm25 import BM25Okapi
from scipy.stats import beta, poisson
from statsmodels.stats.proportion import proportion_confint

from shop.handbook.counting import (
    HIGHEST_SERVICE,
    Age,
    AverageCost,
    Collection,
    CountingError,
    age,
    collection_of,
    exact_queue,
    littles_law,
    months_between,
    percentile,
    queue,
    reorder_point,
    score,
    shrunk_share,
    simulate_queue,
    utilisation,
    weeks,
    wilson,
)

HOUR = 3600


def chance(seed: int) -> random.Random:
    return random.Random(seed)  # noqa: S311 - a forecast, not a secret


# hits, tries: Wilson 95 % lower and upper (statsmodels proportion_confint, method "wilson"), then the means by Laplace
# (k + 1)/(n + 2), Jeffreys (k + .5)/(n + 1), and a prior of .3 with the strength of 10 (plain arithmetic).
SHARES = [
    (1, 1, 0.206549, 1.000000, 0.666667, 0.750000, 0.363636),
    (2, 2, 0.342380, 1.000000, 0.750000, 0.833333, 0.416667),
    (3, 4, 0.300642, 0.954413, 0.666667, 0.700000, 0.428571),
    (8, 10, 0.490162, 0.943318, 0.750000, 0.772727, 0.550000),
    (9, 10, 0.595850, 0.982124, 0.833333, 0.863636, 0.600000),
    (45, 50, 0.786398, 0.956524, 0.884615, 0.892157, 0.800000),
    (19, 20, 0.763869, 0.991119, 0.909091, 0.928571, 0.733333),
    (0, 5, 0.000000, 0.434482, 0.142857, 0.083333, 0.200000),
]


@pytest.mark.parametrize("hits, tries, lower, upper, laplace, jeffreys, strong", SHARES)
def test_a_share_of_repairs_carries_its_interval(hits, tries, lower, upper, laplace, jeffreys, strong):
    interval = wilson(hits, tries)
    assert interval.lower == pytest.approx(lower, abs=5e-7)
    assert interval.upper == pytest.approx(upper, abs=5e-7)
    assert shrunk_share(hits, tries) == pytest.approx(laplace, abs=5e-7)
    assert shrunk_share(hits, tries, strength=1) == pytest.approx(jeffreys, abs=5e-7)
    assert shrunk_share(hits, tries, prior=0.3, strength=10) == pytest.approx(strong, abs=5e-7)


@pytest.mark.parametrize("tries", [1, 2, 3, 7, 20, 50, 400])
def test_the_interval_is_that_of_statsmodels(tries):
    for hits in range(tries + 1):
        lower, upper = proportion_confint(hits, tries, alpha=0.05, method="wilson")
        assert wilson(hits, tries).lower == pytest.approx(lower, abs=1e-12)
        assert wilson(hits, tries).upper == pytest.approx(upper, abs=1e-12)


def test_seven_of_nine_is_at_least_45_per_cent():
    # statsmodels gives 0.4526 too
    assert round(wilson(7, 9).lower, 2) == 0.45


def test_the_lower_end_puts_many_good_repairs_before_one_lucky_one():
    # the order by lower end, and that other means order otherwise: computed with statsmodels
    cases = [(1, 1), (2, 2), (3, 4), (8, 10), (9, 10), (45, 50), (19, 20)]
    by_lower = sorted(cases, key=lambda case: -wilson(*case).lower)
    assert by_lower == [(45, 50), (19, 20), (9, 10), (8, 10), (2, 2), (3, 4), (1, 1)]
    assert shrunk_share(19, 20) > shrunk_share(45, 50)
    assert shrunk_share(3, 4, prior=0.3, strength=10) > shrunk_share(2, 2, prior=0.3, strength=10)


def test_no_case_at_all_says_nothing():
    assert (wilson(0, 0).lower, wilson(0, 0).upper) == (0.0, 1.0)


@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_an_interval_holds_its_share_and_stays_within_none_and_all(hits, misses):
    tries = hits + misses
    interval = wilson(hits, tries)
    assert 0 <= interval.lower <= interval.upper <= 1
    if tries:
        assert interval.lower - 1e-12 <= hits / tries <= interval.upper + 1e-12


@given(st.integers(0, 50), st.integers(0, 50))
def test_laplace_and_jeffreys_are_means_of_the_beta_distribution(hits, misses):
    # scipy's beta distribution
    assert shrunk_share(hits, hits + misses) == pytest.approx(beta.mean(hits + 1, misses + 1))
    assert shrunk_share(hits, hits + misses, strength=1) == pytest.approx(beta.mean(hits + 0.5, misses + 0.5))


@pytest.mark.parametrize("hits, tries", [(-1, 3), (4, 3), (1, 0)])
def test_more_hits_than_tries_are_refused(hits, tries):
    for counted in (wilson, shrunk_share):
        with pytest.raises(CountingError, match=r"\.$"):
            counted(hits, tries)


def test_a_prior_without_strength_is_refused():
    with pytest.raises(CountingError, match="strength"):
        shrunk_share(1, 2, strength=0)


# Ranking

RECORDS = [
    ["no", "sound", "left", "channel", "relay"],
    ["hum", "both", "channels", "filter", "caps"],
    ["left", "channel", "distorted", "relay", "contacts", "dirty", "relay"],
]


def scores(query, records):
    collection = collection_of(records)
    return [score(query, Counter(words), len(words), collection) for words in records]


def test_the_worked_ranking_of_three_records():
    # worked by hand and by machine: average length 17/3, idf of a word in 2 of 3 records 0.470004
    collection = collection_of(RECORDS)
    assert collection.mean_length == pytest.approx(17 / 3)
    assert collection.idf("relay") == pytest.approx(0.470004, abs=5e-7)
    assert scores(["left", "relay"], RECORDS) == pytest.approx([0.992554, 0, 1.049227], abs=5e-7)


def test_a_word_in_most_records_still_counts_for_a_record():
    # the raw form ln((N - n + .5)/(n + .5)) would be -0.510826 and put the better record last
    raw = math.log((3 - 2 + 0.5) / (2 + 0.5))
    assert raw == pytest.approx(-0.510826, abs=5e-7)
    first, second, third = scores(["left", "relay"], RECORDS)
    assert third > first > second == 0
    upside_down = [rank * raw / collection_of(RECORDS).idf("relay") for rank in (first, third)]
    assert upside_down == pytest.approx([-1.078762, -1.140357], abs=2e-6)


def test_rank_bm25_puts_the_worked_records_in_the_same_order():
    # rank-bm25 floors its negative idf, so it agrees on order, not on numbers (0.145218, 0, 0.153510)
    theirs = BM25Okapi(RECORDS).get_scores(["left", "relay"])
    assert list(theirs) == pytest.approx([0.145218, 0, 0.153510], abs=5e-7)
    assert list(np.argsort(theirs)) == list(np.argsort(scores(["left", "relay"], RECORDS)))


WORDS = st.sampled_from(["hum", "left", "right", "relay", "cap", "dirty", "channel"])


@settings(max_examples=200, deadline=None)
@given(st.lists(st.lists(WORDS, min_size=1, max_size=8), min_size=2, max_size=8), WORDS)
def test_one_word_ranks_records_as_rank_bm25_does(records, word):
    # for one word the order doesn't depend on which positive idf is used: rank-bm25's plain form is made positive by
    # records that lack the word
    records = [*records, *([["filler"] * 4] * (2 * len(records)))]
    theirs = BM25Okapi(records).get_scores([word])
    ours = scores([word], records)
    for left in range(len(records)):
        for right in range(len(records)):
            if theirs[left] > theirs[right] + 1e-9:
                assert ours[left] > ours[right]


@given(st.lists(st.lists(WORDS, max_size=8), min_size=1, max_size=8), st.lists(WORDS, max_size=3))
def test_no_score_is_ever_negative(records, query):
    assert min(scores(query, records)) >= 0


def test_stored_frequencies_are_enough_to_rank_a_few_matches():
    # the frequencies of the asked words and the mean length stand for the whole collection
    whole = collection_of(RECORDS)
    stored = Collection(3, whole.mean_length, {"left": 2, "relay": 2})
    for words in RECORDS:
        assert score(["left", "relay"], Counter(words), len(words), stored) == score(
            ["left", "relay"], Counter(words), len(words), whole
        )


def test_a_word_whose_frequency_is_stale_never_makes_a_score_negative():
    assert Collection(10, 5.0, {"hum": 25}).idf("hum") > 0
    assert score(["hum"], {"hum": 1}, 5, Collection(0, 0.0, {})) > 0


# Percentiles


@pytest.mark.parametrize(
    "share, expected",
    [(0, 1), (0.2, 1), (0.21, 2), (0.5, 3), (Decimal("0.85"), 5), (Fraction(4, 5), 4), (1, 5)],
)
def test_a_percentile_is_the_smallest_value_whose_share_reaches_it(share, expected):
    # definition 1 of Hyndman and Fan (1996)
    assert percentile([5, 3, 1, 2, 4], share) == expected


@given(
    st.lists(st.integers(-1000, 1000), min_size=1, max_size=60),
    st.sampled_from([0.1, 0.25, 0.5, 0.75, 0.85, 0.95]),
)
def test_percentiles_are_those_of_numpy(values, share):
    # numpy multiplies in binary: compare where n x share isn't a whole number that rounding may miss
    exact = Fraction(str(share)) * len(values)
    if exact.denominator != 1 or float(exact) == share * len(values):
        assert percentile(values, share) == np.percentile(values, share * 100, method="inverted_cdf")


@given(st.lists(st.integers(0, 50), min_size=1, max_size=40), st.fractions(0, 1))
def test_a_percentile_is_a_value_that_the_share_doesnt_exceed_and_no_smaller_one_does(values, share):
    found = percentile(values, share)
    assert found in values
    assert Fraction(sum(value <= found for value in values), len(values)) >= share
    if share > 0:
        assert Fraction(sum(value < found for value in values), len(values)) < share


@pytest.mark.parametrize("values, share", [([], 0.5), ([1], -0.1), ([1], 1.1)])
def test_a_percentile_of_nothing_or_beyond_all_is_refused(values, share):
    with pytest.raises(CountingError):
        percentile(values, share)


# The queue

PAST = [HOUR, 5400, 5400, 2 * HOUR, 9000, 3 * HOUR, 12600, 6 * HOUR]  # 1, 1.5, 1.5, 2, 2.5, 3, 3.5, 6 hours


def test_the_worked_forecast_of_three_jobs_ahead():
    # all 512 triples enumerated apart from this code: mean 7.875 h, P50 7.5, P85 10.5, P95 12.5
    forecast = exact_queue(PAST, 3)
    assert sum(forecast.cases) == 512
    assert forecast.mean == Fraction("7.875") * HOUR
    assert [forecast.percentile(share) / HOUR for share in (0.5, 0.85, 0.95)] == [7.5, 10.5, 12.5]
    assert float(forecast.share_within(9 * HOUR)) == pytest.approx(0.714844, abs=5e-7)
    assert float(forecast.share_within(6 * HOUR)) == 0.3125


def test_the_worked_forecast_in_weeks_of_five_bench_hours():
    forecast = exact_queue(PAST, 3)
    within = [float(weeks(forecast.percentile(share), 5 * HOUR)) for share in (0.5, 0.85, 0.95)]
    assert within == [1.5, 2.1, 2.5]


def test_ten_thousand_draws_agree_with_the_exact_forecast():
    exact, drawn = exact_queue(PAST, 3), simulate_queue(PAST, 3, chance(20261125))
    assert sum(drawn.cases) == 10_000
    assert float(drawn.mean) == pytest.approx(float(exact.mean), rel=0.02)
    for share in (0.5, 0.85, 0.95):
        assert drawn.percentile(share) == pytest.approx(exact.percentile(share), abs=HOUR / 2)
    # five standard errors of a share out of 10,000 draws
    assert float(drawn.share_within(9 * HOUR)) == pytest.approx(0.714844, abs=5 * math.sqrt(0.25 / 10_000))


def test_the_same_random_source_gives_the_same_forecast():
    assert simulate_queue(PAST, 4, chance(7)) == simulate_queue(PAST, 4, chance(7))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 9), min_size=1, max_size=4), st.integers(0, 4), st.fractions(Fraction(1, 100), 1)
)
def test_the_exact_forecast_is_that_of_writing_every_case_down(past, ahead, share):
    forecast = exact_queue(past, ahead)
    every = [sum(case) for case in product(past, repeat=ahead)]
    assert Counter(every) == dict(zip(forecast.values, forecast.cases, strict=True))
    assert forecast.mean == Fraction(sum(every), len(every))
    assert forecast.percentile(share) == percentile(every, share)
    assert forecast.share_within(10) == Fraction(sum(value <= 10 for value in every), len(every))


def test_a_short_queue_is_weighed_exactly_and_a_long_one_of_many_past_jobs_drawn():
    assert queue(PAST, 3, chance(1)) == exact_queue(PAST, 3)
    many = [600 + 97 * job % 39_400 for job in range(500)]
    assert sum(queue(many, 12, chance(1)).cases) == 10_000


def test_a_queue_of_nobody_takes_no_time():
    assert exact_queue(PAST, 0).percentile(0.95) == 0


@pytest.mark.parametrize("past, ahead", [([], 1), ([1], -1)])
def test_a_forecast_without_past_or_with_fewer_than_no_jobs_is_refused(past, ahead):
    for forecast in (lambda: exact_queue(past, ahead), lambda: simulate_queue(past, ahead, chance(1))):
        with pytest.raises(CountingError):
            forecast()


@pytest.mark.parametrize(
    "known, third",
    [
        ({"in_house": 6, "arrivals": 1.5}, 4),  # weeks
        ({"arrivals": 4.5, "stay": 3}, 13.5),  # units
        ({"in_house": 12, "arrivals": 2.5}, 4.8),  # weeks
        ({"in_house": 12, "stay": Decimal("4.8")}, 2.5),  # a week
    ],
)
def test_littles_law_gives_the_third_figure(known, third):
    # L = lambda W (Little 1961), plain arithmetic
    assert littles_law(**known) == Fraction(str(third))


@pytest.mark.parametrize(
    "known", [{}, {"in_house": 1}, {"in_house": 1, "arrivals": 1, "stay": 1}, {"in_house": 1, "stay": 0}]
)
def test_littles_law_needs_two_figures(known):
    with pytest.raises(CountingError):
        littles_law(**known)


def test_the_worked_load_of_a_bench():
    # 1.5 jobs a week of 2.625 h against 8 h: 3.94 h, 0.49
    load = utilisation(1.5, 2.625, 8)
    assert load.share * 8 == Fraction("3.9375")
    assert round(float(load.share), 2) == 0.49
    assert not load.grows


def test_a_bench_with_as_much_work_as_time_never_catches_up():
    assert utilisation(4, 2, 8).grows
    assert not utilisation(Decimal("3.999"), 2, 8).grows


def test_a_week_without_bench_time_is_refused():
    with pytest.raises(CountingError, match="bench time"):
        utilisation(1, 1, 0)
    with pytest.raises(CountingError, match="bench time"):
        weeks(1, 0)


# Parts


def test_the_moving_average_of_two_deliveries():
    # 10 at 0.50 and 5 at 0.80: (5.00 + 4.00) / 15 = 0.60, plain arithmetic
    drawer = AverageCost(0, 0).received(10_000, 5_000).received(5_000, 8_000)
    assert drawer == AverageCost(15_000, 6_000)
    assert drawer.issued(4_000) == AverageCost(11_000, 6_000)


def test_the_moving_average_is_rounded_half_up():
    # 1 at 0.0001 and 1 at 0.0002 make 0.00015
    assert AverageCost(1_000, 1).received(1_000, 2).unit_cost == 2
    assert AverageCost(2_000, 1).received(1_000, 2).unit_cost == 1


def test_a_drawer_that_was_overdrawn_takes_the_cost_of_the_delivery():
    assert AverageCost(1_000, 900).issued(3_000).received(5_000, 400) == AverageCost(3_000, 400)


@given(st.lists(st.tuples(st.integers(1, 10**6), st.integers(0, 10**8)), min_size=1, max_size=12))
def test_the_moving_average_stays_near_the_exact_one_and_within_the_prices_paid(deliveries):
    drawer = AverageCost(0, 0)
    for quantity, cost in deliveries:
        drawer = drawer.received(quantity, cost)
    exact = Fraction(sum(q * c for q, c in deliveries), sum(q for q, _ in deliveries))
    assert abs(drawer.unit_cost - exact) <= Fraction(len(deliveries), 2)
    assert min(c for _, c in deliveries) <= drawer.unit_cost <= max(c for _, c in deliveries)


@pytest.mark.parametrize("quantity, cost", [(0, 1), (-1, 1), (1, -1)])
def test_a_delivery_of_nothing_or_at_less_than_nothing_is_refused(quantity, cost):
    with pytest.raises(CountingError):
        AverageCost(1, 1).received(quantity, cost)
    with pytest.raises(CountingError):
        AverageCost(1, 1).issued(0)


@given(
    st.integers(0, 400), st.integers(1, 730), st.integers(0, 90), st.sampled_from([0.5, 0.8, 0.9, 0.95, 0.99])
)
def test_the_reorder_point_is_the_poisson_quantile_of_scipy(used, over_days, lead_days, service):
    assume(used * lead_days <= 10_000 * over_days)  # beyond, the rule of thumb is refused, see below
    reorder = reorder_point(used, over_days, lead_days, service)
    assert reorder.expected == pytest.approx(used * lead_days / over_days)
    assert reorder.point == poisson.ppf(service, used * lead_days / over_days)


def test_a_part_used_a_dozen_times_a_year_with_three_weeks_to_wait():
    # expected 0.69 over 21 days; scipy: P(2 or fewer) = 0.967 is the first to reach 0.95
    assert reorder_point(12, 365, 21).point == 2
    assert poisson.cdf(2, 12 * 21 / 365) > 0.95 > poisson.cdf(1, 12 * 21 / 365)


def test_a_part_never_used_is_not_ordered_again():
    assert reorder_point(0, 365, 30).point == 0


@pytest.mark.parametrize(
    "figures",
    [
        (-1, 1, 1, 0.9),
        (1, 0, 1, 0.9),
        (1, 1, -1, 0.9),
        (1, 1, 1, 0),
        (1, 1, 1, 1),
        (10**7, 1, 1, 0.9),
        (112, 1, 90, 0.5),
    ],
)
def test_impossible_figures_of_use_are_refused(figures):
    with pytest.raises(CountingError):
        reorder_point(*figures)


def test_the_highest_service_still_ends():
    assert reorder_point(9_000, 1, 1, HIGHEST_SERVICE).point == poisson.ppf(HIGHEST_SERVICE, 9_000)


# Age


@given(st.dates(date(1940, 1, 1), date(2026, 12, 31)), st.dates(date(1940, 1, 1), date(2026, 12, 31)))
def test_months_are_counted_as_dateutil_counts_them(born, on):
    if on < born:
        born, on = on, born
    months = months_between(born, on)
    # dateutil's relativedelta, but for the last day of a shorter month, which it never reaches from a longer one
    theirs = relativedelta(on, born)
    assert months == theirs.years * 12 + theirs.months
    assert months_between(on, born) == -months


def test_the_age_at_failure_spans_the_time_in_which_it_may_have_been_built():
    # built in 1978, failed on 2 March 2026: 47 or 48 whole years
    at_failure = age(date(1978, 1, 1), date(1978, 12, 31), date(2026, 3, 2))
    assert at_failure == Age(47 * 12 + 2, 48 * 12 + 2)
    assert at_failure.years == (47, 48)


def test_a_unit_that_failed_within_the_time_of_building_may_be_new():
    assert age(date(1978, 1, 1), date(1978, 12, 31), date(1978, 6, 1)).least_months == 0


def test_a_unit_that_failed_before_it_was_built_is_refused():
    with pytest.raises(CountingError):
        age(date(1978, 1, 1), date(1978, 12, 31), date(1977, 6, 1))
    with pytest.raises(CountingError):
        age(date(1978, 2, 1), date(1978, 1, 1), date(1979, 6, 1))
