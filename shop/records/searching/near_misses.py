"""Did you mean: for a word that nobody ever wrote, the nearest that stands in the history, or a maker or model that is known.

Nearness is the normalised optimal string alignment similarity of rapidfuzz: one letter more, less, other, or two swapped.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import or_
from typing import Any

from django.db.models import Q, QuerySet
from rapidfuzz.distance import OSA

from shop.counter.models import Maker, UnitModel
from shop.handbook.words import TRADE_WORDS
from shop.records.models import Term
from shop.records.searching.question import begins, begins_word

NEAR_ENOUGH = 0.72
"""One letter of a word of four, two of a word of eight; common practice, no source."""

MOST_LETTERS, LONG_WORD = 2, 12
"""Of a longer word still no more than so many letters are wrong, and one more from the length `LONG_WORD` on,
unless one is the beginning of the other."""

SHORTEST = 4
"""A shorter word has too many neighbours to mean one of them."""

MOST_CANDIDATES = 20_000
MOST_NAMES, MOST_OWN_NAMES = 400, 2500

_POSITION = re.compile(r"(?:[a-z]|ic|rl|ry|sw|tp|tr|vr)\d+")
"""A place on a board: C101 is never meant as C10."""


@dataclass(frozen=True, slots=True)
class NearMiss:
    """What was typed, what was likely meant, and how near they are (0 to 1)."""

    typed: str
    meant: str
    nearness: float


def nearest(typed: Sequence[str], own: Collection[str] = ()) -> tuple[NearMiss, ...]:
    """The likeliest word for each that stands nowhere, where one is near enough; the same few queries for any number.

    Words of the trade and the shop's `own` words are left as they are, and so is a word inside a name that the book knows.

    Words that begin alike in two letters come first; only for what none of them explains does one letter do.
    """
    asked = [
        word
        for word in typed
        if len(word) >= SHORTEST
        and word.isascii()
        and word not in TRADE_WORDS
        and word not in own
        and not _POSITION.fullmatch(word)
    ]
    asked = _in_no_name(asked)
    found: dict[str, NearMiss] = {}
    for letters in (2, 1):
        beginnings = {word[:letters] for word in asked if word not in found}
        if not beginnings:
            break
        candidates = [*_written(beginnings), *_names(beginnings)]
        for word in asked:
            if word not in found and (
                miss := _best(word, [one for one in candidates if one[0].startswith(word[:letters])])
            ):
                found[word] = miss
    return tuple(found[word] for word in asked if word in found)


def _in_no_name(asked: Sequence[str]) -> list[str]:
    """Those that stand in no maker's and no model's name: what no job is about is not misspelt for that."""
    if not asked:
        return []
    named = reduce(or_, (Q(folded__contains=word) for word in asked))
    names = list(_folded(named)[:MOST_NAMES])
    return [word for word in asked if not any(word in name for name in names)]


def _best(typed: str, candidates: Iterable[tuple[str, int]]) -> NearMiss | None:
    best, rank = None, (NEAR_ENOUGH, 0)
    most = MOST_LETTERS + (len(typed) >= LONG_WORD)
    for word, documents in candidates:
        if abs(len(word) - len(typed)) > 3:
            continue
        begun = word.startswith(typed) or typed.startswith(word)
        if not begun and OSA.distance(typed, word, score_cutoff=most) > most:
            continue
        near = OSA.normalized_similarity(typed, word, score_cutoff=rank[0])
        if near and (near, documents) > rank and word != typed:
            best, rank = word, (near, documents)
    return None if best is None else NearMiss(typed, best, rank[0])


def _written(beginnings: Iterable[str]) -> Iterator[tuple[str, int]]:
    any_of_them = reduce(or_, (begins_word(beginning) for beginning in beginnings))
    terms = Term.objects.filter(any_of_them, documents__gt=0).values_list("written", "documents")
    yield from terms[:MOST_CANDIDATES].iterator()


def _names(beginnings: Iterable[str]) -> Iterator[tuple[str, int]]:
    """Makers' words and models' keys; they count as if one job spoke of them."""
    any_of_them = reduce(or_, (begins("folded", beginning) for beginning in beginnings))
    for name in _folded(any_of_them)[:MOST_OWN_NAMES]:
        yield name, 1


def _folded(wanted: Q) -> QuerySet[Any, str]:
    """The folded names of makers, then of models, for which something holds: in one query, to be cut short."""
    makers = Maker.objects.filter(wanted).order_by().values_list("folded", flat=True)
    models = UnitModel.objects.filter(wanted).order_by().values_list("folded", flat=True)
    return makers.union(models, all=True)
