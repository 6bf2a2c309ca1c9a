"""The words of other mouths as plain ones: swearing left out, swallowed endings, decimal commas, a place said wrong.

The plain text is what is read; ``Plain`` knows for each of its letters where it stood in the words as they were said, so
that every proposal still points at those. Source of the ways of speaking: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.words import TENS, UNITS

_NUMBER = rf"(?:[\d.]\d*|{'|'.join((*TENS, *UNITS, 'hundred', 'point'))})"
_WORD_OF_NUMBER = rf"(?:{'|'.join((*TENS, *UNITS, 'oh'))})"
_OATH = (
    r"(?:god\s?-?damn(?:ed|it)?|damn(?:ed|it)?|hell|shit(?:ty)?|crap(?:py)?|bloody|fuck(?:ing|in)?|frigging|friggin"
    r"|freaking|freakin|effing|sodding|blast(?:ed)?|bastard|bitch|christ|jesus|bollocks|stupid|darn(?:ed)?|dang|dadgum|heck|bugger)"
)
_MARK = (
    rf"(?:no|nope|sorry|wait|hang\s+on|hold\s+on|i\s+mean|i\s+meant|make\s+that|rather|uh|um|er|oops|{_OATH})"
)
_STRONG = rf"(?:no|nope|sorry|wait|i\s+mean|i\s+meant|make\s+that|rather|oops|{_OATH})"
_REF = (
    r"(?P<{0}>pin|ic|tr|rl|vr|tp|[crqdvlt])\s?"
    rf"(?:\d{{{{1,4}}}}|{_WORD_OF_NUMBER}(?:\s+{_WORD_OF_NUMBER}){{{{0,2}}}})"
)
_LEG = r"(?:\s+(?:base|emitter|collector|gate|drain|source|plate|grid|cathode|screen))?"
_PLACE_SAID_WRONG = re.compile(
    rf"\b{_REF.format('wrong')}{_LEG}\s*(?=[,\s]*(?:{_MARK}[\s,]+)*{_STRONG}\b)"
    rf"(?:[,\s]+{_MARK}\b)+[\s,]+(?={_REF.format('right')}\b)",
    re.IGNORECASE,
)
_SWALLOWED = "|".join(
    listed(
        """
        sitt read show miss runn measur gett be work noth someth slipp leak bulg burn buzz humm com go look putt us
        crackl mak hang hold hav tak draw drift smok glow jump bounc swing
    """
    )
)
_BEHIND_IS = (
    rf"(?:{_NUMBER}|minus|plus|at|about|around|only|down|up|done|gone|open|short(?:ed)?|reading|sitting|showing|not|still"
    r"|now|between|missing|over|under)"
)

Told = str | Callable[[re.Match[str]], str]


def _same_letter(found: re.Match[str]) -> str:
    """Nothing, where one designator stands for another of its kind; else what was said."""
    return "" if found["wrong"].lower() == found["right"].lower() else found[0]


_WAYS: tuple[tuple[re.Pattern[str], Told], ...] = tuple(
    (one if isinstance(one, re.Pattern) else re.compile(one, re.IGNORECASE), told)
    for one, told in (
        (r"\u2019", "'"),
        (_PLACE_SAID_WRONG, _same_letter),
        (rf"\bpiece\s+of\s+(?:{_OATH}|junk)\b", "thing"),
        (r"\bson\s+of\s+a\s+(?:bitch|gun)\b", ""),
        (r"\bthank\s+(?:god|christ)\b", ""),
        (rf"\b(what|who|how|where)\s+the\s+{_OATH}\b", r"\1"),
        (rf",\s*(?:ah\s+|oh\s+|aw\s+)?{_OATH}\s*,(?=\s*(?:minus\s+|plus\s+)?{_NUMBER}\b)", ", sorry,"),
        (rf"\b{_OATH}\s+(?=yeah\b)", ""),
        (rf"\b{_OATH}\b", ""),
        (rf"\b({_SWALLOWED})in(?:'|\b)(?!\w)", r"\1ing"),
        (r"\b(?:oughta|ought\s+ta|s'posed\s+to|sposed\s+to)\s+", "should "),
        (rf"(?<!the )\bright\s+(?=(?:at|about|around)\s+(?:minus\s+|plus\s+)?{_NUMBER}\b)", ""),
        (
            rf"\b(?:must|has\s+to|have\s+to|needs\s+to|should)\s+(?:be|have)\b(?=\s+(?:\w+\s+){{0,3}}?(?:minus|plus|{_NUMBER}))",
            "should be",
        ),
        (r"\bain'?t\b", "is not"),
        (rf"\b(?:'bout|bout)\b(?=\s+(?:a\b|{_NUMBER}))", "about"),
        (rf"\bround\b(?=\s+(?:a\b|{_NUMBER}))", "around"),
        (r"(?<=\w\s)'?cross\s+the\b", "across the"),
        (r"\b(?:ol'?|li'l)\s+(?=\w)", ""),
        (r"\bdone\s+(?=gone\b|went\b|put\b|\w+ed\b)", ""),
        (
            rf"\b(?!(?:it|that|there|what|let|he|she|who|where|here|how)'s)(\w+)'s(?=\s+{_BEHIND_IS}\b|\s*,)",
            r"\1 is",
        ),
        (rf"\b({_NUMBER})'ll\b", r"\1 will"),
        (r"\bhunn?erd\b", "hundred"),
        (r"\ba\s+(?:whole|full|good|solid)\s+(?=(?:half\s+)?hour\b)", "an "),
        (r"\bany(?:thing|where)\s+(?=(?:under|below|over|above|between)\b)", "should be "),
        (r"\btest\s+point\s+(?=\w)", "tp "),
        (r"(?<![\d.,])(?<!pins )(\d{1,3}),(\d{1,2}|\d{4,})(?![.,]?\d)", r"\1.\2"),
        (r"(?<![\d.,])0,(\d{3})(?![.,]?\d)", r"0.\1"),
        (r"\b(\d+)\s+(?:comma|point)\s+(\d+)\b", r"\1.\2"),
        (rf"\b({_WORD_OF_NUMBER})\s+comma\s+(?={_WORD_OF_NUMBER}\b)", r"\1 point "),
        (r"(?:\+\s*/\s*-|\+-|\bplus\s*(?:or\s+|/\s*)?minus\b|\bgive\s+or\s+take\b)", "\u00b1"),
        (r"\b(?:wide|dead|completely|totally|fully)\s+(?=open\b|short(?:ed)?\b)", ""),
        (rf"\bi\s+(?:see|find|have)\s+(?=(?:only\s+|just\s+)?(?:minus\s+|plus\s+)?{_NUMBER}\b)", "i read "),
        (r"(?<=[AVWmsHzg%])\s*/\s*(?=(?:V|A|div|cm|mm|s|Hz)\b)", " per "),
        (r"\bcondensator(s?)\b", r"capacitor\1"),
        (r"\b(?:exchanged|changed)\b(?=[^.;]*\bagainst\b)", "replaced"),
        (r"(?<=\breplaced\b)([^.;]*?)\bagainst\b", r"\1with"),
        (r"\bexchanged\b", "replaced"),
        (
            r"(?<!be )\bbetween\b(?=[^.;]*?\b(?:is|are)\s+(?:allowed|permitted|okay|ok|fine|normal|good|in\s+spec)\b)",
            "should be between",
        ),
        (r"\blies\s+(?:at|by)\b", "is at"),
        (r"\bmaximal(?:ly)?\b", "at most"),
        (r"\bminimal(?:ly)?\b", "at least"),
        (rf"\bi\s+become\b(?=\s+(?:minus|plus|only|{_NUMBER}))", "i get"),
    )
)


@dataclass(frozen=True, slots=True)
class Plain:
    """The plain text, and for each of its letters (and its end) where that stood in what was said."""

    text: str
    stood: Sequence[int]

    def span(self, start: int, end: int) -> tuple[int, int]:
        """Where words of the plain text stood."""
        return self.stood[start], self.stood[end - 1] + 1 if end > start else self.stood[start]


def in_plain_words(said: str) -> Plain:
    """What was said, in plain words."""
    text, stood = said, list(range(len(said) + 1))
    for pattern, told in _WAYS:
        found = pattern.search(text)
        if found is None:
            continue
        pieces: list[str] = []
        places: list[int] = []
        last = 0
        for one in pattern.finditer(text):
            new = told(one) if callable(told) else one.expand(told)
            pieces += (text[last : one.start()], new)
            places += stood[last : one.start()]
            places += _spread(stood, one, len(new))
            last = one.end()
        text, stood = "".join((*pieces, text[last:])), [*places, *stood[last:]]
    return Plain(text, stood)


def _spread(stood: Sequence[int], found: re.Match[str], length: int) -> list[int]:
    """Where the letters of other words stand: from the first on, the last one where the last of the old stood."""
    if not length:
        return []
    there = stood[found.start() : found.end()]
    return [there[min(at, len(there) - 1)] for at in range(length - 1)] + [there[-1]]
