"""Amounts as people type and print them, against babel."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

import pytest
from babel.numbers import format_decimal
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.handbook.money import (
    LARGEST_WHOLE,
    Money,
    MoneyError,
    UnitPrice,
    currency_named,
)
from tests.standards.money_cases import codes, minors, moneys

# Reading and printing


@pytest.mark.parametrize(
    "text, currency, minor",
    [
        ("12", "USD", 1200),
        ("12.5", "USD", 1250),
        ("12.50", "USD", 1250),
        ("12,50", "USD", 1250),
        ("12,50", "EUR", 1250),
        (".50", "USD", 50),
        (",5", "EUR", 50),
        ("0.05", "USD", 5),
        ("007.10", "USD", 710),
        ("1,234", "USD", 123_400),
        ("1,234.50", "USD", 123_450),
        ("1,234,567.89", "USD", 123_456_789),
        ("1.234,50", "EUR", 123_450),
        ("1.234.567,89", "EUR", 123_456_789),
        ("1 234,50", "EUR", 123_450),
        ("1\u00a0234,50", "EUR", 123_450),
        ("1\u202f234\u202f567,5", "EUR", 123_456_750),
        ("1'234.50", "CHF", 123_450),
        ("1’234.50", "CHF", 123_450),
        ("1234", "JPY", 1234),
        ("1,234", "JPY", 1234),
        ("1.234", "CLP", 1234),
        ("1.234", "KWD", 1234),
        ("1,234", "KWD", 1_234_000),
        ("1,234.567", "KWD", 1_234_567),
        ("0,123", "KWD", 123),
        ("12.5", "KWD", 12_500),
        ("-3", "USD", -300),
        ("−3", "USD", -300),
        ("- 3", "USD", -300),
        ("+3", "USD", 300),
        ("+ 3", "USD", 300),
        ("0", "USD", 0),
        ("-0", "USD", 0),
        ("$12.50", "USD", 1250),
        ("$ 12.50", "USD", 1250),
        ("-$12.50", "USD", -1250),
        ("- $ 12.50", "USD", -1250),
        ("$-12.50", "USD", -1250),
        ("12.50 USD", "USD", 1250),
        ("USD 12.50", "USD", 1250),
        ("-12.50 USD", "USD", -1250),
        ("12,50 €", "EUR", 1250),
        ("€12,50", "EUR", 1250),
        ("£12.50", "GBP", 1250),
        ("¥1234", "JPY", 1234),
        ("12,50 kr", "SEK", 1250),
        ("12,50 kr.", "DKK", 1250),
        ("  12.50  ", "USD", 1250),
        ("999999999999.99", "USD", 99_999_999_999_999),
        ("12.50" + " " * 75, "USD", 1250),
    ],
)
def test_an_amount_is_read_as_people_type_it(text: str, currency: str, minor: int) -> None:
    # Separators and signs: common practice; the way babel (CLDR) prints them is read back further down.
    assert Money.parse(text, currency) == Money(minor, currency)


@pytest.mark.parametrize("text", ["", "   ", "\n"])
def test_no_amount_at_all_is_asked_for_with_an_example(text: str) -> None:
    with pytest.raises(MoneyError, match=r"Enter an amount, such as 12\.50\."):
        Money.parse(text, "USD")
    with pytest.raises(MoneyError, match=r"such as 1250\."):
        Money.parse(text, "JPY")


# fmt: off
NOT_AN_AMOUNT = [
    "abc", "1e309", "1e3", "NaN", "Infinity", "12.", ".", ",", "-", "+", "$", "--3", "+-3", "-$-3",
    "1..5", "1,,5", "12,34.50", "1,234.567.8", "1.234,567,8", "1,2345,678", "0,123,456",
    "1,234,5678", "€12", "12€", "12EUR", "$$12", "$12$", "USD12USD", "(12)", "0x10", "٣", "１２", "½",
    "1/2", "12.5O", "1_000", "12\x00", "1234,567.00", ".1.2",
]
# fmt: on
SPACED = [
    "12 50",
    "1 234'567",
    "1,234 567.00",
    "1.234.567 ,5",
    "1234 567",
    "1 ,234",
    "1  234",
    "12 . 5",
    "0 123",
]


@pytest.mark.parametrize("text", [*NOT_AN_AMOUNT, *SPACED])
def test_what_is_not_an_amount_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(MoneyError, match=r"^“.+” is not an amount in USD: [^.]*\.$"):
        Money.parse(text, "USD")


def test_ten_megabytes_of_digits_are_refused_with_a_short_sentence() -> None:
    with pytest.raises(MoneyError, match="is not an amount") as refusal:
        Money.parse("1" * 10_000_000, "USD")
    assert len(str(refusal.value)) < 100
    with pytest.raises(MoneyError, match="is not an amount"):
        Money.parse("12.50" + " " * 76, "USD")


@pytest.mark.parametrize(
    "text, currency, allowed",
    [
        ("12.505", "USD", "at most 2 decimals"),
        ("1.234", "USD", "at most 2 decimals"),
        ("1,234.567", "USD", "at most 2 decimals"),
        ("12.5", "JPY", "no decimals"),
        ("1.2345", "KWD", "at most 3 decimals"),
    ],
)
def test_more_decimals_than_the_currency_has_are_refused_not_rounded(
    text: str, currency: str, allowed: str
) -> None:
    with pytest.raises(MoneyError, match=rf"too many decimals: {currency} takes {allowed} here\."):
        Money.parse(text, currency)


@pytest.mark.parametrize("text", ["1000000000000", "1,000,000,000,000", "-1000000000000.00"])
def test_an_amount_beyond_all_measure_is_refused(text: str) -> None:
    with pytest.raises(MoneyError, match=f"too large: the most is {LARGEST_WHOLE}"):
        Money.parse(text, "USD")


@pytest.mark.parametrize("text", ["1.234", "1,234", "€1.234", "-12.345", "999,999"])
def test_an_amount_that_reads_two_ways_is_refused_where_custom_differs(text: str) -> None:
    with pytest.raises(MoneyError, match="two ways"):
        Money.parse(text, "EUR")


@pytest.mark.parametrize(
    "text, mark, minor",
    [
        ("1.234", ",", 123_400),
        ("1,234", ".", 123_400),
        ("1.234.567", None, 123_456_700),
        ("12,50", ".", 1250),
    ],
)
def test_the_readers_decimal_mark_settles_what_reads_two_ways(
    text: str, mark: str | None, minor: int
) -> None:
    assert Money.parse(text, "EUR", mark) == Money(minor, "EUR")


def test_the_readers_decimal_mark_goes_before_the_currencys_custom() -> None:
    assert Money.parse("1.234", "USD", ",") == Money(123_400, "USD")
    assert UnitPrice.parse("1,234", "USD", ",") == UnitPrice(12_340, "USD")
    with pytest.raises(MoneyError, match="too many decimals"):
        Money.parse("1,234", "USD", ",")


@given(moneys)
def test_what_is_printed_reads_back_as_itself(amount: Money) -> None:
    assume(abs(amount.decimal) <= LARGEST_WHOLE)
    assert Money.parse(amount.plain, amount.currency) == amount
    assert Money.parse(str(amount), amount.currency) == amount


@given(minors, st.sampled_from(["en_US", "de_DE", "fr_FR", "de_CH", "sv_SE", "it_IT", "es_ES"]))
def test_what_babel_prints_for_a_locale_reads_back(minor: int, locale: str) -> None:
    amount = Money(minor, "EUR")
    assume(abs(amount.decimal) <= LARGEST_WHOLE)
    printed = format_decimal(amount.decimal, format="#,##0.00", locale=locale)
    assert Money.parse(printed, "EUR") == amount


@given(st.text(max_size=90), codes)
def test_any_text_is_read_or_refused_in_one_short_sentence(text: str, code: str) -> None:
    refusal = None
    try:
        amount = Money.parse(text, code)
    except MoneyError as error:
        refusal = str(error)
    if refusal is None:
        assert any("0" <= sign <= "9" for sign in text)
        assert amount.currency == code
    else:
        assert len(refusal) < 140
        assert refusal.endswith(".")


@pytest.mark.parametrize(
    "minor, currency, plain",
    [
        (123_450, "USD", "1234.50"),
        (-5, "USD", "-0.05"),
        (5, "KWD", "0.005"),
        (-123_456, "KWD", "-123.456"),
        (1234, "JPY", "1234"),
        (-1, "JPY", "-1"),
        (0, "USD", "0.00"),
    ],
)
def test_an_amount_prints_with_its_currencys_decimals(minor: int, currency: str, plain: str) -> None:
    amount = Money(minor, currency)
    assert amount.plain == plain
    assert str(amount) == f"{plain} {currency}"
    assert amount.decimal == Decimal(plain)


@pytest.mark.parametrize(
    "value, currency, minor",
    [
        ("1.005", "USD", 101),
        ("-1.005", "USD", -101),
        ("2.5", "JPY", 3),
        ("0.0005", "KWD", 1),
        ("1e3", "USD", 100_000),
    ],
)
def test_a_decimal_becomes_money_by_rounding_half_up_once(value: str, currency: str, minor: int) -> None:
    # 1.005 -> 1.01: Decimal with ROUND_HALF_UP; float round(1.005, 2) gives 1.0.
    assert Money.from_decimal(Decimal(value), currency) == Money(minor, currency)


@given(st.decimals(-(10**9), 10**9, places=6), codes)
def test_a_decimal_rounds_as_the_decimal_module_rounds(value: Decimal, code: str) -> None:
    step = Decimal(1).scaleb(-currency_named(code).digits)
    assert Money.from_decimal(value, code).decimal == value.quantize(step, ROUND_HALF_UP)


@pytest.mark.parametrize("text,currency,mark,minor", [
    ("1,23,456", "INR", ".", 12345600), ("₹12,34,567.50", "INR", ".", 123456750), ("Rs. 500/-", "INR", ".", 50000),
    ("1.234,-", "DKK", ",", 123400), ("85,-", "DKK", ",", 8500),
])  # fmt: skip
def test_sums_are_read_as_they_are_written_in_india_and_denmark(text, currency, mark, minor):
    """Lakh and crore as in CLDR's en-IN (see below); the dash for no øre is common practice, no source."""
    assert Money.parse(text, currency, mark).minor == minor


def test_babel_groups_rupees_as_they_are_read():
    from babel.numbers import format_decimal  # noqa: PLC0415

    for whole in (123456, 1234567, 98765432):
        assert Money.parse(format_decimal(whole, locale="en_IN"), "INR", ".").minor == whole * 100
