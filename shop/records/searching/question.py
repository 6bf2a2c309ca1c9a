"""What a person types in the one box, read as a question: words of the trade, models however typed, makers, kinds, serials.

A model, a maker or a kind that the shop knows becomes one more way to satisfy its word: a job matches when it is about that
model, or when somebody wrote the word down. Filters are words of their own that only a token satisfies.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from django.db import connection
from django.db.models import Q

from shop.counter.keys import model_key, name_key
from shop.counter.models import Kind, Maker, UnitModel
from shop.counter.queries import known_customers
from shop.handbook.words import (
    TRADE_ROWS,
    Asked,
    AskedWord,
    Synonyms,
    Way,
    asked_form,
    build_synonyms,
    fold,
    fold_serial,
    key_range,
    stored_tokens,
)
from shop.records.models import Synonym, Term
from shop.records.searching.engine import engine
from shop.records.searching.rows import token

MOST_LOOKED_AT = 8
"""So many words of a question are looked up as models and makers."""

MOST_MODELS = 40
MOST_MAKERS = 20
MOST_UNITS = 60
MOST_CUSTOMERS = 20
MOST_ENDINGS = 200
"""A beginning that more words continue is left to the index; one that fewer continue is asked by its words."""

INDEXED_BEGINNING = 3
"""Beginnings of this length have an index of their own."""

_RUNS = (3, 2, 1)


@dataclass(frozen=True, slots=True)
class Filters:
    """What the chips under the box have narrowed the search to; empty values ask for nothing."""

    kind: str = ""
    mode: str = ""
    outcome: str = ""
    year: str = ""
    stage: str = ""
    model: int | None = None
    maker: int | None = None
    customer: int | None = None
    unit: int | None = None
    evidence: bool = False
    comeback: bool = False

    def tokens(self) -> Iterator[str]:
        """The tokens that a job must have."""
        for kind, value in (
            *(("t", self.kind), ("f", self.mode), ("o", self.outcome), ("y", self.year), ("s", self.stage)),
            *(("m", self.model), ("k", self.maker), ("c", self.customer), ("u", self.unit)),
        ):
            if value:
                yield token(kind, value)
        if self.evidence:
            yield token("e", "found")
        if self.comeback:
            yield token("b", "comeback")

    def __bool__(self) -> bool:
        return any(True for _ in self.tokens())


@dataclass(frozen=True, slots=True)
class Question:
    """A question ready to be asked. `told` is the part that a person typed, `asked` has the filters' words as well.

    `frequencies` says in how many jobs each whole word stands; `unknown` are the words that nobody ever wrote.
    """

    text: str
    told: Asked
    asked: Asked
    filters: Filters
    models: tuple[UnitModel, ...] = ()
    makers: tuple[Maker, ...] = ()
    frequencies: Mapping[str, int] = field(default_factory=dict)
    unknown: tuple[str, ...] = ()
    own_words: frozenset[str] = frozenset()
    """Words of the shop's own rows of synonyms."""

    def __bool__(self) -> bool:
        return bool(self.asked)


def read_question(text: str, filters: Filters | None = None, *, typing: bool = False) -> Question:
    """Read what was typed. Any text is safe; words beyond the first ones are left out (`told.cut`)."""
    filters = filters or Filters()
    own = _own_rows()
    asked = asked_form(text, _built(own), typing=typing)
    meant, models, makers = _with_things(asked)
    told = _with_endings(Asked(meant, asked.cut))
    frequencies = dict(Term.objects.filter(word__in=told.terms).values_list("word", "documents"))
    told, unknown = _with_serials_and_people(told, frequencies)
    narrowed = tuple(AskedWord("", (Way((one,)),)) for one in filters.tokens())
    return Question(
        text=text,
        told=told,
        asked=Asked((*narrowed, *told.words), told.cut),
        filters=filters,
        models=models,
        makers=makers,
        frequencies=frequencies,
        unknown=unknown,
        own_words=_words_of(own),
    )


def without(question: Question, *left_out: int) -> Question:
    """The same question without some of its words, named by their places."""
    words = tuple(word for at, word in enumerate(question.told.words) if at not in left_out)
    dropped = len(question.asked.words) - len(question.told.words)
    narrowed = question.asked.words[:dropped]
    return replace(
        question,
        told=Asked(words, question.told.cut),
        asked=Asked((*narrowed, *words), question.told.cut),
    )


def as_typed(question: Question, word: AskedWord) -> str:
    """A word of the question as the person wrote it, with its capitals and umlauts; as it is folded where it was put together."""
    written = (found.strip(".,;:!?()") for found in question.text.split())
    return next((one for one in written if fold(one) == word.typed), word.typed)


# --- the shop's own words --------------------------------------------------------------------------------------


def the_synonyms() -> Synonyms:
    """The handbook's table and the shop's own rows, built anew whenever a row changes."""
    return _built(_own_rows())


def _own_rows() -> tuple[str, ...]:
    return tuple(Synonym.objects.order_by("id").values_list("words", flat=True))


