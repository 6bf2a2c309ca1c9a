"""Job numbers against ISO 7064 as another implementation computes it (python-stdnum, iso7064.mod_37_36)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_36

from shop.handbook.jobnumber import ALPHABET, JobNumber, JobNumberError, WrongCheckCharacter, check_character

numbers = st.builds(JobNumber, st.integers(0, 99), st.integers(1, 999_999_999))


def test_the_example_of_the_glossary_is_a_valid_number() -> None:
    # The project's own example; check character by python-stdnum 2.2.
    assert mod_37_36.calc_check_digit("260417") == "Z"
    assert str(JobNumber.make(2026, 417)) == "26-0417-Z"


def test_the_published_example_of_mod_37_36_holds() -> None:
    # ISO 7064 Mod 37,36 in use: the GRid standard's example A12425GABC1234002 has the check character M
    # (docstring of stdnum.grid / stdnum.iso7064.mod_37_36).
    assert check_character("A12425GABC1234002") == "M"


@given(st.text(ALPHABET, min_size=1, max_size=20))
def test_the_check_character_agrees_with_another_implementation(text: str) -> None:
    assert check_character(text) == mod_37_36.calc_check_digit(text)
    mod_37_36.validate(text + check_character(text))


@given(numbers)
def test_a_printed_number_reads_back_as_itself(number: JobNumber) -> None:
    assert JobNumber.parse(str(number)) == number
    assert JobNumber.parse(number.compact) == number
    assert JobNumber.parse(f"  {str(number).lower()} ") == number
    assert JobNumber.parse(str(number).replace("-", " – ")) == number


@pytest.mark.parametrize(
    "year, sequence, digits",
    [
        (2026, 1, "260001"),
        (2026, 9999, "269999"),
        (2026, 10000, "2610000"),
        (2100, 1, "000001"),
        (1999, 12, "990012"),
    ],
)
def test_the_sequence_has_four_digits_and_grows_when_it_must(year: int, sequence: int, digits: str) -> None:
    number = JobNumber.make(year, sequence)
    assert number.digits == digits
    assert str(number) == f"{digits[:2]}-{digits[2:]}-{mod_37_36.calc_check_digit(digits)}"
    assert number.compact == digits + mod_37_36.calc_check_digit(digits)


def test_a_letter_read_for_a_digit_is_mended_where_the_check_character_proves_it() -> None:
    number = JobNumber.make(2026, 1017)
    assert JobNumber.parse(f"26-1O17-{number.check}") == number
    assert JobNumber.parse(f"26-iO17-{number.check}") == number
    assert JobNumber.parse(f"26-lo17-{number.check}") == number


def test_a_letter_among_the_digits_is_refused_where_the_check_character_does_not_prove_it() -> None:
    with pytest.raises(WrongCheckCharacter):
        JobNumber.parse(f"26-1O18-{JobNumber.make(2026, 1017).check}")


@pytest.mark.parametrize("wanted, typed", [("O", "0"), ("0", "O"), ("1", "I"), ("I", "1")])
def test_a_mistaken_check_character_is_refused_but_the_number_meant_is_offered(
    wanted: str, typed: str
) -> None:
    number = next(n for s in range(1, 500) if (n := JobNumber(26, s)).check == wanted)
    with pytest.raises(WrongCheckCharacter, match=r"was .* meant") as refusal:
        JobNumber.parse(number.digits + typed)
    assert refusal.value.suggestion == number


@given(numbers, st.data())
def test_every_single_wrong_character_is_found(number: JobNumber, data: st.DataObject) -> None:
    # ISO 7064: all single substitution errors are detected.
    text = number.compact
    place = data.draw(st.integers(0, len(text) - 1))
    symbols = "0123456789" if place < len(text) - 1 else ALPHABET
    wrong = data.draw(st.sampled_from([symbol for symbol in symbols if symbol != text[place]]))
    with pytest.raises(JobNumberError):
        JobNumber.parse(text[:place] + wrong + text[place + 1 :])


def test_nearly_every_swap_of_two_neighbouring_digits_is_found() -> None:
    # ISO 7064 hybrid systems find nearly all swaps of neighbours; counted here over the first 9,999 numbers of a year.
    swaps = missed = 0
    for sequence in range(1, 10_000):
        digits = JobNumber(26, sequence).digits
        for place in range(5):
            swapped = digits[:place] + digits[place + 1] + digits[place] + digits[place + 2 :]
            swaps += swapped != digits
            missed += swapped != digits and check_character(swapped) == check_character(digits)
    assert swaps > 40_000
    assert missed / swaps < 0.003


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "26",
        "26-417-Z",
        "2026-0417-Z",
        "26-0417",
        "26-0417-ZZ",
        "26-04S7-Z",
        "xx-0417-Z",
        "26-٠٤١٧-Z",
        "26-0000-J",
        "26-1234567890-A",
        "26-0417-Ä",
        "2" * 10_000_000,
    ],
)
def test_what_is_not_a_job_number_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(JobNumberError) as refusal:
        JobNumber.parse(text)
    assert len(str(refusal.value)) < 120


def test_a_long_sequence_with_a_leading_zero_is_refused_even_with_its_own_check_character() -> None:
    digits = "2600417"
    with pytest.raises(JobNumberError, match="zero"):
        JobNumber.parse(digits + mod_37_36.calc_check_digit(digits))


@pytest.mark.parametrize("year, sequence", [(26, 0), (26, -1), (26, 10**9), (100, 1), (-1, 1)])
def test_a_number_outside_its_range_cannot_be_made(year: int, sequence: int) -> None:
    with pytest.raises(JobNumberError):
        JobNumber(year, sequence)


@pytest.mark.parametrize("year", [26, 999, 10000])
def test_a_number_is_made_from_a_calendar_year_of_four_digits(year: int) -> None:
    with pytest.raises(JobNumberError):
        JobNumber.make(year, 1)


def test_numbers_sort_by_year_and_sequence() -> None:
    assert JobNumber(25, 9999) < JobNumber(26, 1) < JobNumber(26, 2)
