"""Whether words put a price as a minimum amount: “from $200”, “$200+”, “200 or more”. Years, quantities and units are none.

Sources
    California Code of Regulations, title 16, section 2722: an estimate names no minimum amount. Which words say one, and
    which numbers are no price: common practice, no source.
"""

from __future__ import annotations

import re

from shop.handbook.money import CURRENCIES

# no sum has more signs; without an end each of them would be tried as the first
_NUMBER = r"\d[\d.,'\N{RIGHT SINGLE QUOTATION MARK}\N{NO-BREAK SPACE}]{0,24}"
_SIGN = r"(?:(?:US|NZ|[ACS])?\$|[€£¥￥₩₹₺]|kr\.?|Kč|zł|Ft|Fr\.?|Rs\.?|" + "|".join(sorted(CURRENCIES)) + ")"
_PRICE = rf"(?:(?<![A-Za-z]){_SIGN}\s?{_NUMBER}|(?<![\w.]){_NUMBER}\s?{_SIGN}(?![A-Za-z]))"
_LEAST = (
    r"(?i:\bat\ least|\bstarting\ (?:at|from)|\bbegins?\ at|\bminimum(?:\ of)?|\bmin\b\.?"
    r"|\bno(?:t)?\ less\ than|\bnot\ (?:under|below)|\bupwards?\ of|\bmindestens|>=|≥)"
)
_FROM = r"(?i:\bfrom|\bab|\bà\ partir\ de|\bas\ of)"
_OR_MORE = r"(?i:\+|(?:and|or)\ (?:up|more|over|above)\b|upwards?\b|minimum\b|min\b\.?|at\ least\b)"
_UNIT = (
    r"(?:[-\N{EN DASH}]?(?:[µμnpmkMG]?(?:V|A|W|F|Ω|H|Hz|m|s|R|ohms?|farads?)|dB|°|%|k|K|M|R|h|hFE|in|x"
    r"|(?i:hours?|hrs?|minutes?|days?|weeks?|years?|pcs?|pieces|turns|cycles?|times|inch(?:es)?|degrees))\b|[°%\"×])"
)
_NO_UNIT = rf"(?![\d.,]*\s?{_UNIT})"

# a run of blanks could be shared out among the expression's gaps in every way
_BLANKS = re.compile(r"\s{2,}")
LONGEST = 4_000
"""Signs that are looked at; the longest note beside a price has half as many."""

_WORDS = re.compile(
    rf"(?:{_LEAST}|{_FROM})\s*:?\s*(?:about\ |approx\.\ )?{_PRICE}"
    rf"|{_PRICE}\s*{_OR_MORE}"
    rf"|{_LEAST}\s*:?\s*{_NUMBER}{_NO_UNIT}(?!\w)"
    rf"|{_FROM}\s+(?!(?:19|20)\d\d\b){_NUMBER}\s*(?:$|[;:)!])"
)


def puts_a_minimum(words: str) -> bool:
    """Whether the words name a price as the least that something costs."""
    return bool(_WORDS.search(_BLANKS.sub(" ", words[:LONGEST])))
