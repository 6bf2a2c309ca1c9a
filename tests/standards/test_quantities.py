"""What a technician types is read exactly, or refused in one sentence.

Sources stand beside each check. "SI brochure": BIPM, 9th edition, tables 4, 7 and 8, section 5.4 (from memory where it
says so). "IEC 60062": the public article on the RKM code, looked up. "Common practice": no source.
"""

from __future__ import annotations

import time
from decimal import Decimal

import pint
import pytest
import quantiphy
from hypothesis import example, given
from hypothesis import strategies as st

from shop.handbook.quantities import LONGEST, Kind, Quantity, Unreadable, canonical, engineering, parse
from shop.handbook.quantities.kinds import FACTS, POWERS, TAILS
from shop.handbook.quantities.quantity import measured

# --- forms that a bench types: common practice, no source; prefixes: SI brochure, table 7 -------------------------

TYPED = [
    ("-12.6 V", None, "-12.6", "V"),
    ("22mV", None, "0.022", "V"),
    ("22 mV", Kind.VOLTAGE_DC, "0.022", "V"),
    ("12.6", Kind.VOLTAGE_DC, "12.6", "V"),
    ("+.5V", None, "0.5", "V"),
    (".5", Kind.VOLTAGE_AC, "0.5", "V"),
    ("5. V", None, "5", "V"),
    ("230 VAC", Kind.VOLTAGE_AC, "230", "V"),
    ("63 VDC", Kind.VOLTAGE_DC, "63", "V"),
    ("2.83 Vrms", Kind.VOLTAGE_AC, "2.83", "V"),
    ("28.3 Vpp", None, "28.3", "V"),
    ("12 volts", None, "12", "V"),
    ("3 millivolts", None, "0.003", "V"),
    ("100mA", None, "0.1", "A"),
    ("100ma", Kind.CURRENT_DC, "0.1", "A"),
    ("6,25 mA", Kind.CURRENT_DC, "0.00625", "A"),
    ("0.5 A~", None, "0.5", "A"),
    ("1.5M", Kind.RESISTANCE, "1500000", "Ω"),
    ("1.5m", Kind.RESISTANCE, "0.0015", "Ω"),
    ("1.5 meg", None, "1500000", "Ω"),
    ("2.2 Megohm", None, "2200000", "Ω"),
    ("3.3 kohm", None, "3300", "Ω"),
    ("3,3 kohm", None, "3300", "Ω"),
    ("3.3K", Kind.RESISTANCE, "3300", "Ω"),
    ("470 R", None, "470", "Ω"),
    ("4700", Kind.RESISTANCE, "4700", "Ω"),
    ("47 Ω", None, "47", "Ω"),
    ("47 \u2126", None, "47", "Ω"),  # the ohm sign, beside the Greek letter
    ("-0.2 Ω", None, "-0.2", "Ω"),  # a meter with a trace of voltage on the part shows it
    ("0.03 ohms", Kind.ESR, "0.03", "Ω"),
    ("100nF", None, "1E-7", "F"),
    ("4.7 \u00b5F", None, "0.0000047", "F"),  # micro sign
    ("4.7 \u03bcF", None, "0.0000047", "F"),  # Greek mu
    ("4.7uF", None, "0.0000047", "F"),
    ("4.7 uf", None, "0.0000047", "F"),
    ("0.1 mfd", None, "1E-7", "F"),
    ("250 mmfd", None, "2.5E-10", "F"),
    ("100 PF", None, "1E-10", "F"),
    ("22 mF", None, "0.022", "F"),
    ("10 mH", None, "0.01", "H"),
    ("10 mh", None, "0.01", "H"),
    ("455 kc", None, "455000", "Hz"),
    ("98.5 MHz", None, "98500000", "Hz"),
    ("1000 c/s", None, "1000", "Hz"),
    ("50", Kind.FREQUENCY, "50", "Hz"),
    ("0.25W", None, "0.25", "W"),
    ("33.3 rpm", None, "33.3", "rpm"),
    ("0.08 %", None, "0.08", "%"),
    ("10", Kind.PERCENT, "10", "%"),
    ("-3 dB", None, "-3", "dB"),
    ("28.239 dBu", None, "28.239", "dBu"),
    ("26.021 dBV", None, "26.021", "dBV"),
    ("16.990 dBW", None, "16.990", "dBW"),
    ("4 dBm", None, "4", "dBm"),
    ("220", Kind.GAIN, "220", ""),
    ("hFE 220", None, "220", ""),
    ("220 hFE", None, "220", ""),
    ("10k", Kind.GAIN, "10000", ""),
    ("25 °C", None, "25", "°C"),
    ("25", Kind.TEMPERATURE, "25", "°C"),
    ("25 C", Kind.TEMPERATURE, "25", "°C"),
    ("-5 \u2103", None, "-5", "°C"),
    ("15 ms", None, "0.015", "s"),
    ("30 min", None, "1800", "s"),  # SI brochure, table 8: 1 min = 60 s
    ("2 h", Kind.TIME, "7200", "s"),  # the same: 1 h = 3600 s
    ("1e-6F", None, "0.000001", "F"),
    ("1e3", Kind.RESISTANCE, "1000", "Ω"),
    ("2.5e+2 mV", None, "0.25", "V"),
    ("  12 V\n", None, "12", "V"),
    ("12\u00a0V", None, "12", "V"),  # no-break space
    ("12 V DC", None, "12", "V"),
    ("0,475 V", None, "0.475", "V"),  # a zero in front leaves no doubt about thousands
    ("1e-30 F", None, "1E-30", "F"),
    ("0 min", None, "0", "s"),
    ("12 V" + " " * 76, None, "12", "V"),
    ("\u221212.6 V", None, "-12.6", "V"),  # minus sign
    ("\uff14\uff0e\uff17\uff4b\uff5e"[:4], Kind.RESISTANCE, "4700", "Ω"),  # full-width 4.7k
]


