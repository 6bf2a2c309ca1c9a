"""How words are folded, keyed, stemmed and stored: against the Snowball project's stemmer.

How a value or a reference on a board is written: common practice, no source.
"""

from __future__ import annotations

import re
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shop.handbook.words import (
    fold,
    fold_model,
    fold_serial,
    key_range,
    model_spans,
    model_tokens,
    stem,
    stored_form,
)
from tests.standards.word_cases import meets

_SUFFIXES = """
s es ed ing ingly edly eed eedly ied ies ational ization fulness ousness iveness ogist ogi bli li ful ness
ative icate ement ment ent ion sion tion e ll y ly ence ability ibly
"""
SUFFIXES = _SUFFIXES.split()


# Folding


@pytest.mark.parametrize(
    "text, folded",
    [
        ("Lautstärkeregler", "lautstarkeregler"),
        ("Straße", "strasse"),
        ("Øre, Łódź, Çelik, İstanbul", "ore, lodz, celik, istanbul"),
        ("4.7\u00b5F", "4.7uf"),  # micro sign
        ("4.7\u03bcF", "4.7uf"),  # Greek letter mu
        ("㎌", "uf"),  # NFKC
        ("47 k\u2126", "47 kohm"),  # ohm sign: NFKC makes it the Greek letter
        ("47 k\u03a9", "47 kohm"),
        ("VX‑318", "vx-318"),  # non-breaking hyphen
        ("５３", "53"),
        ("٤٢", "42"),
        ("x²", "x2"),
        ("β", "beta"),
        ("Жук", "qx0436qx0443qx043a"),
        ("ﬁlter", "filter"),
    ],
)
def test_folding_makes_one_spelling_of_many(text, folded):
    # Unicode Standard Annex 15 and case folding; o-slash and its kind, common practice
    assert fold(text) == folded


@given(st.text())
def test_folded_text_is_plain_and_folding_it_again_changes_nothing(text):
    once = fold(text)
    assert once.isascii()
    assert once == once.lower()
    assert fold(once) == once


@given(st.text(alphabet=st.characters(codec="ascii")))
def test_capitals_never_matter(text):
    assert stored_form(text.upper()) == stored_form(text.lower())
    assert fold_model(text.upper()) == fold_model(text.lower())


# Models and serials


@pytest.mark.parametrize(
    "typed", ["VX-318", "vx 318", "VX318", "Vx.318", " vx_318 ", "ＶＸ－３１８", "VX‑318", "v x 3 1 8"]
)
def test_a_model_number_is_known_however_it_is_typed(typed):
    assert fold_model(typed) == "vx318"


def test_the_letter_o_counts_as_zero_only_when_asked_for():
    assert fold_model("VX-3O8", letter_o=True) == fold_model("VX-308", letter_o=True) == "vx308"
    assert fold_model("VX-3O8") != fold_model("VX-308")
    assert fold_serial("O0417", letter_o=True) == "00417"


def test_the_leading_zeros_of_a_serial_number_stay():
    assert fold_serial("No. 00 4711/A") == "no004711a"


@given(st.text(), st.booleans())
def test_a_key_has_small_letters_and_digits_only_and_is_its_own_key(text, letter_o):
    key = fold_model(text, letter_o=letter_o)
    assert re.fullmatch("[a-z0-9]{0,64}", key)
    assert fold_model(key, letter_o=letter_o) == key


@given(st.text(alphabet="abz019", min_size=1, max_size=6), st.text(alphabet="abz019", max_size=6))
def test_a_range_holds_exactly_the_keys_that_begin_so(beginning, key):
    low, high = key_range(beginning)
    assert (low <= key < high) == key.startswith(beginning)


def test_a_model_number_is_found_among_other_words():
    assert model_tokens("hum in my VX 318 again") == (
        "inmyvx318",
        "myvx318again",
        "myvx318",
        "vx318again",
        "vx318",
        "318again",
        "318",
    )
    assert model_tokens("vx-318") == ("vx318",)
    assert model_tokens("no sound") == ()


def test_the_words_left_beside_a_model_number_are_asked_as_words():
    text = "hum VX 318 left"
    span = next(span for span in model_spans(text) if span.key == "vx318")
    assert text[span.start : span.stop] == "VX 318"
    assert span.cut_from(text).split() == ["hum", "left"]


