"""How a deed is told: a proposal from a whole sentence, the thing it speaks of, its place."""

from __future__ import annotations

import re
from collections.abc import Sequence

from shop.handbook.spoken.items import Item
from shop.handbook.spoken.proposals import Kind, Proposal, Said

LONGEST_THING = 2_000
"""Letters: a breath is no longer, and what was pasted costs no time."""

_NUMBERED = r"(?:one|two|three|four|five|six|all|some|a|an|the|any|its|his|her|that|of|my)\s+"
_TAIL = re.compile(
    r"\s*(?:[.,;!?]|\bfor\s+(?:now|testing|(?:the\s+)?test|the\s+moment)\b|\bwith\s|\buntil\b|\bso\s+that\b"
    r"|\bthey\s|\bto\s+(?:\d|one|two|twenty|ten|"
    r"thirty|forty|eighteen|fifteen)|\bbecause\b|\bwhich\b|\btoday\b|\bagain\b|\bboth\s+sides\b|\boff\s+the\b"
    r"|\bin\s+a\s|\bthat\s+was\b|\bwas\b|\bis\b).*$"
)


def proposed(
    kind: Kind, sentence: str, facts: dict[str, str], *, value: Said | None = None, asks: tuple[str, ...] = ()
) -> Proposal:
    """A proposal that rests on the whole sentence."""
    kept = {key: fact for key, fact in facts.items() if fact}
    return Proposal(kind, sentence, 0, len(sentence), kept, value=value, asks=asks)


def thing_in(text: str) -> str:
    """What is spoken of, without articles, counts and what follows."""
    cut = _TAIL.sub("", text.strip()[:LONGEST_THING]).strip(" ,.;!?")
    while (shorter := re.sub(rf"^{_NUMBERED}", "", cut, flags=re.IGNORECASE)) != cut:
        cut = shorter
    return cut


def place_in(text: str, items: Sequence[Item], start: int) -> str:
    """A place behind a cue: the designators it names, else its words without articles."""
    thing = thing_in(text)
    end = start + text.find(thing) + len(thing) if thing else start
    refs = [one.text for one in items if one.sort == "ref" and start <= one.start < max(end, start + 1)]
    if refs:
        return " ".join(refs)
    return re.sub(r"\b(?:the|a|an|all|and|both)\b\s*", "", thing, flags=re.IGNORECASE).strip()
