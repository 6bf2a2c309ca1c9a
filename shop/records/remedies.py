"""What fixed it last time: past conclusions for a like complaint, of the same model, then its kin, then the same kind of unit.

A past job counts when its complaint or findings share enough of what the new complaint says, weighed by how rare the words are.
Of those with a conclusion, each pair of what failed and how is counted; the share is told with the lower end of its Wilson
interval, so that one lucky case says less than seven of nine.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from django.db.models import Q

from shop.bench.models import Conclusion, FailureMode
from shop.counter.models import Job, UnitModel
from shop.counter.stages import Outcome
from shop.handbook.counting import Collection, Interval, percentile, wilson
from shop.handbook.failures import PartFailures, failures_named
from shop.handbook.money import UnitPrice
from shop.handbook.words import Asked, AskedWord, Way, asked_form, satisfied_by, stored_tokens
from shop.records.model_files import bench_seconds
from shop.records.models import SearchState, Term
from shop.records.searching.engine import engine
from shop.records.searching.question import the_synonyms
from shop.records.searching.rows import token
from shop.stockroom.models import PartFitted

LOOKED_AT = 200
"""So many of the newest jobs that share a word are looked at, in each circle."""

LIKE_ENOUGH = 0.5
"""The share of what a complaint says, weighed by rarity, that a past job must say too. Common practice, no source."""

ENOUGH = 5
"""With so many like jobs of one circle, wider circles are not asked."""

SHOWN = 4
MOST_MODELS = 60
MOST_WORDS = 12

TELLS_NOTHING = frozenset({"again", "back", "fault", "issue", "now", "problem", "same", "still", "unit"})
"""Words of a complaint that say nothing of what is wrong. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Circle:
    """Which jobs are asked, what they are called, and what a case among them weighs."""

    name: str
    weight: float
    tokens: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Count:
    """How often one remedy was the one, in one circle."""

    circle: Circle
    hits: int
    tries: int

    @property
    def interval(self) -> Interval:
        """The range of the true share, at 95 %."""
        return wilson(self.hits, self.tries)

    @property
    def at_least(self) -> int:
        """The lower end in per cent, rounded down: never promised too much."""
        return int(self.interval.lower * 100)


@dataclass(frozen=True, slots=True)
class Remedy:
    """What failed (nothing where an older book does not say), how, what was done last time, how often, and what it took."""

    failed: str
    mode: str
    remedy: str
    counts: tuple[Count, ...]
    job_ids: tuple[int, ...]
    seconds: int | None
    parts_minor: int | None
    jobs: tuple[Job, ...] = ()

    @property
    def currency(self) -> str:
        """Of what the parts cost."""
        return self.jobs[0].currency if self.jobs else ""

    @property
    def weight(self) -> float:
        """By what remedies are ordered: the lower ends, each weighed by its circle."""
        return sum(count.circle.weight * count.interval.lower for count in self.counts)


@dataclass(frozen=True, slots=True)
class Advice:
    """Everything that the past says to a complaint; `general` is the handbook's last resort."""

    remedies: tuple[Remedy, ...]
    like_jobs: int
    no_fault: int
    general: tuple[PartFailures, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.remedies or self.general)


def advice_for(model: UnitModel, complaint: str, *, leave_out: int | None = None) -> Advice:
    """What fixed it last time. `leave_out` is the job that asks. Bounded in queries and in rows."""
    words = telling_words(complaint)
    if not words:
        return Advice((), 0, 0)
    weights = weights_of(words)
    ended: dict[Circle, list[Conclusion]] = {}
    seen: set[int] = {leave_out} if leave_out else set()
    for circle in circles_of(model):
        like = [job for job in _like(circle, words, weights) if job not in seen]
        seen.update(like)
        ended[circle] = _conclusions(like)
        if sum(map(len, ended.values())) >= ENOUGH:
            break
    remedies = _with_jobs(_remedies(ended)[:SHOWN])
    no_fault = sum(
        one.outcome == Outcome.NO_FAULT or one.mode == FailureMode.NONE_FOUND
        for found in ended.values()
        for one in found
    )
    general = () if remedies else failures_named(complaint)
    return Advice(tuple(remedies), sum(map(len, ended.values())), no_fault, general)


def circles_of(model: UnitModel) -> Iterator[Circle]:
    """The circles around a model, the nearest first; wider ones leave out what a nearer one has.

    Of a model that the shop has not met before, which is not saved yet, only its kind tells something.
    """
    if model.pk is not None:
        yield from _near(model)
    yield Circle("this kind of unit", 0.25, (token("t", model.kind),))


def _near(model: UnitModel) -> Iterator[Circle]:
    yield Circle("this model", 1.0, (token("m", model.pk),))
    kin = Q(twins=model)
    if model.family:
        kin |= Q(maker=model.maker_id, family=model.family)
    near = UnitModel.objects.filter(kin, merged_into__isnull=True).exclude(pk=model.pk)
    pks = list(near.order_by("pk").values_list("pk", flat=True).distinct()[:MOST_MODELS])
    if pks:
        yield Circle("its family and twins", 0.6, tuple(token("m", pk) for pk in pks))


