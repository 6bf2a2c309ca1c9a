"""Money, rounding, unit prices and splitting, against decimal arithmetic of the standard library and ISO 4217."""

from __future__ import annotations

import datetime as dt
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import iso4217
import pytest
from babel.core import get_global
from babel.numbers import get_territory_currencies
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.handbook.money import (
    CURRENCIES,
    MixedCurrencies,
    Money,
    MoneyError,
    UnitPrice,
    UnknownCurrency,
    currency_named,
    round_half_up,
    share,
)
from tests.standards.money_cases import codes, minors, moneys


def money(text: str, currency: str = "USD") -> Money:
    return Money.parse(text, currency)


# Rounding


@pytest.mark.parametrize(
    "numerator, denominator, answer",
    [
        (
            1005,
            10,
            101,
        ),  # Decimal("1.005") to cents is 1.01 (EN 16931 worked example, float trap; Decimal, HALF_UP)
        (825, 10, 83),  # 10.00 x 8.25 % = 0.825 -> 0.83 (worked with Decimal, ROUND_HALF_UP)
        (18125, 1000, 18),  # 2.50 x 7.25 % = 0.18125 -> 0.18 (worked with Decimal, ROUND_HALF_UP)
        (5, 10, 1),
        (-5, 10, -1),
        (4, 10, 0),
        (-4, 10, 0),
        (15, 10, 2),
        (25, 10, 3),
        (-25, 10, -3),
        (0, 7, 0),
        (7, 1, 7),
    ],
)
def test_a_half_goes_away_from_zero(numerator: int, denominator: int, answer: int) -> None:
    assert round_half_up(numerator, denominator) == answer


@given(st.integers(-(10**12), 10**12), st.integers(1, 10**6))
def test_rounding_agrees_with_the_decimal_module(numerator: int, denominator: int) -> None:
    half_step = Fraction(numerator, denominator)
    answer = round_half_up(numerator, denominator)
    assert abs(half_step - answer) <= Fraction(1, 2)
    scaled = Decimal(numerator).scaleb(-3).quantize(Decimal(1), ROUND_HALF_UP)
    assert round_half_up(numerator, 1000) == int(scaled)


@given(st.integers(-(10**12), 10**12), st.integers(1, 10**6))
def test_rounding_is_the_same_on_both_sides_of_zero(numerator: int, denominator: int) -> None:
    assert round_half_up(-numerator, denominator) == -round_half_up(numerator, denominator)


@pytest.mark.parametrize("denominator", [0, -1])
def test_a_denominator_that_is_not_positive_is_refused(denominator: int) -> None:
    with pytest.raises(ValueError, match="denominator must be positive"):
        round_half_up(1, denominator)


# Currencies


@pytest.mark.parametrize("code", sorted(CURRENCIES))
def test_every_currency_has_the_decimals_of_iso_4217(code: str) -> None:
    # ISO 4217 list one, as carried by the iso4217 package of 2026-01-01.
    assert CURRENCIES[code].code == code
    assert CURRENCIES[code].digits == iso4217.Currency(code).exponent


def test_every_currency_of_a_country_is_in_the_table() -> None:
    # CLDR's currencies in use, by country, through Babel; metals, funds and codes for tests (ISO 4217) are no shop's money.
    in_force = {one.code for one in iso4217.Currency}
    for country in get_global("territory_currencies"):
        for code in get_territory_currencies(country, dt.date(2026, 11, 29), dt.date(2026, 11, 29)):
            # list one of ISO 4217 is newer where they differ: Bulgaria has the euro
            assert code in CURRENCIES or code not in in_force, country
    assert len(CURRENCIES) > 150
    assert not {"XAU", "XTS", "XXX", "CHE", "USN"} & set(CURRENCIES)


def test_currencies_with_no_two_and_three_decimals_are_there() -> None:
    assert {CURRENCIES[code].digits for code in ("JPY", "USD", "KWD")} == {0, 2, 3}


@pytest.mark.parametrize("code", ["", "usd", "XXX", "US$", "X" * 24, "X" * 25, "X" * 1000])
def test_a_currency_that_is_not_in_the_table_is_refused(code: str) -> None:
    with pytest.raises(UnknownCurrency) as refusal:
        Money(1, code)
    assert refusal.value.code == code
    shown = code if len(code) <= 24 else "X" * 24 + "…"
    assert str(refusal.value) == f"The currency “{shown}” is not in the table."


# Arithmetic


