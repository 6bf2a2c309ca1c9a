"""A reading is held against what was expected.

Sources stand beside each check: "manuals" are makers' service manuals, looked up; "JCGM 106" is the guide on decision
rules, from memory; "common practice" has no source. Worked values computed by hand.
"""

from __future__ import annotations

import math
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.handbook.meters import Meter, Range, parse_accuracy
from shop.handbook.quantities import Kind, Quantity, Tolerance, Unreadable, parse
from shop.handbook.readings import (
    JUNCTIONS,
    Expected,
    Incomparable,
    Judgement,
    Verdict,
    about,
    at_least,
    at_most,
    expect,
    judge,
)

VOLTS = Kind.VOLTAGE_DC
OHMS = Kind.RESISTANCE


def judged(text: str, expected: str, kind: Kind, meter: Meter | None = None, **how) -> Judgement:
    return judge(parse(text, kind), expect(expected, kind), meter, **how)


# --- what a person types as an expectation: common practice -------------------------------------------------------


@pytest.mark.parametrize("text,kind,low,high", [
    ("12 V ± 5 %", VOLTS, "11.4", "12.6"), ("12 ± 5%", VOLTS, "11.4", "12.6"), ("12 V +/- 0.5 V", VOLTS, "11.5",
    "12.5"),
    ("12 ± 0.5", VOLTS, "11.5", "12.5"), ("12 V ± 500 mV", VOLTS, "11.5", "12.5"), ("-15 V ± 5 %", VOLTS, "-15.75",
    "-14.25"),
    ("\u221215 V ± 5 %", VOLTS, "-15.75", "-14.25"),
    ("1 \u2212 5 V", VOLTS, "1", "5"), ("12 ± 0 V", VOLTS, "12", "12"), ("-10 ± 2 dBV", Kind.LEVEL, "-12", "-8"),
    ("at most -8 dBV", Kind.LEVEL, None, "-8"), ("at least -8 dBV", Kind.LEVEL, "-8", None),
    ("12 V ± 5 %" + " " * 70, VOLTS, "11.4", "12.6"),
    ("5 to 20 ohm", OHMS, "5", "20"), ("5-20 ohm", OHMS, "5", "20"), ("5 ... 20 ohm", OHMS, "5", "20"),
    ("5..20 kohm", OHMS, "5000", "20000"),
    ("1.0\u20135.2 MΩ", OHMS, "1000000", "5200000"), ("between 5 and 20 ohm", OHMS, "5", "20"),
    ("from 5 ohm to 20 ohm", OHMS, "5", "20"),
    ("-14.25 to -15.75 V", VOLTS, "-15.75", "-14.25"), ("-0.5 to 0.5 V", VOLTS, "-0.5", "0.5"),
    ("5 - -5 V", VOLTS, "-5", "5"),
    ("5 to 20", OHMS, "5", "20"), ("4k7 to 5k6", OHMS, "4700", "5600"), ("4k7 5%", OHMS, "4465", "4935"),
    ("4K7J", OHMS, "4465", "4935"),
    ("100n ±10%", Kind.CAPACITANCE, "9E-8", "1.1E-7"), ("104J", Kind.CAPACITANCE, "9.5E-8", "1.05E-7"),
    ("-12 to -8 dBV", Kind.LEVEL, "-12", "-8"),
    ("10 % ± 2 %", Kind.PERCENT, "8", "12"), ("10 ± 2 %", Kind.PERCENT, "8", "12"),
    ("at most 5 ohm", OHMS, None, "5"), ("at most 5", OHMS, None, "5"), ("at least 5", OHMS, "5", None),
    ("max 5 ohm", OHMS, None, "5"), ("max. 5 ohm", OHMS, None, "5"),
    ("<= 5 ohm", OHMS, None, "5"),
    ("≤5 ohm", OHMS, None, "5"), ("<5 ohm", OHMS, None, "5"), ("not more than 5 ohm", OHMS, None, "5"),
    ("Under 5 ohm", OHMS, None, "5"),
    ("at least 2 MΩ", OHMS, "2E6", None), ("min 2M", OHMS, "2E6", None), (">= 2 MΩ", OHMS, "2E6", None),
    ("≥ 2M", OHMS, "2E6", None),
    ("> 5 Mohm", OHMS, "5E6", None), ("not less than 2M", OHMS, "2E6", None), ("over 2 M", OHMS, "2E6", None),
    ("at most 60 °C", Kind.TEMPERATURE, None, "60"), ("at most -5 V", VOLTS, None, "-5"),
    ("at least 10 V", VOLTS, "10", None),
])  # fmt: skip
def test_an_expectation_is_read_as_a_person_types_it(text, kind, low, high):
    expected = expect(text, kind)
    assert (expected.low, expected.high) == tuple(
        None if limit is None else Decimal(limit) for limit in (low, high)
    )
    assert (expected.either_sign, expected.no_path) == (False, False)
    assert (expected.kind, expected.unit, expected.typed) == (
        kind,
        "dBV" if "dBV" in text else kind.symbol,
        text,
    )


