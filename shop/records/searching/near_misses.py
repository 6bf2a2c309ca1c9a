"""Did you mean: for a word that nobody ever wrote, the nearest that stands in the history, or a maker or model that is known.

Nearness is the normalised optimal string alignment similarity of rapidfuzz: one letter more, less, other, or two swapped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from rapidfuzz.distance import OSA

from shop.counter.models import Maker, UnitModel
from shop.records.models import Term
from shop.records.searching.question import begins, begins_word

NEAR_ENOUGH = 0.72
"""Two letters of a word of seven, one of four; common practice, no source."""

SHORTEST = 4
"""A shorter word has too many neighbours to mean one of them."""

MOST_CANDIDATES = 20_000


@dataclass(frozen=True, slots=True)
class NearMiss:
    """What was typed, what was likely meant, and how near they are (0 to 1)."""

    typed: str
    meant: str
    nearness: float


def nearest(typed: str) -> NearMiss | None:
    """The likeliest word for one that stands nowhere; None when nothing is near enough."""
    if len(typed) < SHORTEST or not typed.isascii():
        return None
    for beginning in (typed[:2], typed[:1]):
        candidates = [*_written(beginning), *_names(beginning)]
        if found := _best(typed, candidates):
            return found
    return None


def _best(typed: str, candidates: Iterable[tuple[str, int]]) -> NearMiss | None:
    best, rank = None, (NEAR_ENOUGH, 0)
    for word, documents in candidates:
        if abs(len(word) - len(typed)) > 3:
            continue
        near = OSA.normalized_similarity(typed, word, score_cutoff=rank[0])
        if near and (near, documents) > rank and word != typed:
            best, rank = word, (near, documents)
    return None if best is None else NearMiss(typed, best, rank[0])


def _written(beginning: str) -> Iterator[tuple[str, int]]:
    terms = Term.objects.filter(begins_word(beginning), documents__gt=0).values_list("written", "documents")
    yield from terms[:MOST_CANDIDATES].iterator()


def _names(beginning: str) -> Iterator[tuple[str, int]]:
    """Makers' words and models' keys; they count as if one job spoke of them."""
    for name in Maker.objects.filter(begins("folded", beginning)).values_list("folded", flat=True)[:500]:
        yield name, 1
    for key in UnitModel.objects.filter(begins("folded", beginning)).values_list("folded", flat=True)[:2000]:
        yield key, 1
