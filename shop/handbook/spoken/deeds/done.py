"""What was done to the unit: parts that went in, work, and what is in the set for a while."""

from __future__ import annotations

import re
from collections.abc import Sequence

from shop.handbook.spoken.deeds.telling import place_in, proposed, thing_in
from shop.handbook.spoken.items import Item, items_of
from shop.handbook.spoken.places import channel_of
from shop.handbook.spoken.proposals import Kind, Proposal, Said
from shop.handbook.spoken.words import Word, words_of

_TEMPORARY = (
    ("jumper", r"\bjumper(?:ed)?\b"),
    ("clip lead", r"\bclip\s+leads?\s+(?:across|on|over|from)\b"),
    ("lifted", (
        r"\b(?:lifted|lifting)\b(?!\s+(?:pads?|traces?|tracks?|foils?|lands?)\b)"
        r"\s+(?:one\s+(?:leg|end|lead|side)|the\s+leg|a\s+leg)?"
    )),
    ("bypassed", r"\bbypass(?:ed)?\b"),
    ("lamp", r"\b(?:on|through|behind|with)\s+the\s+(?:dim\s+bulb|lamp|bulb)\b|\b(?:lamp|bulb)\s+in\s+series\b"),
    ("bias", r"\bbias\b.*\bfor\s+(?:the\s+)?first\s+power\b"),
    ("fuse", r"\bfuse\b.*\bfor\s+test\b|\bfuse\b.*\binstead\s+of\b|\bfuse\b.*\bfor\s+(?:the\s+test|testing|now)\b"),
    ("dummy", r"\bdummy\s+load\b.*\b(?:for\s+now|for\s+testing|across|connected)\b"),
    ("for now", r"\b(?:temporarily|temporary|for\s+now|for\s+the\s+test|for\s+testing|for\s+the\s+(?:moment|time\s+being))\b"),
)  # fmt: skip
_REMOVED = re.compile(r"\b(?:off\s+again|removed|taken\s+out|out\s+again|is\s+off|lamp\s+out|back\s+out)\b")


