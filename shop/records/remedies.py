"""What the records say of a complaint: this very unit, then the same model (a like reading before like words), its kin, its kind.

A past job counts when its complaint or findings share enough of what the new complaint says, weighed by how rare the words are,
or when the new one says most of what the old one said, however much more it tells. Of those with a conclusion, each pair of
what failed and how is counted; from five cases on a share is told with the lower end of its Wilson interval. Fewer are told as
the cases that they are. Knowledge, too, is what had no fault, what could not be mended, and what did not cure it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from django.db.models import Q

from shop.bench.models import Conclusion, FailureMode, KnownBy, Reading
from shop.bench.suggesting import point_of
from shop.counter.models import Job, Kind, UnitModel
from shop.counter.stages import Outcome
from shop.handbook.counting import Collection as Texts
from shop.handbook.counting import Interval, percentile, wilson
from shop.handbook.money import UnitPrice
from shop.handbook.symptoms import among, symptoms_of, telling, words_for
from shop.handbook.words import UNTOLD, Asked, AskedWord, Way, asked_form, satisfied_by, stored_tokens
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

SAID_AGAIN = 0.6
"""The share of what an old complaint said that the new one must say, where that tells more. Common practice, no source."""

ENOUGH = 5
"""With so many like jobs, wider circles are not asked, and a share is told in per cent."""

MOST_CASES = 20
"""So many of the newest jobs of one unit, or with one reading, are looked at."""

MOST_LIKE = 40
"""So many of the likest jobs of a circle are counted."""

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
        """The lower end in per cent, rounded down: never promised too much. 0, which is not told, for a few cases."""
        return int(self.interval.lower * 100) if self.tries >= ENOUGH else 0


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
    certain: float = 1.0
    known_by: str = ""
    every_job: tuple[int, ...] = ()

    @property
    def currency(self) -> str:
        """Of what the parts cost."""
        return self.jobs[0].currency if self.jobs else ""

    @property
    def weight(self) -> float:
        """By what remedies are ordered: the lower ends, each weighed by its circle, and by how surely it is known."""
        return self.certain * sum(count.circle.weight * count.interval.lower for count in self.counts)


@dataclass(frozen=True, slots=True)
class Case:
    """One past job that is worth knowing though it names no remedy: what was tried or found, and why it is no cure."""

    job: Job
    why: str
    told: str


@dataclass(frozen=True, slots=True)
class Advice:
    """Everything that the past says to a complaint: what cured it, and the cases that a cure is not known from."""

    remedies: tuple[Remedy, ...]
    like_jobs: int
    no_fault: int
    cases: tuple[Case, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.remedies or self.cases)


def advice_for(
    model: UnitModel, complaint: str, *, leave_out: int | None = None, job: Job | None = None
) -> Advice:
    """What the past says to a complaint. `job` is the one that asks. Bounded in queries and in rows."""
    leave_out = job.pk if job is not None else leave_out
    ended: dict[Circle, list[Conclusion]] = {}
    seen: set[int] = {leave_out} if leave_out else set()
    for circle, like in asked_in_turn(model, complaint, job):
        new = [one for one in like if one not in seen]
        seen.update(new)
        ended[circle] = _conclusions(new)
        if sum(map(len, ended.values())) >= ENOUGH:
            break
    return _advice(ended)


def asked_in_turn(
    model: UnitModel, complaint: str, job: Job | None
) -> Iterator[tuple[Circle, Sequence[int]]]:
    """The circles with their like jobs, the nearest first; each is asked for when its turn comes. `job` is the one that asks."""
    if job is not None:
        mine = Job.objects.filter(unit=job.unit_id).exclude(pk=job.pk).order_by("-pk")
        yield Circle("this very unit", 1.5, ()), list(mine.values_list("pk", flat=True)[:MOST_CASES])
        yield Circle("this model with such a reading", 1.2, ()), _with_like_readings(model, job)
    words = telling_words(complaint)
    if words:
        weights, symptoms = weights_of(words), telling(symptoms_of(complaint))
        for circle in circles_of(model):
            yield circle, _like(circle, words, weights, symptoms)


def _with_like_readings(model: UnitModel, job: Job) -> list[int]:
    """Jobs of the model in which the same place read as wrong as it does on this one."""
    wrong = Reading.objects.filter(verdict__in=("low", "high", "open", "short"), struck_at__isnull=True)
    facts = ("job_id", "where", "quantity", "channel", "verdict")
    mine = {
        _read(*one[1:]) for one in wrong.filter(job=job, after_repair=False).values_list(*facts)[:MOST_CASES]
    }
    if not mine:
        return []
    others = wrong.filter(job__unit__model=model, after_repair=False).exclude(job=job).order_by("-pk")
    found = [one[0] for one in others.values_list(*facts)[:LOOKED_AT] if _read(*one[1:]) in mine]
    return list(dict.fromkeys(found))[:MOST_CASES]


def _read(where: str, quantity: str, channel: str, verdict: str) -> tuple[object, ...]:
    """A reading as another one is like it: the place in any words, and how it was wrong."""
    return (*point_of(where, quantity, channel).key[:3], quantity, verdict)


def _advice(ended: Mapping[Circle, Sequence[Conclusion]]) -> Advice:
    every = [one for found in ended.values() for one in found]
    comebacks = Job.objects.filter(comeback_of__in=[one.job_id for one in every])
    came_back = {first for first in comebacks.values_list("comeback_of", flat=True) if first is not None}
    remedies = _with_jobs(_remedies(ended, came_back)[:SHOWN])
    no_fault = sum(map(_found_nothing, every))
    told = [(one, why) for one in every if (why := _why_no_cure(one, came_back))][:SHOWN]
    jobs = Job.objects.in_bulk([one.job_id for one, _ in told])
    cases = tuple(
        Case(jobs[one.job_id], why, one.remedy if _found_nothing(one) else f"{one.failed}: {one.remedy}")
        for one, why in told
    )
    return Advice(tuple(remedies), len(every), no_fault, cases)


def _found_nothing(one: Conclusion) -> bool:
    return one.outcome == Outcome.NO_FAULT or one.mode == FailureMode.NONE_FOUND


NO_CURE = {Outcome.BEYOND: "couldn’t be repaired", Outcome.UNREPAIRED: "went back unrepaired"}


def _why_no_cure(one: Conclusion, came_back: Collection[int]) -> str:
    """Why a conclusion is no remedy and yet worth knowing; nothing where it cured, or where it tells nothing."""
    if one.job_id in came_back:
        return "did not cure it, the unit came back"
    if _found_nothing(one):
        return "no fault found"
    return NO_CURE.get(Outcome(one.outcome), "")


def circles_of(model: UnitModel) -> Iterator[Circle]:
    """The circles around a model, the nearest first; wider ones leave out what a nearer one has.

    Of a model that the shop has not met before, which is not saved yet, only its kind tells something.
    """
    if model.is_known and not model._state.adding:
        yield from _near(model)
    if model.kind != Kind.OTHER:  # a dehumidifier tells nothing of a tape deck
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
    collection = Texts(max(state.documents, 1), 1.0, known, unknown=0)
    most = collection.idf("")  # of a word that stands nowhere
    return [1 + min(collection.idf(term) for term in word.ways[0].words) / most for word in words]


def _like(
    circle: Circle, words: Sequence[AskedWord], weights: Sequence[float], symptoms: frozenset[str]
) -> list[int]:
    """Jobs of a circle whose complaint or findings say enough of the same or tell of the same symptom, the likest first."""
    least = 2 if circle.weight < NEAR else 1
    if len(words) < least:
        return []
    about = AskedWord("", tuple(Way((one,)) for one in circle.tokens))
    ways = [way for word in words for way in word.ways] + [Way(one) for one in words_for(symptoms)]
    said = engine().complaints(Asked((about, AskedWord("", tuple(dict.fromkeys(ways))))), LOOKED_AT)
    needed = LIKE_ENOUGH * sum(weights)
    asked = {term for word in words for way in word.ways for term in way.words}
    likeness: dict[int, tuple[int, float]] = {}
    for job, *texts in said:
        same = len(among(symptoms, texts[0]) or among(symptoms, texts[1]))
        share = shared(texts, words, weights)
        by_words = share >= needed and _hits(texts, words) >= least
        if same or by_words or _says_again(texts[0], asked):
            likeness[job] = (same, share)
    return sorted(likeness, key=lambda job: likeness[job], reverse=True)[:MOST_LIKE]


CERTAIN = {KnownBy.MEASURED: 1.0, KnownBy.SWAPPED: 1.0, KnownBy.CURED_ALONE: 1.0, KnownBy.WITH_OTHERS: 0.5}
UNSAID = 0.8
"""What a case weighs by how its conclusion is known, and where nobody said. Common practice, no source."""

NEAR = 0.5
"""Circles under this weight want two words in common: one alone, such as hum, says little of another model."""


def _hits(texts: Sequence[str], words: Sequence[AskedWord]) -> int:
    columns = [text.split() for text in texts]
    return sum(satisfied_by(word, *columns) is not None for word in words)


def _says_again(old: str, asked: Collection[str]) -> bool:
    """Whether the new complaint says most of what the old one said, two telling words at least."""
    told = {word for word in old.split() if word not in UNTOLD and word not in TELLS_NOTHING}
    return len(told & set(asked)) >= max(2, SAID_AGAIN * len(told))


def shared(texts: Sequence[str], words: Sequence[AskedWord], weights: Sequence[float]) -> float:
    """How much of the complaint a past job says in its own complaint and findings."""
    columns = [text.split() for text in texts]
    return sum(
        weight
        for word, weight in zip(words, weights, strict=True)
        if satisfied_by(word, *columns) is not None
    )


def _conclusions(jobs: Sequence[int]) -> list[Conclusion]:
    """The last conclusion of each job, in the jobs' order."""
    standing = Conclusion.objects.filter(job__in=jobs, struck_at__isnull=True).order_by("at", "id")
    shown = standing.only("job_id", "failed", "mode", "outcome", "remedy", "at", "known_by")
    last = {one.job_id: one for one in shown}
    return [last[job] for job in jobs if job in last]


