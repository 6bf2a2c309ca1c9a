"""Postal tracking numbers against the worked check digits of UPU S10."""

from __future__ import annotations

import pytest
from babel import Locale
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.s10 import (
    COUNTRIES,
    S10Error,
    S10Number,
    check_digit,
    is_s10_shaped,
    parse_s10,
    weighted_sum,
)

SERIALS = st.text(alphabet="0123456789", min_size=8, max_size=8)


@pytest.mark.parametrize(
    "serial, total, check",
    [
        ("47312482", 200, "9"),  # the worked example of the public article on UPU S10
        ("12345678", 204, "5"),  # this and the rest: worked out by the same rule apart from this code
        ("98765432", 236, "6"),
        ("10000003", 29, "4"),
        ("00000000", 0, "5"),  # 11 is written as 5
        ("00000008", 56, "0"),  # 10 is written as 0
        ("00000015", 44, "5"),
    ],
)
def test_the_worked_check_digits(serial, total, check):
    assert weighted_sum(serial) == total
    assert check_digit(serial) == check


@pytest.mark.parametrize(
    "typed",
    [
        "RR473124829GB",
        "rr 473 124 829 gb",
        "RR-47312482-9-GB",
        " RR 47312482 9 GB ",
        "RR\u00a0473124829\u00a0GB",
    ],
)
def test_a_number_is_read_however_it_is_written(typed):
    number = parse_s10(typed)
    assert number == S10Number("RR", "47312482", "GB")
    assert str(number) == "RR473124829GB"
    assert number.country_is_known


@pytest.mark.parametrize(
    "service, meaning",
    [
        # service indicators as the public article on UPU S10 lists them
        ("CA", "parcel post"),
        ("EZ", "express mail service"),
        ("LX", "letter post, tracked"),
        ("RR", "letter post, registered"),
        ("UA", "letter post, not tracked"),
        ("VV", "letter post, insured"),
        ("ZA", "for use at home or between two countries"),
        ("XX", ""),
    ],
)
def test_the_first_letter_tells_the_service(service, meaning):
    assert parse_s10(f"{service}473124829DE").meaning == meaning


def test_the_country_codes_are_those_of_iso_3166():
    # babel (CLDR) lists ISO 3166-1 and, besides, groups, reserved codes and private ones
    besides = {"EU", "EZ", "UN", "QO", "ZZ", "XA", "XB", "XK", "AC", "CP", "CQ", "DG", "EA", "IC", "TA"}
    assert {code for code in map(str, Locale("en").territories) if code.isalpha()} - besides == COUNTRIES
    assert len(COUNTRIES) == 249


def test_a_country_outside_the_list_is_read_but_marked():
    assert not parse_s10("RR473124829XK").country_is_known


@pytest.mark.parametrize(
    "typed",
    [
        "",
        "RR473124829",
        "R1473124829GB",
        "RR47312482GB",
        "1Z999AA10123456784",
        "x" * 10_000,
        "ＲＲ４７３１２４８２９ＧＢ",
    ],
)
def test_what_has_another_form_is_refused_with_an_example(typed):
    assert not is_s10_shaped(typed)
    with pytest.raises(S10Error, match="two letters, nine digits and two letters"):
        parse_s10(typed)


def test_a_wrong_check_digit_sends_the_person_back_to_the_label():
    assert is_s10_shaped("RR473124828GB")
    with pytest.raises(S10Error, match="look at the label again"):
        parse_s10("RR473124828GB")


@pytest.mark.parametrize("serial", ["1234567", "123456789", "1234567a", "١٢٣٤٥٦٧٨"])
def test_only_eight_digits_have_a_check_digit(serial):
    with pytest.raises(S10Error):
        check_digit(serial)


@given(SERIALS, st.integers(0, 7), st.integers(1, 9))
def test_one_wrong_digit_is_found_unless_the_two_sums_share_the_five(serial, place, step):
    wrong = serial[:place] + str((int(serial[place]) + step) % 10) + serial[place + 1 :]
    remainders = {weighted_sum(serial) % 11, weighted_sum(wrong) % 11}
    assert len(remainders) == 2  # every weight is prime to 11
    assert (check_digit(serial) == check_digit(wrong)) == (remainders == {0, 6})


@given(
    st.text(alphabet="ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=2, max_size=2),
    SERIALS,
    st.sampled_from(sorted(COUNTRIES)),
)
def test_a_number_that_is_printed_is_read_back(service, serial, country):
    number = S10Number(service, serial, country)
    assert parse_s10(str(number)) == number


@given(st.text())
def test_any_text_is_read_or_refused_with_a_sentence(text):
    if is_s10_shaped(text):
        return
    with pytest.raises(S10Error, match=r"\.$"):
        parse_s10(text)