@pytest.mark.parametrize("text,kind,limit", [("at most 50 mV", VOLTS, "0.05"), ("at most 0 V", VOLTS, "0"),
    ("max 3.5 mA", Kind.CURRENT_DC, "0.0035")])  # fmt: skip
def test_a_limit_on_direct_voltage_or_current_counts_in_either_polarity(text, kind, limit):
    """Common practice: an offset of -60 mV is as bad as one of +60 mV."""
    expected = expect(text, kind)
    assert (expected.low, expected.high, expected.either_sign) == (None, Decimal(limit), True)
    assert (expected.kind, expected.unit, expected.typed) == (kind, kind.symbol, text)


@pytest.mark.parametrize(
    "text", ["infinite", "Infinity", "open", "no path", "no continuity", "∞", "OL", " o.l. "]
)
def test_no_path_can_be_expected(text):
    """Manuals: the cold check where the metal has no return to chassis."""
    expected = expect(text, OHMS)
    assert (expected.no_path, expected.low, expected.high, expected.typed) == (True, None, None, text)
    assert str(expected) == "no path"


@pytest.mark.parametrize("text,kind,sentence", [
    ("12 V", VOLTS, "How far off may it be? Type a tolerance or a range, such as 12 V ± 5 %."),
    ("± 5 %", VOLTS, "Percent of what? Type the nominal value in front of the tolerance."),
    ("12 V ± 5", VOLTS, "Type the unit behind the second value as well: 5 V?"),
    ("5k to 20", OHMS, "Type the unit behind the second value as well: 20 k?"),
    ("open", VOLTS, "Only a resistance or a diode can be expected to have no path, not DC voltage."),
    ("12 ± -1 V", VOLTS, "A tolerance can't be negative."),
    ("-12 dBV to -8 dBu", Kind.LEVEL, "The two values are in different units, dBV and dBu."),
    ("> > 5 V", VOLTS, "Type the expected value alone, without a rating."),
    ("100n 63V", Kind.CAPACITANCE, "Type the expected value alone, without a rating."),
    ("", VOLTS, "Nothing was typed."),
    ("5 V to x", VOLTS, "“x” can't be read as DC voltage, such as 12 V."),
    ("at most", VOLTS, "“at most” can't be read as DC voltage, such as 12 V."),
    ("9" * 81, VOLTS, "That is too long for an expected value: at most 80 characters."),
    ("0 V ± 5 %", VOLTS, "Percent of nothing is nothing: type the tolerance with a unit."),
    ("0 ± 5 %", Kind.CURRENT_DC, "Percent of nothing is nothing: type the tolerance with a unit."),
    ("12 V ± 500 %", VOLTS, "A tolerance of more than 100 % leaves nothing to hold a reading to."),
    ("4k7 ± 10", OHMS, "Type the unit behind the second value as well: 10 Ω?"),
    ("4k7 to 10", OHMS, "Type the unit behind the second value as well: 10 Ω?"),
])  # fmt: skip
def test_an_expectation_that_can_not_be_read_is_refused_in_one_sentence(text, kind, sentence):
    with pytest.raises(Unreadable) as refusal:
        expect(text, kind)
    assert str(refusal.value) == sentence


@given(
    st.text(max_size=60) | st.text(alphabet="0123456789.,<>=±%-+ toamVkMΩ", max_size=20),
    st.sampled_from(Kind),
)
def test_reading_an_expectation_raises_nothing_but_its_own_error(text, kind):
    try:
        expected = expect(text, kind)
    except Unreadable as refusal:
        sentence = str(refusal)
        assert sentence.endswith((".", "?"))
    else:
        assert str(expected)


@pytest.mark.parametrize("limits,words", [({}, "has a limit"), ({"low": Decimal(1), "no_path": True}, "has a limit"),
    ({"low": Decimal(2), "high": Decimal(1)}, "above the higher"), ({"high": Decimal("NaN")}, "is a number"),
    ({"low": Decimal("-Infinity")}, "is a number"), ({"high": Decimal(-1), "either_sign": True},
    "limit on the amount"),
    ({"low": Decimal(1), "either_sign": True}, "limit on the amount"),
    ({"low": Decimal(1), "high": Decimal(2), "either_sign": True}, "limit on the amount")])  # fmt: skip