@pytest.mark.parametrize("text,kind,value,unit", TYPED)
def test_a_typed_value_is_read_exactly(text, kind, value, unit):
    quantity = parse(text, kind)
    assert (quantity.value, quantity.unit) == (Decimal(value), unit)
    assert quantity.typed == text
    assert not quantity.over_range
    assert quantity.ratings == ()
    assert quantity.tolerance is None


def test_the_places_that_were_typed_are_kept():
    """A meter's 12.60 says more than 12.6: common practice."""
    assert str(parse("12.60 V").value) == "12.60"


@pytest.mark.parametrize("text,celsius", [("77 °F", "25"), ("32 F", "0"), ("98.6 degF", "37"), ("-40 °F", "-40"),
                                          ("70 °F", "21.111"), ("300 K", "26.85"), ("0 K", "-273.15")])  # fmt: skip
def test_fahrenheit_and_kelvin_become_degrees_celsius(text, celsius):
    """5/9 and 32 by definition; 273.15: SI brochure, 2.3.1."""
    quantity = parse(text, Kind.TEMPERATURE)
    assert (quantity.value, quantity.unit) == (Decimal(celsius), "°C")


@pytest.mark.parametrize("text,kind", [("12 V", None), ("12 VDC", Kind.VOLTAGE_DC), ("12 VAC", Kind.VOLTAGE_AC),
    ("12 Vpp", Kind.VOLTAGE_PP), ("5 A", None), ("5 A~", Kind.CURRENT_AC), ("5 A=", Kind.CURRENT_DC),
    ("5 ohm", Kind.RESISTANCE), ("5 nF", Kind.CAPACITANCE), ("5 µH", Kind.INDUCTANCE), ("5 Hz", Kind.FREQUENCY),
    ("5 W", Kind.POWER), ("5 °C", Kind.TEMPERATURE), ("5 s", Kind.TIME), ("5 dB", Kind.LEVEL), ("5 hFE", Kind.GAIN),
    ("hFE 5", Kind.GAIN),
    ("5 %", Kind.PERCENT), ("5 rpm", Kind.ROTATION)])  # fmt: skip
