"""What is asked, to be done, concluded, tested, and how long it took."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from shop.handbook.spoken.deeds.telling import proposed, thing_in
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.proposals import Kind, Proposal
from shop.handbook.spoken.units import TIMES
from shop.handbook.spoken.words import Word

_QUESTION = re.compile(
    r"^\W*(?:and\s+)?(?:i\s+(?:should|have\s+to|must|need\s+to)\s+|we\s+(?:should|have\s+to|must"
    r"|need\s+to)\s+)?ask\s+(?:the\s+\w+\s+|him\s+|her\s+|them\s+|\w+\s+)?(?:whether|if|about|what|when"
    r"|where|how|why|for|who|which)\b|^\W*ask\s+(?:him|her|them|the\s+(?:customer|owner))\b"
    r"|\bquestion\s+for\s+(?:him|her|the)\b"
)


def question(sentence: str, _: Sequence[Word], __: Sequence[Item]) -> Proposal | None:
    """What the customer is to be asked."""
    found = _QUESTION.search(sentence.lower())
    return (
        proposed(Kind.QUESTION, sentence, {"what": sentence[found.end() :].strip(" .?")}) if found else None
    )


_TODO = re.compile(
    r"^\W*(?:to\s*-?do\b\W*|todo\b\W*|(?:and\s+)?next(?:\s+(?:time|up))?\W+(?:i\s+)?(?:check|look|order|replace"
    r"|measure|clean|do|test|try)\b|still\s+(?:to|have\s+to|need\s+to|needs)\b)"
    r"|\bi?\s*(?:need|have|got|must|ought)\s+to\s+(?:order|check|get|replace|clean|put|look|find|measure|buy"
    r"|test|redo|fix|adjust|recheck|do)\b"
    r"|\bi\s+must\s+(?:order|check|get|replace|clean|put|look|find|measure|buy|test)\b|\b(?:remember"
    r"|don't\s+forget|remind\s+me)\s+to\b|^\W*order\s|\bstill\s+to\s+(?:do|order|check|replace|clean)\b"
    r"|\bneeds?\s+(?:ordering|checking|cleaning)\b"
    r"|^\W*(?=(?:check|look|order|replace|measure|clean|test|try)\b.*\bnext\s+time\W*$)"
)


def todo(sentence: str, _: Sequence[Word], __: Sequence[Item]) -> Proposal | None:
    """What is still to be done, ordered or looked at."""
    if re.search(r"\bno\s+need\b|\bdon't\s+(?:need|have)\b|\bnothing\b", sentence.lower()):
        return None
    found = _TODO.search(sentence.lower())
    return (
        proposed(Kind.TODO, sentence, {"what": sentence[found.end() :].strip(" .:") or sentence})
        if found
        else None
    )


_CAUSE = re.compile(
    r"\bturned?\s+out\s+to\s+be\b|\b(?:the\s+)?fault\s+(?:was|is)\b|\b(?:root\s+)?cause\s*(?:was|is|:)"
    r"|\bso\s+it(?:'s|\s+is)\s+the\b|\b(?:so|and)?\s*it\s+was\s+(?:just\s+|only\s+|simply\s+)?(?:the|a|an"
    r"|c\d|q\d|r\d|d\d|ic\d|dirty|bad|dried|cold|cracked)\b|\bthe\s+culprit\b|\bcured\s+by\b"
    r"|\bfixed\s+it\b|\bwas\s+the\s+(?:problem|fault|cause|culprit)\b"
)
_HOWS = (
    ("cured by this alone", r"\bcured\s+by\b|\balone\b|\bnothing\s+else\b"),
    ("swapped", r"\bswap\w*\b|\bfollowed\b|\bwent\s+with\b|\bmoved\s+with\b"),
    (
        "replaced with others",
        r"\breplaced\s+together\b|\btogether\s+with\b|\breplaced\s+with\s+others\b|\bboth\s+replaced\b",
    ),
    ("measured", r"\bmeasured\b|\bmeasures\b|\breads?\b|\bby\s+the\s+meter\b"),
)


def conclusion(sentence: str, _: Sequence[Word], __: Sequence[Item]) -> Proposal | None:
    """What had failed, and how that was known: by a meter, by swapping, by this cure alone."""
    text = sentence.lower()
    found = _CAUSE.search(text)
    if not found or re.search(
        r"\bit\s+was\s+(?:a|an)\s+(?:long|good|bad|hard|nice|mess)\b|\bthere\s+before\b", text
    ):
        return None
    if re.search(r"\bso\s+it(?:'s|\s+is)\s+the\b", text) and not re.search(r"\bswap", text):
        return None
    how = next((how for how, cue in _HOWS if re.search(cue, text)), "")
    return proposed(Kind.CONCLUSION, sentence, {"how": how, "what": thing_in(sentence[found.end() :])})


_TESTED = re.compile(
    r"\b(soak|hipot|hi-pot|leakage|insulation|ground\s+continuity|ground\s+bond|safety|burn-in|listening"
    r"|load)\b(?:\s+(?:test|check))?.{0,24}?\b(?:passed|pass|ok|okay|good|fine|done)\b"
    r"|\b(test)\b(?:\s+(?!fail)\S+){0,5}?\s+(?:is|was|has)?\s*passed\b"
    r"|\bpassed\s+(?:the\s+)?(soak|hipot|leakage|insulation|safety|listening)\b"
)
_RAN = re.compile(
    r"\b(ran|played|run)\s+(?:it|six|two|three|four|five|ten|a|the|all|for|overnight|\d+"
    r"|one)\b.*?(?:\b(?:hours?|minutes?|dropouts?|discs?|records?|tapes?|overnight|through|sides?|h)\b)"
)
_COOKED = re.compile(r"^\W*soak(?:ed|\s+test)?\b")


def test(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """A test that was passed, or a run without a fault; one that failed is a finding."""
    text = sentence.lower()
    if re.search(r"\b(?:failed|fails|before\s+it|until\s+it)\b", text):
        return None
    took = [one for one in items if one.unit in TIMES]
    minutes = _minutes(took)
    if found := _TESTED.search(text):
        return proposed(Kind.TEST, sentence, {"what": found[1] or found[2] or found[3], "minutes": minutes})
    if _COOKED.search(text):
        return proposed(Kind.TEST, sentence, {"what": "soak", "minutes": minutes})
    found = _RAN.search(text)
    return proposed(Kind.TEST, sentence, {"what": found[1], "minutes": minutes}) if found else None


def _minutes(took: Sequence[Item]) -> str:
    """A duration in whole minutes; empty where none was said."""
    total = sum(((one.number or Decimal()) * (60 if one.unit == "h" else 1) for one in took), Decimal())
    return f"{total:.0f}" if total else ""


_WORKED = re.compile(
    r"\b(?:spent|needed|took\s+me|took|on\s+this|on\s+it|so\s+far|all\s+in\s+all|in\s+total|total|altogether|cleaning"
    r"|of\s+work|of\s+bench|bench\s+time|worked|been\s+at\s+it|work|labor)\b"
)
_HALF = re.compile(
    r"\bhalf\s+an\s+hour\b|\bthree\s+quarters\s+of\s+an\s+hour\b|\bquarter\s+(?:of\s+an\s+)?hour\b"
    r"|\ban\s+hour(?:\s+and\s+(?:a\s+(half|quarter)|(\w+(?:\s+\w+)?)\s+minutes))?\b"
)
_BARE = re.compile(
    r"^(?:about|that's|that was|and|another|make it|call it|so|okay|ok|well|time|labor|,|\.|:|;|\s)*$"
)


LONGEST_STINT = 24 * 60
"""Minutes: “the head has 800 hours on it” is the set's age and no work."""