def _words_of(rows: Sequence[str]) -> frozenset[str]:
    """The words of the shop's own rows, as they are typed and as they are stored."""
    said = ",".join(rows).replace(",", " ")
    return frozenset((*fold(said).split(), *stored_tokens(said)))


@functools.lru_cache(maxsize=4)
def _built(own: tuple[str, ...]) -> Synonyms:
    return build_synonyms([*TRADE_ROWS, *(row.split(",") for row in own)])


# --- models, makers, kinds -----------------------------------------------------------------------------------------


@functools.lru_cache(maxsize=1)
def _kinds() -> Mapping[str, str]:
    """The kinds that a word may mean: `tape deck` is the kind, `speaker` more often a part."""
    meant = set(Kind) - {Kind.OTHER, Kind.LOUDSPEAKER, Kind.POWER_SUPPLY}
    kinds = {
        " ".join(stored_tokens(kind.label.partition(" or ")[0])): kind.value for kind in map(Kind, meant)
    }
    return kinds | {" ".join(stored_tokens(word)): kind for word, kind in _ALSO.items()}


_ALSO = {
    "record player": "turntable",
    "cassette deck": "tape_deck",
    "synth": "synthesizer",
    "keyboard": "synthesizer",
    "guitar amp": "guitar_amp",
    "mixer": "effect",
    "tv": "television",
    "compact disc player": "cd_player",
}


@dataclass(slots=True)
class _Found:
    """What was looked up for all runs of words at once."""

    by_key: dict[str, list[UnitModel]] = field(default_factory=dict)
    by_name: dict[str, list[Maker]] = field(default_factory=dict)


def _with_things(asked: Asked) -> tuple[tuple[AskedWord, ...], tuple[UnitModel, ...], tuple[Maker, ...]]:
    """Words with models, makers and kinds among their ways; the longest run of words that names one is taken together."""
    words = asked.words
    if not words:
        return words, (), ()
    looked = words[:MOST_LOOKED_AT]
    runs = [(start, length) for length in _RUNS for start in range(len(looked) - length + 1)]
    keys = {run: model_key("".join(_typed(looked, run)).replace(" ", "")) for run in runs}
    names = {run: name_key(" ".join(_typed(looked, run))) for run in runs}
    found = _Found(
        _models({key for run, key in keys.items() if _may_be_model(key, run[1])}),
        _makers({name for run, name in names.items() if len(name) >= 3 and not name.isdigit()}),
    )
    taken: dict[int, tuple[int, AskedWord]] = {}
    models: dict[int, UnitModel] = {}
    makers: dict[int, Maker] = {}
    for start, length in runs:
        if any(
            start <= at < start + length
            for first, (count, _) in taken.items()
            for at in range(first, first + count)
        ):
            continue
        run = (start, length)
        here = found.by_key.get(keys[run], [])
        made = found.by_name.get(names[run], [])
        kind = _kinds().get(" ".join(_first_words(looked, run)))
        if not (here or made or kind):
            continue
        tokens = [token("m", model.pk) for model in here] + [token("k", maker.pk) for maker in made]
        tokens += [token("t", kind)] if kind else []
        taken[start] = (length, _merged(looked, run, keys[run] if here else "", tokens))
        models |= {model.pk: model for model in here}
        makers |= {maker.pk: maker for maker in made}
    return tuple(_put_together(words, taken)), tuple(models.values()), tuple(makers.values())


def _typed(words: Sequence[AskedWord], run: tuple[int, int]) -> list[str]:
    return [word.typed for word in words[run[0] : run[0] + run[1]]]


def _first_words(words: Sequence[AskedWord], run: tuple[int, int]) -> list[str]:
    return [term for word in words[run[0] : run[0] + run[1]] for term in word.ways[0].words]


def _may_be_model(key: str, length: int) -> bool:
    """A run with a digit may be a model number; a single word of four letters may begin a model's name."""
    has_digit = any(sign.isdigit() for sign in key)
    if key.isdigit() and len(key) < 3:
        return False
    return len(key) >= 2 and (has_digit or (length == 1 and len(key) >= 4))


def _models(keys: Iterable[str]) -> dict[str, list[UnitModel]]:
    """Models by key: the exact one, else those that begin with it, unless there are too many to mean any."""
    wanted = sorted(keys)
    if not wanted:
        return {}
    met = Q(folded__in=wanted)
    for key in wanted:
        if len(key) >= 3:
            met |= begins("folded", key)
    found = list(
        UnitModel.objects.filter(met).select_related("maker").order_by("folded")[: MOST_MODELS * 4 + 1]
    )
    by_key: dict[str, list[UnitModel]] = {}
    for key in wanted:
        exact = [model for model in found if model.folded == key]
        begun = [model for model in found if len(key) >= 3 and model.folded.startswith(key)]
        chosen = exact or (begun if len(begun) <= MOST_MODELS else [])
        if chosen:
            by_key[key] = chosen
    return by_key


