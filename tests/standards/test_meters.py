"""What a reading on one of the shop's meters is worth.

Sources: worked examples of a university's laboratory guide and of makers' articles on ± (percent of reading +
digits), looked up. "Common practice": no source.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.meters import (
    Accuracy,
    Calibration,
    CalibrationState,
    Meter,
    MeterError,
    Range,
    calibration,
    parse_accuracy,
    uncertainty,
)
from shop.handbook.quantities import Kind, Unreadable, parse

VOLTS = Kind.VOLTAGE_DC


def _range(full_scale: str, resolution: str, accuracy: str, kind: Kind = VOLTS) -> Range:
    return Range(kind, Decimal(full_scale), Decimal(resolution), parse_accuracy(accuracy))


@pytest.mark.parametrize("reading,resolution,accuracy,width", [
    ("32.00 V", "0.01", "2.5% + 3", "0.83"),  # university guide: 0.8 + 0.03
    ("0.09 V", "0.01", "2.5% + 3", "0.03225"),  # the same: 0.00225 + 0.03
    ("100.0 V", "0.1", "0.8% + 2", "1.0"),  # a maker's article: 99.0 to 101.0
    ("100.0 V", "0.1", "1% + 2", "1.2"),  # an article: 98.8 to 101.2
    ("1.755 V", "0.001", "0.5% + 1", "0.009775"),  # an article: about 0.010
    ("2.000 V", "0.001", "0.08% + 2", "0.0036"),  # a maker: 1.9964 to 2.0036
    ("2 V", "0.001", "0.5% + 3", "0.013"),  # an article: ±0.013
    ("-32.00 V", "0.01", "2.5% + 3", "0.83"),
    ("0 V", "0.01", "2.5% + 3", "0.03"),
])  # fmt: skip
def test_uncertainty_is_percent_of_reading_plus_counts(reading, resolution, accuracy, width):
    meter = Meter("bench meter", (_range("400", resolution, accuracy),))
    assert uncertainty(meter, parse(reading), VOLTS).half_width == Decimal(width)


LADDER = Meter("bench meter", (
    _range("40", "0.01", "0.5% + 3"), _range("0.4", "0.0001", "0.5% + 3"), _range("4", "0.001", "0.5% + 3"),
    _range("400", "0.1", "0.5% + 5", Kind.RESISTANCE),
))  # fmt: skip


@pytest.mark.parametrize("reading,full_scale", [("0.3 V", "0.4"), ("0.4 V", "0.4"), ("0.4001 V", "4"), ("-12.6 V",
    "40"), ("40 V", "40"),
    ("0 V", "0.4")])  # fmt: skip
def test_the_smallest_range_that_holds_the_reading_counts(reading, full_scale):
    """Common practice; full scale itself is inside."""
    assert uncertainty(LADDER, parse(reading), VOLTS).on.full_scale == Decimal(full_scale)


def test_a_range_set_by_hand_counts_instead():
    by_hand = uncertainty(LADDER, parse("0.3 V"), VOLTS, full_scale=Decimal(40))
    assert by_hand.half_width == Decimal("0.0315")
    assert str(by_hand) == "±32 mV: ±(0.5 % + 3 digits) on the 40 V range"


@pytest.mark.parametrize("reading,kind,full_scale,sentence", [
    ("41 V", VOLTS, None, "41 V is beyond the 40 V range of bench meter."),
    ("5 V", VOLTS, "4", "5 V is beyond the 4 V range of bench meter."),
    ("5 V", VOLTS, "10", "bench meter has no range of 10 V."),
    ("5 V", Kind.VOLTAGE_AC, None, "bench meter has no range for AC voltage."),
    ("OL V", VOLTS, None, "An over-range reading has no uncertainty: only a lower bound."),
])  # fmt: skip
def test_what_the_meter_can_not_tell_is_said_in_one_sentence(reading, kind, full_scale, sentence):
    with pytest.raises(MeterError) as refusal:
        uncertainty(LADDER, parse(reading), kind, full_scale=full_scale and Decimal(full_scale))
    assert str(refusal.value) == sentence


def test_a_meter_knows_how_far_it_reaches():
    assert LADDER.reaches(VOLTS) == 40
    assert LADDER.reaches(Kind.RESISTANCE) == 400
    assert LADDER.reaches(Kind.CAPACITANCE) is None
    assert [one.full_scale for one in LADDER.ranges_for(VOLTS)] == [Decimal("0.4"), 4, 40]


@pytest.mark.parametrize("full_scale,resolution,percent,digits", [("0", "0.1", "1", 1), ("4", "0", "1", 1), ("4",
    "5", "1", 1), ("4", "-1", "1", 1),
    ("4", "0.1", "-1", 1), ("4", "0.1", "1", -1), ("Infinity", "0.1", "1", 1), ("4", "NaN", "1", 1)])  # fmt: skip
def test_a_range_that_no_meter_has_is_refused(full_scale, resolution, percent, digits):
    with pytest.raises(MeterError):
        Range(VOLTS, Decimal(full_scale), Decimal(resolution), Accuracy(Decimal(percent), digits))


def test_a_range_of_one_count_is_still_a_range():
    assert Range(VOLTS, Decimal(1), Decimal(1), Accuracy(Decimal(0))).half_width(Decimal(1)) == 0


@given(st.decimals(-40, 40, places=2), st.decimals(0, 5, places=2), st.integers(0, 20))
def test_the_uncertainty_never_shrinks_as_the_reading_grows(value, percent, digits):
    one = Range(VOLTS, Decimal(40), Decimal("0.01"), Accuracy(percent, digits))
    assert one.half_width(value) == one.half_width(-value)
    assert one.half_width(value * 2) >= one.half_width(value) >= digits * Decimal("0.01")


# --- calibration: common practice ---------------------------------------------------------------------------------

DUE = Meter("bench meter", calibration_due=date(2026, 3, 1))


@pytest.mark.parametrize("on,state,sentence", [
    (date(2026, 2, 1), CalibrationState.VALID, "bench meter is calibrated until 2026-03-01."),
    (date(2026, 3, 1), CalibrationState.VALID, "bench meter is calibrated until 2026-03-01."),
    (date(2026, 3, 2), CalibrationState.EXPIRED, "The calibration of bench meter expired on 2026-03-01, a day ago."),
    (date(2026, 4, 1), CalibrationState.EXPIRED,
    "The calibration of bench meter expired on 2026-03-01, 31 days ago."),
])  # fmt: skip
def test_an_expired_calibration_is_said(on, state, sentence):
    assert calibration(DUE, on) == Calibration(state, sentence)


def test_a_meter_without_a_due_date_says_so():
    assert calibration(Meter("old meter"), date(2026, 1, 1)) == Calibration(
        CalibrationState.UNKNOWN, "No calibration date is kept for old meter."
    )


# --- an accuracy as makers print it: common practice --------------------------------------------------------------


@pytest.mark.parametrize("text,percent,digits", [("0.5% + 3", "0.5", 3), ("±(0.5% + 3)", "0.5", 3),
    ("±0.8 % rdg + 2 dgt", "0.8", 2), ("1%", "1", 0),
    ("0,5 %+10 counts", "0.5", 10), ("+/-(0.08% of reading + 2 digits)", "0.08", 2), (" 2.5%+3d ", "2.5", 3),
    ("1 % + 1 LSD", "1", 1)])  # fmt: skip
def test_an_accuracy_is_read_as_makers_print_it(text, percent, digits):
    assert parse_accuracy(text) == Accuracy(Decimal(percent), digits)


@pytest.mark.parametrize(
    "text",
    ["", "0.5", "3 digits", "0.5% + 3 V", "0.5% of range", "x" * 10_000_000, "0.5% - 3", "-0.5% + 3", "NaN%"],
)
def test_what_is_no_accuracy_is_refused(text):
    with pytest.raises(Unreadable, match="percent of reading plus digits"):
        parse_accuracy(text)


@pytest.mark.parametrize(
    "percent,digits,text",
    [("0.5", 3, "±(0.5 % + 3 digits)"), ("0.50", 1, "±(0.5 % + 1 digit)"), ("1", 0, "±1 %")],
)
def test_an_accuracy_is_printed_and_reads_back(percent, digits, text):
    accuracy = Accuracy(Decimal(percent), digits)
    assert str(accuracy) == text
    assert parse_accuracy(text) == accuracy