def test_amounts_of_one_currency_add_subtract_negate_and_multiply() -> None:
    assert money("1.10") + money("2.20") == money("3.30")
    assert money("1.10") - money("2.20") == money("-1.10")
    assert -money("1.10") == money("-1.10")
    assert abs(money("-1.10")) == money("1.10") == abs(money("1.10"))
    assert money("0.10") * 1000 == 1000 * money("0.10") == money("100.00")


def test_a_thousand_times_ten_cents_is_a_hundred() -> None:
    # A DecimalField kept as REAL came back as 99.9999999999986 from the same thousand rows.
    assert Money.sum([money("0.10")] * 1000, "USD") == Money(10_000, "USD")


def test_no_amounts_add_up_to_zero_of_the_currency() -> None:
    assert Money.sum([], "JPY") == Money.zero("JPY") == Money(0, "JPY")


def test_mixing_currencies_is_refused() -> None:
    one, other = Money(1, "USD"), Money(1, "EUR")
    for mix in (
        lambda: one + other,
        lambda: one - other,
        lambda: one < other,
        lambda: one <= other,
        lambda: one > other,
        lambda: one >= other,
        lambda: Money.sum([one, other], "USD"),
        lambda: Money.sum([one], "EUR"),
    ):
        with pytest.raises(MixedCurrencies, match=r"USD and in EUR|EUR and in USD"):
            mix()
    with pytest.raises(MixedCurrencies) as refusal:
        one + other
    assert (refusal.value.left, refusal.value.right) == ("USD", "EUR")
    assert one != other


def test_amounts_are_ordered_within_a_currency() -> None:
    assert money("1.00") < money("1.01") <= money("1.01") < money("2")
    assert money("1.00") >= money("1.00") > money("0.99")
    assert max(money("1"), money("3"), money("2")) == money("3")
    assert not money("1.00") < money("1.00")


@pytest.mark.parametrize("minor", [1.0, "1", True, None, Decimal(1)])
def test_money_is_counted_in_whole_numbers_only(minor: object) -> None:
    with pytest.raises(TypeError, match="whole numbers"):
        Money(minor, "USD")  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="whole numbers"):
        UnitPrice(minor, "USD")  # type: ignore[arg-type]


def test_money_does_not_mix_with_bare_numbers() -> None:
    for mix in (
        lambda: money("1") + 1,
        lambda: money("1") - 1,
        lambda: money("1") * 1.5,
        lambda: money("1") * money("1"),
        lambda: money("1") < 2,
        lambda: sum([money("1")]),
    ):
        with pytest.raises(TypeError):
            mix()
    assert money("1") != 100


def test_only_an_amount_of_nothing_is_false() -> None:
    assert not Money.zero("USD")
    assert money("0.01")
    assert money("-0.01")


def test_an_amount_cannot_be_changed() -> None:
    with pytest.raises(AttributeError):
        money("1").minor = 2  # type: ignore[misc]


@given(st.lists(minors, max_size=30))
def test_an_invoice_and_its_credit_note_come_to_nothing(amounts: list[int]) -> None:
    lines = [Money(minor, "EUR") for minor in amounts]
    assert Money.sum(lines, "EUR") + Money.sum([-line for line in lines], "EUR") == Money.zero("EUR")


# Unit prices


@pytest.mark.parametrize(
    "price, quantity, amount",
    [("85.00", 2500, "212.50"), ("3.85", 4000, "15.40"), ("12.345", 2000, "24.69")],
)
def test_the_line_amounts_of_the_en_16931_worked_example(price: str, quantity: int, amount: str) -> None:
    # EN 16931 worked example: 2.5 x 85.00 = 212.50; 4 x 3.85 = 15.40; 2 x 12.345 = 24.69 (BT-131, BT-146).
    assert UnitPrice.parse(price, "USD").times(quantity) == money(amount)


@pytest.mark.parametrize(
    "ten_thousandths, currency, quantity, minor",
    [
        (50, "USD", 1000, 1),  # 0.0050 -> 0.01
        (49, "USD", 1000, 0),
        (50, "USD", -1000, -1),
        (10_050, "USD", 1000, 101),  # 1.0050 -> 1.01
        (5_000, "JPY", 1000, 1),
        (5, "KWD", 1000, 1),  # 0.0005 KWD is half a fils
        (4, "KWD", 1000, 0),
        (850_000, "USD", 333, 2831),  # 85 x 0.333 = 28.305
        (850_000, "USD", 0, 0),
    ],
)
def test_a_line_amount_is_rounded_half_up_once(
    ten_thousandths: int, currency: str, quantity: int, minor: int
) -> None:
    assert UnitPrice(ten_thousandths, currency).times(quantity) == Money(minor, currency)


