"""A question put to the history and answered: hits, counts, filters, and honest words about what was left out.

Newest first reads the index from its end and stops early, so it takes the same time however many jobs there are. Best first
ranks the newest matches by the handbook's one function and says how many it looked at. Counts stop at a thousand.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, TypedDict

from django.db.models import F

from shop.bench.queries import jobs_meant
from shop.counter.models import Customer, Job, UnitModel
from shop.handbook.counting import Collection
from shop.handbook.words import ranker
from shop.records.models import SearchRow, SearchState
from shop.records.searching.engine import engine
from shop.records.searching.facets import Facet, Tally, facets_of, tally
from shop.records.searching.most_words import Near, length_of, with_most_words, with_some_words
from shop.records.searching.near_misses import NearMiss, nearest
from shop.records.searching.people import customers_named
from shop.records.searching.question import Filters, Question, as_typed, read_question
from shop.records.searching.rows import day_of, facets_in
from shop.records.searching.why import Texts, texts_of

if TYPE_CHECKING:
    from django_stubs_ext import WithAnnotations

    class _Shown(TypedDict):
        shown: str | None

    KeptRow = WithAnnotations[SearchRow, _Shown]

PAGE = 20
COUNTED_TO = 1000
RANKED_AMONG = 1000
"""Best first looks at so many of the newest matches; no more than are counted."""

NEWEST, BEST = "newest", "best"


@dataclass(frozen=True, slots=True)
class Hit:
    """One found job with its texts; `lacks` are the words of the question that it does not have, as they were typed."""

    row: int
    job: Job
    texts: Texts
    lacks: tuple[str, ...] = ()

    @property
    def day(self) -> object:
        """The day by which the search orders it."""
        return day_of(self.row)


@dataclass(frozen=True, slots=True)
class Asking:
    """Everything that a person chose: text, filters, order, where on the list."""

    text: str = ""
    filters: Filters = field(default_factory=Filters)
    order: str = NEWEST
    before: int | None = None
    after: int | None = None
    page: int = 1
    typing: bool = False
    exactly: bool = False


@dataclass(frozen=True, slots=True)
class Answer:
    """What was found. `left_out` are words that no found job has; `near_misses` were taken for what was typed.

    `nearly` are jobs that lack some of the words, shown below the others where best first has less than a page.
    """

    asking: Asking
    question: Question
    hits: list[Hit]
    count: int
    facets: list[Facet]
    newer: int | None = None
    older: int | None = None
    pages: int = 1
    left_out: tuple[str, ...] = ()
    near_misses: tuple[NearMiss, ...] = ()
    nearly: list[Hit] = field(default_factory=list)
    numbered: list[Job] = field(default_factory=list)
    customers: list[Customer] = field(default_factory=list)

    @property
    def capped(self) -> bool:
        """Whether there are more than were counted."""
        return self.count > COUNTED_TO

    @property
    def counted(self) -> str:
        """How many there are, as a person reads it."""
        return f"{COUNTED_TO:,}+" if self.capped else f"{self.count:,}"

    @property
    def ranked_among(self) -> int:
        """How many of the newest matches were ranked, where that is not all of them; else 0."""
        return RANKED_AMONG if self.asking.order == BEST and self.count > RANKED_AMONG - 1 else 0


def ask(asking: Asking) -> Answer:
    """Answer in a bounded number of queries."""
    question = read_question(asking.text, asking.filters, typing=asking.typing)
    misses: tuple[NearMiss, ...] = ()
    if question.unknown and not asking.exactly and not asking.typing:
        misses = nearest(question.unknown, question.own_words)
        if misses:
            question = _corrected(asking, misses)
    whole, collection = question, collection_of(question)
    matches = _matches(question, asking)
    left_out: tuple[str, ...] = ()
    some: list[Near] = []
    if matches.count < PAGE and not asking.typing and (not matches.count or asking.order == BEST):
        some = with_some_words(question, collection)
    if not matches.count and some and asking.order != BEST:
        question, left_out = with_most_words(question, some)
        matches = _matches(question, asking)
    ranked = matches.forms is not None
    if ranked:
        rows, newer, older = _best(question, matches.forms or [], asking, collection)
    else:
        rows, newer, older = _newest(question, asking)
    lacking = _lacking(whole, some, rows) if ranked and matches.count < PAGE else {}
    kept = _kept([*rows, *lacking])
    counted = tally(matches.facets[:COUNTED_TO])
    models = _named_models(kept, counted)
    return Answer(
        asking=asking,
        question=question,
        hits=_hits(rows, kept, question),
        nearly=[replace(hit, lacks=lacking[hit.row]) for hit in _hits(list(lacking), kept, whole)],
        count=matches.count,
        facets=facets_of(counted, asking.filters, models),
        newer=newer,
        older=older,
        left_out=left_out,
        near_misses=misses,
        numbered=_numbered(asking.text),
        customers=customers_named(question),
    )


@dataclass(frozen=True, slots=True)
class _Matches:
    """The newest matches, as many as are counted: what the filters count by, and for best first all their words."""

    facets: list[str]
    forms: list[tuple[int, str]] | None = None

    @property
    def count(self) -> int:
        """How many there are; one more than are counted where there are more."""
        return len(self.facets)


def _matches(question: Question, asking: Asking) -> _Matches:
    """Ask once for all that is said of the whole of the matches: whoever reads their words reads the filters' tokens in them."""
    if asking.order != BEST or not question.told:
        return _Matches(engine().facets(question.asked, COUNTED_TO + 1))
    forms = engine().forms(question.asked, COUNTED_TO + 1)
    return _Matches([facets_in(form) for _, form in forms], forms[:RANKED_AMONG])