def test_a_unit_tells_its_quantity_unless_it_could_be_two(text, kind):
    assert parse(text).kind is kind


@pytest.mark.parametrize("kind", Kind)
def test_every_unit_on_the_keypad_can_be_typed_behind_a_number(kind):
    for unit in kind.keypad:
        quantity = parse(f"7 {unit}", kind)
        assert quantity.kind is kind
        assert quantity.value or kind is Kind.TEMPERATURE
    assert kind.label
    assert kind.in_words


@pytest.mark.parametrize("kind,label", [(Kind.RESISTANCE, "resistance"), (Kind.VOLTAGE_DC, "DC voltage"),
    (Kind.GAIN, "hFE"), (Kind.ESR, "ESR"), (Kind.VOLTAGE_PP, "peak-to-peak voltage")])  # fmt: skip
def test_a_quantity_has_a_name_inside_a_sentence(kind, label):
    assert kind.in_words == label


# --- over range: common practice; a meter's display, an insulation tester's ">200 MΩ" ----------------------------


@pytest.mark.parametrize(
    "text",
    [
        "OL",
        "ol",
        "O.L",
        "O.L.",
        ".OL",
        "0L",
        "0.L",
        "over range",
        "Overload",
        "OVER-RANGE",
        "∞",
        "OL MΩ",
        "+OL Ω",
    ],
)
def test_over_range_is_read_in_every_spelling(text):
    quantity = parse(text, Kind.RESISTANCE)
    assert quantity.over_range
    assert quantity.value == Decimal("Infinity")
    assert quantity.known is None
    assert (quantity.unit, quantity.kind, quantity.typed) == ("Ω", Kind.RESISTANCE, text)


def test_over_range_is_read_with_its_unit_alone():
    assert (parse("OL V DC").unit, parse("OL V DC").kind) == ("V", Kind.VOLTAGE_DC)
    assert parse("OL MΩ").kind is Kind.RESISTANCE


# Over range is what a meter shows on any range (makers' manuals: common practice, no source).
@pytest.mark.parametrize("kind", list(Kind))
def test_over_range_needs_no_unit_once_the_quantity_is_chosen(kind):
    quantity = parse("OL", kind)
    assert (quantity.value, quantity.unit, quantity.kind) == (Decimal("Infinity"), kind.symbol, kind)


def test_a_typed_bound_takes_the_unit_of_the_quantity_that_was_chosen():
    bound = parse(">20", Kind.FREQUENCY)
    assert (bound.value, bound.unit, bound.kind, bound.over_range) == (20, "Hz", Kind.FREQUENCY, True)
    with pytest.raises(Unreadable):
        parse(">20")


def test_over_range_has_a_sign_where_the_quantity_has_one():
    assert parse("-OL", Kind.VOLTAGE_DC).value == Decimal("-Infinity")
    assert str(parse("-OL", Kind.VOLTAGE_DC)) == "−OL V"
    with pytest.raises(Unreadable):
        parse("-OL", Kind.FREQUENCY)


def test_a_typed_bound_is_kept_as_the_least_that_it_can_be():
    quantity = parse("> 200 MΩ")
    assert (quantity.value, quantity.over_range, quantity.known) == (Decimal("2E8"), True, Decimal("2E8"))
    assert (str(quantity), quantity.typed) == ("> 200 MΩ", "> 200 MΩ")
    assert parse(">20M", Kind.RESISTANCE).value == Decimal("2E7")


# --- what is refused ----------------------------------------------------------------------------------------------

