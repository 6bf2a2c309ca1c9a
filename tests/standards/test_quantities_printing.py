"""Numbers are printed by the rules of the SI, with the carry that engineering form needs.

Sources: BIPM SI brochure, 9th edition (prefix rules looked up, table 7 from memory); the worked values stand in the
trade's own lists and were computed by hand. "Common practice": no source.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.quantities import PREFIXES, Kind, Quantity, Tolerance, engineering, parse, with_unit

# SI brochure, table 7, with the four prefixes of 2022
TABLE_7 = {
    "q": -30, "r": -27, "y": -24, "z": -21, "a": -18, "f": -15, "p": -12, "n": -9, "µ": -6, "m": -3,
    "k": 3, "M": 6, "G": 9, "T": 12, "P": 15, "E": 18, "Z": 21, "Y": 24, "R": 27, "Q": 30,
}  # fmt: skip


def test_the_prefixes_are_those_of_the_brochure():
    assert PREFIXES == TABLE_7


@pytest.mark.parametrize("prefix,power", TABLE_7.items())
def test_each_prefix_stands_for_its_power(prefix, power):
    assert engineering(Decimal(1).scaleb(power), "V") == f"1 {prefix}V"
    assert engineering(Decimal(999).scaleb(power), "V") == f"999 {prefix}V"


@pytest.mark.parametrize("value,unit,text", [
    # engineering form: exponent a multiple of three, 1 to 999 before the point
    ("0.00047", "F", "470 µF"), ("47000", "Ω", "47 kΩ"), ("0.0000000033", "F", "3.3 nF"),
    ("-12.6", "V", "−12.6 V"), ("0.022", "V", "22 mV"), ("1000", "V", "1 kV"), ("999", "V", "999 V"), ("1", "V",
    "1 V"),
    ("0.001", "A", "1 mA"), ("0.000999", "A", "999 µA"), ("0", "V", "0 V"), ("-0.0", "V", "0 V"), ("123456", "Hz",
    "123.5 kHz"),
    ("100", "V", "100 V"), ("1E+2", "V", "100 V"),
    # a number as four digits: 999.96 carries to 1000, which is 1 k
    ("999.96", "Ω", "1 kΩ"), ("999.94", "Ω", "999.9 Ω"), ("999.95", "Ω", "1 kΩ"), ("-999.96", "V", "−1 kV"),
    ("0.99996", "V", "1 V"),
    ("999960", "Ω", "1 MΩ"), ("9.9996E-7", "F", "1 µF"),
    # beyond the prefixes
    ("1E33", "V", "1000 QV"), ("1E-33", "V", "0.001 qV"),
    # no prefix where the trade has none: common practice
    ("1800", "s", "1800 s"), ("12345", "s", "12345 s"), ("0.015", "s", "15 ms"), ("12345", "rpm", "12345 rpm"),
    ("33.333", "rpm", "33.33 rpm"),
    ("0.08", "%", "0.08 %"),
    ("25", "°C", "25 °C"), ("16.990", "dBW", "16.99 dBW"), ("220", "", "220"), ("12345.6", "", "12346"), ("0.5", "",
    "0.5"),
    ("Infinity", "Ω", "∞ Ω"), ("-Infinity", "V", "−∞ V"),
])  # fmt: skip
def test_a_value_is_printed_in_engineering_form(value, unit, text):
    assert engineering(Decimal(value), unit) == text


@pytest.mark.parametrize("value,digits,padded,text", [("999.96", 4, True, "1.000 kΩ"),
    ("47000", 4, True, "47.00 kΩ"), ("12.6", 2, False, "13 Ω"),
    ("12.5", 2, False, "13 Ω"), ("12.4", 2, False, "12 Ω"), ("4700", 1, False, "5 kΩ"),
    ("1234567", 7, False, "1.234567 MΩ"),
    ("1.2", 6, True, "1.20000 Ω"), ("0", 4, True, "0 Ω"), ("95", 1, False, "100 Ω")])  # fmt: skip
def test_digits_are_as_many_as_asked_for_rounded_half_up(value, digits, padded, text):
    assert engineering(Decimal(value), "Ω", digits, padded=padded) == text


def test_what_is_no_number_is_not_printed():
    with pytest.raises(ValueError, match="Only a number"):
        engineering(Decimal("NaN"), "V")
    with pytest.raises(ValueError, match="at least one digit"):
        engineering(Decimal(1), "V", 0)


NUMBERS = st.decimals(
    allow_nan=False, allow_infinity=False, min_value=Decimal("1E-20"), max_value=Decimal("1E20")
)


@given(NUMBERS, st.integers(1, 8))
def test_between_one_and_a_thousand_stands_before_the_point(value, digits):
    mantissa = Decimal(engineering(value, "V", digits).split(" ")[0])
    assert 1 <= mantissa < 1000


@given(NUMBERS, st.integers(3, 12))
def test_printing_is_off_by_half_of_its_last_digit_at_most(value, digits):
    text, unit = engineering(value, "V", digits).split(" ")
    printed = Decimal(text).scaleb(PREFIXES.get(unit.removesuffix("V"), 0))
    assert abs(printed - value) * 2 * Decimal(10) ** (digits - 1) <= value * (1 + Decimal("1E-25"))


@pytest.mark.parametrize("text,kind,shown", [("4k7 5% 1/4W", None, "4.7 kΩ ±5 % 0.25 W"), ("2W2", None, "2.2 W"),
    ("4k7 5W", None, "4.7 kΩ 5 W"),
    ("100n 63V", None, "100 nF 63 V"), ("100µ -20/+80%", None, "100 µF −20/+80 %"),
    ("4p7C", Kind.CAPACITANCE, "4.7 pF ±0.25 pF"),
    ("100 pF", None, "100 pF"), ("OL", Kind.RESISTANCE, "OL Ω"), ("OL", Kind.GAIN, "OL"), ("12.60 V", None, "12.6 V"),
    ("1.23456789 V", None, "1.23456789 V"), ("4k7 5mW", None, "4.7 kΩ 5 mW"), ("4k7 10mW", None, "4.7 kΩ 0.01 W"),
    ("4k7 1W", None, "4.7 kΩ 1 W"),
    ("hFE 12345", None, "12345")])  # fmt: skip
def test_a_quantity_is_shown_with_all_that_stands_on_the_part(text, kind, shown):
    assert str(parse(text, kind)) == shown


def test_a_tolerance_is_shown_as_it_is_marked():
    assert str(Tolerance(Decimal(20), Decimal(80))) == "−20/+80 %"
    assert str(Tolerance(Decimal("0.5"), Decimal("0.5"))) == "±0.5 %"
    assert str(Quantity(Decimal(5), "V", tolerance=Tolerance(Decimal(10), Decimal(10)))) == "5 V ±10 %"


# SI brochure, 5.4.3 (from memory): the unit stands behind its number, with a space between them
@pytest.mark.parametrize("typed,symbol,shown", [("11,2", "V", "11,2 V"), (" -12.60 ", "V", "-12.60 V"),
    (".5", "V", ".5 V"), ("22 mV", "V", "22 mV"), ("4k7", "Ω", "4k7"), ("OL", "Ω", "OL"), ("180", "", "180"),
    ("", "V", ""), ("1 MΩ", "Ω", "1 MΩ")])  # fmt: skip
def test_what_was_typed_is_repeated_with_the_unit_it_was_read_in(typed, symbol, shown):
    assert with_unit(typed, symbol) == shown
