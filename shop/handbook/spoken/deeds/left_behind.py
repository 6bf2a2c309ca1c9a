"""What the unit came with: what is missing, its marks, the traces of earlier hands, devices that are no originals."""

from __future__ import annotations

import re
from collections.abc import Sequence

from shop.handbook.spoken.dated import date_in
from shop.handbook.spoken.deeds.telling import proposed, thing_in
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.places import channel_of
from shop.handbook.spoken.proposals import Kind, Proposal
from shop.handbook.spoken.words import Word

_GONE = re.compile(
    r"^\W*(?:there\s+is\s+|there's\s+)?no\s+([\w\s]+?)(?:\s+(?:with\s+it|included|in\s+the\s+box"
    r"|came\s+with\s+it|in\s+the\s+bag))?\W*$"
    r"|^.*\bno\s+([\w\s]+?)\s+(?:with\s+it|included|in\s+the\s+box)\b"
    r"|\b(?:came|arrived|comes)\s+without\s+(.+)$|\b(?:didn't|did\s+not)\s+(?:send|bring|include)\s+(.+)$"
    r"|^\W*there\s+(?:is|are)\s+missing\s+(?:the\s+)?(.+?)(?:\s+of\s+.*)?$"
    r"|\bforgot\s+(?:the|to\s+(?:send|bring))\s+(.+)$"
    r"|^\W*(?:the\s+)?([\w\s]+?)\s+(?:is\s+|are\s+|was\s+|were\s+)?(?:missing|gone|(?:not|isn't|aren't)\s+(?:included|here"
    r"|with\s+it|there|in\s+the\s+box))\b(?!\s+(?:its|a|the)\b)|^\W*missing\W+(?:is\s+)?(?:the\s+)?(.+)$"
)
_NO_OBJECT = frozenset(
    listed(
        """
        hum noise sound output signal connection idea clue problem need reading voltage clock change
        distortion way luck power fault buzz dropouts click longer answer more crackle start reset sync
    """
    )
)