# Stems


SNOWBALL_SAMPLE = """
consign consign consigned consign consigning consign consignment consign consist consist consisted consist
consistency consist consistent consist consistently consist consisting consist consolation consol consolatory consolatori
knack knack knackeries knackeri knave knave knaves knave knavish knavish kneaded knead knees knee knelt knelt
knightly knight knitted knit knitting knit knives knive knobs knob knocked knock knocker knocker knots knot
"""
"""From the sample vocabulary on the Snowball project's page of its English stemmer (from memory)."""


def test_stems_are_those_of_the_snowball_projects_page():
    told = iter(SNOWBALL_SAMPLE.split())
    for word, root in zip(told, told, strict=True):
        assert stem(word) == root


@pytest.mark.parametrize("word", ["", "ic", "c12", "naïve", "player's", "vx318"])
def test_what_is_no_english_word_is_its_own_stem(word):
    assert stem(word) == word


def test_threads_that_stem_at_once_do_not_mix_their_words():
    words = [
        f"{beginning}{ending}" for beginning in ("leak", "hum", "crackl") for ending in ("ing", "ed", "s")
    ] * 40
    alone = [stem.__wrapped__(word) for word in words]
    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(stem.__wrapped__, words)) == alone


@pytest.mark.parametrize(
    "forms",
    [
        "leak leaks leaked leaking",
        "capacitor capacitors",
        "battery batteries",
        "distort distorts distorted distorting distortion",
        "noise noises noisy",
        "relay relays",
        "oscillate oscillates oscillated oscillating oscillation",
        "crackle crackles crackled crackling",
        "solder solders soldered soldering",
    ],
)
def test_the_forms_of_a_word_find_each_other(forms):
    for question in forms.split():
        for told in forms.split():
            assert meets(question, f"it {told} when warm")


# What is stored


@pytest.mark.parametrize(
    "text, stored",
    [
        ("Left channel DEAD.", "left channel dead"),
        ("replaced C-101, C102 and Q3/Q4", "replac c101 c102 and q3 q4 101"),
        ("4.7µF/63V", "4d7uf 63v 4d7"),
        ("4.7 uF, 4,7µF, 4.7 mfd and 4u7", "4d7uf 4d7uf 4d7uf and 4u7 4d7 4d7mfd"),
        ("4700pF is 4.7 nF", "4d7nf is 4d7nf 4700pf 4d7"),
        ("4k7, 4.7 kΩ, 4700 ohms", "4k7 4d7k 4d7k 4d7kohm 4d7 4700ohms 4700 ohm"),
        ("0R22 or .22 ohm", "0r22 or 0d22r 0d22ohm 0d22 ohm"),
        ("1,500 ohm", "1d5k 1500ohm 1500 ohm"),
        ("-12.6 V and +12V", "12d6v and 12v 12d6"),
        ("2SC1815-GR, 2SC1815GR", "2sc1815gr 2sc1815gr 2sc1815"),
        ("12AX7A BC547B", "12ax7a bc547b 12ax7 bc547"),
        ("pins 1,2,3", "pin 1 2 3"),
        ("dated 8-14-79 and 8/14/79", "date 81479 and 81479"),
        ("won't power-up; it's the P.S.U.", "wont power up it the psu powerup"),
        ("pre-amp", "pre amp preamp"),
        ("100-120V", "100 120v"),
        ("9-pin DIN", "9pin din pin"),
        ("channel 2 amp", "channel 2a 2amp 2 amp"),
        ("leaking", "leak leaking"),
        ("モ 7", "qx30e2 7"),
        ("😀 ½", "1 2"),
        ("", ""),
    ],
)
def test_a_fault_text_is_stored_as_words_that_can_be_asked_for(text, stored):
    assert stored_form(text) == stored


@given(st.text(alphabet=st.characters(codec="utf-8"), max_size=200))
@example("4.7 uf-12v 1.2.3 c-101's")
def test_every_stored_word_has_small_letters_and_digits_only(text):
    words = stored_form(text)
    assert re.fullmatch(r"(?:[a-z0-9]{1,60}(?: (?=.)|$))*", words)
    assert len(words) <= 40 * len(text) + 40 or len(text) < 40