def telling_words(complaint: str) -> tuple[AskedWord, ...]:
    """What a complaint says, without words such as `again` that tell nothing of the fault."""
    words = asked_form(complaint, the_synonyms()).words
    telling = tuple(word for word in words if word.typed not in TELLS_NOTHING)
    return (telling or words)[:MOST_WORDS]


def weights_of(words: Sequence[AskedWord]) -> list[float]:
    """How much each word of the complaint tells: from 1 for one that every job has to 2 for one that none has."""
    terms = {term for word in words for way in word.ways for term in way.words}
    known = dict(Term.objects.filter(word__in=terms).values_list("word", "documents"))
    state = SearchState.objects.filter(pk=1).first() or SearchState()
    collection = Collection(max(state.documents, 1), 1.0, known, unknown=0)
    most = collection.idf("")  # of a word that stands nowhere
    return [1 + min(collection.idf(term) for term in word.ways[0].words) / most for word in words]


def _like(circle: Circle, words: Sequence[AskedWord], weights: Sequence[float]) -> list[int]:
    """Jobs of a circle whose complaint or findings say enough of the same, the newest first."""
    about = AskedWord("", tuple(Way((one,)) for one in circle.tokens))
    any_word = AskedWord("", tuple(dict.fromkeys(way for word in words for way in word.ways)))
    said = engine().complaints(Asked((about, any_word)), LOOKED_AT)
    needed = LIKE_ENOUGH * sum(weights)
    return [job for job, *texts in said if shared(texts, words, weights) >= needed]


def shared(texts: Sequence[str], words: Sequence[AskedWord], weights: Sequence[float]) -> float:
    """How much of the complaint a past job says in its own complaint and findings."""
    columns = [text.split() for text in texts]
    return sum(
        weight
        for word, weight in zip(words, weights, strict=True)
        if satisfied_by(word, *columns) is not None
    )


def _conclusions(jobs: Sequence[int]) -> list[Conclusion]:
    """The last conclusion of each job."""
    standing = Conclusion.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("at", "id")
    shown = standing.only("job_id", "failed", "mode", "outcome", "remedy", "at")
    return list({one.job_id: one for one in shown}.values())


def _known_by(one: Conclusion) -> str:
    """What failed; of an older book that tells only what was done, that."""
    return one.failed or one.remedy


def _remedies(ended: Mapping[Circle, Sequence[Conclusion]]) -> list[Remedy]:
    groups: dict[tuple[frozenset[str], str], dict[Circle, list[Conclusion]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for circle, found in ended.items():
        for one in found:
            if one.mode != FailureMode.NONE_FOUND and one.outcome in {Outcome.REPAIRED, Outcome.PARTLY}:
                groups[frozenset(stored_tokens(_known_by(one))), one.mode][circle].append(one)
    jobs = [one.job_id for group in groups.values() for found in group.values() for one in found]
    seconds, parts = bench_seconds(jobs), _parts_minor(jobs)
    tries = {circle: len(found) for circle, found in ended.items()}
    remedies = [_remedy(group, tries, seconds, parts) for group in groups.values()]
    return sorted(remedies, key=lambda remedy: (-remedy.weight, remedy.failed))


def _remedy(
    group: Mapping[Circle, Sequence[Conclusion]],
    tries: Mapping[Circle, int],
    seconds: Mapping[int, int],
    parts: Mapping[int, int],
) -> Remedy:
    cases = [one for found in group.values() for one in found]
    latest = max(cases, key=lambda one: (one.at, one.pk))
    names = Counter(one.failed for one in cases)
    spent = [seconds[one.job_id] for one in cases if seconds.get(one.job_id)]
    cost = [parts[one.job_id] for one in cases if one.job_id in parts]
    newest_first = sorted(cases, key=lambda one: -one.pk)
    return Remedy(
        failed=names.most_common(1)[0][0],
        mode=FailureMode(latest.mode).label,
        remedy=latest.remedy,
        counts=tuple(Count(circle, len(found), tries[circle]) for circle, found in group.items()),
        job_ids=tuple(one.job_id for one in newest_first[:3]),
        seconds=percentile(spent, 0.5) if spent else None,
        parts_minor=percentile(cost, 0.5) if cost else None,
    )


def _with_jobs(remedies: Sequence[Remedy]) -> list[Remedy]:
    """The remedies with the jobs that they link to; one query for all of them."""
    found = Job.objects.in_bulk([pk for one in remedies for pk in one.job_ids])
    return [replace(one, jobs=tuple(found[pk] for pk in one.job_ids)) for one in remedies]


def _parts_minor(jobs: Iterable[int]) -> dict[int, int]:
    """What the customer paid for parts by job, in minor units, before tax."""
    fitted = PartFitted.objects.filter(
        job__in=list(jobs),
        struck_at__isnull=True,
        under_warranty=False,
        unit_price_ten_thousandths__isnull=False,
    )
    cost: dict[int, int] = defaultdict(int)
    rows = fitted.values_list("job_id", "quantity_thousandths", "unit_price_ten_thousandths", "currency")
    for job, quantity, price, currency in rows:
        cost[job] += UnitPrice(price or 0, currency).times(quantity).minor
    return cost
