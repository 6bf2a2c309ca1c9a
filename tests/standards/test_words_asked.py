"""Stored and asked words meet, on SQLite's own full-text index as well.

Which words mean the same on a bench: common practice, no source.
"""

from __future__ import annotations

import re
import sqlite3
import time

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shop.handbook.words import (
    TRADE,
    TRADE_ROWS,
    Asked,
    AskedWord,
    Way,
    asked_form,
    build_synonyms,
    expand,
    fold_model,
    fold_serial,
    fts5_query,
    matches,
    model_tokens,
    pieces,
    satisfied_by,
    stored_form,
    stored_tokens,
    stored_vector,
    tsquery,
)
from tests.standards.word_cases import BENCH_WORDS, TOLD, found, index_of, meets

NASTY = [
    *(
        '"',
        "*",
        "AND",
        "OR NOT NEAR(a b)",
        "C-101",
        "4.7µF/63V",
        "a:b",
        "(",
        "-",
        "^x",
        "{col}: y",
        "'",
        "\\",
        "%",
        "&|!<->",
    ),
    *(
        "😀 no sound 🎛️",
        "日本語",
        "\x00",
        "\ud800",
        "ﷺ" * 20,
        "e\u0301" * 30,
        "\u0300\u0316" * 500,
        "a" * 10_000,
        "a-" * 5_000,
    ),
    *(
        "1." * 5_000,
        "'" * 10_000,
        "no output " * 1_000,
        "c-101 " * 1_600,
        "😀" * 10_000,
        "ﷺ" * 10_000,
        "日" * 10_000,
    ),
    *(
        "\u05b0\u0591" * 5_000,
        "1 k " * 2_500,
        '"' * 10_000,
        "l." * 5_000,
        "12-" * 3_300,
        "x1" * 5_000,
        "\t\n" * 5_000,
    ),
]


# Storing and asking meet


@pytest.mark.parametrize(
    "question, record",
    [
        ("c101", "replaced C-101"),
        ("C-101", "replaced c101"),
        ("c 101", "replaced C-101"),
        ("C-101", "replaced C 101"),
        ("VX-318", "same fault as the VX 318 before"),
        ("vx 318", "same fault as the VX318 before"),
        ("2SC1815", "2sc1815-GR leaky"),
        ("2SC1815", "C1815 on the board"),  # JIS C 7012: the 2S is often not printed
        ("c1815", "2SC1815 open"),
        ("4k7", "4.7 kohm open"),
        ("4.7k", "4K7 burnt"),
        ("4u7", "4.7µF dry"),
        ("100n", "0.1 uF leaky"),
        ("4.7", "4.7µF dry"),
        ("0.22 ohm", "0R22 open"),
        ("12v", "12 V missing"),
        ("12 volts", "12V missing"),
        ("8/14/79", "sticker 8-14-79"),
        ("preamp", "pre-amp hums"),
        ("pre-amp", "preamp hums"),
        ("9 pin", "9-pin socket"),
        ("12ax7", "12AX7A microphonic"),
        ("dont", "relays don't click"),
        ("amp", "channel 2 amp dead"),
        ("DÜSE", "duse verstopft"),
        ("Жук", "жук"),
        ("抵抗", "抵抗が切れた"),
        ("no sound from the left channel", "no sound|left channel relay dirty"),
    ],
)
def test_a_question_finds_the_record_however_either_was_typed(question, record):
    assert meets(question, record)


@pytest.mark.parametrize(
    "question, record",
    [
        ("cap", "capacitor dried out"),
        ("capacitors", "bad caps"),
        ("pot", "volume control scratchy"),
        ("control", "dirty potentiometer"),
        ("no output", "dead channel"),
        ("no sound", "no output on the right"),
        ("dead channel", "no sound"),
        ("scratchy", "crackles when turned"),
        ("transformer", "xformer hums"),
        ("won't turn on", "dead as a stone"),
        ("dry joint", "found a cold solder joint"),
        ("op-amp", "opamp replaced"),
        ("intermittent", "sound cuts out"),
        ("hum", "buzzing"),
        ("colour", "color organ"),
        ("leaky", "leakage in Q3"),
        ("tubes", "valve worn"),
    ],
)
def test_a_question_finds_what_the_trade_calls_the_same(question, record):
    assert meets(question, record)