REFUSED = [
    ("", None, "Nothing was typed."),
    ("   ", Kind.VOLTAGE_DC, "Nothing was typed."),
    ("1.5M", None, "“1.5M” needs a unit, or say which quantity it is."),
    ("12", None, "“12” needs a unit, or say which quantity it is."),
    ("22m", None, "“22m” needs a unit, or say which quantity it is."),
    ("4.7", Kind.CAPACITANCE, "“4.7” can't be read: a unit is missing; type µF or nF or pF."),
    ("10", Kind.INDUCTANCE, "“10” can't be read: a unit is missing; type mH or µH or H."),
    ("47K", Kind.CAPACITANCE, "“47K” can't be read: “K” does not go with capacitance; type µF or nF or pF."),
    ("5 x", Kind.GAIN, "“5 x” can't be read: “x” does not go with hFE; type the number alone."),
    ("4.7 V", Kind.RESISTANCE, "“4.7 V” is in V, but resistance was chosen."),
    ("12 VAC", Kind.VOLTAGE_DC, "“12 VAC” is AC voltage, but DC voltage was chosen."),
    ("5 hFE", Kind.VOLTAGE_DC, "“5 hFE” is hFE, but DC voltage was chosen."),
    ("yellow violet red", Kind.CAPACITANCE, "“yellow violet red” is not capacitance."),
    ("-5 Hz", None, "“-5 Hz” can't be negative."),
    ("-5", Kind.CURRENT_AC, "“-5” can't be negative."),
    ("12 MV", Kind.VOLTAGE_DC, "“12 MV” is more than any bench measures: a capital M is mega, a small m is milli."),
    ("98.5mhz", None, "“98.5mhz” could mean MHz or mHz: type which."),
    ("0.1MF", None, "“0.1MF” could mean µF (write mfd) or mF: type which."),
    ("4 dBv", Kind.LEVEL, "“4 dBv” could mean dBV or dBu: type which."),
    ("5m", Kind.TIME, "“5m” could mean milli or minutes: type which."),
    ("1,000 V", None, "“1,000” could be 1.000 or 1000: type a point, or no separator at all."),
    ("10 000 µF", None, "Type the digits of “10 000 µF” without a gap."),
    ("1'000 V", None, "Type the digits of “1'000 V” without a gap."),
    ("NaN", Kind.RESISTANCE, "“NaN” is no reading: type OL where the meter is over range."),
    ("sNaN", None, "“sNaN” is no reading: type OL where the meter is over range."),
    ("-inf V", None, "“-inf V” is no reading: type OL where the meter is over range."),
    ("Infinity", Kind.VOLTAGE_DC, "“Infinity” is no reading: type OL where the meter is over range."),
    ("1e309", Kind.RESISTANCE, "Ten to the power of 309 is beyond every meter."),
    ("1e-31 V", None, "Ten to the power of -31 is beyond every meter."),
    ("5 m", None, "“5 m” needs a unit, or say which quantity it is."),
    ("5 x", None, "“5 x” can't be read as a value, such as 4k7 or 22 mV."),
    ("50 Hz", Kind.VOLTAGE_DC, "“50 Hz” is in Hz, but DC voltage was chosen."),
    ("12 V AC", Kind.VOLTAGE_DC, "“12 V AC” is AC voltage, but DC voltage was chosen."),
    ("-12 V AC", None, "“-12 V AC” can't be negative."),
    ("98.5 m hz", None, "“98.5 m hz” could mean MHz or mHz: type which."),
    ("hello", None, "“hello” can't be read as a value, such as 4k7 or 22 mV."),
    ("hello", Kind.VOLTAGE_DC, "“hello” can't be read as DC voltage, such as 12 V."),
    ("hello", Kind.GAIN, "“hello” can't be read as hFE, such as 12."),
    ("9" * 81, Kind.VOLTAGE_DC, "That is too long for one value: at most 80 characters."),
]  # fmt: skip