def _corrected(asking: Asking, misses: Sequence[NearMiss]) -> Question:
    """The question with what was meant in place of what was typed, which may stand apart: `VX-31B` is one word of a question."""
    text = asking.text.lower()
    for miss in misses:
        typed = r"[\s./-]*".join(map(re.escape, miss.typed))
        text = re.sub(rf"(?<!\w){typed}(?!\w)", miss.meant, text)
    return replace(read_question(text.strip(), asking.filters), text=asking.text)


def _newest(question: Question, asking: Asking) -> tuple[list[int], int | None, int | None]:
    """One page by key: the ids, and the keys by which the page of newer and that of older ones are asked for."""
    if asking.after is not None:
        found = engine().oldest_after(question.asked, PAGE + 1, after=asking.after)
        rows = found[:PAGE][::-1]
        return rows, (rows[0] if len(found) > PAGE else None), (rows[-1] if rows else None)
    found = engine().newest(question.asked, PAGE + 1, before=asking.before)
    rows = found[:PAGE]
    newer = rows[0] if rows and asking.before is not None else None
    return rows, newer, (rows[-1] if len(found) > PAGE else None)


def _best(
    question: Question, forms: Sequence[tuple[int, str]], asking: Asking, collection: Collection
) -> tuple[list[int], int | None, int | None]:
    """One page of the newest matches ordered by how well they fit; newer of two that fit alike first."""
    rate = ranker(question.told, collection)
    ranked = sorted(forms, key=lambda form: (-rate(form[1], length_of(form[1])), -form[0]))
    start = PAGE * (asking.page - 1)
    rows = [row for row, _ in ranked[start : start + PAGE]]
    return rows, (asking.page - 1 or None), (asking.page + 1 if len(ranked) > start + PAGE else None)


def _lacking(question: Question, some: Sequence[Near], found: Sequence[int]) -> dict[int, tuple[str, ...]]:
    """What fills the page, and the words that each lacks, as they were typed."""
    words, taken = question.told.words, set(found)
    others = [near for near in some if near.row not in taken][: PAGE - len(taken)]
    return {near.row: tuple(as_typed(question, words[at]) for at in near.lacks) for near in others}


def collection_of(question: Question) -> Collection:
    """How rare the words of a question are among the jobs."""
    state = SearchState.objects.filter(pk=1).first() or SearchState()
    mean = state.words / state.documents if state.documents else 0.0
    few = max(1, state.documents // 100)
    return Collection(state.documents, mean, question.frequencies, unknown=few)


_NAMED = ("number", "outcome", "stage", "whose_move", "unit__serial", "unit__model_id")


def _kept(rows: Sequence[int]) -> dict[int, KeptRow]:
    """These rows with their jobs, units and texts: one query for what is shown of every job, but for its model."""
    if not rows:
        return {}
    whole = SearchRow.objects.filter(pk__in=rows).select_related("job__unit")
    named = whole.only(*(f"job__{name}" for name in _NAMED)).annotate(shown=F("texts__shown"))
    return {row.pk: row for row in named}


def _named_models(kept: Mapping[int, KeptRow], counted: Tally) -> dict[int, UnitModel]:
    """The models that the page names, of jobs and of filters, in one query; the jobs' units are given theirs."""
    units = [row.job.unit for row in kept.values()]
    wanted = {*counted.named_models, *(unit.model_id for unit in units)}
    models = UnitModel.objects.select_related("maker").only("name", "maker__name").in_bulk(wanted)
    for unit in units:
        unit.model = models[unit.model_id]
    return models


def _hits(rows: Sequence[int], kept: Mapping[int, KeptRow], question: Question) -> list[Hit]:
    """The jobs of these rows, in their order, with their texts; what was called off meanwhile is left out."""
    found = [kept[row] for row in rows if row in kept]
    return [Hit(row.pk, row.job, texts_of(row.shown or "", question.told)) for row in found]


def _numbered(text: str) -> list[Job]:
    """Jobs whose number was typed, whole or its sequence alone."""
    return (
        jobs_meant(text.strip())[:5] if any(sign.isdigit() for sign in text[:40]) and len(text) <= 40 else []
    )
