"""What a complaint tells of. The pairs are everyday sentences of the bench; common practice, no source."""

from __future__ import annotations

import pytest

from shop.handbook.symptoms import symptoms_of, telling

SAME = [
    ("CD tray stuck", "The drawer won’t open", "tray"),
    ("Won’t switch on", "completely dead", "dead"),
    ("No output on one channel", "Left side silent, right fine", "one channel"),
    ("Platter doesn’t turn", "turntable not spinning", "turns not"),
    ("Runs slow", "wrong speed", "speed"),
    ("Geen geluid", "no sound", "no sound"),
    ("Der Riemen ist gerissen", "belt perished", "belt"),
    ("CD skips", "jumps on every track", "skips"),
    ("won't read discs", "Says no disc", "disc unread"),
    ("batteries leaked", "corroded battery contacts", "battery leaked"),
    ("switches itself off after ten minutes", "goes into protection", "shuts off"),
]


@pytest.mark.parametrize("one, other, symptom", SAME)
def test_two_ways_to_say_it_are_one_symptom(one, other, symptom):
    assert symptom in symptoms_of(one)
    assert symptom in symptoms_of(other)


@pytest.mark.parametrize(
    "text, not_told",
    [
        ("Doesn’t turn on", "turns not"),
        ("One channel dead", "dead"),
        ("Dead display, plays fine", "dead"),
        ("No picture but sound is fine", "no sound"),
        ("Plays CDs, no sound from the headphone socket", "disc unread"),
        ("level jumps when the volume is turned", "skips"),
        ("volume can't be turned down", "turns not"),
        ("on/off switch cleaned", "shuts off"),
        ("Bluetooth speaker needs a clean", "pairing"),
    ],
)
def test_what_only_sounds_alike_is_none(text, not_told):
    assert not_told not in symptoms_of(text)


def test_what_many_faults_have_tells_nothing_beside_another():
    assert telling(symptoms_of("No sound, the tray is stuck")) == {"tray"}
    assert telling(symptoms_of("No sound")) == {"no sound"}


def test_a_text_of_any_length_is_read_at_once():
    assert symptoms_of("skip " * 50_000) == frozenset()
