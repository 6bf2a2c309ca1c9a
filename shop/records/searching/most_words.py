"""Where no job has all the words of a question, or few have: those that have the most of them, weighted by how rare each is.

Not every job that has one of the words is looked at, only those that can come first: jobs with one of the rarest words, and the
newest of those that lack one word, then two, and so on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb

from shop.handbook.counting import Collection
from shop.handbook.words import Asked, AskedWord, ranker, satisfied_by
from shop.records.searching.engine import engine
from shop.records.searching.question import Question, as_typed, without

MOST_WEIGHED = 8
"""Of a longer question, so many of its rarest words choose the jobs; all of them rank these."""

RARE_AMONG = 500
"""So many of the newest jobs with one of the rarest words are looked at."""

LACKING_AMONG = 150
"""And so many of the newest with all words but one, but two, and so on."""

MOST_PARTS = 30
"""A database is asked for at least some of the words where that takes no more combinations than this."""

LENGTH_TELLS = 0.25
"""Of the length beyond the mean, so much damps a job that lacks words; common practice, no source."""

OF_A_PHRASE = 0.5
"""What a word of a phrase is worth where the rest of the phrase is lacking; common practice, no source."""

JUDGED = 40
"""So many of the best are told with what they lack."""


@dataclass(frozen=True, slots=True)
class Near:
    """A job that has some of the words: its row, the places of the words it lacks, and the weight of the others."""

    row: int
    lacks: tuple[int, ...]
    weight: float


def with_some_words(question: Question, collection: Collection) -> list[Near]:
    """The jobs that have the most of a question's words, the best first."""
    words = question.told.words
    if len(words) < 2:
        return []
    weights = [_weight(word, collection) for word in words]
    places = sorted(range(len(words)), key=lambda at: -weights[at])
    chosen = [words[at] for at in places if _stands_somewhere(words[at], question)][:MOST_WEIGHED]
    forms = _candidates(question, chosen, collection)
    rate = ranker(question.told, collection, partly=OF_A_PHRASE)
    mean = collection.mean_length

    def fits(form: str) -> float:
        # which words a job has tells more than how short it is: a long report names the model once
        return rate(form, round(mean + (length_of(form) - mean) * LENGTH_TELLS))

    ranked = sorted(forms.items(), key=lambda form: (-fits(form[1]), -form[0]))
    return [_near(row, form, words, weights) for row, form in ranked[:JUDGED]]


def with_most_words(question: Question, some: Sequence[Near]) -> tuple[Question, tuple[str, ...]]:
    """The question without the words that the fullest of these jobs lacks, and these words.

    What has all the rest has none of them, or it would be the fullest.
    """
    fullest = max(some, key=lambda near: near.weight)
    return without(question, *fullest.lacks), tuple(
        as_typed(question, question.told.words[at]) for at in fullest.lacks
    )


def length_of(form: str) -> int:
    """How many words a job has, its tokens aside."""
    return form.count(" ", form.find("\n")) + 1


def _candidates(question: Question, chosen: Sequence[AskedWord], collection: Collection) -> dict[int, str]:
    narrowed = question.asked.words[: len(question.asked.words) - len(question.told.words)]
    forms: dict[int, str] = {}
    if rare := _rare(chosen, collection):
        forms |= engine().forms(Asked(narrowed, some=rare, fewest=1), RARE_AMONG)
    count = len(chosen)
    for fewest in range(count - 1, 0, -1):
        if comb(count, fewest) > MOST_PARTS or (fewest == 1 and len(rare) == count):
            break
        found = engine().forms(Asked(narrowed, some=tuple(chosen), fewest=fewest), LACKING_AMONG)
        forms |= found
        if len(found) == LACKING_AMONG:
            break
    return forms


def _rare(chosen: Sequence[AskedWord], collection: Collection) -> tuple[AskedWord, ...]:
    """As many of the rarest words as stand in few enough jobs together; the rarest in any case."""
    rare: list[AskedWord] = []
    left = RARE_AMONG
    for word in chosen:
        left -= sum(min(collection.frequencies.get(term, 0) for term in way.words) for way in word.ways)
        if rare and left < 0:
            break
        rare.append(word)
    return tuple(rare)


def _weight(word: AskedWord, collection: Collection) -> float:
    """How much a word tells: of its ways, all of which may be meant, the most frequent."""
    return min(max(collection.idf(term) for term in way.words) for way in word.ways)


def _stands_somewhere(word: AskedWord, question: Question) -> bool:
    return word.typed not in question.unknown


def _near(row: int, form: str, words: Sequence[AskedWord], weights: Sequence[float]) -> Near:
    columns = [line.split() for line in form.split("\n")]
    lacks = tuple(at for at, word in enumerate(words) if satisfied_by(word, *columns) is None)
    return Near(row, lacks, sum(weights) - sum(weights[at] for at in lacks))
