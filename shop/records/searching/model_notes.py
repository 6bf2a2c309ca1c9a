"""What model files say to a question: the notes on a model, and what was learnt about it on a job."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce
from operator import and_, or_

from django.db.models import Q, QuerySet
from django.utils.safestring import SafeString

from shop.counter.models import ModelNote, UnitModel
from shop.handbook.words import Asked, AskedWord, matches, stored_tokens
from shop.records.searching.question import Question
from shop.records.searching.why import marked

LOOKED_AT = 50
SHOWN = 5


@dataclass(frozen=True, slots=True)
class Noted:
    """One note that says what was asked, with it marked, and the model that it is about."""

    model: UnitModel
    text: SafeString


def notes_saying(question: Question) -> list[Noted]:
    """The notes that say every word of a question in some way, the newest first; two queries over the notes alone."""
    words = tuple(_in_words(word) for word in question.told.words)
    if not words or not all(word.ways for word in words):
        return []
    asked = Asked(words)
    learnt = ModelNote.objects.filter(_may_say("text", words)).select_related("model__maker").order_by("-pk")
    about = UnitModel.objects.filter(_may_say("notes", words), merged_into__isnull=True)
    found = [
        *((one.model, one.text) for one in learnt[:LOOKED_AT]),
        *((one, one.notes) for one in _newest(about)),
    ]
    saying = ((model, text) for model, text in found if matches(asked, stored_tokens(text)))
    return [Noted(model, marked(text, asked)) for model, text in saying][:SHOWN]


def _newest(models: QuerySet[UnitModel]) -> Iterator[UnitModel]:
    yield from models.select_related("maker").order_by("-pk")[:LOOKED_AT]


def _in_words(word: AskedWord) -> AskedWord:
    ways = tuple(way for way in word.ways if not any("_" in one for one in way.words))
    return AskedWord(word.typed, ways)


def _may_say(column: str, words: Sequence[AskedWord]) -> Q:
    """What a database can tell of a text by its letters alone: more than says it, and never less but for folded signs."""
    return reduce(and_, (_may_say_one(column, word) for word in words))


def _may_say_one(column: str, word: AskedWord) -> Q:
    letters = {max(way.words, key=len) for way in word.ways} | {word.typed}
    return reduce(or_, (Q(**{f"{column}__icontains": one}) for one in sorted(letters)))
