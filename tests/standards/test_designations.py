"""Device designations against the registers' published letters and worked examples."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.designations import (
    Designation,
    Match,
    NoDesignation,
    Polarity,
    Register,
    compare,
    flag_against_register,
    read_designation,
)

LINES = ("ZQ", "XR-")  # invented replacement lines


def only(marking: str) -> Designation:
    (found,) = read_designation(marking, LINES)
    return found


def said(marking: str) -> str:
    return "; ".join(only(marking).says)


# --- JIS C 7012 ---------------------------------------------------------------------------------------------


# Worked splits; the forms follow owiki.org and ness2u.xyz, JIS semiconductor designation.
@pytest.mark.parametrize(
    "marking, type_number, revision, group",
    [
        ("2SC1815-GR", "2SC1815", "", "GR"),
        ("2SC1815GR", "2SC1815", "", "GR"),
        ("2SC1815 GR", "2SC1815", "", "GR"),
        ("2SC1815(GR)", "2SC1815", "", "GR"),
        ("2sc1815–gr", "2SC1815", "", "GR"),
        ("2SK117BL", "2SK117", "", "BL"),
        ("2SK30A-Y", "2SK30", "A", "Y"),
        ("2SK30A", "2SK30", "A", ""),
        ("2SC5200(O)", "2SC5200", "", "O"),
        ("2SA726S", "2SA726", "", "S"),
        ("3SK59", "3SK59", "", ""),
        ("1S1588", "1S1588", "", ""),
        ("1SS133", "1SS133", "", ""),
    ],
)
def test_a_japanese_type_is_split_into_number_version_and_group(marking, type_number, revision, group):
    found = only(marking)
    assert found.register is Register.JIS
    assert (found.type_number, found.revision, found.group) == (type_number, revision, group)
    assert not found.completed
    assert found.marking == marking


# Letters of owiki.org, M and Q of the same page; A to D, J and K tell the polarity.
@pytest.mark.parametrize(
    "letter, words, polarity",
    [
        ("A", "PNP transistor, registered for high frequency", Polarity.PNP),
        ("B", "PNP transistor, registered for low (audio) frequency", Polarity.PNP),
        ("C", "NPN transistor, registered for high frequency", Polarity.NPN),
        ("D", "NPN transistor, registered for low (audio) frequency", Polarity.NPN),
        ("E", "diode (Esaki)", None),
        ("F", "thyristor", None),
        ("G", "Gunn device", None),
        ("H", "unijunction transistor", None),
        ("J", "field-effect transistor, P-channel", Polarity.P_CHANNEL),
        ("K", "field-effect transistor, N-channel", Polarity.N_CHANNEL),
        ("M", "triac", None),
        ("Q", "light-emitting diode", None),
        ("R", "rectifier", None),
        ("S", "signal diode", None),
        ("T", "avalanche diode", None),
        ("V", "variable-capacitance diode", None),
        ("Z", "Zener diode", None),
    ],
)
def test_each_japanese_letter_says_what_the_device_is(letter, words, polarity):
    found = only(f"2S{letter}123")
    assert found.says[0].startswith(words)
    assert found.polarity is polarity


# ipcb.com news 4618 and chipstores.com: the digit is the number of active terminals less one, 0 for photo devices.
@pytest.mark.parametrize(
    "marking, words",
    [
        ("0S20", "photo device"),
        ("1S1588", "diode"),
        ("2S301", "three terminals"),
        ("3SK59", "four terminals"),
    ],
)
def test_the_digit_says_how_many_terminals_are_active(marking, words):
    assert words in said(marking)


def test_a_four_terminal_type_says_its_letter_too():
    assert said("3SK59").endswith("letter K: field-effect transistor, N-channel")
    assert said("1S1588") == "diode"


# chipstores.com: numbers begin at 11.
def test_japanese_numbers_begin_at_eleven():
    assert only("2SA11").register is Register.JIS
    assert only("2SA10").register is Register.NONE
    assert only("2SA9").register is Register.NONE


# Data sheet of 2SC1815: O 70-140, Y 120-240, GR 200-400, BL 350-700.
@pytest.mark.parametrize(
    "group, colour, band",
    [
        ("O", "orange", "70 to 140"),
        ("Y", "yellow", "120 to 240"),
        ("GR", "green", "200 to 400"),
        ("BL", "blue", "350 to 700"),
    ],
)
def test_a_colour_group_names_its_band_and_that_other_types_differ(group, colour, band):
    assert f"gain group {group} ({colour}): hFE {band} on one small-signal type, others differ" in said(
        f"2SC1815-{group}"
    )


def test_other_groups_send_the_person_to_the_data_sheet():
    assert "gain group R (red): its band is in the data sheet" in said("2SC458-R")
    assert "gain group V (violet): its band" in said("2SA970-V")
    assert "gain group S: its band" in said("2SA726S")
    assert "I_DSS group BL (blue): its band" in said("2SK117BL")


def test_use_is_wording_only_and_material_is_not_said():
    assert only("2SC1815").silent_on == (
        "the use: high or audio frequency is the wording of the register only",
        "silicon or germanium",
        "ratings",
        "pinout",
    )
    assert only("2SK117").silent_on == ("silicon or germanium", "ratings", "pinout")


def test_a_letter_right_after_the_number_may_be_a_version_or_a_group():
    assert "letter E: an improved version" in said("2SD1047E")
    assert "whether E is a version or a gain group" in only("2SD1047E").silent_on
    assert "whether A is a version or a gain group" not in only("2SK30A-Y").silent_on
    assert "letter H: an improved version" in said("2SD1047H")
    assert "gain group I" in said("2SD1047I")
    assert only("2SC1815BL").group == "BL"
    assert only("2SC1815B").revision == "B"


def test_an_unknown_suffix_does_not_hide_the_type():
    found = only("2SA1015L-GR")
    assert (found.type_number, found.suffix, found.group) == ("2SA1015", "LGR", "")
    assert "the suffix L-GR" in found.silent_on


# owiki.org: D965 may be 2SD965 or BD965, C1815 is 2SC1815.
def test_a_marking_without_its_prefix_is_read_both_ways():
    japanese, european = read_designation("D965")
    assert (japanese.type_number, japanese.register, japanese.completed) == ("2SD965", Register.JIS, True)
    assert (european.type_number, european.register, european.completed) == (
        "BD965",
        Register.PRO_ELECTRON,
        True,
    )
    assert only("C1815").type_number == "2SC1815"
    assert [one.type_number for one in read_designation("C547B")] == ["2SC547", "BC547"]


@pytest.mark.parametrize(
    "marking, expected",
    [
        ("A733", ["2SA733"]),
        ("B56", ["2SB56"]),
        ("K117BL", ["2SK117"]),
        ("J74", ["2SJ74"]),
        ("F245A", ["BF245"]),
        ("S170", ["BS170"]),
        ("U406", ["BU406"]),
        ("L45", ["L45"]),
        ("C9", ["C9"]),
        ("E13005", ["E13005"]),
        ("D123456", ["D123456"]),
    ],
)
def test_only_the_letters_that_are_met_alone_get_a_prefix_back(marking, expected):
    assert [one.type_number for one in read_designation(marking)] == expected


# --- JEDEC --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "marking, type_number, suffix, words",
    [
        ("2N3055", "2N3055", "", "three terminals"),
        ("2N1301", "2N1301", "", "three terminals"),
        ("3N201", "3N201", "", "four terminals"),
        ("1N4148", "1N4148", "", "two terminals: a diode"),
        ("2N2222A", "2N2222", "A", "suffix A: a later version"),
        ("4N25", "4N25", "", "mostly an optocoupler"),
        ("1N1183R", "1N1183", "R", "letter R: reversed polarity"),
        ("2N3055 AB", "2N3055", "AB", "suffix AB: a later version"),
        ("2N706R", "2N706", "R", "suffix R: a later version"),
        ("6N136", "6N136", "", "7 terminals"),
    ],
)
def test_an_american_type_says_its_terminals_and_little_else(marking, type_number, suffix, words):
    found = only(marking)
    assert (found.register, found.type_number, found.suffix) == (Register.JEDEC, type_number, suffix)
    assert words in said(marking)


# ipcb.com: 2N3055 is silicon NPN, 2N1301 germanium PNP; nothing in the number tells them apart.
def test_an_american_number_keeps_polarity_and_material_to_itself():
    assert only("2N3055").says == only("2N1301").says
    assert only("2N3055").polarity is None
    assert only("2N3055").silent_on == ("polarity", "silicon or germanium", "the use", "ratings", "pinout")
    assert "polarity" not in only("1N4148").silent_on
    assert "the suffix -XYZ9" in only("2N3055-XYZ9").silent_on


# --- Pro Electron -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "letter, material",
    [
        ("A", "germanium"),
        ("B", "silicon"),
        ("C", "gallium arsenide"),
        ("D", "indium antimonide"),
        ("R", "compound"),
    ],
)
def test_the_first_european_letter_is_the_material(letter, material):
    assert said(f"{letter}C128").startswith(material)


# educypedia.karadimov.info transistorcode; pjmnc.free.fr transistors_codes.
@pytest.mark.parametrize(
    "letter, function",
    [
        ("A", "diode, signal or low power"),
        ("B", "variable-capacitance diode"),
        ("C", "transistor, audio frequency, small signal"),
        ("D", "transistor, audio frequency, power"),
        ("E", "tunnel diode"),
        ("F", "transistor, radio frequency, small signal"),
        ("G", "multiple or miscellaneous"),
        ("H", "magnetic-sensitive diode"),
        ("K", "Hall device in an open"),
        ("L", "transistor, radio frequency, power"),
        ("M", "Hall device in a closed"),
        ("N", "optocoupler"),
        ("P", "radiation-sensitive"),
        ("Q", "radiation-emitting"),
        ("R", "thyristor or the like, low power"),
        ("S", "transistor, switching, low power"),
        ("T", "thyristor or the like, power"),
        ("U", "transistor, switching, power"),
        ("W", "surface-acoustic-wave"),
        ("X", "multiplier diode"),
        ("Y", "rectifier"),
        ("Z", "Zener or reference diode"),
    ],
)
def test_the_second_european_letter_is_the_function(letter, function):
    assert f"silicon: {function}" in said(f"B{letter}123")
    transistor = "transistor" in function
    assert ("polarity" in only(f"B{letter}123").silent_on) == transistor


@pytest.mark.parametrize(
    "marking, type_number, suffix, words",
    [
        ("BC547B", "BC547", "B", "gain group B: hFE 200 to 450"),  # bc547.nl
        ("BC547A", "BC547", "A", "gain group A: hFE 110 to 220"),  # bc547.nl
        ("BC549C", "BC549", "C", "gain group C: hFE 420 to 800"),  # bc547.nl; C is the high gain (educypedia)
        ("BC327-16", "BC327", "16", "gain group 16: hFE 100 to 250"),  # BC327 data sheet, ranks 16, 25, 40
        ("BC327-25", "BC327", "25", "gain group 25: hFE 160 to 400"),
        ("BC327/40", "BC327", "40", "gain group 40: hFE 250 to 630"),
        ("BD139-16", "BD139", "16", "gain group 16: hFE 100 to 250"),
        ("BUK854-800A", "BUK854", "800A", "voltage class 800 V"),
        ("BY229-600", "BY229", "600", "voltage class 600 V"),
        ("BT151-500R", "BT151", "500R", "voltage class 500 V"),
        ("AC128", "AC128", "", "germanium: transistor, audio frequency, small signal"),
        ("BZX79-C5V1", "BZX79", "C5V1", "nominal 5.1 V, tolerance ±5 %"),
        (
            "BZY88C5V1",
            "BZY88",
            "C5V1",
            "nominal 5.1 V, tolerance ±5 %",
        ),  # owiki.org, Pro Electron: 5.1 V Zener
        ("BZX79-B12", "BZX79", "B12", "nominal 12 V, tolerance ±2 %"),
        ("BZX79-A10", "BZX79", "A10", "nominal 10 V, tolerance ±1 %"),
        ("BZX79-D3V", "BZX79", "D3V", "nominal 3 V, tolerance ±10 %"),
        ("BZX79-E6V8", "BZX79", "E6V8", "nominal 6.8 V, tolerance ±15 %"),
        ("BUX48A", "BUX48", "A", "letter A: a version"),
        ("BF245A", "BF245", "A", "letter A: a version"),
        ("BFM505", "BFM505", "", "industrial type"),
    ],
)
def test_a_european_type_says_material_function_and_what_its_suffix_means(
    marking, type_number, suffix, words
):
    found = only(marking)
    assert (found.register, found.type_number, found.suffix) == (Register.PRO_ELECTRON, type_number, suffix)
    assert words in said(marking)


# ipcb.com and integrated-circuit-course.blogspot.com: three digits consumer, letter and digits industrial.
def test_the_form_of_the_number_tells_the_market():
    assert "consumer type" in said("BC547")
    assert "industrial type" in said("BUX48")
    assert "industrial type" in said("BUK854-800A")


def test_a_suffix_means_a_voltage_or_a_group_only_where_the_register_says_so():
    assert "the suffix -800A" in only("BC547-800A").silent_on
    assert "the suffix -25" in only("BY229-25").silent_on
    assert said("BD139B").endswith("letter B: a version")
    assert "the suffix -C5V1" in only("BC547-C5V1").silent_on
    assert "the suffix (X" in only("BC547(X").silent_on


# A number of four digits after two letters: register's form and integrated circuits' form alike (common practice).
def test_four_digits_after_two_letters_may_be_an_integrated_circuit():
    assert [one.register for one in read_designation("BA4558")] == [Register.FAMILY, Register.PRO_ELECTRON]
    assert [one.register for one in read_designation("BC4558")] == [Register.PRO_ELECTRON, Register.NONE]
    assert only("CD4011").register is Register.NONE
    assert only("BA123").register is Register.PRO_ELECTRON


# --- numbers of no register ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "marking", ["TIP41C", "1854-0071", "MJ15003", "S8050", "HOUSE 12", "2S", "2N", "BC", "µ1"]
)
def test_a_number_of_no_register_is_kept_as_it_was_read(marking):
    found = only(marking)
    assert (found.register, found.marking, found.registered) == (Register.NONE, marking, False)
    assert found.silent_on[0] == "the registered type"


@pytest.mark.parametrize("marking", ["ZQ123", "ZQ-123A", "zq 9", "XR1234AB"])
def test_a_replacement_line_known_to_the_shop_speaks_of_a_repair(marking):
    found = only(marking)
    assert found.register is Register.REPLACEMENT
    assert "a repair that the factory did not make" in found.says[0]
    assert "the registered type that it replaces" in found.silent_on


@pytest.mark.parametrize("marking", ["ZQ12345", "ZQ", "ZQ12ABC"])
def test_a_replacement_number_has_one_to_four_digits(marking):
    assert only(marking).register is Register.NONE


def test_an_empty_prefix_is_no_line():
    assert read_designation("123", ("", "-"))[0].register is Register.NONE


@pytest.mark.parametrize("marking", ["", "  ", "-", "()", "2" * 41])
def test_what_is_no_marking_is_refused(marking):
    with pytest.raises(NoDesignation) as refused:
        read_designation(marking)
    assert str(refused.value).endswith(".")
    assert read_designation("2" * 40)


# --- families of no register ---------------------------------------------------------------------------------


# Makers' data sheets and handbooks (from memory): polarity, kind and voltage of each.
@pytest.mark.parametrize(
    "marking, words",
    [
        ("J310", "junction field-effect transistor, N-channel"),
        ("J176", "junction field-effect transistor, P-channel"),
        ("MPF102", "N-channel"),
        ("CK722", "germanium transistor, PNP"),
        ("AN214", "audio power amplifier"),
        ("AD712", "dual op-amp"),
        ("NE5532AN", "dual op-amp"),
        ("µA741CN", "op-amp"),
        ("TL072CP", "dual op-amp"),
        ("TDA2030A", "power amplifier"),
        ("RS207", "1000 V peak reverse"),
        ("DB104", "400 V peak reverse"),
        ("B40C800", "40 V RMS in"),
        ("B80C5000/3300", "5000 mA out on a heat sink, 3300 mA without"),
        ("KBPC2504", "25 A; 400 V peak reverse"),
        ("W04", "400 V peak reverse"),
        ("D45H11", "power transistor, PNP"),
        ("D44H11", "power transistor, NPN"),
        ("C106D", "letter D: 400 V"),
        ("TIC106M", "letter M: 600 V"),
        ("MCR106-6", "-6: 400 V"),
        ("7812", "positive, 12 V"),
        ("L7912CV", "negative, -12 V"),
        ("78L05", "0.1 A"),
        ("LM317T", "positive, adjustable"),
        ("LM337T", "negative, adjustable"),
        ("12AX7", "heater 12.6 V"),
        ("6SN7GTB", "heater 6.3 V"),
        ("5U4GB", "heater 5 V"),
        ("EL34", "power pentode"),
        ("ECC83", "dual triode; base noval"),
        ("GZ34", "heater 5 V; full-wave rectifier"),
        ("E88CC", "special quality; heater 6.3 V; dual triode"),
        ("DAF91", "heater 1.4 V or less"),
        ("KT88", "beam power tube"),
        ("6550", "beam power tube"),
    ],
)
def test_a_family_is_read_by_its_rule(marking, words):
    first = read_designation(marking)[0]
    assert words in "; ".join(first.says)
    assert not first.registered


@pytest.mark.parametrize("marking", ["J310", "CK722", "AN214", "AD712", "RS207", "DB104", "C106D", "D965", "C1815",
                                     "RB751", "DG201", "7812", "6550", "PC817", "U406", "AM214"])  # fmt: skip
def test_a_number_completed_or_read_by_its_form_alone_is_told_as_a_guess(marking):
    guesses = [one for one in read_designation(marking) if one.guess]
    assert guesses
    for one in guesses:
        assert "a guess" in one.says[-1]
        assert "or a house number" in one.says[-1]


@pytest.mark.parametrize("marking", ["D45H11", "B40C800", "C106D1"])
def test_a_suffix_that_no_japanese_type_has_gets_no_prefix(marking):
    assert not any(one.completed for one in read_designation(marking))


@pytest.mark.parametrize(
    "marking", ["AC128", "AD161", "BC547B", "2SC1815", "2N3055", "BAT85", "CNY17", "EL34", "BD139-16"]
)
def test_what_a_register_tells_is_no_guess(marking):
    assert [one.guess for one in read_designation(marking)] == [False]


@pytest.mark.parametrize(
    "marking, full",
    [
        ("2S C1815", "2SC1815"), ("２ＳＣ１８１５", "2SC1815"), ("BC 547 B", "BC547B"), ("2 N 3055", "2N3055"),
        ("2SC 1815 GR", "2SC1815-GR"), ("2SC1815\u200f", "2SC1815"), ("\u202e2N3055", "2N3055"),
        ("2SC1815\u200f-GR", "2SC1815-GR"), ("BC\u00a0547", "BC547"), ("E L 34", "EL34"),
    ],
)  # fmt: skip
def test_spaces_width_and_signs_that_nobody_sees_change_nothing(marking, full):
    assert only(marking).full == full


def test_a_guess_at_a_whole_number_decides_nothing_against_the_list():
    assert compare("RB751", ["2SD188"]).match is Match.UNKNOWN
    assert compare("7812", ["2SD188"]).match is Match.UNKNOWN
    assert compare("AD712", ["AD712JN"]).match is Match.SAME_TYPE
    assert compare("C1815", ["2SC945"]).sentence.endswith(", if it stands for 2SC1815.")


# --- against the model file ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "marking, originals, match, original",
    [
        ("2SC1815-GR", ["2SC1815GR"], Match.SAME, "2SC1815GR"),
        ("2SC1815(GR)", ["2SA1015", "2SC1815-GR"], Match.SAME, "2SC1815-GR"),
        ("C1815", ["2SC1815"], Match.SAME, "2SC1815"),
        ("2SC1815", ["C1815"], Match.SAME, "C1815"),
        ("D965", ["2SD965"], Match.SAME, "2SD965"),
        ("D965", ["BD965"], Match.SAME, "BD965"),
        ("1854-0071", ["18540071"], Match.SAME, "18540071"),
        ("2SC1815-Y", ["2SC1815-GR"], Match.SAME_TYPE, "2SC1815-GR"),
        ("2SC1815-Y", ["2SC1815-GR", "2SC1815-Y"], Match.SAME, "2SC1815-Y"),
        ("2SC1815-Y", ["2SC1815"], Match.SAME_TYPE, "2SC1815"),
        ("2N3055", ["2N3055A"], Match.SAME_TYPE, "2N3055A"),
        ("BC547B", ["BC547C"], Match.SAME_TYPE, "BC547C"),
        ("2SA1015", ["2SC1815"], Match.SUBSTITUTE, None),
        ("2N3055", ["2SD188"], Match.SUBSTITUTE, None),
        ("2SC1815", ["2SC945", "2SC1740"], Match.SUBSTITUTE, None),
        ("ZQ130", ["2SD188"], Match.SUBSTITUTE, None),
        ("ZQ130", ["77-1234"], Match.SUBSTITUTE, None),
        ("ZQ130", ["ZQ-130"], Match.SAME, "ZQ-130"),
        ("TIP41C", ["2SD188"], Match.UNKNOWN, None),
        ("BA4558", ["2SD188"], Match.UNKNOWN, None),
        ("2SD188", ["77-1234"], Match.UNKNOWN, "77-1234"),
        ("2SD188", ["2SD180", "77-1234"], Match.UNKNOWN, "77-1234"),
        ("2SD188", [], Match.UNKNOWN, None),
        ("2SD188", ["", " - "], Match.UNKNOWN, None),
    ],
)
def test_a_marking_is_compared_with_the_originals_of_the_model_file(marking, originals, match, original):
    found = compare(marking, originals, LINES)
    assert (found.match, found.original) == (match, original)
    assert marking in found.sentence
    assert re.fullmatch(r".+\.", found.sentence)


def test_the_comparison_says_on_what_it_rests():
    assert compare("D965", ["2SD965"]).sentence == "D965 is the original 2SD965, if it stands for 2SD965."
    assert compare("C1815Y", ["2SC1815-GR"]).sentence == (
        "C1815Y is of the original type 2SC1815, if it stands for 2SC1815-Y: it has Y, the list says GR."
    )
    assert compare("2SC1815", ["2SC1815-GR"]).sentence == (
        "2SC1815 is of the original type 2SC1815: it has no suffix, the list says GR."
    )
    assert compare("2SC1815-GR", ["2SC1815"]).sentence.endswith("it has GR, the list says none.")
    assert compare("2SA1015", ["2SC1815"]).sentence == (
        "2SA1015 is another type than the original 2SC1815, and PNP where the original is NPN."
    )
    assert compare("2SJ74", ["2SK170"]).sentence.endswith("and P-channel where the original is N-channel.")
    assert compare("2SC945", ["2SC1815"]).sentence == "2SC945 is another type than the original 2SC1815."
    assert compare("2N3055", ["2SC1815"]).sentence == "2N3055 is another type than the original 2SC1815."


def test_the_full_writing_of_a_type_is_one_and_the_same():
    assert [
        only(one).full for one in ("2SC1815GR", "2SK30AY", "BC547B", "BC327/25", "2N2222A", "2SD1047E")
    ] == [
        "2SC1815-GR",
        "2SK30A-Y",
        "BC547B",
        "BC327-25",
        "2N2222A",
        "2SD1047E",
    ]


# Common practice, no source: an American number in a Japanese set is a flag, not proof.
def test_a_device_of_another_register_than_the_sets_is_flagged():
    flag = flag_against_register(only("2N3055"), Register.JIS)
    assert flag is not None
    assert flag.endswith("a flag for an earlier repair, not proof.")
    assert flag_against_register(only("ZQ130"), Register.JIS) is not None
    assert flag_against_register(only("2SD188"), Register.JIS) is None
    assert flag_against_register(only("1854-0071"), Register.JIS) is None


# --- whatever is typed --------------------------------------------------------------------------------------

markings = st.one_of(
    st.text(max_size=45),
    st.text(alphabet="0123ABCDKNSVXZGRLO-/() ", max_size=14),
    st.from_regex(r"[0-3]S[A-Z]?[0-9]{1,5}[-( ]?[A-Z]{0,2}\)?", fullmatch=True),
)


@given(markings, st.lists(markings, max_size=3))
def test_reading_and_comparing_raise_nothing_but_the_refusal(marking, originals):
    try:
        readings = read_designation(marking, LINES)
        found = compare(marking, originals, LINES)
    except NoDesignation:  # of the marking, or of an original that is too long
        return
    assert readings
    assert len(found.sentence) > 10
    for one in readings:
        assert one.says
        assert one.silent_on
        assert one.type_number


@given(markings)
def test_every_marking_is_the_same_as_itself(marking):
    try:
        found = compare(marking, [marking], LINES)
    except NoDesignation:
        return
    assert found.match is Match.SAME


@given(st.sampled_from("ABCDJK"), st.integers(11, 9999), st.sampled_from(["", "O", "Y", "GR", "BL"]))
def test_a_japanese_type_is_the_same_however_its_group_is_parted(letter, number, group):
    spellings = {
        f"2S{letter}{number}{parted}" for parted in (group, f"-{group}", f" {group}", f"({group})") if group
    }
    for one in spellings:
        for other in spellings:
            assert compare(one, [other]).match is Match.SAME
    for reading in read_designation(f"{letter}{number}"):
        assert reading.completed or reading.register is Register.FAMILY


# data sheets of LM317L (100 mA), LM317M (500 mA), LM317H (a TO-39 can, 500 mA), all from memory
@pytest.mark.parametrize(
    "marking,rating",
    [("LM317T", "1.5 A"), ("LM317HVT", "1.5 A"), ("LM317L", "0.1 A"), ("LM317LZ", "0.1 A"), ("LM337LZ", "0.1 A"),
     ("LM317M", "0.5 A"), ("LM317MDT", "0.5 A"), ("LM317H", "0.5 A")],
)  # fmt: skip
def test_an_adjustable_regulators_suffix_tells_its_size(marking, rating):
    assert f"adjustable, {rating}" in said(marking)


# tube makers' handbooks, from memory: 1X2 1.25 V, 1V2 0.625 V, 2AF4 2.35 V, 3A3 and 3BZ6 3.15 V, 5U8 4.7 V
@pytest.mark.parametrize("marking,volt", [("1X2B", "1.25 V"), ("1V2", "less"), ("2AF4", "2.1 V to 2.5 V"), ("3BZ6", "3.3 V"),
                                          ("5U8", "4.7 V"), ("5Y3GT", "5 V"), ("3Q4", "2.8 V")])  # fmt: skip
def test_a_figure_that_stands_for_several_heaters_names_them(marking, volt):
    assert volt in said(marking)


# bridge makers' data sheets, from memory: BR305 50 V to BR310 1000 V, 3 A; UAA170 drives a row of lamps
@pytest.mark.parametrize("marking,words", [("BR310", "bridge rectifier; 3 A; 1000 V"), ("BR605", "bridge rectifier; 6 A; 50 V"),
                                           ("UAA170", "integrated circuit")])  # fmt: skip
def test_a_number_that_two_schemes_fit_has_both_readings(marking, words):
    found = read_designation(marking)
    assert any(words in "; ".join(one.says) for one in found)
    assert all(one.guess for one in found if words not in "; ".join(one.says))


def test_what_no_table_here_knows_is_not_said_to_be_in_no_register():
    # EIA registered the tubes 6146 to 9003 by figures alone, and OC71 follows the older European code (from memory)
    for marking in ("5692", "811A", "OC71", "9003"):
        assert "no form that is known here" in said(marking)


# 2SD313, 2SD669 and 2SD882 with a group's letter, a rectifier 10D1, a crystal's can, a bridge KBPC35, a supply's AC12 (makers'
# data sheets, from memory); 30P4 is a British tube of 300 mA (a tube maker's handbook, from memory)
@pytest.mark.parametrize(
    "marking",
    ["D313E", "D669A", "D882P", "U257B", "P33A", "10D1", "10E2", "6A4", "30P4", "20P4", "KBPC35", "HEP51", "HC49", "AC12",
     "7912C", "7805A", "SE4010", "SE1001", "SA1015", "RBV402", "EE16", "UC38"],
)  # fmt: skip
def test_no_tube_regulator_or_circuit_is_sure_of_what_only_has_its_form(marking):
    found = read_designation(marking)
    sure = [one.full for one in found if not one.guess and one.register is not Register.NONE]
    assert not sure


# handbooks of the tube makers, data sheets of the regulators and the op-amp, from memory
@pytest.mark.parametrize(
    "marking",
    ["E80CC", "E188CC", "E180F", "E810F", "E130L", "EABC80", "PCL86", "UCH81", "DAF91", "DM70", "GZ34", "AZ41", "EBL21", "HCH81",
     "6L6", "6A8G", "6BQ5", "7805CV", "SE5534", "EF86", "EM84", "PY88"],
)  # fmt: skip
def test_the_tubes_and_circuits_that_were_made_are_no_guess(marking):
    assert not read_designation(marking)[0].guess


def test_a_letter_behind_a_japanese_number_may_be_a_version_or_a_group():
    # 2SC458B is sold by gain group B; the L of 2SC1815 is low noise, the N of 2SC5200 a case (from memory)
    assert "or a gain group" in said("2SC458B")
    for marking in ("2SC1815L", "2SC5200N"):
        assert "a gain group or a version" in said(marking)


def test_a_two_volt_tube_may_have_a_heater_of_2_1_volt():
    # 2CW4, 2.1 V; 3DG4, 3.3 V: a tube maker's handbook, from memory
    assert "2.1 V to 2.5 V" in said("2CW4")
    assert "3.3 V" in said("3DG4")
    assert "Harris" in said("HA2525")