def test_limits_that_nothing_could_meet_are_refused(limits, words):
    with pytest.raises(ValueError, match=words):
        Expected(VOLTS, **limits)


def test_equal_limits_are_one_value_that_can_be_met():
    expected = Expected(VOLTS, Decimal(5), Decimal(5))
    assert judge(parse("5 V"), expected).verdict is Verdict.WITHIN


@pytest.mark.parametrize("expected,text", [(expect("12 V ± 5 %", VOLTS), "11.4 V to 12.6 V"),
    (expect("at most 50 mV", VOLTS), "at most 50 mV either way"),
    (expect("> 2 MΩ", OHMS), "at least 2 MΩ"), (expect("at most 5 ohm", OHMS), "at most 5 Ω"),
    (expect("at most 0 V", VOLTS), "at most 0 V either way"),
    (expect("-12 to -8 dBV", Kind.LEVEL), "−12 dBV to −8 dBV"), (expect("1.23456 to 2 V", VOLTS),
    "1.23456 V to 2 V")])  # fmt: skip
def test_an_expectation_is_said_in_words(expected, text):
    assert str(expected) == text


def test_an_expectation_can_be_made_from_quantities():
    five = Quantity(Decimal(5), "V", VOLTS)
    ten_percent = Tolerance(Decimal(10), Decimal(10))
    assert about(five, VOLTS, ten_percent) == Expected(VOLTS, Decimal("4.5"), Decimal("5.5"))
    assert at_most(five, VOLTS) == Expected(VOLTS, high=Decimal(5), either_sign=True)
    assert at_most(five, Kind.VOLTAGE_AC) == Expected(Kind.VOLTAGE_AC, high=Decimal(5))
    assert at_least(five, VOLTS) == Expected(VOLTS, low=Decimal(5))
    assert {
        about(five, VOLTS, ten_percent).typed,
        at_most(five, VOLTS).typed,
        at_least(five, VOLTS).typed,
    } == {""}
    around_zero = about(
        Quantity(Decimal(0), "dBV", Kind.LEVEL), Kind.LEVEL, Tolerance(Decimal(3), Decimal(3), "dB")
    )
    assert around_zero == Expected(Kind.LEVEL, Decimal(-3), Decimal(3), unit="dBV")
    assert Expected(VOLTS, high=Decimal(5)).unit == "V"


# The plain order of numbers: under the lower limit is low, over the upper one is high. Signs fold only where the
# expected value has one sign and swapped probes would turn it (common practice, no source).
@pytest.mark.parametrize("text,expected,kind,verdict", [
    ("-3.2 dB", "0 ± 3 dB", Kind.LEVEL, "low"), ("3.2 dB", "0 ± 3 dB", Kind.LEVEL, "high"),
    ("-3 dB", "± 3 dB", Kind.LEVEL, "within"), ("-1.4 %", "± 1 %", Kind.PERCENT, "low"),
    ("1.4 %", "± 1 %", Kind.PERCENT, "high"), ("-1 %", "0 ± 1 %", Kind.PERCENT, "within"),
    ("-60 mV", "0 ± 50 mV", VOLTS, "low"), ("60 mV", "± 50 mV", VOLTS, "high"), ("-50 mV", "± 50 mV", VOLTS, "within"),
    ("-60 mV", "-50 to 50 mV", VOLTS, "low"), ("-60 mV", "at most 50 mV", VOLTS, "high"),
    ("-6 mA", "0 ± 5 mA", Kind.CURRENT_DC, "low"),
    ("-6 °C", "0 ± 5 °C", Kind.TEMPERATURE, "low"),
    ("-13 %", "-10 ± 2 %", Kind.PERCENT, "low"), ("-7 %", "-10 ± 2 %", Kind.PERCENT, "high"),
    ("-12.6 V", "-15 V ± 5 %", VOLTS, "low"), ("-16 V", "-15 V ± 5 %", VOLTS, "high"),
    ("-1 V", "0 ± 0 V", VOLTS, "low"), ("1 V", "0 ± 0 V", VOLTS, "high"), ("0 V", "0 ± 0 V", VOLTS, "within"),
    ("-1 V", "-5 to 0 V", VOLTS, "within"), ("1 V", "-5 to 0 V", VOLTS, "low"),
])  # fmt: skip
def test_around_zero_below_is_low_and_above_is_high(text, expected, kind, verdict):
    assert judged(text, expected, kind).verdict == verdict


def test_a_limit_around_zero_is_said_with_its_own_sign():
    assert judged("-3.2 dB", "0 ± 3 dB", Kind.LEVEL).why == "−3.2 dB is 0.2 dB too low: 0 ± 3 dB is expected."
    assert judged("-60 mV", "± 50 mV", VOLTS).why == "−60 mV is 10 mV too low: ± 50 mV is expected."