@pytest.mark.parametrize(
    "question, record",
    [
        ("no output", "dead set, channel selector stuck"),  # "dead channel" must stand together
        ("relay", "replay"),
        ("c101", "c1011"),
        ("4.7k", "47k"),
        ("left relay", "left channel"),
    ],
)
def test_a_question_does_not_find_what_says_something_else(question, record):
    assert not meets(question, record)


def test_a_synonym_never_reaches_over_the_end_of_a_column():
    assert not meets("no output", "set is dead|channel selector stuck")


def test_small_words_are_left_out_unless_they_are_all_there_is():
    assert [word.typed for word in asked_form("the hum in the left").words] == ["hum", "left"]
    assert [word.typed for word in asked_form("AND").words] == ["and"]
    assert [word.typed for word in asked_form("no power on it").words] == ["no power", "on"]


def test_a_question_says_when_it_was_too_long_to_be_read_whole():
    assert not asked_form("hum " * 32).cut
    assert asked_form("hum " * 33).cut
    assert asked_form("a" * 10_000).cut


@given(st.text(max_size=120), st.text(max_size=60))
@example("4.7 uF/63V C-101", "")
@example("vx 318 no output on l.e.d.", "")
def test_every_text_is_found_by_itself(text, finding):
    asked = asked_form(text)
    if not asked.cut:
        assert matches(asked, stored_tokens(text), stored_tokens(finding))


@given(st.sampled_from(BENCH_WORDS), st.data())
def test_a_word_is_found_from_its_third_letter_on_while_it_is_typed(word, data):
    begun = word[: data.draw(st.integers(3, len(word)))]
    assert meets(begun, f"was {word} again", typing=True)


@pytest.mark.parametrize(
    "whole", ["2sc1815-gr", "vx-318", "c-101", "4700pf", "4.7uf", "12ax7a", "bzx79-c5v1"]
)
def test_a_designation_is_found_while_it_is_typed(whole):
    beginnings = [whole[:length] for length in range(3, len(whole) + 1) if whole[length - 1].isalnum()]
    for begun in beginnings:
        if len(fold_model(begun)) >= 3:
            assert meets(begun, f"found {whole} bad", typing=True), begun


def test_a_word_is_taken_as_finished_once_a_space_stands_behind_it():
    assert meets("rel", "relay", typing=True)
    assert not meets("rel ", "relay", typing=True)
    assert not meets("rel", "relay")
    assert not meets("re", "relay", typing=True)  # two letters would find half of the history


# Any input is safe


@pytest.mark.parametrize("text", NASTY, ids=lambda text: repr(text[:12]))
@pytest.mark.parametrize("typing", [False, True])
def test_any_input_is_answered_without_an_error_and_soon(text, typing):
    shelf = index_of("no output left|relay c101 4.7uF")
    began = time.process_time()
    asked = asked_form(text, typing=typing)
    stored_form(text)
    model_tokens(text)
    fold_serial(text)
    if asked:
        found(shelf, asked)
    assert time.process_time() - began < 2  # seconds, on a slow machine too; it takes some milliseconds


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=80), st.booleans())
def test_nothing_that_is_typed_is_syntax(text, typing):
    asked = asked_form(text, typing=typing)
    for word in asked.words:
        for way in word.ways:
            assert all(re.fullmatch("[a-z0-9]{1,60}", term) for term in way.words)
    assert re.fullmatch(r"[a-z0-9 &|<>()*:-]*", tsquery(asked))
    if asked:
        found(index_of("no output left"), asked)


@settings(max_examples=300, deadline=None)
@given(st.lists(TOLD, min_size=1, max_size=5), TOLD, st.booleans())
def test_sqlite_finds_exactly_what_the_handbook_says_matches(records, question, typing):
    asked = asked_form(question, typing=typing)
    halves = [record.partition("|") for record in records]
    ours = [
        number
        for number, (complaint, _, finding) in enumerate(halves, start=1)
        if matches(asked, stored_tokens(complaint), stored_tokens(finding))
    ]
    if asked:
        assert found(index_of(*records), asked) == ours