@pytest.mark.parametrize("text,kind,sentence", REFUSED)
def test_what_can_not_be_read_is_refused_in_one_clear_sentence(text, kind, sentence):
    with pytest.raises(Unreadable) as refusal:
        parse(text, kind)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("text", ["1.2.3 V", "--5 V", "5 V V", "1/2 V", "12 V 5 W", "< 5 mV", "~5 V", "5 mmV", "5 mk",
    "1e5e5 V", "4k7k", "1_000 V", "٣ V", "½ V", "4²V", "0x10 V", "12 V;", "OL 5", "> OL", "1e5 OL", "5 \x00V", "F",
    "300 K", "5 h", "30 C", "R", "k", "µ", "-", "+", ".", ",", ">", "12 Vp", "5 AC", "5 ev", "5 fa",
    "5 Rohm"])  # fmt: skip
def test_nothing_is_guessed(text):
    with pytest.raises(Unreadable) as refusal:
        parse(text)
    assert str(refusal.value).endswith(".")


@pytest.mark.parametrize("text,kind", [("98.5 m", Kind.FREQUENCY), ("-4k7", Kind.FREQUENCY), ("-1 min", Kind.TIME),
    ("5 min", Kind.VOLTAGE_DC), ("77 °F", Kind.VOLTAGE_DC), ("104", Kind.INDUCTANCE), ("OL V", Kind.RESISTANCE),
    (">5k 5%", Kind.RESISTANCE), (">4k7J", Kind.RESISTANCE), ("1000000 °F", Kind.TEMPERATURE),
    ("1e30 °F", Kind.TEMPERATURE)])  # fmt: skip
def test_a_value_of_another_quantity_than_the_chosen_one_is_refused(text, kind):
    with pytest.raises(Unreadable):
        parse(text, kind)


def test_m_is_milli_and_capital_m_is_mega_always():
    """SI brochure, table 7."""
    assert parse("4m7", Kind.RESISTANCE).value == Decimal("0.0047")
    assert parse("4M7", Kind.RESISTANCE).value == Decimal(4700000)
    assert parse("1 mW").value == Decimal("0.001")
    assert parse("1 mHz").value == Decimal("0.001")
    assert parse("1 MHz").value == Decimal(1_000_000)


@pytest.mark.parametrize("kind", [kind for kind in Kind if kind is not Kind.LEVEL])
def test_a_value_beyond_the_bench_is_refused_and_one_just_under_it_read(kind):
    """Our own choice of limits; a zero is never too large, whatever its prefix."""
    top = Decimal(10) ** kind.facts.top
    assert parse(f"{top - 1} {kind.symbol}", kind).value == top - 1
    with pytest.raises(Unreadable):
        parse(f"{top} {kind.symbol}", kind)


def test_a_code_beyond_the_bench_is_refused_and_one_just_under_it_read():
    assert parse("9999T0", Kind.RESISTANCE).value == Decimal("9999E12")
    with pytest.raises(Unreadable):
        parse("10000T0", Kind.RESISTANCE)
    with pytest.raises(Unreadable):
        parse("100k0", Kind.VOLTAGE_DC)
    assert parse("99k9", Kind.VOLTAGE_DC).value == 99900


def test_zero_is_zero_with_any_prefix():
    assert parse("0 MV", Kind.VOLTAGE_DC).value == 0


@pytest.mark.parametrize("hostile",
    ["9" * 10_000_000, "4k" * 5_000_000, "(" * 10_000_000, " " * 10_000_000, "1e" + "9" * 10**7,
    "red " * 2_000_000], ids=["digits", "codes", "brackets", "blanks", "power", "bands"])  # fmt: skip
def test_ten_megabytes_are_refused_at_once(hostile):
    start = time.perf_counter()
    with pytest.raises(Unreadable, match="too long"):
        parse(hostile)
    assert time.perf_counter() - start < 0.05