def missing(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """What should have come with the unit and did not; a signal that is missing is a finding."""
    found = _GONE.search(sentence.lower())
    if not found or any(one.sort == "rail" for one in items) or any(one.sort == "value" for one in items):
        return None
    group = next(at for at, one in enumerate(found.groups(), 1) if one)
    what = thing_in(
        re.sub(
            r"\b(?:now|anymore|any\s+more|at\s+all|any\s+longer|here)\b.*",
            "",
            sentence[found.start(group) : found.end(group)],
            flags=re.IGNORECASE,
        )
    )
    what = re.split(r"\s+(?:on|from|at)\s+", what)[0]
    if (
        not what
        or what.lower().split()[-1] in _NO_OBJECT
        or what.lower().split()[0] in {"make", "not", "that", "it", "and", "there"}
        or any(one.sort == "ref" for one in items)
        or re.search(r"\b(?:under|inside|behind|between|anywhere)\b", what.lower())
        or re.search(
            r"\b[b-hj-z]\s+\d|\b[b-hj-z]\s+(?:one|two|three|four|five|six|seven|eight|nine|ten)\b",
            what.lower(),
        )
    ):
        return None
    return proposed(Kind.MISSING, sentence, {"what": what})


_MARKS = re.compile(
    r"\b(dent(?:ed|s)?|scratch(?:ed|es)?|crack(?:ed)?|chip(?:ped)?|scuff(?:ed|s|ing)?|rust(?:ed|y)?|faded"
    r"|yellowed|broken\s+off|worn\s+off|gouge|cigarette\s+burn|water\s+stains?|peeling|bent|split|chipping"
    r"|torn|dinged|ding)\b"
)
_OUTSIDE = re.compile(
    r"\b(?:lid|cover|panel|cabinet|case|door|window|key|keys|knob|hinge|face\s*plate|front|rear|back|side"
    r"|veneer|glass|feet|foot|top|bottom|corner|wood|handle|bezel|grille|chrome|dial|display|finish"
    r"|enclosure|trim|antenna|paint|plinth|logo|lettering)\b"
)


def condition(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """A mark on the outside that was there before."""
    found = _MARKS.search(sentence.lower())
    if (
        not found
        or not _OUTSIDE.search(sentence.lower())
        or any(one.sort in {"value", "ref"} for one in items)
    ):
        return None
    what = found[1] if found[1] not in {"scratches", "dents"} else found[1].rstrip("es")
    return proposed(Kind.CONDITION, sentence, {"what": what, "place": thing_in(sentence[found.end() :])})


_TRACES = (
    ("sticker", r"\bsticker\b"), ("tag", r"\btag\b"), ("label", (r"\blabel\b.*\b(?:serviced"
        r"|repaired)\b")), ("date code", r"\bdate\s+codes?\b"),
    ("pencil date", r"\bpencil(?:ed)?\s+date\b"), ("pencil", r"\b(?:pencil|penciled|wrote|written|marker|scribbled)\b"),
    ("flux", r"\bflux\b.*\b(?:earlier|old|all\s+over|left|from|someone|somebody)\b|\b(?:old|someone's|somebody's)\s+flux\b"),
    ("service date", (
        r"^\W*(?:it\s+(?:was|has\s+been)\s+|was\s+)?(?:last\s+)?(?:serviced|repaired)\b"
    )), ("stamp", (r"\b(?:date\s+stamp|stamped"
        r"|inspection\s+stamp)\b")),
    ("solder", (r"\b(?:resoldered|reworked|hand[\s-]soldered|been\s+in\s+here|somebody\s+was\s+here"
        r"|someone\s+was\s+(?:in\s+)?here)\b.*")),
)  # fmt: skip
_DONE_BY = re.compile(
    r"\bby\s+(?!hand\b|mistake\b|now\b|then\b)(?:somebody\s+named\s+|someone\s+named\s+|someone\s+called\s+|a\s+)?([A-Za-z]+)\W*$"
)
_WHERE = re.compile(
    r"\b(?:inside|on|under|over|at|behind)\s+(?:the\s+)?([a-z][a-z ]*?)(?=\s+(?:says|say|in|by"
    r"|from|dated|reads|with|that)\b|[^a-z ]|$)"
)
_NOBODY = re.compile(r"\b(?:nobody|no\s+one|never\s+been|no\s+sign)\b")


def trace(sentence: str, words: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """What earlier hands left, with every day that its date can be."""
    text = sentence.lower()
    what = next((what for what, cue in _TRACES if re.search(cue, text)), "")
    if not what or _NOBODY.search(text) or (what == "solder" and re.match(r"^\W*(?:i\s+)?resoldered", text)):
        return None
    dated = date_in(words)
    where, who = _WHERE.search(text), _DONE_BY.search(sentence)
    refs = [one.text for one in items if one.sort == "ref" and len(one.text) > 1]
    place = refs[0] if refs else " ".join(thing_in(where[1]).split()[:3]) if where else ""
    date = dated.candidates if dated and what != "date code" else ""
    asks = ("date",) if date and "/" in date else ()
    facts = {"what": what, "date": date, "place": place, "who": who[1] if who else ""}
    if what == "date code":
        facts["marking"] = _code_in(text)
    return proposed(Kind.TRACE, sentence, facts, asks=asks)


def _code_in(text: str) -> str:
    """The figures of a date code, where they were said as figures: “8423”."""
    found = re.findall(r"\bdate\s+codes?\b\D*?\b(\d{3,4})\b", text)
    return found[0] if len(found) == 1 and len(re.findall(r"\b\d{3,4}\b", text)) == 1 else ""


_FOREIGN = re.compile(
    r"\bnot\s+(?:an\s+|the\s+)?original\b|\bisn't\s+original\b|\bodd\s+(?:one|driver|transistor|man)\b"
    r"|\bnon[\s-]original\b|\b(?:somebody|someone)\s+(?:has\s+)?(?:put|fitted|installed|used|replaced)\b"
    r"|\bwrong\s+(?:type|one|device|transistor|part)\b|\baftermarket\b|\ba\s+substitute\b"
    r"|\bbut\s+the\s+(?:rest|others?|twin)\s+(?:is|are)\b|\b(?:house\s+)?replacement\b"
)
_GENUINE = re.compile(
    r"\boriginals?\b|\bfactory\s+(?:original|part|one|device|transistor|type|fitted|set)s?\b|\bfrom\s+the\s+factory\b"
)
_DEVICES = re.compile(
    r"\b(?:driver|drivers|transistor|transistors|output|outputs|twin|device|chip|tube|regulator|pair|opamp|fet"
    r"|diode|predriver)\b"
)
_IS_A = re.compile(r"\b(?:is|are|it's|it\s+is)\s+(?:a|an|both|the)?\b")


def device(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """A device with its type number, and whether it is the original."""
    text = sentence.lower()
    types = [one for one in items if one.sort == "type"]
    refs = [one for one in items if one.sort == "ref"]
    speaks = types or ((refs or _DEVICES.search(text)) and (_FOREIGN.search(text) or _GENUINE.search(text)))
    if not speaks or re.search(r"\bset\s+is\b|\b(?:nobody|all)\b", text):
        return None
    foreign = _FOREIGN.search(text)
    if not foreign and not _GENUINE.search(text) and not (types and (_IS_A.search(text) or len(items) < 4)):
        return None
    if foreign and not types and not re.search(r"\b(?:is|are|has|it's|isn't|not)\b", text):
        return None
    channel = channel_of(
        items[
            : next((at for at, one in enumerate(items) if at > 1 and one.is_word("and", "its")), len(items))
        ]
    )
    original = "no" if foreign else "yes" if _GENUINE.search(text) else ""
    facts = {"designation": types[0].text if types else "", "original": original, "channel": channel}
    return proposed(Kind.DEVICE, sentence, facts | {"place": refs[0].text if refs else ""})