# --- within, low, high --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text,expected,kind,verdict", [
    ("12.3 V", "12 V ± 5 %", VOLTS, "within"), ("11.4", "12 V ± 5 %", VOLTS, "within"), ("12.6",
    "12 V ± 5 %", VOLTS, "within"),
    ("11.39", "12 V ± 5 %", VOLTS, "low"), ("12.61", "12 V ± 5 %", VOLTS, "high"),
    # manuals: "should not exceed 0.75 V" passes at 0.75
    ("0.75", "at most 0.75 V", Kind.VOLTAGE_AC, "within"), ("0.7501", "at most 0.75 V", Kind.VOLTAGE_AC, "high"),
    # manuals: cold check, both limits count
    ("1.0M", "1.0 to 5.2 MΩ", OHMS, "within"), ("5.2M", "1.0 to 5.2 MΩ", OHMS, "within"), ("0.9M",
    "1.0 to 5.2 MΩ", OHMS, "low"),
    ("5.3M", "1.0 to 5.2 MΩ", OHMS, "high"), ("240k", "at least 0.24 MΩ", OHMS, "within"),
    # common practice: DC offset at a loudspeaker's terminals, at most 50 mV
    ("20 mV", "at most 50 mV", VOLTS, "within"), ("50 mV", "at most 50 mV", VOLTS, "within"), ("-50 mV",
    "at most 50 mV", VOLTS, "within"),
    ("51 mV", "at most 50 mV", VOLTS, "high"), ("-60 mV", "at most 50 mV", VOLTS, "high"), ("0",
    "at most 50 mV", VOLTS, "within"),
    # common practice: a negative rail is low when it lacks amount
    ("-12.6", "-15 V ± 5 %", VOLTS, "low"), ("-15", "-15 V ± 5 %", VOLTS, "within"), ("-16",
    "-15 V ± 5 %", VOLTS, "high"),
    ("15", "-15 V ± 5 %", VOLTS, "low"), ("-15", "15 V ± 5 %", VOLTS, "low"), ("-14.25",
    "-15 V ± 5 %", VOLTS, "within"),
    ("-15.75", "-15 V ± 5 %", VOLTS, "within"), ("0", "-15 to 0 V", VOLTS, "within"), ("-16",
    "-15 to 0 V", VOLTS, "high"), ("-1",
    "0 to 5 V", VOLTS, "low"),
    # a range on both sides of zero has no amount to speak of
    ("-0.6", "-0.5 to 0.7 V", VOLTS, "low"), ("0.8", "-0.5 to 0.7 V", VOLTS, "high"),
    # dB and temperature are compared as they stand
    ("-5", "-12 to -8 dB", Kind.LEVEL, "high"), ("-13", "-12 to -8 dB", Kind.LEVEL, "low"), ("-10",
    "-12 to -8 dB", Kind.LEVEL, "within"),
    ("65", "at most 60 °C", Kind.TEMPERATURE, "high"), ("-25", "-20 to -10 °C", Kind.TEMPERATURE, "low"),
])  # fmt: skip
def test_a_reading_is_judged_against_its_limits(text, expected, kind, verdict):
    assert judged(text, expected, kind).verdict == Verdict(verdict)


@pytest.mark.parametrize("text,expected,kind,decades,limit", [
    ("120", "5 to 12 Ω", OHMS, "1.00", "12"), ("0.5", "5 to 12 Ω", OHMS, "-1.00", "5"), ("2.4k",
    "5 to 20 Ω", OHMS, "2.08", "20"),
    ("12.3", "12 V ± 5 %", VOLTS, "-0.01", "12.6"), ("11.5", "12 V ± 5 %", VOLTS, "0.00", "11.4"), ("12.58",
    "12 V ± 5 %", VOLTS, "0.00", "12.6"),
    ("-60m", "at most 50 mV", VOLTS, "0.08", "-0.05"), ("60m", "at most 50 mV", VOLTS, "0.08", "0.05"), ("5m",
    "at most 50 mV", VOLTS, "-1.00", "0.05"),
    ("-12.6", "-15 V ± 5 %", VOLTS, "-0.05", "-14.25"), ("15", "-15 V ± 5 %", VOLTS, None, "-14.25"), ("0",
    "at most 50 mV", VOLTS, None, "0.05"),
    ("-1", "0 to 5 V", VOLTS, None, "0"), ("4", "0 to 5 V", VOLTS, "-0.10", "5"), ("-5",
    "-12 to -8 dB", Kind.LEVEL, None, "-8"),
    ("65", "at most 60 °C", Kind.TEMPERATURE, None, "60"), ("3.3M", "at least 2 MΩ", OHMS, "0.22", "2E6"), ("10",
    "1 to 1000 V", VOLTS, "1.00", "1"),
    ("40", "1 to 1000 V", VOLTS, "-1.40", "1000"),
])  # fmt: skip
def test_the_distance_is_the_ratio_to_the_nearest_limit_in_decades(text, expected, kind, decades, limit):
    """Computed: log10(2400/20) = 2.079, log10(12.6/14.25) = -0.0534, log10(3.3/2) = 0.217."""
    judgement = judged(text, expected, kind)
    assert judgement.decades == (None if decades is None else Decimal(decades))
    assert judgement.limit == Decimal(limit)
    assert str(judgement.decades) != "-0.00"