def temporary(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """What is in the set only for a while, and where."""
    text = sentence.lower()
    if _REMOVED.search(text):
        return None
    for what, cue in _TEMPORARY:
        fed = what == "lamp" and any(one.unit == "V" for one in items)
        if (found := re.search(cue, text)) and not fed:
            where = re.search(r"\b(?:across|over|of|on|at|from|around)\s+", text[found.start() :])
            start = found.start() + where.end() if where else found.end()
            place = place_in(sentence[start:], items, start) if where or what == "lifted" else ""
            if what == "bypassed" and not where:
                place = place_in(sentence[found.end() :], items, found.end())
                place = place or place_in(sentence[: found.start()], items, 0)
            shown = what
            if what == "for now":
                shown = re.sub(
                    r"^(?:a|an|the)\s+", "", sentence[: found.start()].strip(" ,"), flags=re.IGNORECASE
                )
                behind = re.fullmatch(r",\s*([\w ]{2,40}?)[ .]*", sentence[found.end() :])
                place = place or (behind[1] if behind else "")
            return proposed(
                Kind.TEMPORARY, sentence, {"what": shown, "place": place, "channel": channel_of(items)}
            )
    return None


MOST_WORDS = 4
"""A part’s own words are few; more of them are a sentence that went on."""
_FITTED = re.compile(
    r"\breplaced\b(?!\s+together)|\bfitted\b|\binstalled\b|\bput\s+in\b|\b(?:put|soldered|popped|dropped)\s+(?:in\s+)?(?:a|the)\s+new\b"
    r"|\bput\s+a\s+new\s+one\s+in\b|^\W*(?:and\s+)?(?:a\s+)?new\b(?!\s+(?:day|one\b(?!\s+in)))"
    r"|\bswapped\s+in\b|\bswapped\s+(?:out\s+)?(?:the\s+)?(?=[\w\s]+\b(?:for|with)\s+(?:a|new))"
    r"|\bswapped\s+out\b|\bchanged\s+(?=(?:the|both|[crq]\s*\d*)\b)"
)


def part(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """A part that went in, by its designator, value or name."""
    text = sentence.lower()
    found = _FITTED.search(text)
    if not found or re.search(
        r"\bcan\s+be\s+replaced\b|\b(?:somebody|someone|they)\s+(?:has\s+|have\s+)?(?:put|fitted|installed)\b"
        r"|\bsomebody\s+(?:has\s+)?replaced\b|\bsame\s+fault\b|\bsomeone\s+(?:has\s+)?replaced\b",
        text,
    ):
        return None
    refs = " ".join(dict.fromkeys(one.text for one in items if one.sort == "ref"))
    where = re.search(r"\b(?:on|in)\s+the\s+([\w ]+?)(?:[.,;]|\s+with\b|$)", text) if not refs else None
    types = [one.text for one in items if one.sort == "type"]
    read = next(
        (one.start for one in items if one.is_word("reads", "measures", "measured", "should", "was")),
        len(sentence),
    )
    values = [
        one for one in items if one.sort == "value" and one.unit in {"ohm", "F", "H"} and one.start < read
    ]
    value, asks = _fitted_value(values, items)
    said = Said(value.number, value.unit, value.start, value.end) if value else None
    facts = {
        "designation": _named_part(sentence, found.end(), refs, types, value),
        "place": refs or (where[1] if where else ""),
        "channel": channel_of(items),
    }
    return proposed(Kind.PART, sentence, facts, value=said, asks=asks)


def _fitted_value(values: Sequence[Item], items: Sequence[Item]) -> tuple[Item | None, tuple[str, ...]]:
    """The value of what went in: “from 10 k to 12 k”, “the 10 k with a 12 k”; of two that nothing tells apart it is asked."""
    if len({(one.number, one.unit) for one in values}) < 2 or len({one.unit for one in values}) > 1:
        return (values[0] if values else None), ()
    for value in reversed(values):
        before = [one for one in items if one.end <= value.start and not one.is_word("a", "an", "the", "new")]
        if before and before[-1].is_word("to", "with"):
            return value, ()
    return None, ("value",)


def _named_part(sentence: str, end: int, refs: str, types: Sequence[str], value: Item | None) -> str:
    """The type number that went in, else the part's own words where it has no designator or value."""
    if types:
        return f"fuse {types[-1]}" if "fuse" in sentence.lower() else types[-1]
    if (refs and sentence.find(refs.split(maxsplit=1)[0]) >= 0 and refs[-1:].isdigit()) or value:
        return ""
    thing = re.split(r"\s+(?:on|in|at|of)\s+", thing_in(sentence[end:]))[0]
    if len(thing.split()) > MOST_WORDS:
        return ""
    if "fuse" in sentence.lower() and not thing.lower().endswith("fuse"):
        thing = "fuse"
    return re.sub(r"^(?:new|old|another|fresh|pair\s+of|r\s+c\s+a)\s+", "", thing, flags=re.IGNORECASE)


_DID = (
    ("cleaned", r"\b(?:cleaned|deoxidized|washed|wiped)\b"),
    ("reflowed", r"\b(?:reflowed|resoldered|re-soldered|touched\s+up)\b"),
    ("lubricated", r"\b(?:lubed|lubricated|greased|oiled)\b"),
    ("demagnetized", r"\b(?:demagnetized|degaussed)\b"),
    ("recapped", r"\brecapped\b"),
    ("adjusted", (r"\b(?:adjusted|aligned|realigned|trimmed|calibrated|nulled|dialed\s+in|biased)\b"
        r"|^\W*(?:and\s+)?(?:i\s+)?(?:have\s+)?set\s+(?=.*\bto\b)|\bset\s+to\b|\bturned\s+(?:up\s+|down\s+)?to\b(?=.*\d|.*\b(?:milli\w+|volts?|amps?)\b)|\bturned\s+the\b.*\bto\b")),
    ("tightened", r"\b(?:tightened|retightened)\b"),
    ("reseated", r"\breseated\b"),
)  # fmt: skip


_NOT_DONE_YET = (
    r"\b(?:(?:somebody|someone)\s+(?:has\s+)?|needs?\s+(?:to\s+be\s+)?|(?:must|should)\s+(?:be\s+)?"
    r"|ha(?:ve|s)\s+to\s+be\s+)"
)


def work(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """Work on what stays in the unit, and where."""
    text = sentence.lower()
    text = re.sub(r"\bset\s+to\b.*", "set to", text)
    for did, cue in _DID:
        found = re.search(cue, text)
        if (
            not found
            or re.search(r"\bset\s+(?:up\s+)?(?:the|my)\s+(?:meter|scope|generator|variac|supply)\b", text)
            or re.search(rf"{_NOT_DONE_YET}(?:{cue})", text)
        ):
            continue
        start, tail = (found.end(), sentence[found.end() :]) if found[0] != "set to" else (len(sentence), "")
        if off := re.search(r"\boff\s+the\s+", tail):
            start, tail = start + off.end(), tail[off.end() :]
        if re.match(r"\s*(?:and|then)\s+\w+ed\b", tail):
            start, tail = len(sentence), ""
        tail = re.sub(r"^\s*(?:the\s+)?joints?\s+(?:on|of|at)\s+", lambda one: " " * len(one[0]), tail)
        place = place_in(tail, items, start) or place_in(
            re.sub(r"\b(?:was|were|has been|i)\b", "", sentence[: found.start()]), items, 0
        )
        asks = ("place",) if any(one.sort == "value" for one in items_of(words_of(place))) else ()
        return proposed(Kind.WORK, sentence, {"did": did, "place": place}, asks=asks)
    return None
