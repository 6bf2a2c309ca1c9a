"""What a complaint tells of, in the few words by which a bench sorts its faults: dead, one channel, tray, belt.

Two complaints of one kind of unit that share no word may yet speak of the same thing (“drawer will not open”, “disc tray
stuck”). A symptom is a thing and what is the matter with it, standing near each other, or a phrase that says both.

Sources
    The symptoms and their words in English, and the commonest in German, Dutch and French: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from shop.handbook.symptoms.rows import ROWS, Row
from shop.handbook.words import stored_tokens
from shop.handbook.words.tokens import Phrase, pieces

BEHIND, BEFORE = 4, 2
"""So many words may stand between a thing and its trouble, behind it and before it. Common practice, no source."""

LONGEST_READ = 2_000
"""What stands beyond tells no more of the fault, and any text must be read in bounded time."""

_DEAD_PART = re.compile(
    r"\bdead (channel|side|display|screen|speaker|motor|batteri|cell|key|spot)\b"
    r"|\b(channel|side|display|screen|speaker|motor|batteri|cell|key) dead\b"
)
"""A dead channel is no dead unit."""

_AHEAD = frozenset({"no", "without", "kein", "keinen", "geen"})
"""Words that stand before what they deny: “plays discs, no sound” says nothing of the discs."""

_POWER = re.compile(r"\b(turn|switch|power|come|start) (on|off|up|down)\b")


def _plain(words: Iterable[str]) -> str:
    """Stored words as one text in which `turn on` is one word, so that nothing that turns is meant by it."""
    return _DEAD_PART.sub(r"\1\2 broken", _POWER.sub(r"\1\2", " ".join(words)))


def _stems(phrase: str) -> str:
    return _plain(word for piece in pieces(phrase) for word in piece.stream)


def _phrases(text: str) -> list[str]:
    return [_stems(one) for one in text.split("|") if one.strip()]


def _either(phrases: Iterable[str]) -> str:
    return "(?:" + "|".join(map(re.escape, phrases)) + ")"


def _pattern(row: Row) -> re.Pattern[str]:
    ways = [_either(_phrases(row.phrases))] if row.phrases else []
    if row.things:
        thing, states = _either(_phrases(row.things)), [_stems(word) for word in row.states.split()]
        between = r" (?:(?!but|and)\S+ ){0,%d}"
        behind = [state for state in states if state not in _AHEAD]
        told = [thing + between % BEHIND + _either(behind), _either(states) + between % BEFORE + thing]
        told = told if states else [thing]
        if row.beside:
            beside = rf"(?=.*(?<!\S){_either(map(_stems, row.beside.split()))}(?!\S))"
            told = [rf"(?<=\A){beside}(?:.* )?{way}" for way in told]
        ways += told
    return re.compile(rf"(?<!\S)(?:{'|'.join(ways)})(?!\S)")


_PATTERNS: Mapping[str, re.Pattern[str]] = {row.name: _pattern(row) for row in ROWS}
_WORDS: Mapping[str, tuple[Phrase, ...]] = {
    row.name: tuple(
        dict.fromkeys(
            tuple(word for piece in pieces(one) for word in piece.stream)
            for one in f"{row.phrases}|{row.things}".split("|")
            if one.strip()
        )
    )
    for row in ROWS
}


GENERAL = frozenset(
    {
        "dead",
        "no sound",
        "noise",
        "intermittent",
        "display",
        "lead",
        "button",
        "switch",
        "adapter",
        "pairing",
        "lamp",
    }
)
"""Symptoms that many faults have: beside another one they tell nothing. Common practice, no source."""

_OVERRULES = {"dead": frozenset({"display", "lamp", "no sound", "no picture", "reception"})}
"""A dead unit is dark and silent by that alone."""


def among(symptoms: Iterable[str], stored: str) -> frozenset[str]:
    """Which of these symptoms a stored text (`stored_tokens`, joined by spaces) tells of."""
    plain = _plain([stored[:LONGEST_READ]])
    found = {name for name in symptoms if _PATTERNS[name].search(plain)}
    overruled = [
        name for name, others in _OVERRULES.items() if found & others and _PATTERNS[name].search(plain)
    ]
    return frozenset(found.difference(*(_OVERRULES[name] for name in overruled)))


def symptoms_of(text: str) -> frozenset[str]:
    """The symptoms that a text tells of as a person wrote it."""
    return among(_PATTERNS, " ".join(stored_tokens(text[:LONGEST_READ])))


def telling(symptoms: frozenset[str]) -> frozenset[str]:
    """Of several symptoms those that tell the most."""
    return symptoms - GENERAL or symptoms


def words_for(symptoms: Iterable[str]) -> tuple[Phrase, ...]:
    """Rows of stored words of which any text that tells of one of these symptoms holds at least one."""
    return tuple(dict.fromkeys(words for name in sorted(symptoms) for words in _WORDS[name]))
