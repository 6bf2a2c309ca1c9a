"""What failed in a model, what fixed it and on which jobs; what came back, and what could not be fixed."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from shop.bench.models import Conclusion, FailureMode
from shop.counter.models import Job
from shop.counter.stages import Outcome
from shop.handbook.words import fold, stored_tokens

FIXED = frozenset({Outcome.REPAIRED, Outcome.PARTLY})


@dataclass(frozen=True, slots=True)
class Cure:
    """What was done about a fault, and the jobs on which it was done, the newest first."""

    words: str
    jobs: list[Job]


@dataclass(slots=True)
class Fault:
    """One fault of a model: what fixed it, what came back within the warranty, and where it could not be fixed."""

    name: str
    mode: str
    cures: list[Cure] = field(default_factory=list)
    came_back: list[Cure] = field(default_factory=list)
    unfixed: list[Cure] = field(default_factory=list)

    @property
    def count(self) -> int:
        """On how many jobs it was found."""
        return sum(len(one.jobs) for one in (*self.cures, *self.came_back, *self.unfixed))


def faults_of(conclusions: Iterable[Conclusion], jobs: Iterable[Job]) -> list[Fault]:
    """The faults of these jobs, the most frequent first, however each is spelled; jobs on which none was found are left out."""
    known = {job.pk: job for job in jobs}
    returned = {job.comeback_of_id for job in known.values()}
    groups: dict[tuple[frozenset[str], str], list[Conclusion]] = defaultdict(list)
    for one in conclusions:
        if one.mode != FailureMode.NONE_FOUND and one.failed and one.job_id in known:
            groups[frozenset(stored_tokens(one.failed)), one.mode].append(one)
    faults = [_fault(told, known, returned) for told in groups.values()]
    return sorted(faults, key=lambda fault: (-fault.count, fault.name.casefold()))


def _fault(told: list[Conclusion], known: dict[int, Job], returned: set[int | None]) -> Fault:
    name = Counter(one.failed for one in told).most_common(1)[0][0]
    fixed = [one for one in told if one.outcome in FIXED]
    return Fault(
        name,
        FailureMode(told[0].mode).label,
        _cures([one for one in fixed if one.job_id not in returned], known),
        _cures([one for one in fixed if one.job_id in returned], known),
        _cures([one for one in told if one.outcome not in FIXED], known),
    )


def _cures(told: list[Conclusion], known: dict[int, Job]) -> list[Cure]:
    """The same words once, with all their jobs; the most frequent first."""
    by_words: dict[str, list[Conclusion]] = defaultdict(list)
    for one in sorted(told, key=lambda one: (one.at, one.pk), reverse=True):
        by_words[fold(one.remedy)].append(one)
    cures = [Cure(same[0].remedy, [known[one.job_id] for one in same]) for same in by_words.values()]
    return sorted(cures, key=lambda cure: -len(cure.jobs))