@given(st.integers(0, 10**10), st.integers(-(10**7), 10**7), codes)
def test_a_line_amount_agrees_with_the_decimal_module(price: int, quantity: int, code: str) -> None:
    exact = Decimal(price).scaleb(-4) * Decimal(quantity).scaleb(-3)
    step = Decimal(1).scaleb(-currency_named(code).digits)
    assert UnitPrice(price, code).times(quantity).decimal == exact.quantize(step, ROUND_HALF_UP)


@given(st.integers(0, 10**10), codes)
def test_a_printed_price_reads_back_as_itself(price: int, code: str) -> None:
    unit = UnitPrice(price, code)
    assert UnitPrice.parse(unit.plain, code, ".") == unit
    assert UnitPrice.parse(unit.plain, code) == unit


@pytest.mark.parametrize(
    "price, currency, plain",
    [
        (850_000, "USD", "85.00"),
        (123_450, "USD", "12.3450"),
        (1, "USD", "0.0001"),
        (12_340, "KWD", "1.234"),
        (12_345, "KWD", "1.2345"),
        (10_000, "JPY", "1"),
        (10_001, "JPY", "1.0001"),
    ],
)
def test_a_price_prints_four_decimals_only_where_it_needs_them(price: int, currency: str, plain: str) -> None:
    unit = UnitPrice(price, currency)
    assert unit.plain == plain
    assert str(unit) == f"{plain} {currency}"
    assert unit.decimal == Decimal(plain)


@pytest.mark.parametrize(
    "text, currency, price", [("12.345", "USD", 123_450), ("0,085", "EUR", 850), ("12,3450", "EUR", 123_450)]
)
def test_a_price_is_read_with_up_to_four_decimals(text: str, currency: str, price: int) -> None:
    assert UnitPrice.parse(text, currency) == UnitPrice(price, currency)


@pytest.mark.parametrize("text", ["-1", "-0.0001"])
def test_a_negative_price_is_refused(text: str) -> None:
    # EN 16931 BR-27: the item net price (BT-146) shall not be negative.
    with pytest.raises(MoneyError, match="can't be negative"):
        UnitPrice.parse(text, "USD")


def test_a_price_with_five_decimals_is_refused() -> None:
    with pytest.raises(MoneyError, match="at most 4 decimals"):
        UnitPrice.parse("0.00001", "USD")


def test_a_price_in_an_unknown_currency_or_quantity_is_refused() -> None:
    with pytest.raises(UnknownCurrency):
        UnitPrice(1, "ZZZ")
    with pytest.raises(TypeError, match="whole numbers"):
        UnitPrice(1, "USD").times(2.5)  # type: ignore[arg-type]


@given(moneys)
def test_the_price_of_one_thing_is_its_amount(amount: Money) -> None:
    amount = abs(amount)
    assert UnitPrice.of(amount).times(1000) == amount


# Splitting


@pytest.mark.parametrize(
    "minor, weights, parts",
    [
        (100, [1, 1, 1], [34, 33, 33]),
        (-100, [1, 1, 1], [-34, -33, -33]),
        (5, [3, 7], [2, 3]),  # 1.5 and 3.5: a tie, the earlier part first
        (1, [1, 1], [1, 0]),
        (100, [0, 1], [0, 100]),
        (0, [1, 2], [0, 0]),
        (7, [1, 2, 4], [1, 2, 4]),
        (10, [1, 2, 4], [1, 3, 6]),  # 1.43 2.86 5.71: the two largest remainders
        (2, [1, 1, 1, 1], [1, 1, 0, 0]),
    ],
)
def test_an_amount_is_split_by_largest_remainders(minor: int, weights: list[int], parts: list[int]) -> None:
    # Method of largest remainders: common practice, no source.
    assert share(Money(minor, "USD"), weights) == tuple(Money(part, "USD") for part in parts)


@given(minors, st.lists(st.integers(0, 10**9), min_size=1, max_size=20))
def test_the_parts_add_up_to_the_whole_and_none_is_a_cent_off(minor: int, weights: list[int]) -> None:
    assume(sum(weights))
    parts = share(Money(minor, "EUR"), weights)
    assert Money.sum(parts, "EUR") == Money(minor, "EUR")
    for part, weight in zip(parts, weights, strict=True):
        assert abs(part.minor - Fraction(minor * weight, sum(weights))) < 1
    assert share(Money(-minor, "EUR"), weights) == tuple(-part for part in parts)


@pytest.mark.parametrize("weights", [[], [0], [0, 0], [2, -1], [-1, -1]])
def test_weights_that_cannot_split_anything_are_refused(weights: list[int]) -> None:
    with pytest.raises(MoneyError, match="Weights"):
        share(Money(1, "USD"), weights)