@given(st.decimals("0.001", 10**6, places=3), st.decimals("0.001", 10**6, places=3))
def test_the_decades_agree_with_the_float_logarithm(value, limit):
    judgement = judge(Quantity(value, "V", VOLTS), Expected(VOLTS, high=limit))
    assert float(judgement.decades) == pytest.approx(math.log10(value / limit), abs=0.0051)


@pytest.mark.parametrize("text,expected,kind,why", [
    ("12.3 V", "12 V ± 5 %", VOLTS, "12.3 V is within what is expected, 11.4 V to 12.6 V."),
    ("10.26 V", "12 V ± 5 %", VOLTS, "10.26 V is 10 % too low: 12 V ± 5 % is expected."),
    ("-60 mV", "at most 50 mV", VOLTS, "−60 mV is 20 % too high: at most 50 mV is expected."),
    ("2.4k", "5 to 20 ohm", OHMS, "2.4 kΩ is 120 times the most: 5 to 20 ohm is expected."),
    ("0.5 V", "12 V ± 5 %", VOLTS, "500 mV is far too low: 12 V ± 5 % is expected."),
    ("15 V", "-15 V ± 5 %", VOLTS, "15 V where −15 V ± 5 % is expected: the other polarity, so the leads first."),
    ("-5 dB", "-12 to -8 dB", Kind.LEVEL, "−5 dB is 3 dB too high: −12 to −8 dB is expected."),
    ("5 dB", "1 to 3 dB", Kind.LEVEL, "5 dB is 2 dB too high: 1 to 3 dB is expected."),
    ("65 °C", "at most 60 °C", Kind.TEMPERATURE, "65 °C is 5 °C too high: at most 60 °C is expected."),
    ("120", "5 to 12 Ω", OHMS, "120 Ω is 10 times the most: 5 to 12 Ω is expected."),
    ("47k", "47 ± 5 %", OHMS, "47 kΩ is 950 times the most: 47 Ω ± 5 % is expected."),
    ("0.31 %", "at most 0.08 %", Kind.PERCENT, "0.31 % is too high: at most 0.08 % is expected."),
    ("33.1", "33.333 ± 0.31 %", Kind.ROTATION, "33.1 rpm is 0.39 % too low: 33.333 rpm ± 0.31 % is expected."),
    ("60 mV", "10 mV ± 20 %", VOLTS, "60 mV is 5.0 times the most: 10 mV ± 20 % is expected."),
    ("22.8 V", "12 V ± 5 %", VOLTS, "22.8 V is 81 % too high: 12 V ± 5 % is expected."),
    ("OL", "5 to 20 ohm", OHMS, "Over range where 5 Ω to 20 Ω is expected: open."),
    ("25k", "5 to 20 ohm", OHMS, "25 kΩ where 5 Ω to 20 Ω is expected: open."),
    ("0.3", "100 to 200 ohm", OHMS, "300 mΩ where 100 Ω to 200 Ω is expected: short."),
    ("5.2M", "infinite", OHMS, "5.2 MΩ where no path is expected."),
    ("OL", "infinite", OHMS, "Over range, and no path is expected."),
    ("OL", "at most 12 V", VOLTS, "Over range where at most 12 V either way is expected."),
])  # fmt: skip
def test_a_verdict_says_why_in_one_sentence(text, expected, kind, why):
    assert judged(text, expected, kind).why == why


def test_the_condition_stands_in_the_sentence():
    told = judged("12.3 V", "12 V ± 5 %", VOLTS, condition="no load")
    assert told.why == "12.3 V is within what is expected, 11.4 V to 12.6 V (no load)."


def test_a_reading_without_an_expectation_is_not_judged():
    nothing = judge(parse("12.3 V"), None, condition="no load")
    assert nothing == Judgement(Verdict.NONE, "12.3 V (no load): nothing is expected here.")
    assert judge(parse("OL", OHMS), None).why == "Over range: nothing is expected here."


