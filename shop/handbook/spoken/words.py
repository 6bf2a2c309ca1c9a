"""A sentence as words that know where they stand, misheard ones mended only beside neighbors that fit.

Sources: which words a recognizer takes for which (ohm/home, bias/buy us): common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.units import UNITS_SAID

_WORD = re.compile(
    r"[Bb]\+(?!\w)|\b\d{1,2}-\d{1,2}-(?:\d{4}|\d{2})\b|[+\-\u2212](?=\.?\d)|\.\d+[\w%]*"
    r"|\d+(?:,\d{3})+(?:\.\d+)?\w*|[^\W_][\w'\u2019]*(?:[./]\d\w*)*|[%?.,;:!\u00b0\u00b1]"
)


@dataclass(frozen=True, slots=True)
class Word:
    """One word or mark: as it is compared, as it stood, and where."""

    text: str
    raw: str
    start: int
    end: int


def words_of(sentence: str) -> list[Word]:
    """The words and marks of a sentence in their order, misheard ones mended."""
    found = [Word(_plain(one[0]), one[0], one.start(), one.end()) for one in _WORD.finditer(sentence)]
    return list(_mended(_lettered(found)))


def _lettered(words: list[Word]) -> list[Word]:
    """L and R as the two sides, E, B and C as the legs of a transistor: only where the others stand beside."""
    raws = {one.raw for one in words}
    meant: dict[str, str] = {}
    if {"L", "R"} <= raws:
        meant |= {"L": "left", "R": "right"}
    if {"E", "B", "C"} <= raws:
        meant |= {"E": "emitter", "B": "base", "C": "collector"}
    return [replace(one, text=meant.get(one.raw, one.text)) for one in words]


def _plain(raw: str) -> str:
    """Lower case, straight apostrophe, signs as the words they are said by."""
    text = raw.lower().replace("\u2019", "'")
    if len(text) > 1 and text[0].isdigit() and "-" in text:
        return text.replace("-", "/")
    if text[-1:] == "s" and (text[:-1] in UNITS or text[:-1] in TENS) and text not in {"ones", "twos"}:
        return text[:-1]
    return {"+": "plus", "-": "minus", "\u2212": "minus"}.get(text, text)


def _joined(first: Word, last: Word, text: str) -> Word:
    """Several words heard as one."""
    return Word(text, f"{first.raw} {last.raw}", first.start, last.end)


_PAIRS = {
    ("buy", "us"): "bias", ("by", "us"): "bias", ("bye", "us"): "bias",
    ("bee", "plus"): "b+", ("b", "plus"): "b+", ("be", "plus"): "b+",
    ("to", "do"): "todo", ("heat", "sink"): "heatsink",
    ("a", "c"): "ac", ("d", "c"): "dc", ("i", "c"): "ic", ("t", "p"): "tp",
}  # fmt: skip
_BEFORE_A_NUMBER = {
    "are": "r",
    "see": "c",
    "sea": "c",
    "cue": "q",
    "queue": "q",
    "you": "u",
    "dee": "d",
    "ar": "r",
}
_BEFORE_ARE = frozenset(
    listed(
        "resistor and on at of to across the that is from for so with replaced changed measured check by then"
    )
)
"""Before “are twelve” where R12 is meant: behind any other word it is the verb, “left and right offset are 6 and 8”."""
_AFTER_A_NUMBER = {
    "home": "ohm",
    "homes": "ohm",
    "own": "ohm",
    "owns": "ohm",
    "hurts": "hertz",
    "hurt": "hertz",
}
_AFTER_A_NUMBER |= {"bolts": "volts", "bolt": "volt", "whats": "watts"}
_SCALES = {"k", "kilo", "meg", "mega"}


def _mended(words: list[Word]) -> Iterator[Word]:
    """The same words, with those changed that only make sense as another."""
    at = 0
    while at < len(words):
        word, after = words[at], words[at + 1] if at + 1 < len(words) else None
        before = words[at - 1].text if at else ""
        if after and (word.text, after.text) in _PAIRS and _may_pair(words, at):
            yield _joined(word, after, _PAIRS[word.text, after.text])
            at += 2
            continue
        if (
            word.text in {"see", "sea"}
            and after
            and after.text == "oil"
            and before in {"relay", "motor", "choke"}
        ):
            yield _joined(word, after, "coil")
            at += 2
            continue
        if word.text in {"e", "p"} and [one.text for one in words[at : at + 3]] == ["e", "s", "r"]:
            yield _joined(word, words[at + 2], "esr")
            at += 3
            continue
        behind = words[at + 2].text if at + 2 < len(words) else ""
        if not (
            word.text == "are" and behind in UNITS_SAID
        ):  # “the caps are 100 micro”: no designator has a unit
            word = replace(word, text=_heard(word.text, before, after))
        yield word
        at += 1


def _may_pair(words: list[Word], at: int) -> bool:
    """“buy us” at the head of what is measured; “to do” at the head of a sentence; letters anywhere."""
    first, rest = words[at].text, [one.text for one in words[at + 2 : at + 4]]
    if first in {"buy", "by", "bye"}:
        return any(
            one in {"is", "left", "right", "current", "at", "reads", "to"} or is_number(one)
            for one in rest[:1]
        )
    if first == "to":
        return at == 0
    return first != "a" or (at > 0 and words[at - 1].text in {"volts", "volt", "millivolts"})


def _heard(text: str, before: str, after: Word | None) -> str:
    """The word that was meant, by its neighbors."""
    follows = after.text if after else ""
    if text in _AFTER_A_NUMBER and (is_number(before) or before in _SCALES):
        return _AFTER_A_NUMBER[text]
    if (
        text in _BEFORE_A_NUMBER
        and (text != "are" or not before.isalpha() or before in _BEFORE_ARE)
        and is_number(follows)
        and follows != "point"
        and before not in {"i", "you", "we", "they", "can"}
    ):
        return _BEFORE_A_NUMBER[text]
    if text == "died" and follows in {"bridge", "d", "reads", "is"} and before in {"the", "a", "zener", ""}:
        return "diode"
    return text


def is_number(text: str) -> bool:
    """Whether a word is, or begins, a number."""
    return text in UNITS or text in TENS or text in {"hundred", "thousand", "point"} or text[:1].isdigit()


UNITS = {
    word: number
    for number, word in enumerate(
        listed(
            """
        zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen
        seventeen eighteen nineteen
    """
        )
    )
}
TENS = {
    word: 10 * number
    for number, word in enumerate(
        listed(
            """
        twenty thirty forty fifty sixty seventy eighty ninety
    """
        ),
        2,
    )
}
