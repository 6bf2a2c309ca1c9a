"""Why a record matched, and how well: BM25 as in the handbook's counting."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.counting import Collection, collection_of, score
from shop.handbook.words import (
    asked_form,
    build_synonyms,
    marks,
    matches,
    ranker,
    satisfied_by,
    stored_tokens,
)
from tests.standards.word_cases import TOLD

# Why it matched


@pytest.mark.parametrize(
    "question, text, marked",
    [
        ("cap", "Replaced two capacitors, one pot.", ["capacitors"]),
        ("4u7", "the 4.7 µF one", ["4.7 µF"]),
        ("c101 relay", "C-101/C-102 and relay", ["C-101", "relay"]),
        ("no sound", "channel is dead; dead channel", ["channel", "dead", "dead", "channel"]),
        ("rel", "relay", []),
        ("hum", "", []),
    ],
)
def test_a_result_shows_why_it_matched(question, text, marked):
    assert [text[start:stop] for start, stop in marks(asked_form(question), text)] == marked


@given(st.text(max_size=100), st.text(max_size=30))
def test_marks_lie_within_the_text_and_never_overlap(text, question):
    end = 0
    for start, stop in marks(asked_form(question, typing=True), text):
        assert end <= start < stop <= len(text)
        end = stop


# Best first


def test_for_plain_words_the_rank_is_bm25():
    records = [
        stored_tokens(text) for text in ("relay dirty left", "left hum", "relay relay noise on left side")
    ]
    collection = collection_of(records)
    asked = asked_form("left relay", build_synonyms([]))
    rate = ranker(asked, collection)
    for words in records:
        if matches(asked, words):
            expected = score(["left", "relay"], Counter(words), len(words), collection)
            assert rate(" ".join(words), len(words)) == pytest.approx(expected)


def test_the_persons_own_word_ranks_before_another_word_of_the_trade():
    collection = Collection(1_000, 4.0, {"cap": 100, "capacitor": 100})
    rate = ranker(asked_form("cap"), collection)
    assert rate("bad cap found", 3) > rate("bad capacitor found", 3) > 0
    assert rate("bad cap and capacitor", 4) < 2 * rate("bad cap and relay", 4)


def test_a_phrase_counts_only_where_it_stands_together_and_in_one_column():
    rate = ranker(asked_form("no sound"), Collection(100, 4.0, {}))
    assert rate("dead channel", 2) > 0
    assert rate("dead left channel", 3) == 0
    assert rate("dead\nchannel", 2) == 0


@given(TOLD, TOLD, st.booleans())
def test_a_record_has_a_rank_exactly_if_a_word_of_the_question_matches(question, record, typing):
    asked = asked_form(question, typing=typing)
    words = stored_tokens(record)
    rank = ranker(asked, Collection(50, 5.0, {}))(" ".join(words), len(words))
    assert rank >= 0
    assert (rank > 0) == any(satisfied_by(word, words) for word in asked.words)
