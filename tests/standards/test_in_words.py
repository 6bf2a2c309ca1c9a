"""Numbers in sentences against the SI Brochure's way of writing them (9th edition, 5.4, from memory)."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook import in_words

D = Decimal


@pytest.mark.parametrize(
    "value, written",
    [
        ("1E+6", "1000000"),
        ("0.750", "0.75"),
        ("0", "0"),
        ("0E+3", "0"),
        ("-12.60", "-12.6"),
        ("1E-7", "0.0000001"),
    ],
)
def test_a_number_is_written_in_full(value, written):
    assert in_words.plain(D(value)) == written


@given(st.decimals(allow_nan=False, allow_infinity=False, places=6, min_value=-(10**9), max_value=10**9))
def test_a_number_in_full_is_the_same_number(value):
    assert D(in_words.plain(value)) == value


@pytest.mark.parametrize(
    "value, digits, written",
    [
        # Half up; a carry gives one digit less after the point, never one digit more than asked.
        ("0.50180", 3, "0.502"),
        ("0.7", 3, "0.700"),
        ("36", 3, "36.0"),
        ("9.996", 3, "10.0"),
        ("0.9996", 3, "1.00"),
        ("99.96", 3, "100"),
        ("1.125", 3, "1.13"),
        ("1.135", 3, "1.14"),
        ("1.245", 3, "1.25"),
        ("12345", 3, "12300"),
        ("999.6", 3, "1000"),
        ("0", 3, "0"),
        ("-0.0012345", 2, "-0.0012"),
        ("2.5", 1, "3"),
    ],
)
def test_a_computed_number_is_rounded_half_up_to_its_digits(value, digits, written):
    assert in_words.rounded(D(value), digits) == written


@given(st.decimals(min_value="0.000001", max_value="1000000", places=6), st.integers(1, 6))
def test_rounding_stays_within_half_a_unit_of_the_last_digit(value, digits):
    step = D(1).scaleb(value.adjusted() - digits + 1)
    assert abs(D(in_words.rounded(value, digits)) - value) <= step / 2


@pytest.mark.parametrize(
    "value, written",
    [
        ("0.22", "0.22 Ω"),
        ("999", "999 Ω"),
        ("1000", "1 kΩ"),
        ("1000.5", "1.0005 kΩ"),
        ("999999", "999.999 kΩ"),
        ("1E6", "1 MΩ"),
        ("5.20E6", "5.2 MΩ"),
        ("-1500", "-1.5 kΩ"),
        ("Infinity", "infinite"),
        ("0", "0 Ω"),
    ],
)
def test_a_resistance_is_written_as_a_meter_shows_it(value, written):
    assert in_words.ohms(D(value)) == written


def test_volts_and_milliamperes_keep_a_space_before_the_unit():
    assert in_words.volts(D("0.750")) == "0.75 V"
    assert in_words.milliamperes(D("0.00050")) == "0.5 mA"


@pytest.mark.parametrize(
    "words, written",
    [
        ([], ""),
        (["a"], "a"),
        (["a", "b"], "a and b"),
        (["a", "b", "c"], "a, b and c"),
        (list("abcd"), "a, b, c and d"),
    ],
)
def test_a_list_reads_like_one(words, written):
    assert in_words.listed(words) == written
