"""Counting: how sure a share is, how well a record fits a question, how long the queue takes, when to order again.

Sources
    Wilson interval: E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal of
    the American Statistical Association 22 (1927). Laplace's and Jeffreys' means: any text on the beta distribution.
    BM25: S. Robertson and H. Zaragoza, "The Probabilistic Relevance Framework: BM25 and Beyond" (2009), with the
    inverse document frequency that is never negative, ln(1 + (N - n + 0.5) / (n + 0.5)).
    Percentile as the smallest value whose share reaches p: definition 1 of R. J. Hyndman and Y. Fan, "Sample quantiles
    in statistical packages", The American Statistician 50 (1996).
    L = lambda W: J. D. C. Little, "A proof for the queuing formula", Operations Research 9 (1961).
    Reorder point as the smallest stock that covers demand over the lead time at the service wanted, demand of slow
    movers being Poisson: E. A. Silver, D. F. Pyke and R. Peterson, "Inventory Management and Production Planning and
    Scheduling" (from memory).
    Moving average cost: common practice of bookkeeping (IAS 2 names the weighted average), rounded half up.
"""

from __future__ import annotations

import math
import random
from bisect import bisect_right
from calendar import monthrange
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import MAXYEAR, MINYEAR, date
from decimal import Decimal
from fractions import Fraction
from itertools import accumulate
from typing import TypeVar

from shop.handbook.money import round_half_up

Z_95 = 1.959963984540054
"""The quantile of the normal distribution that leaves 2.5 % on either side."""

Share = Fraction | Decimal | float


class CountingError(ValueError):
    """Numbers that can't be counted with; the message is one sentence."""


# How sure a share is -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Interval:
    """The range in which a share lies, both ends within 0 and 1."""

    lower: float
    upper: float


def wilson(hits: int, tries: int, z: float = Z_95) -> Interval:
    """The Wilson interval of ``hits`` out of ``tries``, at 95 % unless another ``z`` is given; no tries say nothing.

    Ordering by its lower end keeps one lucky case below many good ones. Raises CountingError unless
    0 <= hits <= tries.
    """
    _check_count(hits, tries)
    _must_be_finite(z)
    if tries == 0:
        return Interval(0.0, 1.0)
    share = hits / tries
    spread = z * z / tries
    centre = (share + spread / 2) / (1 + spread)
    half = z * math.sqrt(share * (1 - share) / tries + spread / (4 * tries)) / (1 + spread)
    lower = 0.0 if hits == 0 else max(0.0, centre - half)
    upper = 1.0 if hits == tries else min(1.0, centre + half)
    return Interval(lower, upper)


def shrunk_share(hits: int, tries: int, *, prior: Share = 0.5, strength: float = 2) -> float:
    """The share pulled towards ``prior`` as if ``strength`` earlier tries had had it.

    Strength 2 around a half is Laplace's rule, strength 1 Jeffreys' mean. Raises CountingError unless
    0 <= hits <= tries and strength is positive.
    """
    _check_count(hits, tries)
    _must_be_finite(prior, strength)
    if strength <= 0:
        raise CountingError("The strength of a prior is positive.")
    return (hits + float(prior) * strength) / (tries + strength)


def _check_count(hits: int, tries: int) -> None:
    if not 0 <= hits <= tries:
        raise CountingError("Hits lie between none and all of the tries.")


# How well a record fits a question -------------------------------------------------------------------------------------

BM25_K1 = 1.5
BM25_B = 0.75


@dataclass(frozen=True, slots=True)
class Collection:
    """What ranking must know of all records: how many, their mean length in words, and in how many each word stands.

    A word without an entry in ``frequencies`` is taken to stand in ``unknown`` records.
    """

    documents: int
    mean_length: float
    frequencies: Mapping[str, int]
    unknown: int = 1

    def idf(self, term: str) -> float:
        """The weight of a word: the rarer, the heavier; never negative, even for a word in nearly every record."""
        found = min(max(self.frequencies.get(term, self.unknown), 0), self.documents)
        return math.log1p((self.documents - found + 0.5) / (found + 0.5))


def score(
    terms: Iterable[str],
    counts: Mapping[str, int],
    length: int,
    collection: Collection,
    *,
    k1: float = BM25_K1,
    b: float = BM25_B,
) -> float:
    """BM25 of one record: ``counts`` says how often it holds each term, ``length`` how many words it has.

    Needs the stored frequencies of the asked words only, so a handful of newest matches can be ranked without reading
    the rest. Never negative; 0 when none of the terms occurs. A term asked twice counts twice.
    """
    damping = length_damping(length, collection.mean_length, k1=k1, b=b)
    total = 0.0
    for term in terms:
        count = counts.get(term, 0)
        if count:
            total += collection.idf(term) * count * (k1 + 1) / (count + damping)
    return total


def length_damping(length: int, mean_length: float, *, k1: float = BM25_K1, b: float = BM25_B) -> float:
    """What stands beside the count below the bar of BM25: larger for a record longer than the mean."""
    _must_be_finite(mean_length, k1, b)
    relative = length / mean_length if mean_length > 0 else 1.0
    return k1 * (1 - b + b * relative)