def test_a_question_can_be_kept_to_one_column():
    shelf = index_of("hum|relay", "relay|hum")
    query = fts5_query(asked_form("hum"), ["finding"])
    assert [row[0] for row in shelf.execute("SELECT rowid FROM told WHERE told MATCH ?", (query,))] == [2]
    with pytest.raises(ValueError, match="column"):
        fts5_query(asked_form("hum"), ['finding" OR'])
    with pytest.raises(ValueError, match="Weights"):
        tsquery(asked_form("hum"), "AX")


def test_an_empty_question_asks_nothing():
    for text in ("", " ", '"*"', "😀"):
        asked = asked_form(text)
        assert not asked
        assert fts5_query(asked) == tsquery(asked) == ""


def test_the_same_question_for_postgresql():
    # PostgreSQL 15 manual, 8.11.2: & | <-> and :* with weights
    assert tsquery(asked_form("hum left", build_synonyms([]))) == "hum & left"
    assert tsquery(asked_form("hum", build_synonyms([["hum", "mains buzz"]]), typing=True), "AB") == (
        "(hum:AB | hum:*AB | (main:AB <-> buzz:AB))"
    )


def test_what_is_stored_for_postgresql_keeps_places_and_columns_apart():
    # PostgreSQL 15 manual, 8.11.1: lexeme:positionWeight
    assert stored_vector("hum left hum", "left") == "hum:1A left:2A hum:3A left:20B"
    assert stored_vector(" ".join(f"w{number}" for number in range(20_000))).endswith("w19999:16383A")


# Synonyms


def test_the_shop_can_add_words_of_its_own():
    own = build_synonyms([*TRADE_ROWS, ["motorboating", "putt-putt"], ["whine"], [], ["", "*"]])
    assert matches(asked_form("motorboating", own), stored_tokens("goes putt putt"))
    assert not matches(asked_form("motorboating"), stored_tokens("goes putt putt"))


def test_a_phrase_in_two_rows_means_both_but_the_rows_stay_apart():
    own = build_synonyms([["amp", "amplifier"], ["amp", "ampere"]])
    assert matches(asked_form("amp", own), stored_tokens("ampere"))
    assert matches(asked_form("amp", own), stored_tokens("amplifier"))
    assert not matches(asked_form("amplifier", own), stored_tokens("ampere"))


@given(TOLD, TOLD)
def test_synonyms_only_ever_add_to_what_is_found(question, record):
    bare = asked_form(question, build_synonyms([]))
    if matches(bare, stored_tokens(record)):
        assert matches(asked_form(question), stored_tokens(record))


def test_every_row_of_the_trade_finds_all_its_phrases_from_each():
    for row in TRADE_ROWS:
        for question in row:
            for told in row:
                assert matches(asked_form(question), stored_tokens(told)), (question, told)


def test_the_longest_known_phrase_is_taken():
    (word,) = expand(tuple(pieces("volume control")), TRADE)
    assert word.typed == "volume control"
    assert {("vol", "pot"), ("attenu",)} <= {way.words for way in word.ways}


def test_a_match_tells_which_word_it_matched_by():
    (word,) = asked_form("cap").words
    own = satisfied_by(word, stored_tokens("cap dry"))
    other = satisfied_by(word, stored_tokens("capacitor dry"))
    assert own is not None
    assert own.own
    assert other is not None
    assert not other.own
    assert satisfied_by(word, stored_tokens("relay")) is None


@given(st.lists(st.sampled_from(["ab", "cd", "ef", "gh", "ij"]), max_size=5), st.integers(1, 5))
def test_at_least_some_of_the_words_mean_the_same_to_sqlite_as_in_plain_python(
    record: list[str], fewest: int
) -> None:
    """SQLite, "FTS5 Extension": a table of one record answers what `matches` says."""
    some = tuple(AskedWord(word, (Way((word,)),)) for word in ["ab", "cd", "ef", "gh", "ij"])
    asked = Asked((), some=some, fewest=fewest)
    with sqlite3.connect(":memory:") as book:
        book.execute("CREATE VIRTUAL TABLE t USING fts5(words)")
        book.execute("INSERT INTO t VALUES (?)", [" ".join(record)])
        found = book.execute("SELECT 1 FROM t WHERE t MATCH ?", [fts5_query(asked)]).fetchall()
    assert bool(found) == matches(asked, record)
