"""The words of the search against the Snowball project's stemmer and SQLite's own full-text index.

Which words mean the same on a bench, and how a value or a reference on a board is written: common practice, no source.
"""

from __future__ import annotations

import re
import sqlite3
import time
from collections import Counter

import pytest
import snowballstemmer
from hypothesis import example, given, settings
from hypothesis import strategies as st

from shop.handbook.counting import Collection, collection_of, score
from shop.handbook.words import (
    TRADE,
    TRADE_ROWS,
    Asked,
    asked_form,
    build_synonyms,
    expand,
    fold,
    fold_model,
    fold_serial,
    fts5_query,
    key_range,
    marks,
    matches,
    model_spans,
    model_tokens,
    pieces,
    ranker,
    satisfied_by,
    stem,
    stored_form,
    stored_tokens,
    stored_vector,
    tsquery,
)

SNOWBALL = snowballstemmer.stemmer("english")

_BENCH_WORDS = """
adjusted adjusting adjustment alignment amplified amplifier amplifiers amplify arcing assemblies battery
batteries belts bending biased biasing blown boards bridging broken browned bulging burned burning burnt
buzzes buzzing cabinet cables calibrate calibrated calibration capacitance capacitor capacitors channels
charging chassis cleaned cleaning clicking clipping coils cold coloration conductive connections connector
contacts controls cores corroded corrosion coupling cracked crackles crackling cutting damaged dead degraded
demagnetized denatured desoldered detached died dies dimming diodes dirtiest dirty disassembled discharge
disconnected displays distorted distorting distortion distorts dragging dried drifting driven driver drivers
dropped dying early eccentric electrically electrolytic emergency emitters energized equalization erratically
excessively exceeding failed failing failures faulty feedback filters fitted flickering fluctuates flutter
frequencies frequency functional functioning fuses fusible generally generates glued grounding grounds
harmonically harness heated heating hissing hotter humming identical idler idlers impedance inductance
inductive inner inning installation installed insulation intermittent intermittently internally isolation
jammed joints knobs lamps leakage leaked leaking leaks leaky level lifted loosely loudness loudspeaker
lubricated lubrication magnetically marginal matched measured measurement measurements mechanically
microphonic mismatched missing modifications modified modulation motors motorboating muffled muting necessary
needles noise noises noisier noisily noisy obviously occasionally offset opened operational organs originally
oscillates oscillating oscillation oscillator outing overheated overheating oxidation oxidized painting
parasitic past paste pinched pitted polarity popped popping potentiometer potentiometers powered powering
preamplifier previously proceed proceeding protection protective pulleys quality quietly rattles rattling
readily rebuilt recapped rectification rectified rectifier rectifiers refoamed regulated regulation regulator
relays reliability reliable repaired repairing replaced replacement replacing replied resistance resistive
resistor resistors resoldered resoldering rewired ringing roughly rubbed rusty scratches scratchy seized
selector sensitivity shorted shorting shorts signals silenced silently singly sizzling sluggish smoking
soldered soldering sounds speakers specified spikes springs sputtering stability starved static sticking
sticky stiffened stopped stripped stylus subchassis succeeded supplies suspended swapped switches switching
symmetrical temperature temperatures terminals thermally threaded transformer transformers transistors trimmer
tubes tuned tuner tuning turned turning turntable turntables uneven universal university unplugged unsoldered
unstable unusually useful usually values valves vibrating vibration voltages volume warmed warming weakened
whistles whistling windings wiped wired wiring wobbling worn yellowed yes zenith zeros
"""
BENCH_WORDS = _BENCH_WORDS.split()

_SUFFIXES = """
s es ed ing ingly edly eed eedly ied ies ational ization fulness ousness iveness ogist ogi bli li ful ness
ative icate ement ment ent ion sion tion e ll y ly ence ability ibly
"""
SUFFIXES = _SUFFIXES.split()

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


def index_of(*records: str) -> sqlite3.Connection:
    shelf = sqlite3.connect(":memory:")
    shelf.execute("CREATE VIRTUAL TABLE told USING fts5(complaint, finding)")
    for record in records:
        complaint, _, finding = record.partition("|")
        shelf.execute("INSERT INTO told VALUES (?, ?)", (stored_form(complaint), stored_form(finding)))
    return shelf


def found(shelf: sqlite3.Connection, asked: Asked) -> list[int]:
    rows = shelf.execute("SELECT rowid FROM told WHERE told MATCH ? ORDER BY rowid", (fts5_query(asked),))
    return [rowid for (rowid,) in rows]


def meets(question: str, record: str, *, typing: bool = False) -> bool:
    """Whether a question finds a record, by the handbook's own word and by SQLite's; they must agree."""
    asked = asked_form(question, typing=typing)
    complaint, _, finding = record.partition("|")
    ours = matches(asked, stored_tokens(complaint), stored_tokens(finding))
    assert bool(found(index_of(record), asked)) == ours
    return ours


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


@pytest.mark.parametrize("word", BENCH_WORDS)
def test_the_stem_of_a_bench_word_is_that_of_the_snowball_project(word):
    assert stem(word) == SNOWBALL.stemWord(word)


@given(
    st.text(alphabet="aeiouybcdglmnprstwx", min_size=1, max_size=7),
    st.sampled_from(SUFFIXES),
    st.sampled_from(["", "s", "ly", "ed", "e"]),
)
@settings(max_examples=1_500)
def test_the_stem_of_any_made_up_word_is_that_of_the_snowball_project(beginning, suffix, ending):
    word = beginning + suffix + ending
    assert stem(word) == SNOWBALL.stemWord(word)


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


_SCRAPS = "no output dead channel left hum c-101 vx 318 4.7 uf cap pot 2sc1815-gr the leaking , |"
TOLD = st.lists(
    st.sampled_from(_SCRAPS.split()),
    max_size=10,
).map(" ".join)


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
