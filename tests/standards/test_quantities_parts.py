"""What is printed on parts: RKM codes, three-digit codes, tolerance letters, colour bands, ratings behind a value.

Sources stand beside each check. "IEC 60062 (article)": the public article on the RKM code, looked up; "imprints": a
public article on ceramic capacitors' imprinted markings, looked up; "table": a public table of the code, looked up.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
import rkm_codes
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.quantities import (
    TOLERANCES,
    Kind,
    Quantity,
    Tolerance,
    Unreadable,
    parse,
    part_values,
    rkm,
)

OHM = Kind.RESISTANCE
FARAD = Kind.CAPACITANCE

# --- RKM codes ----------------------------------------------------------------------------------------------------

RKM_CODES = [
    # IEC 60062 (article)
    ("R47", OHM, "0.47"), ("4R7", OHM, "4.7"), ("470R", OHM, "470"), ("4K7", OHM, "4700"), ("47K", OHM, "47000"),
    ("47K3", OHM, "47300"), ("470K", OHM, "470000"), ("4M7", OHM, "4700000"), ("0R22", OHM, "0.22"),
    ("1G5", OHM, "1500000000"), ("1T", OHM, "1000000000000"),
    ("p33", FARAD, "0.33E-12"), ("3p3", FARAD, "3.3E-12"), ("33n", FARAD, "33E-9"), ("100n", FARAD, "1E-7"),
    # imprints
    ("µ47", FARAD, "0.47E-6"), ("4µ7", FARAD, "4.7E-6"), ("47µ", FARAD, "47E-6"),
    ("4m7", FARAD, "4.7E-3"), ("1F0", FARAD, "1"),
    # from memory: L for milliohm
    ("4L7", OHM, "0.0047"), ("47L", OHM, "0.047"),
    # common practice: a small k, the letter u, an ohm sign as the point
    ("4k7", OHM, "4700"), ("4u7", FARAD, "4.7E-6"), ("4Ω7", OHM, "4.7"), ("4r7", OHM, "4.7"),
]  # fmt: skip


@pytest.mark.parametrize("code,kind,value", RKM_CODES)
def test_an_rkm_code_is_read_exactly_whether_the_quantity_was_chosen_or_not(code, kind, value):
    chosen = parse(code, kind)
    assert (chosen.value, chosen.unit, chosen.kind, chosen.typed) == (Decimal(value), kind.symbol, kind, code)
    if code != "470K":
        assert parse(code) == chosen


@pytest.mark.parametrize("code,kind,value", RKM_CODES)
def test_the_rkm_library_reads_the_same(code, kind, value):
    rkm_codes.set_prefs(rkm_maps=rkm_codes.IEC60062_MAPS)
    other = rkm_codes.from_rkm(code)
    assert float(Decimal(value)) == pytest.approx(float(other), rel=1e-15)
    assert other.units == kind.symbol


@pytest.mark.parametrize("text,kind,value,unit", [
    ("5V1", None, "5.1", "V"), ("0V7", Kind.DIODE, "0.7", "V"), ("1A6", Kind.CURRENT_DC, "1.6",
    "A"),  # common practice
    ("0W25", None, "0.25", "W"), ("1H5", None, "1.5", "H"), ("3M579", Kind.FREQUENCY, "3579000", "Hz"),
    ("2k2", Kind.GAIN, "2200", ""), ("-5V2", None, "-5.2", "V"), ("-5V2", Kind.VOLTAGE_DC, "-5.2", "V"),
    ("4m7V", None, "0.0047", "V"), ("4u7H", Kind.INDUCTANCE, "0.0000047", "H"), ("4m7H", Kind.INDUCTANCE, "0.0047",
    "H"),
    ("4k7Ω", None, "4700", "Ω"), ("4k7 ohm", None, "4700", "Ω"), ("4R7 ohm", None, "4.7", "Ω"),
    ("4r7 ohm", OHM, "4.7", "Ω"),
    ("2k2Hz", None, "2200", "Hz"), ("10L", Kind.ESR, "0.010", "Ω")])  # fmt: skip
def test_a_letter_stands_for_the_point_in_other_quantities_too(text, kind, value, unit):
    quantity = parse(text, kind)
    assert (quantity.value, quantity.unit, quantity.tolerance) == (Decimal(value), unit, None)


# how resistors are sold: common practice, no source; the decimals by long division
FRACTIONS = [
    ("1/8W", "0.125"), ("1/4W", "0.25"), ("1/2W", "0.5"), ("3/4W", "0.75"), ("1/10 W", "0.1"), ("1/16W", "0.0625"),
    ("1/4 watt", "0.25"), ("1/2w", "0.5"), ("½W", "0.5"), ("¼ W", "0.25"), ("⅛W", "0.125"),
]  # fmt: skip


@pytest.mark.parametrize("text,watts", FRACTIONS)
def test_a_fraction_of_a_watt_alone_is_a_wattage_and_no_ohm(text, watts):
    for quantity in (parse(text), parse(text, Kind.POWER), *part_values(text)):
        assert (quantity.value, quantity.unit, quantity.kind) == (Decimal(watts), "W", Kind.POWER)
        assert quantity.typed == text
    for kind in (OHM, FARAD):
        with pytest.raises(Unreadable):
            parse(text, kind)


@pytest.mark.parametrize("text,ohms,watts", [("10/4W", 10, 4), ("47/2W", 47, 2), ("4k7 ½W", 4700, "0.5")])
def test_ohms_before_a_wattage_are_still_ohms(text, ohms, watts):
    (quantity,) = part_values(text)
    assert (quantity.value, quantity.unit, quantity.rating.value) == (ohms, "Ω", Decimal(watts))


@pytest.mark.parametrize("text", ["1½W", "1½ W", "1/3W", "1/2 V"])
def test_a_fraction_that_is_no_wattage_is_not_made_one(text):
    try:
        readings = part_values(text)
    except Unreadable:
        return
    assert all(reading.unit != "W" for reading in readings)


@pytest.mark.parametrize("text,kind,sentence", [
    ("473M", None, "“473M” could be 473 MΩ or a capacitor of code 473 ±20 %: say which quantity it is."),
    ("470K", None, "“470K” could be 470 kΩ or a capacitor of code 470 ±10 %: say which quantity it is."),
    ("4u7H", None, "“4u7H” could be a coil in henry or a capacitor of tolerance H: say which quantity it is."),
    ("22m", None, "“22m” needs a unit, or say which quantity it is.")])  # fmt: skip
def test_a_code_with_two_readings_is_not_decided(text, kind, sentence):
    with pytest.raises(Unreadable) as refusal:
        parse(text, kind)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize("text,kind", [("4M7", FARAD), ("4k7", FARAD), ("4n7", OHM), ("4p7", OHM), ("4L7", FARAD),
    ("4R7", Kind.INDUCTANCE),
    ("4.7k7", None), ("4k7X", None), ("4R7V", None), ("4R7 kohm", None), ("4l7", None), ("47E", None), ("k", OHM),
    ("R", OHM),
    ("5V1J", None), ("4k7", Kind.TEMPERATURE), ("-4n7", FARAD), ("4k7JJ", None), ("-7L", Kind.ESR),
    ("4µ7P", FARAD)])  # fmt: skip
def test_a_code_of_another_part_is_refused(text, kind):
    with pytest.raises(Unreadable):
        parse(text, kind)


# --- tolerance letters --------------------------------------------------------------------------------------------

# from memory, the well-known table of IEC 60062
LETTERS = {
    "E": "0.005", "L": "0.01", "P": "0.02", "W": "0.05", "B": "0.1", "C": "0.25", "D": "0.5", "F": "1", "G": "2",
    "H": "3", "J": "5", "K": "10", "M": "20", "N": "30",
}  # fmt: skip
UNEVEN = {"Q": ("10", "30"), "T": ("10", "50"), "S": ("20", "50"), "Z": ("20", "80")}


@pytest.mark.parametrize("letter", LETTERS)
def test_a_tolerance_letter_means_its_percent(letter):
    percent = Decimal(LETTERS[letter])
    quantity = parse(f"4K7{letter}", OHM)
    assert quantity.value == 4700
    assert quantity.tolerance == Tolerance(percent, percent)


@pytest.mark.parametrize("letter", UNEVEN)
def test_an_uneven_tolerance_letter_means_less_below_than_above(letter):
    below, above = UNEVEN[letter]
    assert parse(f"100n{letter}", FARAD).tolerance == Tolerance(Decimal(below), Decimal(above))


@pytest.mark.parametrize("code", ["4u7H", "4U7H", "4m7H", "4n7H", "4\u03bc7H"])
def test_henry_and_the_tolerance_h_are_not_confused(code):
    with pytest.raises(Unreadable, match="a coil in henry or a capacitor of tolerance H"):
        parse(code)
    assert parse(code, FARAD).tolerance == TOLERANCES["H"]
    assert parse(code, Kind.INDUCTANCE).tolerance is None
    assert parse(code.replace("H", "J"), Kind.INDUCTANCE).tolerance == TOLERANCES["J"]


def test_there_are_no_other_tolerance_letters():
    assert set(TOLERANCES) == set(LETTERS) | set(UNEVEN)


@pytest.mark.parametrize(
    "letter,picofarads", [("B", "0.1"), ("C", "0.25"), ("D", "0.5"), ("F", "1"), ("G", "2")]
)
def test_below_ten_picofarads_the_small_letters_are_picofarads(letter, picofarads):
    """Confirmed by a public capacitor table."""
    width = Decimal(picofarads) * Decimal("1E-12")
    marked = f"9R9{letter}"
    assert parse(marked, FARAD).tolerance == Tolerance(width, width, "F")
    assert parse(marked, FARAD).limits == (Decimal("9.9E-12") - width, Decimal("9.9E-12") + width)
    at_ten = parse(f"10p{letter}", FARAD).tolerance
    assert at_ten is None if letter == "F" else at_ten == TOLERANCES[letter]


def test_a_capital_f_behind_a_code_with_its_letter_in_the_points_place_is_its_tolerance():
    """IEC 60062:2016, 4.3 and table of tolerance letters (from memory): F is ±1 %, and ±1 pF up to 10 pF."""
    assert parse("1n5F").tolerance == parse("4k7F").tolerance == TOLERANCES["F"]
    assert parse("4p7F").tolerance == Tolerance(Decimal("1E-12"), Decimal("1E-12"), "F")
    assert parse("1.5nF").tolerance is None  # there the F is the farad


@pytest.mark.parametrize("text,kind,value,percent", [
    # EIA-96 (IEC 60062:2016, annex; from memory): the two digits count E96 values, the letter is the power of ten
    ("01C", OHM, "10000", 1), ("68X", OHM, "49.9", 1), ("96Z", OHM, "0.976", 1), ("30D", OHM, "200000", 1),
    # a rated voltage before the code (JIS C 5101, from memory): 2A is 100 V
    ("2A104J", FARAD, "1E-7", 5), ("1H223K", FARAD, "22E-9", 10),
    ("1H473K", None, "47E-9", 10), ("2E104K", None, "1E-7", 10), ("2V104J", None, "1E-7", 5),
    # a fraction alone on a capacitor is microfarad (common practice, no source)
    (".022", FARAD, "22E-9", None), ("0.1", FARAD, "1E-7", None),
])  # fmt: skip
def test_codes_that_are_less_common_are_read_too(text, kind, value, percent):
    quantity = parse(text, kind)
    assert quantity.value == Decimal(value)
    assert (quantity.tolerance.above if quantity.tolerance else None) == percent


def test_a_rated_voltage_before_the_code_is_told():
    assert [(one.value, one.unit) for one in parse("2A104J", FARAD).ratings] == [(Decimal(100), "V")]


@pytest.mark.parametrize("letter", "ELPW")
def test_letters_on_which_capacitor_tables_disagree_are_refused_there(letter):
    with pytest.raises(Unreadable, match=f"letter {letter} means different things on capacitors"):
        parse(f"104{letter}", FARAD)


def test_tolerances_bound_a_value():
    assert parse("4K7J").limits == (Decimal(4465), Decimal(4935))
    assert parse("100nZ").limits == (Decimal("8E-8"), Decimal("1.8E-7"))
    assert Tolerance(Decimal(5), Decimal(5)).limits(Decimal(-100)) == (-105, -95)
    assert parse("4k7").limits is None


# --- three digits on a capacitor ----------------------------------------------------------------------------------


@pytest.mark.parametrize("code,value,percent", [
    ("104", "1E-7", None), ("473M", "47E-9", 20), ("105K", "1E-6", 10),  # imprints
    ("103", "1E-8", None), ("223", "22E-9", None), ("101", "100E-12", None), ("102", "1E-9", None), ("107",
    "1E-4", None),  # table
    ("474J", "470E-9", 5), ("104J", "1E-7", 5), ("470J", "47E-12", 5), ("220K", "22E-12", 10),
    ("100B", "10E-12", "0.1"), ("990G", "99E-12", 2),
])  # fmt: skip
def test_three_digits_on_a_capacitor_are_picofarads(code, value, percent):
    quantity = parse(code, FARAD)
    assert (quantity.value, quantity.unit, quantity.kind) == (Decimal(value), "F", FARAD)
    assert quantity.tolerance == (percent and Tolerance(Decimal(percent), Decimal(percent)))


@pytest.mark.parametrize("kind", [None, FARAD])
def test_three_digits_and_a_capital_f_are_a_code_or_farad(kind):
    for code in ("104F", "999F", "100F"):
        with pytest.raises(Unreadable, match=f"“{code}” could be {code[:3]} farad or a code with ±1 %"):
            parse(code, kind)
    assert parse("104 F", kind).value == 104
    assert parse("99F", kind).value == 99
    assert parse("1.04F", kind).value == Decimal("1.04")


@pytest.mark.parametrize("code,value", [("4R7", "4.7E-12"), ("R50", "0.50E-12"), ("2R2", "2.2E-12")])
def test_an_r_in_a_capacitors_code_is_the_point_in_picofarads(code, value):
    """From memory: the same code."""
    assert parse(code, FARAD).value == Decimal(value)


@pytest.mark.parametrize("code,words", [("109", "Published tables disagree on the code “109”"), ("108J",
    "Published tables disagree"),
    ("100", "“100” could be 10 pF as a code or 100 as a number"), ("470",
    "could be 47 pF as a code or 470 as a number")])  # fmt: skip
def test_a_code_that_tables_read_in_two_ways_is_refused(code, words):
    """One public table reads 109 as 10 000 µF, EIA practice (from memory) as 1 pF; 100 as 10 pF or 100 pF."""
    with pytest.raises(Unreadable, match=words):
        parse(code, FARAD)


@pytest.mark.parametrize("code", ["010", "047", "1044", "10", "104X", "104k", "104 J x", "04"])
def test_what_is_no_three_digit_code_is_refused(code):
    with pytest.raises(Unreadable):
        parse(code, FARAD)


# --- colour bands -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bands,value,percent", [
    ("brown black red gold", "1000", "5"), ("yellow violet red gold", "4700", "5"), ("red red orange gold", "22000",
    "5"),  # table
    ("brown black black gold brown", "10", "1"), ("red red blue brown brown", "2260",
    "1"),  # table; an article's photograph
    ("Yellow Violet Red", "4700", "20"), ("orange orange black silver", "33", "10"),
    ("red violet gold gold", "2.7", "5"), ("red violet silver gold", "0.27", "5"), ("red violet pink gold", "0.027",
    "5"),
    ("brown green green red", "1500000", "2"), ("blue grey white green", "68E9", "0.5"), ("grey red yellow blue",
    "820000", "0.25"),
    ("white brown purple violet", "910E6", "0.1"), ("brown black black orange brown red", "100000", "1"),
    ("ye vt rd gd", "4700", "5"), ("BN-BK-OG-SR", "10000", "10"), ("gray/red/brown/golden", None, None),
    ("gray, red, brown", "820", "20"),
])  # fmt: skip
def test_colour_bands_are_read_by_the_table_of_iec_60062(bands, value, percent):
    if value is None:
        with pytest.raises(Unreadable):
            parse(bands)
        return
    quantity = parse(bands)
    assert (quantity.value, quantity.unit, quantity.kind) == (Decimal(value), "Ω", OHM)
    assert quantity.tolerance == Tolerance(Decimal(percent), Decimal(percent))
    assert quantity.typed == bands
    assert parse(bands, OHM) == quantity


@pytest.mark.parametrize("band", ["orange", "yellow", "grey"])
def test_a_band_on_which_tables_disagree_leaves_the_tolerance_open(band):
    """Orange 0.05 or 3, yellow 0.02 or 4, grey 0.01, 0.05 or 0.1 percent: four public tables."""
    quantity = parse(f"brown black black brown {band}")
    assert (quantity.value, quantity.tolerance) == (Decimal(1000), None)


def test_a_single_black_band_is_a_bridge():
    """Common practice."""
    bridge = parse("Black")
    assert (bridge.value, bridge.unit, bridge.tolerance, bridge.kind, bridge.typed) == (
        0,
        "Ω",
        None,
        OHM,
        "Black",
    )


@pytest.mark.parametrize("bands,sentence", [
    ("gold red violet yellow", "Gold is no figure: read the bands from the other end."),
    ("brown silver red gold", "Silver is no figure: read the bands from the other end."),
    ("black brown red gold", "No resistor's code begins with black: read the bands from the other end."),
    ("brown black red white", "White is no tolerance: read the bands from the other end."),
    ("brown black red black", "Black is no tolerance: read the bands from the other end."),
    ("brown black black red brown gold", "Gold is no temperature coefficient: read the bands from the other end."),
    ("brown black black red brown white", "White is no temperature coefficient: read the bands from the other end."),
    ("brown black", "A resistor has three to six bands: name them all, from the end they are nearest to."),
    ("red", "A resistor has three to six bands: name them all, from the end they are nearest to.")])  # fmt: skip
def test_bands_that_no_resistor_has_are_refused(bands, sentence):
    with pytest.raises(Unreadable) as refusal:
        parse(bands)
    assert str(refusal.value) == sentence


@pytest.mark.parametrize(
    "bands", ["brown black red gold red brown red", "brown blak red", "brown 2 red", "black black black"]
)
def test_what_are_no_bands_is_refused(bands):
    with pytest.raises(Unreadable):
        parse(bands)


# --- ratings and tolerances behind a value: common practice -------------------------------------------------------


def _extras(quantity: Quantity) -> list[tuple[str, str]]:
    return [(str(rating.value), rating.unit) for rating in quantity.ratings]


@pytest.mark.parametrize("text,kind,value,ratings,percent", [
    ("4µ7 63V", None, "4.7E-6", [("63", "V")], None),
    ("4.7µF/63V", None, "4.7E-6", [("63", "V")], None),
    ("4.7 µF 63 V", None, "4.7E-6", [("63", "V")], None),
    ("4,7µF, 6,3V", None, "4.7E-6", [("6.3", "V")], None),
    ("105K 330V", FARAD, "1E-6", [("330", "V")], 10),  # imprints
    ("104 630V", None, "1E-7", [("630", "V")], None),
    ("104J/630VDC", None, None, None, None),
    ("4k7 0.25W", None, "4700", [("0.25", "W")], None),
    ("4k7 1/4W", None, "4700", [("0.25", "W")], None),
    ("10 kΩ 1/8 W", None, "10000", [("0.125", "W")], None),
    ("4k7/1/2W", None, "4700", [("0.5", "W")], None),
    ("4k7 5% 1/4W", None, "4700", [("0.25", "W")], 5),
    ("4k7J 0.25W", None, "4700", [("0.25", "W")], 5),
    ("4k7J 5 %", None, "4700", [], 5),
    ("4k7 ±1%", None, "4700", [], 1),
    ("4k7±1%", None, "4700", [], 1),
    ("4k7 +/-2 %", None, "4700", [], 2),
    ("100µF 25V 105°C 20%", None, "1E-4", [("25", "V"), ("105", "°C")], 20),
    ("10n 250VAC", None, "1E-8", [("250", "V")], None),
    ("100µ 450WV", None, "1E-4", [("450", "V")], None),
    ("0.22 mfd 400 WVDC", None, "2.2E-7", [("400", "V")], None),
    ("100n 1kV", None, "1E-7", [("1E+3", "V")], None),
    ("10 mH 2A", None, "0.010", [("2", "A")], None),
    ("4700 2W", OHM, "4700", [("2", "W")], None),
    ("4k7;0.25W", None, "4700", [("0.25", "W")], None),
])  # fmt: skip
def test_a_parts_rating_and_tolerance_are_read_behind_its_value(text, kind, value, ratings, percent):
    if value is None:
        with pytest.raises(Unreadable):
            parse(text, kind)
        return
    quantity = parse(text, kind)
    assert quantity.value == Decimal(value)
    assert _extras(quantity) == ratings
    assert quantity.tolerance == (percent and Tolerance(Decimal(percent), Decimal(percent)))
    assert quantity.typed == text


@pytest.mark.parametrize("text,rating_kind", [("100n 63V", None), ("100n 250VAC", Kind.VOLTAGE_AC),
    ("100n 63 VDC", Kind.VOLTAGE_DC),
    ("100n 63WV", Kind.VOLTAGE_DC), ("4k7 0.25W", Kind.POWER), ("4k7 0.25 W", Kind.POWER),
    ("100n 85°C", Kind.TEMPERATURE)])  # fmt: skip
def test_a_rating_says_its_quantity_where_the_unit_tells(text, rating_kind):
    rating = parse(text).rating
    assert rating is not None
    assert rating.kind is rating_kind
    assert rating.typed == text.partition(" ")[2].replace(" ", "")


def test_a_part_without_a_rating_has_none():
    assert parse("4k7").rating is None


@pytest.mark.parametrize("lower", [2, 4, 5, 8, 10, 16, 20, 32])
def test_a_wattage_may_be_a_fraction(lower):
    assert parse(f"4k7 1/{lower}W").ratings[0].value == Decimal(1) / lower


@pytest.mark.parametrize("text,below,above", [("100µ -20/+80%", "20", "80"), ("100µ +80/-20 %", "20", "80"),
    ("100µ -10%/+50%", "10", "50"),
    ("100µ -20+80%", "20", "80")])  # fmt: skip
def test_an_uneven_tolerance_is_read_in_either_order(text, below, above):
    assert parse(text).tolerance == Tolerance(Decimal(below), Decimal(above))


def test_a_tolerance_in_picofarads_is_read():
    assert parse("4.7 pF ±0.25 pF").tolerance == Tolerance(Decimal("2.5E-13"), Decimal("2.5E-13"), "F")


@pytest.mark.parametrize("text", ["12 V 5 W", "5 Hz 5%", "100n 0V", "4k7 0%", "100n 63V 50V", "4k7J 10%",
    "4k7 5% 1%", "100n 5 Hz", "100n 63",
    "4k7 3/4W/", "4k7 5/4W", "4k7 1/3W", "4k7 4/4W", "100µ -20/-0%", "100µ +0/+20%", "4k7 1/0W", "63V 100n",
    "100n 1 2 3 4 5V", "100n 63V 85°C 2A 1W 5%",
    "100n +20+80%",
    "100n -20-80%", "10 63V", "104 5W", "100n 500kV", "100n 6,300V", "104X 63V", "hello 63V", "/63V", " 63V 5%",
    "4k7 kW"])  # fmt: skip
def test_an_extra_that_makes_no_sense_is_refused(text):
    with pytest.raises(Unreadable):
        parse(text)


@pytest.mark.parametrize("text,sentence", [("100n 63V 50V", "Two ratings in the same unit for one part: type one."),
    ("4k7J 10%", "Two tolerances for one part: type one."), ("4k7 5% 1%", "Two tolerances for one part: type one."),
    ("105K 330V", "“105K” could be 105 kΩ or a capacitor of code 105 ±10 %: say which quantity it is.")])  # fmt: skip
def test_an_extra_said_twice_is_refused_in_a_sentence(text, sentence):
    with pytest.raises(Unreadable) as refusal:
        parse(text)
    assert str(refusal.value) == sentence


@given(
    st.integers(1, 99),
    st.sampled_from("RkMnµp"),
    st.integers(0, 99),
    st.sampled_from(["63V", "63 V", "0.25W", "0.25 W"]),
)
def test_the_quick_way_and_the_slow_way_read_a_rated_part_alike(whole, letter, part, rating):
    """A blank too many sends the same text the slow way."""
    quick, slow = parse(f"{whole}{letter}{part} {rating}"), parse(f"{whole}{letter}{part}  {rating}")
    assert quick == slow
    assert quick.ratings[0].typed == slow.ratings[0].typed


UNITS = {"Ω": OHM, "F": FARAD, "H": Kind.INDUCTANCE}

# --- every reading of a marking, for a search ---------------------------------------------------------------------


@pytest.mark.parametrize("text,readings", [
    ("4k7 0.25W", ["4.7 kΩ 0.25 W"]), ("4.7k 0.25W", ["4.7 kΩ 0.25 W"]), ("1.5M", ["1.5 MΩ"]), ("100n", ["100 nF"]),
    ("473M", ["473 MΩ", "47 nF ±20 %"]), ("105K 330V", ["105 kΩ 330 V", "1 µF ±10 % 330 V"]), ("1.5m", ["1.5 mΩ",
    "1.5 mF"]),
    ("104", ["100 kΩ", "100 nF"]), (" 472 ", ["4.7 kΩ", "4.7 nF"]), ("100", ["10 Ω", "10 pF", "100 pF"]),
    # 330 on a disc capacitor is 33 pF by the code, 330 pF where the number itself stands there: common practice, no source
    ("330", ["33 Ω", "33 pF", "330 pF"]),
    # voltage codes 1H 50 V, 1V 35 V, 2A 100 V, 1A 10 V of IEC 60062 without a tolerance letter, from memory
    ("1H104", ["100 nF 50 V"]), ("1V106", ["10 µF 35 V"]), ("2A104", ["100 nF 100 V"]), ("1A226", ["22 µF 10 V"]),
    # three figures, a power and a tolerance letter on a 1 % resistor: makers' sheets, from memory
    ("1001F", ["1 kΩ ±1 %"]), ("4702J", ["47 kΩ ±5 %"]), ("1000F", ["100 Ω ±1 %"]), ("108", ["1 GΩ"]),
    ("47 0.25W", ["47 Ω 0.25 W"]),
    ("10 mH", ["10 mH"]), ("63V", ["63 V"]), ("104J", ["100 nF ±5 %"]), ("0.1µ 0.5W", []), ("47", []), ("4700", []),
    ("", []), ("resistor", []),
])  # fmt: skip
def test_a_search_gets_every_reading_of_a_marking(text, readings):
    if not readings:
        with pytest.raises(Unreadable):
            part_values(text)
        return
    found = part_values(text)
    assert [str(quantity) for quantity in found] == readings
    assert all(quantity.typed == text for quantity in found)
    assert all(
        quantity.kind is (None if quantity.unit == "V" else UNITS[quantity.unit]) for quantity in found
    )


# --- printing a code ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("code,kind,value", [row for row in RKM_CODES if row[0] not in
    {"4k7", "4u7", "4Ω7", "4r7", "0R22", "33n", "100n", "47L", "1F0"}])  # fmt: skip
def test_a_value_is_marked_by_the_code_it_was_read_from(code, kind, value):
    written = {"µ47": "470n", "1T": "1T"}.get(code, code)
    assert rkm(Decimal(value), kind) == written


@pytest.mark.parametrize("value,kind,code", [("0.22", OHM, "R22"), ("0.047", OHM, "R047"), ("0.001", OHM, "R001"),
    ("0.0005", OHM, "L5"),
    ("0.4705", OHM, "470L5"), ("0", OHM, "0R"), ("0", FARAD, "0p"), ("1E-7", FARAD, "100n"), ("33E-9", FARAD, "33n"),
    ("1", FARAD, "1F"),
    ("1000", OHM, "1K"), ("999", OHM, "999R"), ("1500", OHM, "1K5"), ("10.0", OHM, "10R"),
    ("0.01E-12", FARAD, "p01")])  # fmt: skip
def test_other_values_are_marked_in_the_same_way(value, kind, code):
    assert rkm(Decimal(value), kind) == code


@pytest.mark.parametrize(
    "value,kind",
    [("-1", OHM), ("Infinity", OHM), ("NaN", FARAD), ("5", Kind.VOLTAGE_DC), ("5", Kind.INDUCTANCE)],
)
def test_what_has_no_code_is_not_marked(value, kind):
    with pytest.raises(ValueError, match="RKM code"):
        rkm(Decimal(value), kind)


VALUES = st.builds(
    lambda figures, power: Decimal(figures).scaleb(power), st.integers(0, 9999), st.integers(-6, 9)
)


@given(VALUES)
def test_a_resistors_code_reads_back_as_its_value(ohms):
    assert parse(rkm(ohms, OHM), OHM).value == ohms


@given(VALUES)
def test_a_capacitors_code_reads_back_as_its_value(figures):
    farads = figures.scaleb(-12)
    assert parse(rkm(farads, FARAD), FARAD).value == farads


@given(VALUES)
def test_the_rkm_library_reads_our_codes_as_we_wrote_them(ohms):
    rkm_codes.set_prefs(rkm_maps=rkm_codes.IEC60062_MAPS)
    assert float(rkm_codes.from_rkm(rkm(ohms, OHM))) == pytest.approx(float(ohms), rel=1e-12)


# E stands for the ohm on circuit diagrams of Philips and others (from memory), and for a power of ten on a keyboard
@pytest.mark.parametrize(
    "text,ohm", [("4E7", "4.7"), ("0E22", "0.22"), ("1E5", "1.5"), ("E47", "0.47"), ("220E", "220")]
)
def test_an_e_on_a_resistor_is_its_decimal_point(text, ohm):
    (found,) = part_values(text)
    assert (found.value, found.unit) == (Decimal(ohm), "Ω")


@pytest.mark.parametrize("text", ["4E7", "1E5"])
def test_an_e_between_figures_is_not_guessed_in_a_reading(text):
    with pytest.raises(Unreadable, match="could be"):
        parse(text, Kind.RESISTANCE)
    assert parse(text.lower(), Kind.RESISTANCE).value == Decimal(text)


# the zero of the Kelvin scale: SI brochure, 2.3.1
@pytest.mark.parametrize("text", ["-500 °F", "-300 °C", "-1 K", "-459.68 °F"])
def test_nothing_is_colder_than_absolute_zero(text):
    with pytest.raises(Unreadable, match="absolute zero"):
        parse(text, Kind.TEMPERATURE)
    assert parse("-273.15 °C", Kind.TEMPERATURE).value == Decimal("-273.15")


# EIA-96: 12 is 130, 30 is 200, 10 is 124; A times 1, H times 10, F times 100,000: IEC 60062:2016, from memory
@pytest.mark.parametrize(
    "text,readings",
    [("12A", ["12 A", "130 Ω ±1 %"]), ("30H", ["30 H", "2 kΩ ±1 %"]), ("10F", ["10 F", "12.4 MΩ ±1 %"])],
)
def test_a_chips_code_that_looks_like_another_unit_is_told_beside_it(text, readings):
    assert [str(one) for one in part_values(text, chips=True)] == readings
    assert len(part_values(text)) == 1