def test_a_reading_of_another_unit_is_not_compared():
    with pytest.raises(Incomparable, match="A reading in V can't be held against at most 5 Ω"):
        judge(parse("5 V"), expect("at most 5 ohm", OHMS))
    with pytest.raises(Incomparable, match="A reading in hFE can't"):
        judge(parse("hFE 220"), expect("at most 5 ohm", OHMS))
    with pytest.raises(Incomparable, match="A reading in dBu"):
        judge(parse("4 dBu"), expect("at most 5 dBV", Kind.LEVEL))


def test_every_verdict_has_a_label():
    assert {verdict.value: verdict.label for verdict in Verdict} == {
        "": "Nothing expected", "within": "Within", "low": "Low", "high": "High", "open": "Open", "short": "Short",
        "too_close": "Too close to call",
    }  # fmt: skip


# --- open and short: common practice, the rule is written out in the handbook -------------------------------------


@pytest.mark.parametrize("text,expected,kind,verdict", [
    # a small motor's winding, 5 to 20 ohm: open or far above means worn brushes
    ("OL", "5 to 20 ohm", OHMS, "open"), ("20k", "5 to 20 ohm", OHMS, "open"), ("19.99k",
    "5 to 20 ohm", OHMS, "high"), ("12", "5 to 20 ohm", OHMS, "within"),
    (">40M", "5 to 20 ohm", OHMS, "open"), ("0.2", "5 to 20 ohm", OHMS, "low"),
    # short: 1 Ω or less where 10 Ω or more are due, or a thousandth
    ("1", "10 to 20 ohm", OHMS, "short"), ("1.01", "10 to 20 ohm", OHMS, "low"), ("1", "9.9 to 20 ohm", OHMS, "low"),
    ("0", "10 to 20 ohm", OHMS, "short"),
    ("100", "100k ± 5 %", OHMS, "low"), ("95", "100k ± 5 %", OHMS, "short"), ("0", "5 to 20 ohm", OHMS, "short"),
    ("-0.2", "10 to 20 ohm", OHMS, "low"),
    ("0.004", "5 to 20 ohm", OHMS, "short"), ("0.5", "at most 20 ohm", OHMS, "within"), ("20k",
    "at most 20 ohm", OHMS, "open"),
    ("5", "at most 0 ohm", OHMS, "high"),
    # no path expected
    ("OL", "infinite", OHMS, "within"), ("5M", "infinite", OHMS, "low"), ("1", "infinite", OHMS, "short"), ("1.1",
    "infinite", OHMS, "low"),
    ("0.05", "infinite", Kind.DIODE, "short"), ("0.6", "infinite", Kind.DIODE, "low"), ("-0.6",
    "infinite", Kind.DIODE, "low"), ("OL", "infinite", Kind.DIODE, "within"),
    # other quantities: only what they can be
    ("1", "at most 1 mΩ", Kind.ESR, "open"), (">0.5", "0.2 to 0.3 V", VOLTS, "high"), (">0",
    "0 to 0 V", VOLTS, "high"),
    ("0.02", "0.05 to 0.7 V", Kind.DIODE, "short"),
    ("OL", "at most 1 Ω", Kind.ESR, "open"), ("1k", "at most 1 Ω", Kind.ESR, "open"), ("0",
    "0.1 to 1 Ω", Kind.ESR, "low"),
    ("OL", "10 mH ± 20 %", Kind.INDUCTANCE, "open"), ("OL", "100 µF ± 20 %", Kind.CAPACITANCE, "high"), ("OL",
    "12 V ± 5 %", VOLTS, "high"),
    ("-OL", "12 V ± 5 %", VOLTS, "low"), ("-OL", "-12 V ± 5 %", VOLTS, "high"), ("OL", "-12 V ± 5 %", VOLTS, "low"),
    ("-OL", "at most 50 mV", VOLTS, "high"),
    ("0.001", "12 V ± 5 %", VOLTS, "low"), ("20k", "12 V ± 5 %", VOLTS, "high"), ("-OL",
    "at most -5 V", VOLTS, "within"),
])  # fmt: skip
def test_open_and_short_follow_the_written_rule(text, expected, kind, verdict):
    assert judged(text, expected, kind).verdict == Verdict(verdict)


