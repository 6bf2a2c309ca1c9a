"""A spoken or written line as an ordered list of proposals, and a talk of timed lines as the same with their moments."""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.handbook.spoken.beside import Draft
from shop.handbook.spoken.cues import MEASURED
from shop.handbook.spoken.deeds import deed_in
from shop.handbook.spoken.items import Item, items_of
from shop.handbook.spoken.places import is_place
from shop.handbook.spoken.plain import Plain, in_plain_words
from shop.handbook.spoken.proposals import Kind, Proposal, Said
from shop.handbook.spoken.readings import Readings
from shop.handbook.spoken.timed import Cue
from shop.handbook.spoken.units import TIMES, UNIT_WORDS
from shop.handbook.spoken.vetoes import is_personal, tells_of_nothing
from shop.handbook.spoken.words import words_of

LONGEST_LINE, LONGEST = 20_000, 1_000
"""Characters of a line and of one sentence; a longer one stays a finding, whole."""
_SENTENCE = re.compile(r"[^.;!?]+(?:[.](?=\d)[^.;!?]+)*[.;!?]*")
_DEED_BEHIND = re.compile(
    r",\s+(?=(?:and\s+|then\s+|so\s+)?(?:i\s+)?(?:replaced|cleaned|reflowed|lubed|adjusted|fitted)\s+(?:it\b"
    r"|the\b|[a-z]\d|a\b|both\b))",
    re.IGNORECASE,
)
_DEED_VERB = (
    r"(?:cleaned|replaced|reflowed|resoldered|lubed|lubricated|oiled|adjusted|aligned|fitted|installed"
    r"|removed|checked|reseated|tightened|demagnetized|soak\s+tested|ran\s+it|set\s+the\s+\w+\s+to)"
)
_DEED_AFTER_DEED = re.compile(
    r"(?<!\bi)(?<!\bis)(?<!\bwas)(?<!\bbe)(?<!\bhas)(?<!\bhave)(?<!\bbeen)(?<!\bwere)(?<!\bare)(?<!\bnot)(?<!\bhad)"
    r"(?<!\bgot)(?<!\bnew)(?<!\bto)(?<!\bone)(?<!\band)(?<!\bthen)\s+"
    rf"(?=(?:and\s+|then\s+|i\s+)*{_DEED_VERB}\b(?!\s+(?:both|it|them|all|together|by)\b))",
    re.IGNORECASE,
)
"""Where the next deed begins in a line that was dictated without punctuation."""
_UNTOLD = re.compile(
    r"\bcan't\s+read\s+it\b|\bwho\s+knows\b|\b(?:jumps?|jumping|bouncing|bounces|wanders?)\s+(?:about|around)\b"
    r"|\bneedle\b.*\b(?:jump|bounc|swing|wander)|\bcould\s+be\b.*\bcould\s+be\b|\bi\s+don't\s+know\b|\bno\s+idea\b"
    r"|\b(?:drops|goes|climbs)\s+to\b.*\bcomes\s+back\b"
    r"|\b(?:milli|micro|kilo)?(?:volts|ohms|amps)\s+or\s+(?:milli|micro|kilo)?(?:volts|ohms|amps)\b|^\W*(?:somewhere\s+)?between\b.*\band\b|\bor\s+(?:so\s+)?i\s+can't\s+(?:tell|read)\b"
)
_WHOLE = frozenset({Kind.QUESTION, Kind.TODO, Kind.CONCLUSION, Kind.TEST})
"""Kinds that take the whole sentence, commas and all."""
_NEEDLE = re.compile(r"\b(?:needle|meter|display|reading)\b")
_SCRATCHED = re.compile(r"^\W*(?:(?:no|sorry|wait)\W+)?(?:scratch|strike|forget)\s+that\b\W*", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Moment:
    """A proposal out of a talk, and the second at which its line begins."""

    at: Decimal
    proposal: Proposal


def read_line(text: str) -> list[Proposal]:
    """What a line proposes for the record, in its order; what isn't understood stays a finding, whole.

    Wishes, guesses, questions, hearsay and addresses give nothing but that finding, and an address not even that.
    """
    return [one for one, _ in _read(text, None)]


def read_talk(cues: Iterable[Cue]) -> list[Moment]:
    """What a talked-through repair proposes; a line may correct or take back the one before."""
    taken: list[tuple[Moment, Draft | None]] = []
    for cue in cues:
        before = next((draft for _, draft in reversed(taken[-2:]) if draft), None)
        found = _read(cue.text, before)
        if _struck(cue.text) and taken:
            taken.pop()
        if found and found[0][0].facts.get("amends") and before:
            at = max(at for at, (_, draft) in enumerate(taken) if draft)
            taken[at] = (Moment(taken[at][0].at, _without_mark(found[0][0])), found[0][1])
            found = found[1:]
        taken.extend((Moment(cue.start, one), draft) for one, draft in found)
    return [moment for moment, _ in taken]


def _without_mark(proposal: Proposal) -> Proposal:
    """A correction as the reading that it has become."""
    return replace(proposal, facts={key: fact for key, fact in proposal.facts.items() if key != "amends"})


def _read(text: str, before: Draft | None) -> list[tuple[Proposal, Draft | None]]:
    """The proposals of a line, each reading with its draft, so that the next line may correct it."""
    if is_personal(text):
        return []
    if len(text) > LONGEST_LINE:
        return [(Proposal(Kind.FINDING, text, 0, len(text)), None)]
    plain = in_plain_words(in_plain_digits(text))
    said, text = text, plain.text
    taken: list[tuple[Proposal, Draft | None]] = []
    for start, sentence in _sentences(text):
        struck = _struck(sentence)
        taken = taken[:-1] if struck else taken
        by = struck.end() if struck else 0
        found = [(_moved(one, start + by), draft) for one, draft in _sentence(sentence[by:], before)]
        if taken and found and found[0][0].facts.get("amends"):
            taken[-1] = (_without_mark(found[0][0]), found[0][1])
            found = found[1:]
        taken.extend(found)
        before = taken[-1][1] if taken else before
    if said != text:
        return [(_as_said(one, said, plain), draft) for one, draft in taken]
    return taken


def _as_said(proposal: Proposal, said: str, plain: Plain) -> Proposal:
    """A proposal out of plain words as one out of the words that were said."""
    start, end = plain.span(proposal.start, proposal.end)
    value, expected = (
        _where_said(one, plain) if one else None for one in (proposal.value, proposal.expected)
    )
    return replace(proposal, words=said[start:end], start=start, end=end, value=value, expected=expected)


def _where_said(value: Said, plain: Plain) -> Said:
    """A value with where it stood in the words that were said."""
    start, end = plain.span(value.start, value.end)
    return replace(value, start=start, end=end)


def in_plain_digits(text: str) -> str:
    """The digits of other scripts as 0 to 9, and a raised one as no digit at all; nothing moves from its place."""
    return text if text.isascii() else "".join(_plain_digit(sign) for sign in text)


def _plain_digit(sign: str) -> str:
    if sign == "\u066b":  # the Arabic decimal separator
        return "."
    if sign.isdecimal():
        return str(unicodedata.decimal(sign))
    return " " if sign.isdigit() else sign


def _struck(sentence: str) -> re.Match[str] | None:
    """“scratch that” at the head of a sentence; not where the right number follows, which is a correction."""
    struck = _SCRATCHED.match(sentence)
    rest = items_of(words_of(sentence[struck.end() :])) if struck else []
    return None if any(one.sort in {"number", "value"} for one in rest[:2]) else struck


def _sentences(text: str) -> Iterator[tuple[int, str]]:
    """Where each sentence begins, and what it is; a number's point and a deed behind a comma are seen to."""
    start = 0
    cuts = [
        *_deeds_in_a_row(text),
        *(
            one.end()
            for one in re.finditer(
                r"(?:[.!?](?=\s)|;(?!.*\b(?:nothing\s+else|alone)\b)|[\n])\s*"
                r"|" + _DEED_BEHIND.pattern,
                text,
                re.IGNORECASE,
            )
        ),
        len(text),
    ]
    for end in sorted(cuts):
        if text[start:end].strip():
            yield start, text[start:end].rstrip()
        start = end


def _deeds_in_a_row(text: str) -> list[int]:
    """Where the deeds of one unpunctuated line begin, behind the first; none where it tells of fewer than two."""
    if re.search(r"[.,;!?](?:\s|$)", text.strip()[:-1]) or tells_of_nothing(text):
        return []
    if len(re.findall(rf"\b{_DEED_VERB}\b", text, re.IGNORECASE)) < 2:
        return []
    return [one.end() for one in _DEED_AFTER_DEED.finditer(text) if text[: one.start()].strip()]


def _moved(proposal: Proposal, by: int) -> Proposal:
    """A proposal of a sentence as one of the line."""
    value, expected = (
        replace(one, start=one.start + by, end=one.end + by) if one else None
        for one in (proposal.value, proposal.expected)
    )
    return replace(proposal, start=proposal.start + by, end=proposal.end + by, value=value, expected=expected)


def _sentence(sentence: str, before: Draft | None) -> list[tuple[Proposal, Draft | None]]:
    """What one sentence proposes."""
    words = words_of(sentence)
    if not words:
        return []
    if len(sentence) > LONGEST:
        return [(_finding(sentence), None)]
    items = items_of(words)
    deed = deed_in(sentence, words, items)
    if deed and deed.kind not in _WHOLE and (several := _several(sentence, before)):
        return several
    if deed and (deed.kind in {Kind.QUESTION, Kind.TODO} or not tells_of_nothing(sentence)):
        return [(deed, None)]
    if asked := _asked(sentence, items):
        return [(asked, None)]
    if tells_of_nothing(sentence):
        return [(_finding(sentence), None)]
    walk = Readings(items, before)
    drafts = walk.read()
    if walk.amended and not drafts:
        return [
            (
                replace(_reading(sentence, walk.amended), facts=_facts(walk.amended) | {"amends": "yes"}),
                walk.amended,
            )
        ]
    found: list[tuple[Proposal, Draft | None]] = [(_reading(sentence, one), one) for one in drafts]
    return found or [(_finding(sentence), None)]


def _several(sentence: str, before: Draft | None) -> list[tuple[Proposal, Draft | None]]:
    """What a sentence tells between its commas, where that is of more than one kind; else nothing."""
    cuts = [0, *(one.end() for one in re.finditer(r",\s+(?:and\s+|but\s+)?", sentence)), len(sentence)]
    if len(cuts) == 2 or tells_of_nothing(sentence):
        return []
    found: list[tuple[Proposal, Draft | None]] = []
    for start, end in itertools.pairwise(cuts):
        for one, draft in _sentence(sentence[start:end].rstrip(", "), before):
            found.append((_moved(one, start), draft))
            before = draft or before
    told = [one for one in found if one[0].kind != Kind.FINDING]
    kinds = {one.kind for one, _ in told}
    return told if len(kinds) > 1 and kinds != {Kind.PART, Kind.DEVICE} else []


def _asked(sentence: str, items: Sequence[Item]) -> Proposal | None:
    """A value that the speaker says can't be told: it is asked for, and none of the numbers is proposed."""
    numbers = [one for one in items if one.sort in {"number", "value"} and one.unit not in TIMES]
    text = sentence.lower()
    if not numbers or not (_UNTOLD.search(text) or _either(items)):
        return None
    if re.search(r"\bdate\b|\byear\b", text):
        return Proposal(Kind.TRACE, sentence, 0, len(sentence), asks=("date",))
    told = (
        is_place(items)
        or _NEEDLE.search(sentence.lower())
        or any(one.unit for one in numbers)
        or any(one.text in UNIT_WORDS for one in items)
        or any(one.text in MEASURED for one in items)
        or "says" in sentence.lower()
    )
    return Proposal(Kind.READING, sentence, 0, len(sentence), asks=("value",)) if told else None


def _either(items: Sequence[Item]) -> bool:
    """“0.6 or 0.7 volts”, “from 40 to 60 millivolts”: two numbers of which one is the value, or none."""
    moves = any(one.is_word("from", "somewhere") for one in items)
    items = [
        one for one in items if one.text != "," and not one.is_word("down", "up", "is", "it", "that", "was")
    ]
    for before, word, after in zip(items, items[1:], items[2:], strict=False):
        numbers = before.number is not None and after.number is not None
        if numbers and after.unit not in TIMES and (word.is_word("or") or (word.is_word("to") and moves)):
            return True
    return False


def _finding(sentence: str) -> Proposal:
    """A sentence that isn't understood, whole."""
    return Proposal(Kind.FINDING, sentence, 0, len(sentence))


def _facts(draft: Draft) -> dict[str, str]:
    """The words of a reading by their keys."""
    facts = {"place": draft.place, "channel": draft.channel, "against": draft.against, "state": draft.state}
    facts |= {
        key: f"{said.number:f} {said.unit}"
        for key, said in (("least", draft.least), ("most", draft.most), ("tolerance", draft.off))
        if said
    }
    return {key: fact for key, fact in facts.items() if fact}


def _reading(sentence: str, draft: Draft) -> Proposal:
    """A reading as a proposal."""
    words = sentence[draft.start : draft.end]
    if draft.loose:
        asks = tuple(dict.fromkeys(("value", *draft.asks)))
        return Proposal(
            Kind.READING, words, draft.start, draft.end, _facts(draft), None, draft.expected, asks
        )
    return Proposal(
        Kind.READING, words, draft.start, draft.end, _facts(draft), draft.value, draft.expected, draft.asks
    )
