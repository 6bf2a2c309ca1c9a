"""Sentences that tell of no finding on this bench: wishes, guesses, questions, hearsay, small talk."""

from __future__ import annotations

import re

from shop.handbook.spoken.items import items_of
from shop.handbook.spoken.words import words_of

_NOT_HERE = re.compile(
    r"""\bif\s+(?:i|it|that|the|we|he|she|they|this)\b | \bwould(?:n't|'ve)?\b | \bi'd\s+(?:expect|say|like
    |guess|bet)\b
    | \bwonder(?:ing)?\b | \bmaybe\b | \bperhaps\b | \bmight\b | \bcould\s+(?:be|have)\b | \bprobably\b
    | \bi\s+(?:believe|guess|think|suppose|bet|hope)\b
    | \?\s*$
    | ^\s*(?:is|are|was|were|does|do|did|has|have|can|could|should)\s+(?:the|it|that|this|there|i|we|c\d
    |q\d|r\d|you)\b
    | \bhaven'?t\b | \bhave\s+not\b | \bdidn'?t\s+(?:measure|check|test|replace|clean|touch)\b
    | \bdon'?t\b(?!\s+have) | \bdo\s+not\b | \bnot\s+(?:going|gonna|measured|checked|tested|yet)\b
    | \bno\s+reading\b | \bnever\b | \bwon'?t\b | \bgoing\s+to\b | \bgonna\b
    | \blast\s+(?:one|time|week|year|month|winter)\b | \bthe\s+other\s+day\b | \bused\s+to\b
    | \bthey\s+said\b | \bthey\s+say\b
    | \b(?:he|she|customer|owner|client|manual|schematic|book|data\s*sheet|datasheet|forum|internet
    |seller)\s+(?:says?|said|calls?|claims?|told|thinks?|wants?|gives?|lists?|shows?|specifies)\b
    | \b(?:should|ought\s+to)\s+(?:read|measure|see|get)\b | \bsomething\s+like\b | \bcan'?t\s+(?:see|read
    |tell)\b
    | ^\W*(?:turn|take|press|push|hold|pull|wait|connect|plug|keep|mind)\s+(?!up\b)(?:the|it|your|on|off
    |for|ten|a|volume|down|one|two|in|out)\b | \b(?:almost|nearly)\s+\w+ed\b | ^\W*(?:one\W+two\W+three
    |testing)\b | ^\W*(?:and\s+)?the\s+(?:test\s+\w+|label|print)\s+says\b | \b(?:third|half|quarter|most
    |one|some|many|none)\s+of\s+them\b | \bof\s+those\b | \bon\s+the\s+shelf\b | \bone\s+of\s+these\b
    | \b(?:ten|hundred)\s+to\s+one\b | \bmy\s+money(?:'s|\s+is)\b | \bsuppose\b | \bassum
    | \blet's\s+(?:say|see|assume|pretend)\b | \bsomething,""",
    re.VERBOSE,
)
_PERSONAL = re.compile(
    r"\b(?:call|phone|text|ring|email)\s+(?:him|her|them|me)\s+(?:at|on)\b|\blives\s+(?:at|on)\b|\b(?:lane"
    r"|street|avenue|road)\b"
    r"|\bphone\s+number\b|\bpay\s+(?:him|her|them)\b|\bbucks\b|\bdollars?\b|\beuros?\b"
)
_ONLY_SHOULD = re.compile(r"^\W*(?:it|that|this|the\s[\w\s]+?|there)\s+should\b")


_PAPERS = re.compile(
    r"\b(?:manual|schematic|book|data\s*sheet)\s+(?:says?|gives?|lists?|shows?|specifies|wants?)\b(?=.*\b(?:(?:i've|i)\s+(?:get|got"
    r"|read|measure|see|have)|(?:it|this\s+one)\s+(?:reads|measures))\b)"
)


LONGEST_SENTENCE = 20_000
"""Letters: what was pasted by mistake costs no time."""

_PAPERS_BEHIND = re.compile(
    r"(?<=\w),\s+(?:the\s+)?(?:manual|schematic|book|data\s*sheet)\s+says\b(?=\W+[\d\w])"
)
"""“2.5 V, manual says 2.4”: what it should be, behind what was read."""


def tells_of_nothing(sentence: str) -> bool:
    """Whether a sentence is a wish, a guess, a question, hearsay or somebody's address."""
    text = sentence[:LONGEST_SENTENCE].lower().replace("\u2019", "'")
    text = _PAPERS_BEHIND.sub("", _PAPERS.sub("", text))
    return bool(_NOT_HERE.search(text) or _PERSONAL.search(text) or _only_should(text))


def is_personal(sentence: str) -> bool:
    """Whether it holds an address, a telephone number or a sum of money of a person."""
    return bool(_PERSONAL.search(sentence.lower()))


def _only_should(text: str) -> bool:
    """“it should be four hundred volts”, and nothing that was read."""
    found = _ONLY_SHOULD.search(text)
    if not found or re.search(r"\b(?:reads?|get|measures?|measured|but|it's|and\s+it\s+is)\b", text):
        return False
    return not any(one.sort == "value" for one in items_of(words_of(text[: found.end()])))