@pytest.mark.parametrize("kind,text,verdict", [
    ("silicon", "0.5", "within"), ("silicon", "0.7", "within"), ("silicon", "0.6", "within"), ("silicon", "0.3",
    "low"), ("silicon", "0.049", "short"),
    ("silicon", "0.05", "low"), ("silicon", "-0.049", "short"), ("silicon", "OL", "open"), ("silicon", "0.9", "high"),
    ("germanium", "0.15", "within"), ("germanium", "0.35", "within"), ("germanium", "0.6", "high"), ("germanium",
    "0.02", "short"),
    ("darlington", "1.0", "within"), ("darlington", "1.4", "within"), ("darlington", "0.6", "low"), ("darlington",
    "OL", "open"),
])  # fmt: skip
def test_a_junction_is_judged_on_a_diode_test(kind, text, verdict):
    """The trade's list: 0.5-0.7 V silicon, 0.15-0.35 V germanium, 1.0-1.4 V Darlington, under 0.05 V short, OL open."""
    assert judge(parse(text, Kind.DIODE), JUNCTIONS[kind]).verdict == Verdict(verdict)


# --- over range with a meter that stops somewhere -----------------------------------------------------------------


def _ohmmeter(full_scale: str) -> Meter:
    return Meter("ohmmeter", (Range(OHMS, Decimal(full_scale), Decimal(1), parse_accuracy("1% + 5")),))


@pytest.mark.parametrize("text,expected,full_scale,verdict", [
    ("OL", "at least 100 MΩ", None, "too_close"), ("OL", "at least 100 MΩ", "40E6", "too_close"), ("OL",
    "at least 2 MΩ", "40E6", "within"),
    ("OL", "at least 40 MΩ", "40E6", "within"), (">200 MΩ", "at least 2 MΩ", None, "within"), (">200 MΩ",
    "at least 200 MΩ", None, "within"),
    (">200 MΩ", "at least 500 MΩ", None, "too_close"),
    ("OL", "1.0 to 5.2 MΩ", "2E6", "too_close"), ("OL", "1.0 to 5.2 MΩ", "5.2E6", "open"), ("OL", "1.0 to 5.2 MΩ",
    "40E6", "open"),
    ("OL", "1.0 to 5.2 MΩ", None, "open"), (">2 MΩ", "1.0 to 5.2 MΩ", None, "too_close"), (">2 MΩ", "1.0 to 5.2 MΩ",
    "40E6", "too_close"),
])  # fmt: skip
def test_over_range_proves_no_more_than_the_meter_reaches(text, expected, full_scale, verdict):
    """JCGM 106: a verdict only where all that the reading may be lies on one side."""
    judgement = judged(text, expected, OHMS, full_scale and _ohmmeter(full_scale))
    assert judgement.verdict == Verdict(verdict)
    assert judgement.half_width is None
    assert judgement.remarks == ()


@pytest.mark.parametrize("text,expected,full_scale,why", [
    ("OL", "at least 100 MΩ", None, "Over range tells only that the meter stops: say which meter, for at least 100 MΩ."),
    ("OL", "at least 100 MΩ", "40E6",
    "The meter stops at 40 MΩ, and at least 100 MΩ is expected: use one that reaches further."),
    ("OL", "1.0 to 5.2 MΩ", "2E6",
    "The meter stops at 2 MΩ, and 1 MΩ to 5.2 MΩ is expected: use one that reaches further."),
    (">200 MΩ", "at least 2 MΩ", None, "More than 200 MΩ, and at least 2 MΩ is expected."),
])  # fmt: skip
def test_over_range_says_what_it_proves(text, expected, full_scale, why):
    assert judged(text, expected, OHMS, full_scale and _ohmmeter(full_scale)).why == why


# --- too close to call --------------------------------------------------------------------------------------------

METER = Meter(
    "bench meter",
    (Range(VOLTS, Decimal(40), Decimal("0.01"), parse_accuracy("0.5% + 3")),),
    calibration_due=date(2026, 3, 1),
)


@pytest.mark.parametrize("text,verdict", [("12.3", "within"), ("12.5", "within"), ("12.51", "too_close"), ("12.6",
    "too_close"), ("12.69", "too_close"),
    ("12.70", "high"), ("11.31", "low"), ("11.32", "too_close"), ("11.49", "within"), ("11.48", "too_close"),
    ("11.2", "low")])  # fmt: skip
def test_a_verdict_near_the_edge_is_too_close_to_call(text, verdict):
    """JCGM 106. Computed: at 12.51 V, 0.06255 + 0.03 = 0.09255 reaches past 12.6; at 12.50 V, 12.5925 does not."""
    judgement = judged(text, "12 V ± 5 %", VOLTS, METER)
    assert judgement.verdict == Verdict(verdict)
    assert judgement.half_width == Decimal(text) * Decimal("0.005") + Decimal("0.03")


def test_too_close_says_how_good_the_meter_is():
    judgement = judged("12.58 V", "12 V ± 5 %", VOLTS, METER)
    assert judgement.why == "12.58 V is too close to 12.6 V to call: the meter is good to ±93 mV."
    assert judgement.limit == Decimal("12.6")