@pytest.mark.parametrize("hostile", ["1" * 80, "1e" + "9" * 78, "." * 80, "5 " * 40, "5V " * 26, "±" * 80, "+-" * 40,
    "k" * 80, "1/2" * 26, "4k7" + " " * 76 + "V"])  # fmt: skip
def test_the_longest_text_that_is_looked_at_is_refused_at_once(hostile):
    start = time.perf_counter()
    with pytest.raises(Unreadable):
        parse(hostile)
    assert time.perf_counter() - start < 0.05


def test_a_long_or_unprintable_text_is_quoted_short_and_clean():
    with pytest.raises(Unreadable, match=r"^“a  b{27}…” can't be read"):
        parse("a\x00\x1b" + "b" * 60)
    with pytest.raises(Unreadable, match=r"^“x{30}” can't"):
        parse("x" * 30)


# --- laws ---------------------------------------------------------------------------------------------------------

ANY_KIND = st.sampled_from([None, *Kind])
BENCH_TEXT = st.text(
    alphabet="0123456789.,+-eE kKmMµuUnNpPrRVvAFHWLΩ/±%°C><OGTJinf()~=\u2212²٣\n\x00'", max_size=14
)


@given(st.one_of(st.text(max_size=90), BENCH_TEXT), ANY_KIND)
@example("1e999999999", Kind.VOLTAGE_DC)
@example("-0", Kind.RESISTANCE)
@example("0:\n:", Kind.VOLTAGE_DC)
def test_parse_raises_nothing_but_its_own_error(text, kind):
    try:
        quantity = parse(text, kind)
    except Unreadable as refusal:
        sentence = str(refusal)
        assert sentence.endswith(".")
        assert "\n" not in sentence
        assert len(sentence) < 200
    else:
        assert not quantity.value.is_nan()
        assert quantity.typed == text
        assert kind in {None, quantity.kind}


def _values_of(kind: Kind) -> st.SearchStrategy[Decimal]:
    """Values of up to twelve digits between a millionth of a millionth and the largest believable one."""
    sizes = st.builds(
        lambda digits, power: Decimal(digits).scaleb(power - len(str(digits))),
        st.integers(1, 10**12 - 1),
        st.integers(-14, kind.facts.top),
    )
    signs = st.sampled_from([1, -1] if kind.facts.signed else [1])
    values = st.builds(lambda size, sign: size * sign, sizes, signs) | st.just(Decimal(0))
    return values.filter(lambda one: kind is not Kind.TEMPERATURE or one > -273)


@pytest.mark.parametrize("kind", Kind)
@given(data=st.data())
def test_what_is_printed_in_full_reads_back_as_the_same_value(kind, data):
    value = data.draw(_values_of(kind))
    if kind.symbol in {"%", "°", "°C", "rpm", "dB", ""}:
        value = value.quantize(Decimal("1E-12")) if abs(value) < 10**6 else value
    quantity = Quantity(value, kind.symbol, kind)
    assert parse(str(quantity), kind) == quantity


@given(st.integers(0, 10**9), st.sampled_from(sorted(TAILS[Kind.RESISTANCE])))
def test_every_spelling_of_a_unit_scales_by_its_power_of_ten(digits, tail):
    spelt = TAILS[Kind.RESISTANCE][tail]
    expected = Decimal(digits).scaleb(int(spelt.exponent[1:] or 0))
    if expected.adjusted() < spelt.top or not expected:
        assert parse(f"{digits}{tail}", Kind.RESISTANCE).value == expected


@given(st.decimals(min_value=Decimal("0.001"), max_value=9999, places=3), st.booleans())
def test_comma_and_point_mean_the_same_unless_three_places_follow(value, spaced):
    typed = f"{value:.2f}{' ' if spaced else ''}V"
    assert parse(typed.replace(".", ",")) == parse(typed)


