"""Slips of sentences that are put together: “1 jobs”, “One letter wait”, “the the”, “..”, a fact that isn't there.

No source: the grammar of English. A sentence is read as it stands between two blocks of a page; what lies in one line of a list
or a table apart from the next is none.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

_RUNS_ON = "a|abbr|b|code|em|i|kbd|small|span|strong|time"
_NEVER_SHOWN = re.compile(
    r"<(script|style|template|svg|textarea|datalist)\b.*?</\1>|<!--.*?-->", re.DOTALL | re.IGNORECASE
)
_APART = re.compile(r"<span class=\"(?:chip|badge|tape|stamp|verdict|reading)[^\"]*\"", re.IGNORECASE)

# Words in -s that are no plural, after “1”, “one”, “a” and “an”.
_ONE_OF_THEM = (
    "across always as bias bus chassis class does gas has is its lens less loss needs pass plus radius sales series stays takes "
    "this thus us was yes"
).replace(" ", "|")
_THINGS = (
    "accessory answer backup box caution customer day drawer estimate file finding hour invoice job letter line list minute "
    "month note order page parcel part payment photo photograph picture piece place price reading record reminder row "
    "stint supplier test unit week year"
).replace(" ", "|")
_TO_ONE = "are|come|do|go|have|lie|need|owe|run|stand|wait|were"

SLIPS = {
    "a plural of one": r"(?<![\d.,/:×–−-])\b(?:1|[Oo]ne|[Aa]n?) (?:(?:open|other|more|further|old) )?"
    rf"(?!(?:{_ONE_OF_THEM})\b)[a-z]{{2,}}s\b",
    "a singular of many": rf"(?<![\d.,/:$€£-])\b(?:[2-9]|[1-9]\d) (?:{_THINGS})\b",
    "one of which more is said": rf"\b[Oo]ne (?:{_THINGS}) (?:{_TO_ONE})\b",
    "a word twice": r"\b([a-z]{2,}) \1\b",
    "a number twice": r"(?<![\d.])\b(\d+) \1 [a-z]",
    "two marks": r"(?<![.…])\.\.(?!\.)|,,|;;|::|[?!]\.(?!\S)|\.,|,\.|: ?[.,]|\(\)|“”",
    "a fact of the program": r"(?<![\w{.])[a-z]+_[a-z_]+\b(?!\}|\.\w)|(?<=[a-z:,] )(?:None|True|False|nan)\b",
}
_ALL = {what: re.compile(pattern) for what, pattern in SLIPS.items()}


def slips_in(sentence: str) -> list[tuple[str, str]]:
    """What is wrong with a sentence, each with the words around it."""
    return [
        (what, sentence[max(0, found.start() - 30) : found.end() + 30])
        for what, pattern in _ALL.items()
        for found in pattern.finditer(sentence)
    ]


def slips_on(page: str) -> list[tuple[str, str]]:
    """What is wrong with the sentences of a page of HTML."""
    return [slip for sentence in sentences(page) for slip in slips_in(sentence)]


def sentences(page: str) -> Iterator[str]:
    """The texts of a page between its blocks."""
    page = _APART.sub("<div", _NEVER_SHOWN.sub("<br>", page))
    page = re.sub(rf"</?(?:{_RUNS_ON})\b[^>]*>", "", page)
    for text in re.sub(r"<[^>]*>", "\0", page).split("\0"):
        if plain := " ".join(html.unescape(text).split()):
            yield plain