def time(sentence: str, words: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """Time at the bench, in whole minutes."""
    text = sentence.lower()
    minutes, rest = _duration(text, items)
    on_it = re.match(r"^\W*(?:spent\s+)?on\s+(?:the|this|it)\b", rest)
    if (
        not minutes
        or int(minutes) > LONGEST_STINT
        or not (_WORKED.search(text) or on_it or _BARE.match(rest))
        or re.search(r"\b(?:after|every|within|in\s+the\s+last)\b", text)
    ):
        return None
    return proposed(Kind.TIME, sentence, {"minutes": minutes})


def _duration(text: str, items: Sequence[Item]) -> tuple[str, str]:
    """The minutes, and what else is said."""
    spoken = _HALF.search(text)
    took = [one for one in items if one.unit in TIMES]
    if spoken and (spoken[0].startswith("an hour") or not took):
        total = _spoken_minutes(spoken[0])
        total += sum(int(one.number or 0) for one in took if one.unit == "min")
        return str(total), text[: spoken.start()] + text[spoken.end() :]
    if not took:
        return "", text
    tail = _tail_minutes(items, took[-1])
    end = tail.end if tail else took[-1].end
    total_text = _minutes([*took, Item("value", "", 0, 0, tail.number, "min")] if tail else took)
    return total_text, text[: took[0].start] + text[end:]


def _tail_minutes(items: Sequence[Item], last: Item) -> Item | None:
    """“two hours fifteen”."""
    at = list(items).index(last) + 1
    if last.unit == "h" and at < len(items) and items[at].sort == "number":
        return items[at]
    return None


def _spoken_minutes(text: str) -> int:
    """Minutes of an hour's part in words."""
    if text.startswith("an hour"):
        return 60 + (30 if "half" in text else 15 if "quarter" in text else 0)
    return 30 if text.startswith("half") else 45 if text.startswith("three") else 15
