"""What others' records say to a question, beside the shop's own jobs: each with its source, and never in a figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.db import connection
from django.utils.safestring import SafeString

from shop.handbook.words import Asked, AskedWord, fts5_query, matches, ranker, tsquery
from shop.records.models import Library, Passage
from shop.records.searching.answering import Answer, collection_of
from shop.records.searching.question import Question, read_question
from shop.records.searching.why import marked

LOOKED_AT = 200
"""So many of the newest records with all words are ranked; where there are more, that is said."""

SHOWN, MOST_OTHERS = 5, 50
"""So many are shown at first, and when all are asked for."""

FEWEST = 2
"""Where none has all words of a question, those that lack one are shown, if it has more words than this."""


@dataclass(frozen=True, slots=True)
class Passed:
    """One record found, with what was asked marked in it."""

    passage: Passage
    title: SafeString
    text: SafeString


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """What was found of others' records. `lacks_one`: none has all words of the question."""

    records: list[Passed]
    count: int
    lacks_one: bool = False

    def __bool__(self) -> bool:
        return bool(self.records)

    @property
    def counted(self) -> str:
        """How many there are, as a person reads it."""
        return f"{LOOKED_AT}+" if self.count >= LOOKED_AT else f"{self.count}"

    @property
    def more(self) -> bool:
        """Whether more were found than are shown, and may be."""
        return len(self.records) < min(self.count, MOST_OTHERS)


NOTHING = Elsewhere([], 0)


def elsewhere(answer: Answer, *, shown: int = SHOWN) -> Elsewhere:
    """What libraries say to a question as it was typed, which may not be what it was taken for among the jobs.

    A fixed number of queries, and one where there is no library.
    """
    if not Library.objects.filter(state=Library.State.READY).exists():
        return NOTHING
    question = read_question(answer.asking.text) if answer.near_misses or answer.left_out else answer.question
    words = tuple(word for word in map(_in_words, question.told.words) if word.ways)
    if not words:
        return NOTHING
    asked, lacks_one = Asked(words), False
    found = _found(asked)
    if not found and len(words) > FEWEST:
        asked, lacks_one = Asked((), some=words, fewest=len(words) - 1), True
        found = _found(asked)
    ranked = _ranked(found, words, question)
    best = [pk for pk, _ in ranked[:shown]]
    kept = Passage.objects.select_related("library").in_bulk(best)
    marking = Asked(words)
    some = [kept[pk] for pk in best if pk in kept]
    passed = [Passed(one, marked(one.title, marking), marked(one.text, marking)) for one in some]
    return Elsewhere(passed, len(ranked), lacks_one)


def _in_words(word: AskedWord) -> AskedWord:
    """A word without the tokens that stand for facts of jobs."""
    return replace(word, ways=tuple(way for way in word.ways if not any("_" in one for one in way.words)))


def _loose(asked: Asked) -> Asked:
    """The question without asking what stands side by side; that is looked at in what was found."""

    def loosened(words: Sequence[AskedWord]) -> tuple[AskedWord, ...]:
        return tuple(
            replace(word, ways=tuple(replace(way, adjacent=False) for way in word.ways)) for word in words
        )

    return replace(asked, words=loosened(asked.words), some=loosened(asked.some))


_SQLITE = (
    "SELECT rowid FROM records_passage_fts WHERE records_passage_fts MATCH %s ORDER BY rowid DESC LIMIT %s"
)
_POSTGRESQL = "SELECT id FROM records_passage WHERE vector @@ %s::tsquery ORDER BY id DESC LIMIT %s"


def _found(asked: Asked) -> list[tuple[int, str]]:
    """The newest records that match, as (id, words); what is not whole yet is not found."""
    sql, query = (
        (_SQLITE, fts5_query(_loose(asked)))
        if connection.vendor == "sqlite"
        else (_POSTGRESQL, tsquery(_loose(asked)))
    )
    with connection.cursor() as cursor:
        cursor.execute(sql, [query, LOOKED_AT])
        ids = [row[0] for row in cursor.fetchall()]
    told = Passage.objects.filter(pk__in=ids, library__state=Library.State.READY) if ids else ()
    return [
        (one.pk, one.words)
        for one in told
        if matches(asked, *(line.split() for line in one.words.split("\n")))
    ]


def _ranked(
    found: Sequence[tuple[int, str]], words: tuple[AskedWord, ...], question: Question
) -> list[tuple[int, str]]:
    rate = ranker(Asked(words), collection_of(question), partly=0.5)
    return sorted(found, key=lambda one: (-rate(one[1], one[1].count(" ") + 1), -one[0]))