def collection_of(records: Sequence[Sequence[str]]) -> Collection:
    """The collection that these records make, each a row of words: for small sets and for checks."""
    frequencies: dict[str, int] = {}
    for words in records:
        for word in set(words):
            frequencies[word] = frequencies.get(word, 0) + 1
    total = sum(map(len, records))
    return Collection(len(records), total / len(records) if records else 0.0, frequencies, unknown=0)


# Percentiles and the queue ---------------------------------------------------------------------------------------------

EXACT_WORK = 300_000
"""So many additions are done at most to weigh every case of a queue; beyond, cases are drawn instead."""

DRAWS = 10_000

Number = TypeVar("Number", int, Decimal, Fraction, float)


def percentile(values: Iterable[Number], share: Share) -> Number:
    """The smallest value such that at least ``share`` (0 to 1) of all values are no larger: always one of the values.

    Raises CountingError when there are no values or the share is outside 0 to 1.
    """
    ordered = sorted(values)
    if not ordered:
        raise CountingError("A percentile needs at least one value.")
    return ordered[max(math.ceil(len(ordered) * _exact(share)), 1) - 1]


@dataclass(frozen=True, slots=True)
class Distribution:
    """What a sum may come to: the possible values, rising, and how many cases lead to each; both are whole numbers."""

    values: tuple[int, ...]
    cases: tuple[int, ...]

    @property
    def mean(self) -> Fraction:
        """The mean over all cases, exact. Repair times lean to the right: quote a percentile beside it."""
        return Fraction(
            sum(value * count for value, count in zip(self.values, self.cases, strict=True)), sum(self.cases)
        )

    def percentile(self, share: Share) -> int:
        """The smallest value that at least ``share`` of the cases don't exceed."""
        wanted = _exact(share) * sum(self.cases)
        reached = accumulate(self.cases)
        return next(value for value, so_far in zip(self.values, reached, strict=True) if so_far >= wanted)

    def share_within(self, limit: int) -> Fraction:
        """The share of cases that come to ``limit`` or less."""
        return Fraction(sum(self.cases[: bisect_right(self.values, limit)]), sum(self.cases))


def exact_queue(past: Sequence[int], ahead: int) -> Distribution:
    """The time that ``ahead`` jobs take, each as long as any one of the past jobs: every case weighed.

    The unit is the caller's (seconds). ``ahead`` of 0 takes no time. Raises CountingError without past jobs.
    """
    _check_queue(past, ahead)
    sums = {0: 1}
    for _ in range(ahead):
        longer: dict[int, int] = {}
        for so_far, count in sums.items():
            for value in past:
                longer[so_far + value] = longer.get(so_far + value, 0) + count
        sums = longer
    return _distribution(sums)


def simulate_queue(past: Sequence[int], ahead: int, rng: random.Random, draws: int = DRAWS) -> Distribution:
    """The time that ``ahead`` jobs take, by drawing each from the past jobs, ``draws`` times over."""
    _check_queue(past, ahead)
    sums: dict[int, int] = {}
    for _ in range(draws):
        total = sum(rng.choices(past, k=ahead))
        sums[total] = sums.get(total, 0) + 1
    return _distribution(sums)


def queue(past: Sequence[int], ahead: int, rng: random.Random) -> Distribution:
    """The time that the queue ahead takes: exact where every case can be weighed quickly, drawn where not."""
    _check_queue(past, ahead)
    work, sums, span = 0, 1, max(past) - min(past)
    for done in range(1, ahead + 1):
        work += sums * len(past)
        if work > EXACT_WORK:
            return simulate_queue(past, ahead, rng)
        sums = min(sums * len(past), math.comb(len(past) + done - 1, done), done * span + 1)
    return exact_queue(past, ahead)


def weeks(work: int, bench_per_week: int) -> Fraction:
    """Calendar weeks that bench work takes; both in the same unit. Waiting for parts comes on top."""
    if bench_per_week <= 0:
        raise CountingError("Without bench time in the week no queue ever ends.")
    return Fraction(work, bench_per_week)


@dataclass(frozen=True, slots=True)
class Load:
    """Work that arrives against the time there is: at 1 or more the backlog grows without bound."""

    share: Fraction

    @property
    def grows(self) -> bool:
        """Whether no forecast holds, because more work arrives than can be done."""
        return self.share >= 1


def utilisation(jobs_per_week: Share, work_per_job: Share, bench_per_week: Share) -> Load:
    """Arriving work over available time; work and bench time in the same unit."""
    if _fraction(bench_per_week) <= 0:
        raise CountingError("Without bench time in the week no queue ever ends.")
    return Load(_fraction(jobs_per_week) * _fraction(work_per_job) / _fraction(bench_per_week))


