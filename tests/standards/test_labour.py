"""Labour from stints: one rounding per job, rates by kind, flat prices, a minimum, and what looks wrong.

No standard rules how a bench charges its time: the rules are common practice, no source; the figures are worked by hand.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.labour import (
    Billing,
    FlatPrice,
    LabourBill,
    LabourError,
    Notice,
    Rounding,
    Stint,
    Trouble,
    bill_labour,
    notice,
)
from shop.handbook.money import MixedCurrencies, Money, UnitPrice

NINE = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
RATES = {"repair": UnitPrice.parse("85", "USD"), "diagnosis": UnitPrice.parse("60", "USD")}


def usd(text: str) -> Money:
    return Money.parse(text, "USD")


def stint(
    minutes: float | None,
    kind: str = "repair",
    *,
    at: datetime = NINE,
    billing: Billing = Billing.BILLED,
    key: str = "a",
    person: str = "ada",
) -> Stint:
    stopped = None if minutes is None else at + timedelta(minutes=minutes)
    return Stint(key, person, kind, at, stopped, billing)


def bill(
    *stints: Stint,
    rounding: Rounding = Rounding.TENTHS,
    minimum: str = "0",
    flats: tuple[FlatPrice, ...] = (),
) -> LabourBill:
    return bill_labour(
        stints, rates=RATES, currency="USD", rounding=rounding, flats=flats, minimum=usd(minimum)
    )


@pytest.mark.parametrize(
    "minutes, rounding, quantity, amount",
    [
        (150, Rounding.EXACT, 2500, "212.50"),
        (150, Rounding.TENTHS, 2500, "212.50"),
        (150, Rounding.QUARTERS, 2500, "212.50"),
        (151, Rounding.TENTHS, 2600, "221.00"),
        (151, Rounding.QUARTERS, 2750, "233.75"),
        (1, Rounding.TENTHS, 100, "8.50"),
        (1, Rounding.QUARTERS, 250, "21.25"),
        (6, Rounding.TENTHS, 100, "8.50"),
        (15, Rounding.QUARTERS, 250, "21.25"),
        (20, Rounding.EXACT, 333, "28.31"),  # 0.333 h x 85 = 28.305
        (40, Rounding.EXACT, 667, "56.70"),  # 0.667 h x 85 = 56.695
    ],
)
def test_the_hours_of_a_job_are_rounded_by_the_shops_rule(
    minutes: int, rounding: Rounding, quantity: int, amount: str
) -> None:
    labour = bill(stint(minutes), rounding=rounding)
    assert [(line.kind, line.seconds, line.quantity_thousandths) for line in labour.lines] == [
        ("repair", minutes * 60, quantity)
    ]
    assert labour.lines[0].rate == RATES["repair"]
    assert labour.lines[0].amount == labour.total == usd(amount)
    assert labour.billed_seconds == minutes * 60


def test_rounding_is_per_job_and_not_per_stint() -> None:
    # Four stints of 8 minutes are 32 minutes: 0.6 h, not four times 0.2 h; three quarters, not four.
    four = [stint(8, at=NINE + timedelta(hours=hour)) for hour in range(4)]
    assert bill(*four).lines[0].quantity_thousandths == 600
    assert bill(*four, rounding=Rounding.QUARTERS).lines[0].quantity_thousandths == 750


def test_the_rounded_whole_is_shared_out_over_the_kinds_of_work() -> None:
    # 50 + 50 minutes are 1 h 45 in quarters: four quarters and three, never two times four.
    labour = bill(stint(50), stint(50, "diagnosis"), rounding=Rounding.QUARTERS)
    assert [(line.kind, line.quantity_thousandths) for line in labour.lines] == [
        ("repair", 1000),
        ("diagnosis", 750),
    ]
    assert labour.total == usd("85.00") + usd("45.00")


def test_the_largest_remainder_gets_the_step_that_is_left_over() -> None:
    # 20 and 25 minutes: 3 quarters; 1 (5 min over) and 1 (10 min over), so the second gets the third.
    labour = bill(stint(20), stint(25, "diagnosis"), rounding=Rounding.QUARTERS)
    assert [line.quantity_thousandths for line in labour.lines] == [250, 500]


def test_a_kind_whose_share_is_nothing_has_no_line() -> None:
    labour = bill(stint(7), stint(7, "diagnosis"), rounding=Rounding.QUARTERS)
    assert [(line.kind, line.quantity_thousandths) for line in labour.lines] == [("repair", 250)]
    assert labour.billed_seconds == 14 * 60


def test_unbilled_and_warranty_time_is_counted_but_not_charged() -> None:
    labour = bill(
        stint(60),
        stint(30, billing=Billing.UNBILLED),
        stint(45, billing=Billing.WARRANTY),
        stint(5, "tea", billing=Billing.UNBILLED),
    )
    assert labour.total == usd("85.00")
    assert (labour.billed_seconds, labour.unbilled_seconds, labour.warranty_seconds) == (3600, 2100, 2700)
    assert labour.flat_seconds == 0


def test_a_flat_price_stands_for_the_time_it_covers() -> None:
    belt = FlatPrice("belts and idler", usd("120.00"), frozenset({"repair"}))
    labour = bill(stint(200), stint(30, "diagnosis"), flats=(belt,))
    assert [line.kind for line in labour.lines] == ["diagnosis"]
    assert labour.total == usd("150.00")
    assert (labour.flat_seconds, labour.billed_seconds) == (12_000, 1800)
    assert labour.flats == (belt,)


def test_warranty_time_on_covered_work_stays_warranty_time() -> None:
    belt = FlatPrice("belts", usd("120.00"), frozenset({"repair"}))
    labour = bill(stint(10, billing=Billing.WARRANTY), stint(5, billing=Billing.UNBILLED), flats=(belt,))
    assert (labour.flat_seconds, labour.warranty_seconds, labour.unbilled_seconds) == (0, 600, 300)


def test_a_flat_price_that_covers_no_time_is_added_to_the_hours() -> None:
    labour = bill(stint(60), flats=(FlatPrice("safety check", usd("20.00")),))
    assert labour.total == usd("105.00")


@pytest.mark.parametrize(
    "minutes, minimum, top_up, total",
    [
        (6, "40", "31.50", "40.00"),
        (60, "85", "0", "85.00"),
        (60, "85.01", "0.01", "85.01"),
        (120, "40", "0", "170.00"),
    ],
)
def test_the_minimum_charge_fills_up_what_is_missing(
    minutes: int, minimum: str, top_up: str, total: str
) -> None:
    labour = bill(stint(minutes), minimum=minimum)
    assert labour.top_up == usd(top_up)
    assert labour.total == usd(total)


def test_the_minimum_holds_for_flat_prices_too() -> None:
    labour = bill(flats=(FlatPrice("fuse", usd("10")),), minimum="40")
    assert (labour.top_up, labour.total) == (usd("30"), usd("40"))


def test_nothing_billed_costs_nothing_whatever_the_minimum() -> None:
    for stints in ([], [stint(60, billing=Billing.WARRANTY)], [stint(None)], [stint(0)]):
        labour = bill(*stints, minimum="40")
        assert labour.total == labour.top_up == usd("0")
        assert labour.lines == ()


def test_without_a_minimum_nothing_is_filled_up() -> None:
    labour = bill_labour([stint(6)], rates=RATES, currency="USD")
    assert (labour.top_up, labour.total) == (usd("0"), usd("8.50"))


def test_work_without_a_rate_is_refused() -> None:
    with pytest.raises(LabourError, match="no hourly rate for alignment"):
        bill(stint(60, "alignment"))


def test_rates_in_another_currency_are_refused() -> None:
    with pytest.raises(MixedCurrencies):
        bill_labour([stint(60)], rates={"repair": UnitPrice.parse("80", "EUR")}, currency="USD")


def test_a_stint_that_stops_before_it_starts_is_refused() -> None:
    with pytest.raises(LabourError, match="can't stop before it starts"):
        stint(-1)


def test_a_running_stint_counts_for_nothing_yet() -> None:
    assert stint(None).seconds == 0
    assert stint(1).seconds == 60


kinds = st.sampled_from(["repair", "diagnosis"])
stretches = st.lists(st.tuples(st.integers(1, 5 * 3600), kinds), min_size=1, max_size=20)


@given(stretches, st.sampled_from(list(Rounding)))
def test_the_hours_billed_are_the_rounded_hours_worked(
    stretches: list[tuple[int, str]], rounding: Rounding
) -> None:
    labour = bill(*(stint(seconds / 60, kind) for seconds, kind in stretches), rounding=rounding)
    worked = Fraction(sum(seconds for seconds, _ in stretches) * 1000, 3600)
    billed = sum(line.quantity_thousandths for line in labour.lines)
    if rounding is Rounding.EXACT:
        assert abs(billed - worked) <= Fraction(1, 2)
    else:
        assert 0 <= billed - worked < rounding.step
        assert billed % rounding.step == 0
    for line in labour.lines:
        assert abs(line.quantity_thousandths - Fraction(line.seconds * 1000, 3600)) < rounding.step
        assert line.amount == line.rate.times(line.quantity_thousandths)
    assert labour.total == Money.sum((line.amount for line in labour.lines), "USD")


# What looks wrong


def notices(
    *stints: Stint, now: datetime = NINE + timedelta(hours=12)
) -> list[tuple[Trouble, tuple[str, ...], int]]:
    return [(each.trouble, each.keys, each.seconds) for each in notice(stints, now=now)]


def test_a_stint_that_is_still_running_is_noticed() -> None:
    assert notices(stint(None), now=NINE + timedelta(minutes=90)) == [(Trouble.RUNNING, ("a",), 5400)]
    (told,) = notice([stint(None)], now=NINE + timedelta(minutes=90))
    assert told == Notice(Trouble.RUNNING, ("a",), 5400, "A stint has been running for 1 h 30 min.")


@pytest.mark.parametrize("minutes, noticed", [(360, False), (361, True)])
def test_a_stint_longer_than_six_hours_is_noticed(minutes: int, noticed: bool) -> None:
    expected = [(Trouble.LONG, ("a",), minutes * 60)] if noticed else []
    assert notices(stint(minutes)) == expected


def test_the_shop_may_say_what_is_long() -> None:
    (told,) = notice([stint(61)], now=NINE, long_stint=timedelta(hours=1))
    assert told.sentence == "A stint lasted 1 h 01 min: was the stop forgotten?"


def test_a_stint_without_length_is_noticed() -> None:
    assert notices(stint(0)) == [(Trouble.EMPTY, ("a",), 0)]


def test_two_stints_of_one_person_at_the_same_time_are_noticed() -> None:
    later = stint(60, at=NINE + timedelta(minutes=40), key="b")
    assert notices(stint(60), later) == [(Trouble.OVERLAP, ("a", "b"), 1200)]
    assert notices(later, stint(60)) == [(Trouble.OVERLAP, ("a", "b"), 1200)]
    (told,) = notice([stint(60), later], now=NINE)
    assert told.sentence == "Two stints of one person lie over each other for 20 min."


def test_a_stint_inside_a_longer_one_is_noticed_past_its_neighbour() -> None:
    inside = stint(10, at=NINE + timedelta(minutes=10), key="b")
    last = stint(20, at=NINE + timedelta(minutes=50), key="c")
    assert notices(stint(60), inside, last) == [
        (Trouble.OVERLAP, ("a", "b"), 600),
        (Trouble.OVERLAP, ("a", "c"), 600),
    ]


def test_a_running_stint_lies_over_a_later_one() -> None:
    now = NINE + timedelta(hours=1)
    later = stint(10, at=NINE + timedelta(minutes=30), key="b")
    assert notices(stint(None), later, now=now) == [
        (Trouble.RUNNING, ("a",), 3600),
        (Trouble.OVERLAP, ("a", "b"), 600),
    ]


def test_stints_that_touch_or_belong_to_two_people_are_fine() -> None:
    touching = stint(60, at=NINE + timedelta(minutes=60), key="b")
    assert notices(stint(60), touching) == []
    assert notices(stint(60), stint(60, key="b", person="bo")) == []


def test_nothing_is_mended_silently() -> None:
    overlapping = [stint(60), stint(60, at=NINE + timedelta(minutes=40), key="b")]
    assert bill(*overlapping).lines[0].seconds == 7200