def test_a_quantity_made_quickly_is_the_same_as_one_made_slowly():
    slowly = Quantity(Decimal("4.7"), "V", Kind.VOLTAGE_DC, "4.7")
    quickly = measured(Decimal("4.7"), "V", Kind.VOLTAGE_DC, "4.7")
    assert quickly == slowly
    assert quickly.typed == slowly.typed
    assert repr(quickly) == repr(slowly)
    assert hash(quickly) == hash(slowly)


def test_two_quantities_are_equal_whatever_was_typed():
    assert parse("4700", Kind.RESISTANCE) == parse("4k7") == parse("4.7 kohm")


# --- against independent libraries --------------------------------------------------------------------------------

PINT = pint.UnitRegistry(non_int_type=Decimal)
PINT_UNITS = {
    "V": "volt",
    "A": "ampere",
    "Ω": "ohm",
    "Hz": "hertz",
    "F": "farad",
    "H": "henry",
    "W": "watt",
    "s": "second",
}


@pytest.mark.parametrize("text", ["12.6 V", "-12.6 V", "22 mV", "100 mA", "4.7 kohm", "10 MHz", "4.7 µF", "100 nF",
    "33 pF",
    "10 mH", "0.25 W", "15 ms", "2.2 megaohm", "1e-6 F"])  # fmt: skip
def test_plain_forms_are_read_as_pint_reads_them(text):
    ours = parse(text)
    assert PINT.Quantity(text).to(PINT_UNITS[ours.unit]).magnitude == ours.value


@pytest.mark.parametrize("text", ["12.6 V", "-12.6 V", "22mV", "100 mA", "4.7 kΩ", "10 MHz", "4.7µF", "4.7uF",
    "100nF",
    "10 mH", "0.25W", "15 ms", "1e-6 F", "33 pF", "2.2 MΩ"])  # fmt: skip
def test_plain_forms_are_read_as_quantiphy_reads_them(text):
    other = quantiphy.Quantity(text)
    ours = parse(text)
    assert float(ours.value) == pytest.approx(other.real, rel=1e-15)
    assert ours.unit == other.units


@pytest.mark.parametrize("value", ["0.00047", "47000", "0.0000000033", "12.6", "-0.022", "1500000", "0.1"])
@pytest.mark.parametrize("unit", ["V", "F", "Ω", "A", "Hz", "H", "W"])
def test_engineering_form_agrees_with_quantiphy(value, unit):
    other = quantiphy.Quantity(value, unit).render(prec=3, strip_zeros=True).replace("u", "µ")
    assert engineering(Decimal(value), unit).replace("−", "-") == other


def test_the_powers_of_the_prefixes_agree_with_pint():
    for prefix in "qryzafpnµmkMGTPEZYRQ":
        assert PINT.Quantity(f"1 {prefix}V").to("V").magnitude == Decimal(10) ** POWERS[prefix]


# --- one spelling for a search ------------------------------------------------------------------------------------


@pytest.mark.parametrize("text,spelling", [("4k7 0.25W", "4700 ohm 0.25 W"), ("4.7k\u2126 1/4W", "4700 ohm 0.25 W"),
    ("4µ7 63V", "0.0000047 F 63 V"), ("25 °C", "25 degC"), ("hFE 220", "220"), ("4k7 5%", "4700 ohm")])  # fmt: skip
def test_a_value_has_one_spelling_for_a_search(text, spelling):
    assert canonical(parse(text)) == spelling


def test_every_quantity_has_its_facts_and_its_tails():
    assert set(FACTS) == set(Kind)
    assert set(TAILS) == {None, *Kind}
    assert LONGEST == 80


@pytest.mark.parametrize(
    "typed,alone", [("ca. 12V", "12V"), ("about 650", "650"), ("~12 V", "12 V"), ("circa 5", "5")]
)
def test_what_is_only_about_a_value_is_no_reading(typed, alone):
    with pytest.raises(Unreadable, match=f"“{typed}” is no reading: type “{alone}” alone"):
        parse(typed, Kind.VOLTAGE_DC)