def _makers(names: Iterable[str]) -> dict[str, list[Maker]]:
    """Makers by name: exact, else those whose name begins with it."""
    wanted = sorted(names)
    if not wanted:
        return {}
    met = Q(folded__in=wanted)
    for name in wanted:
        if len(name) >= 4:
            met |= begins("folded", name)
    found = list(Maker.objects.filter(met).order_by("folded")[: MOST_MAKERS * 4 + 1])
    by_name: dict[str, list[Maker]] = {}
    for name in wanted:
        exact = [maker for maker in found if maker.folded == name]
        begun = [maker for maker in found if len(name) >= 4 and maker.folded.startswith(name)]
        chosen = exact or (begun if len(begun) <= MOST_MAKERS else [])
        if chosen:
            by_name[name] = chosen
    return by_name


def begins(column: str, beginning: str) -> Q:
    """A condition that an index answers: SQLite by a range of codes, PostgreSQL by its index of patterns."""
    if connection.vendor == "sqlite":
        low, high = key_range(beginning)
        return Q(**{f"{column}__gte": low, f"{column}__lt": high})
    return Q(**{f"{column}__startswith": beginning})


def _merged(words: Sequence[AskedWord], run: tuple[int, int], key: str, tokens: Sequence[str]) -> AskedWord:
    """One asked word of a run: as it was asked, as one key, or by what it names."""
    start, length = run
    own = words[start].ways if length == 1 else (Way(tuple(_first_words(words, run))),)
    plain = [Way((key,))] if key else []
    named = [Way((one,)) for one in tokens]
    return AskedWord(" ".join(_typed(words, run)), tuple(dict.fromkeys([*own, *plain, *named])))


def _put_together(
    words: Sequence[AskedWord], taken: Mapping[int, tuple[int, AskedWord]]
) -> Iterator[AskedWord]:
    at = 0
    while at < len(words):
        length, word = taken.get(at, (1, words[at]))
        yield word
        at += length


# --- words still being typed, serial numbers --------------------------------------------------------------------------


def _with_endings(asked: Asked) -> Asked:
    """Ask a beginning by the words that continue it: an index of beginnings has only short ones."""
    begun = {
        way.words[-1]
        for word in asked.words
        for way in word.ways
        if way.prefix and len(way.words[-1]) > INDEXED_BEGINNING
    }
    endings = {beginning: _endings(beginning) for beginning in begun}
    if not endings:
        return asked
    words = tuple(
        AskedWord(
            word.typed, tuple(dict.fromkeys(new for way in word.ways for new in _continued(way, endings)))
        )
        for word in asked.words
    )
    return Asked(words, asked.cut)


def _endings(beginning: str) -> list[str] | None:
    """The words that begin so, or None when there are too many."""
    found = Term.objects.filter(begins_word(beginning), documents__gt=0).values_list("word", flat=True)
    words = list(found[: MOST_ENDINGS + 1])
    return words if len(words) <= MOST_ENDINGS else None


def begins_word(beginning: str) -> Q:
    """Terms are compared by code on both databases."""
    low, high = key_range(beginning)
    return Q(word__gte=low, word__lt=high)


def _continued(way: Way, endings: Mapping[str, list[str] | None]) -> Iterator[Way]:
    words = endings.get(way.words[-1]) if way.prefix else None
    if words is None:
        yield way
        return
    yield replace(way, prefix=False)
    for word in words:
        yield Way((*way.words[:-1], word), adjacent=way.adjacent, own=way.own)


def _with_serials_and_people(asked: Asked, frequencies: Mapping[str, int]) -> tuple[Asked, tuple[str, ...]]:
    """Ask a word that nobody wrote as part of a serial number or of a customer's name; what is still unknown is named."""
    words, unknown = [], []
    for word in asked.words:
        if _is_known(word, frequencies):
            words.append(word)
            continue
        tokens = [token("u", unit) for unit in _units(word.typed)] or [
            token("c", customer) for customer in _customers(word.typed)
        ]
        words.append(AskedWord(word.typed, (*word.ways, *(Way((one,)) for one in tokens))))
        if not tokens:
            unknown.append(word.typed)
    return Asked(tuple(words), asked.cut), tuple(unknown)


def _units(typed: str) -> list[int]:
    part = fold_serial(typed, letter_o=True)
    looks_so = len(part) >= 4 and any(sign.isdigit() for sign in part)
    return engine().units_with_serial(part, MOST_UNITS) if looks_so else []


def _customers(typed: str) -> list[int]:
    """The whole table is looked through, but only for words that are no words of the trade."""
    key = name_key(typed)
    if len(key) < 3 or key.isdigit():
        return []
    named = known_customers().filter(search_key__contains=key)
    return list(named.order_by("-id").values_list("pk", flat=True)[:MOST_CUSTOMERS])


def _is_known(word: AskedWord, frequencies: Mapping[str, int]) -> bool:
    """Whether some way can match at all: by a token, a beginning, or words that all stand somewhere."""
    return any(
        way.prefix or all("_" in term or frequencies.get(term) for term in way.words) for way in word.ways
    )