def littles_law(
    *, in_house: Share | None = None, arrivals: Share | None = None, stay: Share | None = None
) -> Fraction:
    """The third of: jobs in house, arrivals per unit of time, length of stay; give the other two.

    Holds for long-run averages of a shop whose backlog neither grows nor shrinks. Raises CountingError unless exactly
    two are given, and for a division by nothing.
    """
    if [in_house, arrivals, stay].count(None) != 1:
        raise CountingError("Little's law gives the third of three figures: two are needed.")
    if in_house is None:
        return _fraction(arrivals) * _fraction(stay)
    divisor = _fraction(arrivals if stay is None else stay)
    if divisor <= 0:
        raise CountingError("Arrivals and stay are more than nothing.")
    return _fraction(in_house) / divisor


def _check_queue(past: Sequence[int], ahead: int) -> None:
    if not past:
        raise CountingError("A forecast needs at least one past job.")
    if ahead < 0:
        raise CountingError("There can't be fewer than no jobs ahead.")


def _distribution(sums: Mapping[int, int]) -> Distribution:
    values = tuple(sorted(sums))
    return Distribution(values, tuple(sums[value] for value in values))


def _must_be_finite(*numbers: Share) -> None:
    if not all(math.isfinite(number) for number in numbers):
        raise CountingError("Only numbers can be counted with, not infinity and not a missing one.")


def _fraction(number: Share | None) -> Fraction:
    """A float as the decimal that it prints as, so that 0.85 is 85 hundredths."""
    if number is not None:
        _must_be_finite(number)
    return Fraction(str(number)) if isinstance(number, float) else Fraction(number or 0)


def _exact(share: Share) -> Fraction:
    exact = _fraction(share)
    if not 0 <= exact <= 1:
        raise CountingError("A share lies between 0 and 1.")
    return exact


# Parts in the drawer -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class AverageCost:
    """What lies in a drawer: quantity in thousandths, moving average cost of one in ten-thousandths of the currency."""

    quantity: int
    unit_cost: int

    def received(self, quantity: int, unit_cost: int) -> AverageCost:
        """After a delivery: the weighted average, rounded half up; what was owed to an empty drawer has no cost."""
        if quantity <= 0 or unit_cost < 0:
            raise CountingError("A delivery has a quantity, and its cost isn't negative.")
        held = max(self.quantity, 0)
        worth = held * self.unit_cost + quantity * unit_cost
        return AverageCost(self.quantity + quantity, round_half_up(worth, held + quantity))

    def issued(self, quantity: int) -> AverageCost:
        """After taking parts out, at the average: the cost of one stays. The count may fall below nothing."""
        if quantity <= 0:
            raise CountingError("A quantity taken out is more than nothing.")
        return AverageCost(self.quantity - quantity, self.unit_cost)


HIGHEST_SERVICE = 0.999
"""Beyond, the rule of thumb claims more than the past of one drawer can tell."""


@dataclass(frozen=True, slots=True)
class Reorder:
    """When to order again: at ``point`` pieces or fewer; ``expected`` is the use to be expected over the lead time."""

    point: int
    expected: float


def reorder_point(used: int, over_days: int, lead_days: int, service: float = 0.95) -> Reorder:
    """The smallest stock that lasts through the lead time in ``service`` of all cases, for parts used now and then.

    ``used`` pieces in ``over_days`` days, delivery after ``lead_days``. A part never used has point 0. Raises
    CountingError for impossible figures.
    """
    if used < 0 or over_days <= 0 or lead_days < 0 or not 0 < service < 1:
        raise CountingError(
            "Use, period, lead time and service must make sense: none negative, service below 1."
        )
    expected = used * lead_days / over_days
    if expected > 10_000:
        raise CountingError(
            "A part of which more than ten thousand go in a lead time needs no rule of thumb."
        )
    reached, point = math.exp(-expected), 0
    while reached < service:
        point += 1
        reached += math.exp(point * math.log(expected) - expected - math.lgamma(point + 1))
    return Reorder(point, expected)


# Age -----------------------------------------------------------------------------------------------------------------------


def months_later(day: date, months: int) -> date:
    """The same day so many months later, or the last day of that month; negative counts back.

    Raises CountingError for a day outside the calendar's years 1 to 9999.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not MINYEAR <= year <= MAXYEAR:
        raise CountingError(f"The calendar ends with the year {MAXYEAR}.")
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def months_between(born: date, on: date) -> int:
    """Whole months from one day to another, as ``months_later`` counts them: 31 January to 28 February is one.

    Negative when ``on`` comes first and a month or more lies between.
    """
    if on < born:
        return -months_between(on, born)
    months = (on.year - born.year) * 12 + on.month - born.month
    return months - (months_later(born, months) > on)


@dataclass(frozen=True, slots=True)
class Age:
    """Between how many whole months a unit was old."""

    least_months: int
    most_months: int

    @property
    def years(self) -> tuple[int, int]:
        """The same in whole years."""
        return self.least_months // 12, self.most_months // 12


def age(built_from: date, built_to: date, on: date) -> Age:
    """The age on a day of what was built between two days. Raises CountingError when it wasn't yet built."""
    if built_to < built_from:
        raise CountingError("A time of building ends after it begins.")
    if on < built_from:
        raise CountingError("A unit can't fail before it was built.")
    return Age(max(months_between(built_to, on), 0), months_between(built_from, on))
