"""What a sentence tells besides readings: done, missing, found at earlier hands, concluded, to be done, to be asked.

Each kind has its cue, a phrase that is said for nothing else on a bench. Source of the phrases: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from decimal import Decimal

from shop.handbook.spoken.dated import date_in
from shop.handbook.spoken.items import Item
from shop.handbook.spoken.lists import listed
from shop.handbook.spoken.places import channel_of
from shop.handbook.spoken.proposals import Kind, Proposal, Said
from shop.handbook.spoken.units import TIMES
from shop.handbook.spoken.words import Word

Deed = Callable[[str, Sequence[Word], Sequence[Item]], Proposal | None]

_NUMBERED = r"(?:one|two|three|four|five|six|all|some|a|an|the|any|its|his|her|that|of|my)\s+"
_TAIL = re.compile(
    r"\s*(?:[.,;!?]|\bfor\s+(?:now|testing|(?:the\s+)?test|the\s+moment)\b|\bwith\s|\buntil\b|\bso\s+that\b"
    r"|\bthey\s|\bto\s+(?:\d|one|two|twenty|ten|"
    r"thirty|forty|eighteen|fifteen)|\bbecause\b|\bwhich\b|\btoday\b|\bagain\b|\bboth\s+sides\b|\boff\s+the\b"
    r"|\bin\s+a\s|\bthat\s+was\b|\bwas\b|\bis\b).*$"
)


def deed_in(sentence: str, words: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    """The first kind whose cue the sentence has; None if it has none."""
    for deed in _DEEDS:
        if found := deed(sentence, words, items):
            return found
    return None


def _of(
    kind: Kind, sentence: str, facts: dict[str, str], *, value: Said | None = None, asks: tuple[str, ...] = ()
) -> Proposal:
    """A proposal that rests on the whole sentence."""
    kept = {key: fact for key, fact in facts.items() if fact}
    return Proposal(kind, sentence, 0, len(sentence), kept, value=value, asks=asks)


def _thing(text: str) -> str:
    """What is spoken of, without articles, counts and what follows."""
    cut = _TAIL.sub("", text.strip()).strip(" ,.;!?")
    while (shorter := re.sub(rf"^{_NUMBERED}", "", cut, flags=re.IGNORECASE)) != cut:
        cut = shorter
    return cut


def _place(text: str, items: Sequence[Item], start: int) -> str:
    """A place behind a cue: the designators it names, else its words without articles."""
    thing = _thing(text)
    end = start + text.find(thing) + len(thing) if thing else start
    refs = [one.text for one in items if one.sort == "ref" and start <= one.start < max(end, start + 1)]
    if refs:
        return " ".join(refs)
    return re.sub(r"\b(?:the|a|an|all|and|both)\b\s*", "", thing, flags=re.IGNORECASE).strip()


_QUESTION = re.compile(
    r"^\W*(?:and\s+)?(?:i\s+(?:should|have\s+to|must|need\s+to)\s+|we\s+(?:should|have\s+to|must"
    r"|need\s+to)\s+)?ask\s+(?:the\s+\w+\s+|him\s+|her\s+|them\s+|\w+\s+)?(?:whether|if|about|what|when"
    r"|where|how|why|for|who|which)\b|^\W*ask\s+(?:him|her|them|the\s+(?:customer|owner))\b"
    r"|\bquestion\s+for\s+(?:him|her|the)\b"
)


def _question(sentence: str, _: Sequence[Word], __: Sequence[Item]) -> Proposal | None:
    found = _QUESTION.search(sentence.lower())
    return _of(Kind.QUESTION, sentence, {"what": sentence[found.end() :].strip(" .?")}) if found else None


_TODO = re.compile(
    r"^\W*(?:to\s*-?do\b\W*|todo\b\W*|(?:and\s+)?next(?:\s+(?:time|up))?\W+(?:i\s+)?(?:check|look|order|replace"
    r"|measure|clean|do|test|try)\b|still\s+(?:to|have\s+to|need\s+to|needs)\b)"
    r"|\bi?\s*(?:need|have|got|must|ought)\s+to\s+(?:order|check|get|replace|clean|put|look|find|measure|buy"
    r"|test|redo|fix|adjust|recheck|do)\b"
    r"|\bi\s+must\s+(?:order|check|get|replace|clean|put|look|find|measure|buy|test)\b|\b(?:remember"
    r"|don't\s+forget|remind\s+me)\s+to\b|^\W*order\s|\bstill\s+to\s+(?:do|order|check|replace|clean)\b"
    r"|\bneeds?\s+(?:ordering|checking|cleaning)\b"
)


def _todo(sentence: str, _: Sequence[Word], __: Sequence[Item]) -> Proposal | None:
    found = _TODO.search(sentence.lower())
    return (
        _of(Kind.TODO, sentence, {"what": sentence[found.end() :].strip(" .:") or sentence})
        if found
        else None
    )


_NEGATED = re.compile(r"^\W*(?:it|that)\s+(?:isn't|wasn't|is\s+not|was\s+not)\b")
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


def _conclusion(sentence: str, _: Sequence[Word], __: Sequence[Item]) -> Proposal | None:
    text = sentence.lower()
    found = _CAUSE.search(text)
    if not found or re.search(
        r"\bit\s+was\s+(?:a|an)\s+(?:long|good|bad|hard|nice|mess)\b|\bthere\s+before\b", text
    ):
        return None
    if re.search(r"\bso\s+it(?:'s|\s+is)\s+the\b", text) and not re.search(r"\bswap", text):
        return None
    how = next((how for how, cue in _HOWS if re.search(cue, text)), "")
    return _of(Kind.CONCLUSION, sentence, {"how": how, "what": _thing(sentence[found.end() :])})


_TESTED = re.compile(
    r"\b(soak|hipot|hi-pot|leakage|insulation|ground\s+continuity|ground\s+bond|safety|burn-in|listening"
    r"|load)\b(?:\s+(?:test|check))?.{0,24}?\b(?:passed|pass|ok|okay|good|fine|done)\b"
    r"|\bpassed\s+(?:the\s+)?(soak|hipot|leakage|insulation|safety|listening)\b"
)
_RAN = re.compile(
    r"\b(ran|played|run)\s+(?:it|six|two|three|four|five|ten|a|the|all|for|overnight|\d+"
    r"|one)\b.*?(?:\b(?:hours?|minutes?|dropouts?|discs?|records?|tapes?|overnight|through|sides?|h)\b)"
)
_COOKED = re.compile(r"^\W*soak(?:ed|\s+test)?\b")


def _test(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    text = sentence.lower()
    if re.search(r"\b(?:failed|fails)\b", text):
        return None
    took = [one for one in items if one.unit in TIMES]
    minutes = _minutes(took)
    if found := _TESTED.search(text):
        return _of(Kind.TEST, sentence, {"what": found[1] or found[2], "minutes": minutes})
    if _COOKED.search(text):
        return _of(Kind.TEST, sentence, {"what": "soak", "minutes": minutes})
    found = _RAN.search(text)
    return _of(Kind.TEST, sentence, {"what": found[1], "minutes": minutes}) if found else None


def _minutes(took: Sequence[Item]) -> str:
    """A duration in whole minutes; empty where none was said."""
    total = sum(((one.number or Decimal()) * (60 if one.unit == "h" else 1) for one in took), Decimal())
    return f"{total:.0f}" if total else ""


_WORKED = re.compile(
    r"\b(?:spent|took\s+me|took|on\s+this|on\s+it|so\s+far|all\s+in\s+all|in\s+total|total|altogether|cleaning"
    r"|of\s+work|of\s+bench|bench\s+time|worked|been\s+at\s+it|work|labor)\b"
)
_HALF = re.compile(
    r"\bhalf\s+an\s+hour\b|\bthree\s+quarters\s+of\s+an\s+hour\b|\bquarter\s+(?:of\s+an\s+)?hour\b"
    r"|\ban\s+hour(?:\s+and\s+(?:a\s+(half|quarter)|(\w+(?:\s+\w+)?)\s+minutes))?\b"
)
_BARE = re.compile(
    r"^(?:about|that's|that was|and|another|make it|call it|so|okay|ok|well|time|labor|,|\.|:|;|\s)*$"
)


def _time(sentence: str, words: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    text = sentence.lower()
    minutes, rest = _duration(text, items)
    on_it = re.match(r"^\W*(?:spent\s+)?on\s+(?:the|this|it)\b", rest)
    if (
        not minutes
        or not (_WORKED.search(text) or on_it or _BARE.match(rest))
        or re.search(r"\b(?:after|every|within|in\s+the\s+last)\b", text)
    ):
        return None
    return _of(Kind.TIME, sentence, {"minutes": minutes})


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


_GONE = re.compile(
    r"^\W*(?:there\s+is\s+|there's\s+)?no\s+([\w\s]+?)(?:\s+(?:with\s+it|included|in\s+the\s+box"
    r"|came\s+with\s+it|in\s+the\s+bag))?\W*$"
    r"|^.*\bno\s+([\w\s]+?)\s+(?:with\s+it|included|in\s+the\s+box)\b"
    r"|\b(?:came|arrived|comes)\s+without\s+(.+)$|\b(?:didn't|did\s+not)\s+(?:send|bring|include)\s+(.+)$"
    r"|\bforgot\s+(?:the|to\s+(?:send|bring))\s+(.+)$"
    r"|^\W*(?:the\s+)?([\w\s]+?)\s+(?:is\s+|are\s+|was\s+|were\s+)?(?:missing|gone|not\s+(?:included|here"
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


def _missing(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    found = _GONE.search(sentence.lower())
    if not found or any(one.sort == "rail" for one in items) or any(one.sort == "value" for one in items):
        return None
    group = next(at for at, one in enumerate(found.groups(), 1) if one)
    what = _thing(
        re.sub(
            r"\b(?:now|anymore|any\s+more|at\s+all|any\s+longer|here)\b.*",
            "",
            sentence[found.start(group) : found.end(group)],
            flags=re.IGNORECASE,
        )
    )
    if (
        not what
        or what.lower().split()[-1] in _NO_OBJECT
        or what.lower().split()[0] in {"make", "not", "that", "it", "and", "there"}
        or any(one.sort == "ref" for one in items)
    ):
        return None
    return _of(Kind.MISSING, sentence, {"what": what})


_TEMPORARY = (
    ("jumper", r"\bjumper(?:ed)?\b"),
    ("clip lead", r"\bclip\s+leads?\s+(?:across|on|over|from)\b"),
    ("lifted", r"\b(?:lifted|lifting)\s+(?:one\s+(?:leg|end|lead|side)|the\s+leg|a\s+leg)?"),
    ("bypassed", r"\bbypass(?:ed)?\b"),
    ("lamp", r"\b(?:on|through|behind|with)\s+the\s+(?:dim\s+bulb|lamp|bulb)\b|\b(?:lamp|bulb)\s+in\s+series\b"),
    ("bias", r"\bbias\b.*\bfor\s+(?:the\s+)?first\s+power\b"),
    ("fuse", r"\bfuse\b.*\bfor\s+test\b|\bfuse\b.*\binstead\s+of\b|\bfuse\b.*\bfor\s+(?:the\s+test|testing|now)\b"),
    ("dummy", r"\bdummy\s+load\b.*\b(?:for\s+now|for\s+testing|across|connected)\b"),
    ("for now", r"\b(?:temporarily|temporary|for\s+now|for\s+the\s+test|for\s+testing|for\s+the\s+moment)\b"),
)  # fmt: skip
_REMOVED = re.compile(r"\b(?:off\s+again|removed|taken\s+out|out\s+again|is\s+off|lamp\s+out|back\s+out)\b")


def _temporary(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    text = sentence.lower()
    if _REMOVED.search(text):
        return None
    for what, cue in _TEMPORARY:
        fed = what == "lamp" and any(one.unit == "V" for one in items)
        if (found := re.search(cue, text)) and not fed:
            where = re.search(r"\b(?:across|over|of|on|at|from|around)\s+", text[found.start() :])
            start = found.start() + where.end() if where else found.end()
            place = _place(sentence[start:], items, start) if where or what == "lifted" else ""
            if what == "bypassed" and not where:
                place = _place(sentence[found.end() :], items, found.end())
                place = place or _place(sentence[: found.start()], items, 0)
            shown = what if what != "for now" else _thing(sentence[: found.start()])
            return _of(
                Kind.TEMPORARY, sentence, {"what": shown, "place": place, "channel": channel_of(items)}
            )
    return None


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


def _condition(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    found = _MARKS.search(sentence.lower())
    if (
        not found
        or not _OUTSIDE.search(sentence.lower())
        or any(one.sort in {"value", "ref"} for one in items)
    ):
        return None
    what = found[1] if found[1] not in {"scratches", "dents"} else found[1].rstrip("es")
    return _of(Kind.CONDITION, sentence, {"what": what, "place": _thing(sentence[found.end() :])})


_TRACES = (
    ("sticker", r"\bsticker\b"), ("tag", r"\btag\b"), ("label", (r"\blabel\b.*\b(?:serviced"
        r"|repaired)\b")), ("date code", r"\bdate\s+codes?\b"),
    ("pencil date", r"\bpencil(?:ed)?\s+date\b"), ("pencil", r"\b(?:pencil|penciled|wrote|written|marker|scribbled)\b"),
    ("flux", r"\bflux\b.*\b(?:earlier|old|all\s+over|left|from|someone|somebody)\b|\b(?:old|someone's|somebody's)\s+flux\b"),
    ("service date", r"^\W*(?:last\s+)?(?:serviced|repaired)\b"), ("stamp", (r"\b(?:date\s+stamp|stamped"
        r"|inspection\s+stamp)\b")),
    ("solder", (r"\b(?:resoldered|reworked|hand[\s-]soldered|been\s+in\s+here|somebody\s+was\s+here"
        r"|someone\s+was\s+(?:in\s+)?here)\b.*")),
)  # fmt: skip
_DONE_BY = re.compile(
    r"\bby\s+(?:somebody\s+named\s+|someone\s+named\s+|someone\s+called\s+|a\s+)?([A-Za-z]+)\W*$"
)
_WHERE = re.compile(
    r"\b(?:inside|on|under|over|at|behind)\s+(?:the\s+)?([a-z][a-z ]*?)(?=\s+(?:says|say|in|by"
    r"|from|dated|reads|with|that)\b|[^a-z ]|$)"
)
_NOBODY = re.compile(r"\b(?:nobody|no\s+one|never\s+been|no\s+sign)\b")


def _trace(sentence: str, words: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    text = sentence.lower()
    what = next((what for what, cue in _TRACES if re.search(cue, text)), "")
    if not what or _NOBODY.search(text) or (what == "solder" and re.match(r"^\W*(?:i\s+)?resoldered", text)):
        return None
    dated = date_in(words)
    where, who = _WHERE.search(text), _DONE_BY.search(sentence)
    refs = [one.text for one in items if one.sort == "ref" and len(one.text) > 1]
    place = refs[0] if refs else " ".join(_thing(where[1]).split()[:3]) if where else ""
    date = dated.candidates if dated and what != "date code" else ""
    asks = ("date",) if date and "/" in date else ()
    return _of(
        Kind.TRACE,
        sentence,
        {"what": what, "date": date, "place": place, "who": who[1] if who else ""},
        asks=asks,
    )


_FOREIGN = re.compile(
    r"\bnot\s+(?:an\s+)?original\b|\bisn't\s+original\b|\bodd\s+(?:one|driver|transistor|man)\b"
    r"|\bnon[\s-]original\b|\b(?:somebody|someone)\s+(?:has\s+)?(?:put|fitted|installed|used|replaced)\b"
    r"|\bwrong\s+(?:type|one|device|transistor|part)\b|\baftermarket\b|\ba\s+substitute\b"
    r"|\bbut\s+the\s+(?:rest|others?|twin)\s+(?:is|are)\b|\b(?:house\s+)?replacement\b"
)
_GENUINE = re.compile(r"\boriginals?\b|\bfactory\b")
_DEVICES = re.compile(
    r"\b(?:driver|drivers|transistor|transistors|output|outputs|twin|device|chip|tube|regulator|pair|opamp|fet"
    r"|diode|predriver)\b"
)
_IS_A = re.compile(r"\b(?:is|are|it's|it\s+is)\s+(?:a|an|both|the)?\b")


def _device(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
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
    return _of(Kind.DEVICE, sentence, facts | {"place": refs[0].text if refs else ""})


_FITTED = re.compile(
    r"\breplaced\b(?!\s+together)|\bfitted\b|\binstalled\b|\bput\s+in\b|\bput\s+(?:a|the)\s+new\b"
    r"|\bput\s+a\s+new\s+one\s+in\b|^\W*(?:and\s+)?(?:a\s+)?new\b(?!\s+(?:day|one\b(?!\s+in)))"
    r"|\bswapped\s+in\b|\bswapped\s+(?:out\s+)?(?:the\s+)?(?=[\w\s]+\b(?:for|with)\s+(?:a|new))"
    r"|\bswapped\s+out\b|\bchanged\s+(?=(?:the|c|r|q|both)\b)"
)


def _part(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
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
    value = next((one for one in items if one.sort == "value" and one.unit in {"ohm", "F", "H"}), None)
    said = Said(value.number, value.unit, value.start, value.end) if value else None
    facts = {
        "designation": _named_part(sentence, found.end(), refs, types, value),
        "place": refs or (where[1] if where else ""),
        "channel": channel_of(items),
    }
    return _of(Kind.PART, sentence, facts, value=said)


def _named_part(sentence: str, end: int, refs: str, types: Sequence[str], value: Item | None) -> str:
    """The type number that went in, else the part's own words where it has no designator or value."""
    if types:
        return f"fuse {types[-1]}" if "fuse" in sentence.lower() else types[-1]
    if (refs and sentence.find(refs.split(maxsplit=1)[0]) >= 0 and refs[-1:].isdigit()) or value:
        return ""
    thing = re.split(r"\s+(?:on|in|at|of)\s+", _thing(sentence[end:]))[0]
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
        r"|^\W*(?:and\s+)?(?:i\s+)?(?:have\s+)?set\s+(?=.*\bto\b)|\bset\s+to\b|\bturned\s+the\b.*\bto\b")),
    ("tightened", r"\b(?:tightened|retightened)\b"),
    ("reseated", r"\breseated\b"),
)  # fmt: skip