def _known_by(one: Conclusion) -> str:
    """What failed; of an older book that tells only what was done, that."""
    return one.failed or one.remedy


def _remedies(ended: Mapping[Circle, Sequence[Conclusion]], came_back: Collection[int]) -> list[Remedy]:
    groups: dict[tuple[frozenset[str], str], dict[Circle, list[Conclusion]]] = defaultdict(
        lambda: defaultdict(list)
    )
    for circle, found in ended.items():
        for one in found:
            cured = one.outcome in {Outcome.REPAIRED, Outcome.PARTLY} and one.job_id not in came_back
            if cured and one.mode != FailureMode.NONE_FOUND:
                groups[frozenset(stored_tokens(_known_by(one))), one.mode][circle].append(one)
    jobs = [one.job_id for group in groups.values() for found in group.values() for one in found]
    seconds, parts = bench_seconds(jobs), _parts_minor(jobs)
    tries = {circle: len(found) for circle, found in ended.items()}
    remedies = [_remedy(group, tries, seconds, parts) for group in groups.values()]
    return sorted(remedies, key=lambda remedy: -remedy.weight)  # the likest first where they weigh the same


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
    certain = [CERTAIN.get(KnownBy(one.known_by), UNSAID) if one.known_by else UNSAID for one in cases]
    surest = max(cases, key=lambda one: CERTAIN.get(KnownBy(one.known_by), 0.0) if one.known_by else 0.0)
    newest_first = sorted(cases, key=lambda one: -one.pk)
    return Remedy(
        failed=names.most_common(1)[0][0],
        mode=FailureMode(latest.mode).label,
        remedy=latest.remedy,
        counts=tuple(Count(circle, len(found), tries[circle]) for circle, found in group.items()),
        job_ids=tuple(one.job_id for one in newest_first[:3]),
        every_job=tuple(one.job_id for one in newest_first),
        certain=sum(certain) / len(certain),
        known_by=surest.get_known_by_display(),
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
