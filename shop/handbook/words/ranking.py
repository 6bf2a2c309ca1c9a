"""Best first: how well a record's words fit a question, for a handful of newest matches at a time.

Sources
    BM25 as in ``shop.handbook.counting``. Of the ways to say one asked word only the best counts, so that a record isn't
    raised for saying ``cap`` and ``capacitor``; what another word of the trade is worth: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shop.handbook.counting import BM25_K1, Collection, length_damping
from shop.handbook.words.asking import Asked, Way
from shop.handbook.words.tokens import Phrase

OTHER_WORD_WORTH = 0.8
"""A match by another word of the trade counts this much of a match by the person's own."""

BEGINNING_STANDS_IN = 10
"""A word still being typed is weighed as if one record in so many held it."""


@dataclass(frozen=True, slots=True)
class _Weighed:
    """One way, made ready: its whole words with their weights, the phrase to be there, the beginning and its weight."""

    words: Phrase
    weights: tuple[float, ...]
    phrase: str = ""
    begun: str = ""
    begun_weight: float = 0.0


def ranker(asked: Asked, collection: Collection, *, partly: float = 0.0) -> Callable[[str, int], float]:
    """A function that scores one record: (its stored form or forms joined by a line break, its length in words).

    ``collection`` needs the frequencies of ``asked.terms`` only. The score is never negative, and 0 for a record that
    satisfies nothing; higher fits better. Of a phrase that a record has not whole, each word of the person's own that it has
    is worth ``partly`` of what it is worth in the whole.
    """
    weighed = [[_weigh(way, collection) for way in word.ways] for word in asked.words]

    def rate(form: str, length: int) -> float:
        # each word between spaces of its own, so that plain counting finds every one; no phrase goes over a line's end
        lines = f" {form} ".replace(" ", "  ").replace("\n", " \n ")
        damping = length_damping(length, collection.mean_length)
        return sum(worth(ways, lines, damping) for ways in weighed)

    def worth(ways: Sequence[_Weighed], lines: str, damping: float) -> float:
        best = max((_worth(way, lines, damping) for way in ways), default=0.0)
        if best or not partly or len(ways[0].words) < 2:
            return best
        return partly * sum(
            weight * count / (count + damping)
            for word, weight in zip(ways[0].words, ways[0].weights, strict=True)
            if (count := lines.count(word))
        )

    return rate


def _weigh(way: Way, collection: Collection) -> _Weighed:
    worth = (BM25_K1 + 1) * (1.0 if way.own else OTHER_WORD_WORTH)
    whole = way.words[:-1] if way.prefix else way.words
    weights = tuple(collection.idf(word) * worth for word in whole)
    phrase = f" {'  '.join(way.words)}" + ("" if way.prefix else " ") if way.adjacent else ""
    spaced = tuple(f" {word} " for word in whole)
    if not way.prefix:
        return _Weighed(spaced, weights, phrase)
    begun = way.words[-1]
    standing = max(collection.documents // BEGINNING_STANDS_IN, 1)
    alone = Collection(collection.documents, collection.mean_length, {begun: standing})
    return _Weighed(spaced, weights, phrase, f" {begun}", alone.idf(begun) * worth)


def _worth(way: _Weighed, lines: str, damping: float) -> float:
    """The score of one way in a record; 0 when the record doesn't satisfy it."""
    total = 0.0
    for word, weight in zip(way.words, way.weights, strict=True):
        count = lines.count(word)
        if not count:
            return 0.0
        total += weight * count / (count + damping)
    if way.phrase and way.phrase not in lines:
        return 0.0
    if way.begun:
        count = lines.count(way.begun)
        if not count:
            return 0.0
        total += way.begun_weight * count / (count + damping)
    return total
