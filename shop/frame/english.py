"""American words on American papers, British ones elsewhere: the few that papers say and that are spelled differently.

Only words of the program pass through here, never what somebody typed. Source: the spelling of Merriam-Webster and of the
Oxford dictionaries (from memory). English outside the United States and the places that follow them is written as CLDR's
`en-001` does, which is British.
"""

from __future__ import annotations

import re

from shop.frame.profile import the_profile

AMERICAN_PLACES = frozenset({"US", "AS", "GU", "MP", "PR", "UM", "VI", "PH", "LR", "FM", "MH", "PW"})
PAIRS = (
    ("labor", "labour"),
    ("authorized", "authorised"),
    ("favor", "favour"),
    ("canceled", "cancelled"),
    ("color", "colour"),
    ("center", "centre"),
    ("license", "licence"),
    ("gray", "grey"),
    ("aluminum", "aluminium"),
    ("vacuum tube", "valve"),
    ("vacuum tubes", "valves"),
    # ground has other meanings: only where a safety paper speaks of the electrical one
    *(
        (said, said.replace("ground", "earth"))
        for said in ("ground pin", "grounded metal", "metal to ground")
    ),
)
"""Each word as the United States spell it, and as the United Kingdom does."""


def american() -> bool:
    """Whether the shop's papers are written in American English."""
    return the_profile().country in AMERICAN_PLACES


def english(words: str) -> str:
    """The program's own words in the English of the shop's papers, capitals kept."""
    spelled = {british: us for us, british in PAIRS} if american() else dict(PAIRS)
    return _pattern(tuple(spelled)).sub(lambda found: _as(found[0], spelled[found[0].lower()]), words)


def _pattern(words: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(words)})\b", re.IGNORECASE)


def _as(found: str, word: str) -> str:
    if found.isupper():
        return word.upper()
    return word.capitalize() if found[0].isupper() else word