def test_a_meter_too_coarse_for_the_limits_calls_nothing():
    """A reading of 2.4 kΩ ± 50 kΩ is neither high nor open where 5 to 20 Ω are due, nor 0.3 Ω short."""
    coarse = Meter("coarse", (Range(OHMS, Decimal("40E6"), Decimal("1E4"), parse_accuracy("1% + 5")),))
    assert judged("2.4k", "5 to 20 ohm", OHMS, coarse).verdict is Verdict.TOO_CLOSE
    assert judged("25k", "5 to 20 ohm", OHMS, coarse).verdict is Verdict.TOO_CLOSE
    assert judged("0.3", "100 to 200 ohm", OHMS, coarse).verdict is Verdict.TOO_CLOSE
    assert judged("1M", "5 to 20 ohm", OHMS, coarse).verdict is Verdict.OPEN


def test_the_range_set_by_hand_decides_the_uncertainty():
    ladder = Meter(
        "ladder", (*METER.ranges, Range(VOLTS, Decimal(400), Decimal("0.1"), parse_accuracy("0.5% + 3")))
    )
    assert judged("12.4", "12 V ± 5 %", VOLTS, ladder).verdict is Verdict.WITHIN
    by_hand = judged("12.4", "12 V ± 5 %", VOLTS, ladder, full_scale=Decimal(400))
    assert (by_hand.verdict, by_hand.half_width) == (Verdict.TOO_CLOSE, Decimal("0.362"))


def test_a_meter_without_a_range_for_it_is_remarked_and_its_uncertainty_left_out():
    judgement = judged("0.6", "0.5 to 0.7 V", Kind.DIODE, METER)
    assert (judgement.verdict, judgement.half_width) == (Verdict.WITHIN, None)
    assert judgement.remarks == ("bench meter has no range for diode test.",)


@pytest.mark.parametrize("on,remarks", [(date(2026, 3, 1), 0), (date(2026, 3, 2), 1), (None, 0)])
@pytest.mark.parametrize("text", ["12.3", "OL"])
def test_an_expired_calibration_is_remarked(text, on, remarks):
    judgement = judged(text, "12 V ± 5 %", VOLTS, METER, on=on)
    assert len(judgement.remarks) == remarks
    assert all(
        remark == "The calibration of bench meter expired on 2026-03-01, a day ago."
        for remark in judgement.remarks
    )


def test_a_path_where_none_is_expected_keeps_its_uncertainty():
    judgement = judged("5M", "infinite", OHMS, _ohmmeter("40E6"))
    assert (judgement.verdict, judgement.half_width) == (Verdict.LOW, Decimal(50005))


def test_a_meter_may_be_remarked_upon_twice():
    """No range for it, and its calibration expired."""
    first, second = judged("5M", "infinite", OHMS, METER, on=date(2027, 1, 1)).remarks
    assert first == "bench meter has no range for resistance."
    assert second.startswith("The calibration of bench meter expired")


# --- laws ---------------------------------------------------------------------------------------------------------

SIZES = st.decimals(Decimal("0.01"), 1000, places=2)


@given(SIZES, SIZES, SIZES)
def test_exactly_one_of_low_within_and_high_holds_without_a_meter(value, one, other):
    low, high = sorted((one, other))
    verdict = judge(Quantity(value, "V", VOLTS), Expected(VOLTS, low, high)).verdict
    assert verdict is (Verdict.LOW if value < low else Verdict.HIGH if value > high else Verdict.WITHIN)


@given(SIZES, SIZES, SIZES)
def test_turning_the_polarity_of_everything_changes_no_verdict(value, one, other):
    low, high = sorted((one, other))
    plus = judge(Quantity(value, "V", VOLTS), Expected(VOLTS, low, high))
    minus = judge(Quantity(-value, "V", VOLTS), Expected(VOLTS, -high, -low))
    assert plus.verdict is minus.verdict
    assert plus.decades == minus.decades
    assert plus.limit == -minus.limit


@given(SIZES, SIZES, SIZES, st.decimals(0, 5, places=1), st.integers(0, 50))
def test_a_worse_meter_never_turns_a_verdict_into_its_opposite(value, one, other, percent, digits):
    low, high = sorted((one, other))
    expected = Expected(VOLTS, low, high)
    meter = Meter(
        "meter", (Range(VOLTS, Decimal(1000), Decimal("0.01"), parse_accuracy(f"{percent}% + {digits}")),)
    )
    assume(low <= high)
    without, with_meter = (judge(Quantity(value, "V", VOLTS), expected, one).verdict for one in (None, meter))
    assert with_meter in {without, Verdict.TOO_CLOSE}
