"""Code 128 against worked check values, another implementation's writer and its reader."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.handbook.barcodes import (
    START,
    STOP,
    WIDTHS,
    BarcodeError,
    Code128,
    check_value,
    code128,
    is_qr_alphanumeric,
    qr_side,
    weighted_sum,
)

PRINTABLE = "".join(chr(code) for code in range(32, 127))

# Worked sums and check values. PJJ123C in set A is the public article's example on Code 128; the others were computed
# apart from this code with the rule of ISO/IEC 15417 (start + sum of place x value, modulo 103).
WORKED = [
    ("A", "PJJ123C", 878, 54),
    ("B", "PJJ123C", 879, 55),
    ("B", "RB-1042", 655, 37),
    ("B", "JOB00042", 866, 42),
    ("B", "Wikipedia", 3281, 88),
    ("C", "123456", 353, 44),
    ("C", "00042607", 219, 13),
    ("C", "20261125", 310, 1),
]


def image_of(symbol: Code128, scale: int = 3, height: int = 60) -> np.ndarray:
    row = np.full(symbol.modules_with_quiet * scale, 255, dtype=np.uint8)
    for bar in symbol.bars():
        row[bar.at * scale : (bar.at + bar.width) * scale] = 0
    return np.tile(row, (height, 1))


def read_back(symbol: Code128) -> str | None:
    found = zxingcpp.read_barcodes(
        image_of(symbol),
        formats=zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.Code128),
        text_mode=zxingcpp.TextMode.Plain,
    )
    return found[0].text if found else None


def widths_written_by_zxing(text: str) -> list[int]:
    image = np.array(zxingcpp.create_barcode(text, zxingcpp.BarcodeFormat.Code128).to_image(scale=1))
    runs = [len(list(group)) for _, group in itertools.groupby(image[0] < 128)]
    return runs[1:-1]


@pytest.mark.parametrize("code_set, text, total, check", WORKED)
def test_a_label_carries_the_worked_check_value(code_set, text, total, check):
    symbol = code128(text, code_set)
    assert weighted_sum(symbol.values[:-1]) == total
    assert check_value(symbol.values[:-1]) == symbol.check == check


def test_a_job_number_of_eight_characters_is_123_modules_wide_in_set_b():
    # 11 x (8 data + start + check) + 13: ISO/IEC 15417
    symbol = code128("JOB00042", "B")
    assert symbol.modules == sum(symbol.widths) == 123
    assert symbol.modules_with_quiet == 143


def test_each_value_has_eleven_modules_of_its_own():
    # ISO/IEC 15417: six elements of 1 to 4 modules, 11 in all, bars together an even number of modules
    assert len(WIDTHS) == len(set(WIDTHS)) == 106
    for pattern in WIDTHS:
        assert len(pattern) == 6
        assert sum(pattern) == 11
        assert sum(pattern[::2]) % 2 == 0
        assert set(pattern) <= {1, 2, 3, 4}
    assert sum(STOP) == 13


@pytest.mark.parametrize("pair", range(100))
def test_the_bars_of_each_digit_pair_are_those_that_zxing_writes(pair):
    text = f"{pair:02d}" * 2
    assert widths_written_by_zxing(text) == list(code128(text, "C").widths)


@pytest.mark.parametrize("character", PRINTABLE.replace("0", "").replace(" ", ""))
def test_the_bars_of_each_character_are_those_that_zxing_writes(character):
    text = f"a{character}a"
    assert widths_written_by_zxing(text) == list(code128(text, "B").widths)


def test_every_printable_character_is_read_back_by_zxing():
    for start in range(0, len(PRINTABLE), 16):
        text = PRINTABLE[start : start + 16]
        assert read_back(code128(text)) == text
        assert read_back(code128(text, "B")) == text


@pytest.mark.parametrize(
    "text", ["260417Z", "260001A", "JOB00042", "RB-1042", "20261125", "1", "12", "A1234567B", "\t1"]
)
def test_a_tag_is_read_back_as_it_was_written(text):
    assert read_back(code128(text)) == text


@pytest.mark.parametrize(
    "text, data_symbols",
    [
        ("20261125", 4),  # all digits: pairs
        ("1234567", 5),  # an odd digit costs a switch
        ("AB123456", 6),  # two letters, switch, three pairs
        ("12AB34", 6),  # too few digits to be worth a switch
        ("260417Z", 5),  # a job number without hyphens
        ("VX-318", 6),
    ],
)
def test_the_code_set_is_chosen_for_the_narrowest_label(text, data_symbols):
    assert len(code128(text).values) - 2 == data_symbols


@settings(max_examples=150, deadline=None)
@given(st.text(alphabet="0123456789AZaz-\x1d", min_size=1, max_size=7))
def test_no_other_choice_of_code_sets_is_narrower(text):
    assert len(code128(text).values) - 2 == fewest_symbols_by_trying_all(text)


def fewest_symbols_by_trying_all(text: str) -> int:
    def least(rest: str, code_set: str) -> float:
        if not rest:
            return 0
        stay = [float("inf")] * 3
        sets = "ABC"
        if ord(rest[0]) < 96:
            stay[0] = 1 + least(rest[1:], "A")
        if ord(rest[0]) >= 32:
            stay[1] = 1 + least(rest[1:], "B")
        if len(rest) > 1 and rest[:2].isdigit():
            stay[2] = 1 + least(rest[2:], "C")
        return min(cost + (sets[index] != code_set) for index, cost in enumerate(stay))

    return int(min(least(text, code_set) for code_set in "ABC"))


@settings(max_examples=100, deadline=None)
@given(st.text(alphabet=PRINTABLE.replace(" ", ""), min_size=1, max_size=30))
def test_any_printable_text_is_read_back_by_another_implementation(text):
    assert read_back(code128(text)) == text


@given(st.text(alphabet=PRINTABLE, min_size=1, max_size=40))
def test_the_drawing_is_as_wide_as_the_symbol_says(text):
    symbol = code128(text)
    bars = list(symbol.bars())
    assert bars[0].at == 10
    assert bars[-1].at + bars[-1].width + 10 == symbol.modules_with_quiet
    assert symbol.path(40).count("M") == len(bars) == 3 * len(symbol.values) + 4
    assert symbol.values[0] in START.values()


def test_the_path_draws_one_box_for_each_bar():
    assert code128("1", "B").path(30).startswith("M10 0h2v30h-2zM13 0h1v30h-1zM16 0h1v30h-1z")


@pytest.mark.parametrize("text", ["", "Ω", "é1", "x" * 81])
def test_a_text_that_does_not_fit_a_barcode_is_refused_with_a_sentence(text):
    with pytest.raises(BarcodeError, match=r"\.$"):
        code128(text)


@pytest.mark.parametrize("code_set, text", [("A", "abc"), ("B", "\x1d"), ("C", "123"), ("C", "AB")])
def test_a_text_outside_the_one_code_set_asked_for_is_refused(code_set, text):
    with pytest.raises(BarcodeError, match=code_set):
        code128(text, code_set)


# QR: ISO/IEC 18004, from memory, against segno


@pytest.mark.parametrize("version, side", [(1, 21), (10, 57), (40, 177)])
def test_the_side_of_a_qr_symbol_grows_by_four_with_its_version(version, side):
    assert qr_side(version) == side
    assert segno.make("1", version=version, micro=False).symbol_size(border=0) == (side, side)


@pytest.mark.parametrize("version", [0, 41])
def test_there_is_no_other_version_of_a_qr_symbol(version):
    with pytest.raises(BarcodeError):
        qr_side(version)


@pytest.mark.parametrize(
    "level, digits, alphanumeric, octets",
    [("L", 41, 25, 17), ("M", 34, 20, 14), ("Q", 27, 16, 11), ("H", 17, 10, 7)],
)
def test_what_the_smallest_qr_symbol_holds(level, digits, alphanumeric, octets):
    def version_of(text):
        return segno.make(text, error=level, boost_error=False, micro=False).version

    for text, most in (("1", digits), ("A", alphanumeric), ("a", octets)):
        assert version_of(text * most) == 1
        assert version_of(text * (most + 1)) == 2
        assert is_qr_alphanumeric(text) == (text != "a")


def test_the_signs_that_a_qr_symbol_packs_tightly_are_those_of_segno():
    tight = {
        sign
        for sign in map(chr, range(128))
        if segno.make(sign, micro=False).mode in {"alphanumeric", "numeric"}
    }
    assert {sign for sign in map(chr, range(128)) if is_qr_alphanumeric(sign)} == tight
    assert len(tight) == 45
    assert not is_qr_alphanumeric("")


def test_an_address_in_capitals_makes_a_smaller_symbol():
    address = "https://shop.example/w/K7QX2M9T4B"
    sizes = [segno.make(text, error="q", boost_error=False).version for text in (address, address.upper())]
    assert sizes[1] < sizes[0]
    assert [is_qr_alphanumeric(text) for text in (address, address.upper())] == [False, True]
