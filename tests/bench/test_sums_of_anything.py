"""Whatever is typed into a sum: an answer that fits a tablet, or one sentence of refusal, and never anything else.

Source: none; two kilobytes are our own choice, four times what the longest honest answer needs on a tablet.
"""

from __future__ import annotations

from random import Random

import pytest
from django import forms

from shop.bench.sums import SUMS

MOST_BYTES = 2048
TRIES = 150

SIZES = (
    "0",
    "0.0001",
    "0.5",
    "1",
    "3.3",
    "8",
    "10",
    "47",
    "99",
    "123",
    "400",
    "2500",
    "65",
    "1e9",
    "1e-15",
    "99999",
    "7832",
)
UNITS = ("", " ", " V", " mV", " kV", " Ω", " kΩ", " MΩ", " mΩ", " W", " mA", " A", " µF", " pF", " mF", " H", " mH", " Hz",
         " kHz", " %", " dB", " s", " °C", " mm", " in", " g", " rpm", " k", " µH", " °")  # fmt: skip
ODD = (
    "",
    "NaN",
    "Infinity",
    "-Infinity",
    "OL",
    "∞",
    "1e400",
    "-1e400",
    "9" * 40,
    "0",
    "-0",
    "½",
    "33⅓",
    "12,5",
    "1.000,5",
    "'; --",
    "<b>",
    "a" * 40,
    "\u202e12",
    "٣",
    "1/0",
    "4k7",
    "104J",
    "T2AL250V",
    "2SC1815",
    "A",
    "--",
    "± 3",
    "65 kV",
    "−44600 mV",
)


def something(field: forms.Field, chance: Random) -> str:
    """A value for one field: mostly of its own kind, sometimes of any other."""
    offered = [str(value) for value, _ in getattr(field, "choices", ())]
    if offered and chance.random() < 0.9:
        return chance.choice(offered)
    if chance.random() < 0.2:
        return chance.choice(ODD)
    symbol = field.kind.symbol if hasattr(field, "kind") and chance.random() < 0.7 else None
    unit = (
        chance.choice(UNITS)
        if symbol is None
        else f" {chance.choice(('', 'm', 'k', 'µ', 'p', 'M', ''))}{symbol}"
    )
    return f"{chance.choice(('', '', '', '-'))}{chance.choice(SIZES)}{unit}"


@pytest.mark.parametrize("slug", SUMS)
def test_whatever_is_typed_the_sum_answers_shortly_or_refuses_in_a_sentence(slug, db) -> None:
    chance = Random(slug)  # noqa: S311  # the same values each time
    answered = 0
    for _ in range(TRIES):
        typed = {name: something(field, chance) for name, field in SUMS[slug].base_fields.items()}
        form = SUMS[slug](typed)
        said = form.is_valid()
        answered += said
        words = "\n".join(f"{one.label} {one.words}" for one in form.said)
        assert len(words.encode()) < MOST_BYTES, typed
        assert len(form.note.encode()) < MOST_BYTES, typed
        assert not any(wrong in words for wrong in ("NaN", "Infinity", "E+", "Decimal")), (typed, words)
        for sentences in form.errors.values():
            for sentence in map(str, sentences):
                assert sentence.endswith((".", "?", "”", "…")), (typed, sentence)
                assert len(sentence) < 300, (typed, sentence)


@pytest.mark.parametrize(
    "slug, typed, sentence",
    [
        ("v-be", {"apart": "65 kV", "celsius": "25"}, "no mismatch of V_BE"),
        ("v-be", {"apart": "5", "celsius": "25"}, "no mismatch of V_BE"),
        ("offset", {"volt": "65 kV", "ohm": "8"}, "within -300 to 300 V"),
        ("idle-current", {"volt": "9 kV", "first": "0R22"}, "within -50 to 50 V"),
        ("idle-current", {"volt": "45", "first": "0R22", "second": "0R001"}, "idles at more than 100 A"),
        ("discharge", {"volt": "90 kV", "farad": "1 µF", "ohm": "1k"}, "0 to 50000 V"),
        ("motor", {"ohm": "-12", "volt": "12 V"}, "can't be negative"),
        ("series-lamp", {"set_kind": "receiver", "idle": "220 W", "rated": "35 W"}, "no more at idle"),
        ("value", {"typed": "OL"}, "no value of a part"),
    ],
)
def test_what_no_bench_ever_meets_is_no_answer(slug, typed: dict[str, str], sentence, db) -> None:
    form = SUMS[slug](typed)
    assert not form.is_valid()
    assert sentence in str(form.non_field_errors()[0])