def _work(sentence: str, _: Sequence[Word], items: Sequence[Item]) -> Proposal | None:
    text = sentence.lower()
    text = re.sub(r"\bset\s+to\b.*", "set to", text)
    for did, cue in _DID:
        found = re.search(cue, text)
        if (
            not found
            or re.search(r"\bset\s+(?:up\s+)?(?:the|my)\s+(?:meter|scope|generator|variac|supply)\b", text)
            or re.search(r"\b(?:somebody|someone|needs?|must|have)\s+(?:to\s+be\s+)?(?:" + cue + ")", text)
        ):
            continue
        start, tail = (found.end(), sentence[found.end() :]) if found[0] != "set to" else (len(sentence), "")
        if off := re.search(r"\boff\s+the\s+", tail):
            start, tail = start + off.end(), tail[off.end() :]
        tail = re.sub(r"^\s*(?:the\s+)?joints?\s+(?:on|of|at)\s+", lambda one: " " * len(one[0]), tail)
        place = _place(tail, items, start) or _place(
            re.sub(r"\b(?:was|were|has been|i)\b", "", sentence[: found.start()]), items, 0
        )
        return _of(Kind.WORK, sentence, {"did": did, "place": place})
    return None


_DEEDS: tuple[Deed, ...] = (
    _question,
    _todo,
    _conclusion,
    _test,
    _time,
    _trace,
    _temporary,
    _missing,
    _condition,
    _part,
    _work,
    _device,
)
