"""When each open job will be looked at and when it will be ready: the whole queue worked through many times over.

In each run the bench takes the first job of the queue that waits for nothing. A job whose fault isn't known is looked at
first; then it may have to wait for the customer's word, for parts, or for both, and comes back to its old place in the queue.
A soak test runs while somebody is there, and the bench goes on with the next job meanwhile.

Each job draws from a generator of its own, so that in two forecasts that differ in the order alone it takes the same
time in the same run, and what moves is what the order moved.

Sources
    Common random numbers: A. M. Law and W. D. Kelton, "Simulation Modeling and Analysis" (from memory). Percentile: as
    in `counting`, the smallest day that at least the share of all runs don't exceed. Runs are as many as the time allows:
    own choice. The share of the work that finding the fault takes, and the chances before anything is known: common
    practice, no source.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from heapq import heappop, heappush
from math import ceil

from shop.handbook.counting import shrunk_share
from shop.handbook.dates.refused import Stream
from shop.handbook.dates.waits import Wait, Waits, waits_of
from shop.handbook.dates.work import Basis, Hours, Taken, hours_of
from shop.handbook.dates.worked import Bench

MOST_RUNS = 1000
FEWEST_RUNS = 100
JOB_RUNS = 50_000
"""Jobs times runs: what a third of a second is enough for."""

ROUNDING = 1e-9

LIKELY = 0.5
SAFE = 0.85

PRIOR_WORD_DAYS = (0, 0, 1, 1, 2, 2, 3, 5, 8, 14)
PRIOR_PART_DAYS = (2, 4, 5, 6, 7, 9, 12, 15, 21, 40)
PRIOR_COMING_DAYS = (1, 2, 3, 4, 5, 7, 10)
PRIOR_FINDING_SHARES = (0.15, 0.25, 0.3, 0.4, 0.5)
PRIOR_SOAK_HOURS = (0.0, 1.0, 2.0, 2.0, 4.0)
PRIOR_ASKED = 0.6
PRIOR_PARTS = 0.5
PRIOR_NO = 0.1
CHANCE_STRENGTH = 8.0


class Step(StrEnum):
    """Where an open job stands, as far as its date hangs on it."""

    COMING = "coming"
    TO_LOOK_AT = "to_look_at"
    KNOWN = "known"
    WORD = "word"
    PARTS = "parts"
    SOAK = "soak"


@dataclass(frozen=True, slots=True)
class Owed:
    """A part that has been owed for so many days, by whom; no name for one that isn't ordered yet."""

    supplier: str
    days: int


@dataclass(frozen=True, slots=True)
class Open:
    """An open job, in its place in the queue. `done` are bench hours; `waited` days that the present wait has lasted.

    `after_parts` tells that it awaits a word and parts both. `soak_left` are hours of a soak test that is running.
    """

    key: str
    step: Step
    groups: tuple[str, ...] = ()
    done: float = 0.0
    waited: int = 0
    owed: tuple[Owed, ...] = ()
    soak_left: float = 0.0


@dataclass(frozen=True, slots=True)
class Past:
    """An ended job: its hours and groups; which share of them went before the first wait (None: not known), and what it
    waited for. `asked` None: it isn't known, as of jobs brought in by a list."""

    taken: Taken
    finding_share: float | None = None
    asked: bool | None = None
    said_no: bool = False
    parts: bool | None = None
    soak_hours: float | None = None


@dataclass(frozen=True, slots=True)
class History:
    """What is known of the past: ended jobs, the oldest first, and waits, those that still last among them."""

    past: Sequence[Past] = ()
    words: Sequence[Wait] = ()
    parts: Mapping[str, Sequence[Wait]] = field(default_factory=dict)
    coming: Sequence[Wait] = ()


@dataclass(frozen=True, slots=True)
class Learned:
    """What the past comes to: distributions to draw from."""

    hours: Hours
    finding: tuple[float, ...]
    soak: tuple[float, ...]
    word: Waits
    coming: Waits
    any_part: Waits
    by_supplier: Mapping[str, Waits]
    asked: float
    no: float
    parts: Mapping[str, float]
    parts_of_shop: float

    def part(self, supplier: str) -> Waits:
        """How long this supplier's parts take; any supplier's, where it is not known."""
        return self.by_supplier.get(supplier, self.any_part)

    def needs_parts(self, groups: Sequence[str]) -> float:
        """The chance that such a job needs parts that have to be ordered."""
        for group in reversed(groups):
            if group in self.parts:
                return self.parts[group]
        return self.parts_of_shop


@dataclass(frozen=True, slots=True)
class Spread:
    """Days from the start, rising, one for each run. `beyond` is the first day that lies past all that was worked out."""

    days: tuple[int, ...]
    beyond: int

    def percentile(self, share: float) -> int:
        """The smallest day that at least this share of the runs don't exceed."""
        return self.days[max(ceil(len(self.days) * share - ROUNDING), 1) - 1]

    def share_within(self, day: int) -> float:
        """The share of runs that are through by that day."""
        return bisect_left(self.days, day + 1) / len(self.days)


@dataclass(frozen=True, slots=True)
class Told:
    """The forecast of one job: when its fault will be known (None where it is), when it is ready, and what that rests on."""

    key: str
    first_word: Spread | None
    ready: Spread
    basis: Basis


def learn(history: History, *, strength: float = 5.0) -> Learned:
    """Turn the past into distributions, each shrunk to the shop's own and that to what is stated above."""
    past = history.past
    everybodys = [wait for waits in history.parts.values() for wait in waits]
    parts, of_shop = _parts_chances(past)
    answered = [one for one in past if one.asked]
    return Learned(
        hours=hours_of([one.taken for one in past], strength=strength),
        finding=_padded([one.finding_share for one in past], PRIOR_FINDING_SHARES),
        soak=_padded([one.soak_hours for one in past], PRIOR_SOAK_HOURS),
        word=waits_of(history.words, prior=PRIOR_WORD_DAYS),
        coming=waits_of(history.coming, prior=PRIOR_COMING_DAYS),
        any_part=waits_of(everybodys, prior=PRIOR_PART_DAYS),
        by_supplier={
            name: waits_of(own, _others(history.parts, name), PRIOR_PART_DAYS)
            for name, own in history.parts.items()
        },
        asked=_chance([one.asked for one in past], PRIOR_ASKED),
        no=_chance([one.said_no for one in answered], PRIOR_NO),
        parts=parts,
        parts_of_shop=of_shop,
    )


def _others(parts: Mapping[str, Sequence[Wait]], name: str) -> list[Wait]:
    return [wait for other, waits in parts.items() if other != name for wait in waits]


def _chance(known: Sequence[bool | None], prior: float) -> float:
    told = [one for one in known if one is not None]
    return shrunk_share(sum(told), len(told), prior=prior, strength=CHANCE_STRENGTH)


def _parts_chances(past: Sequence[Past]) -> tuple[dict[str, float], float]:
    of_shop = _chance([one.parts for one in past], PRIOR_PARTS)
    counts: dict[str, list[bool | None]] = {}
    for one in past:
        # the largest group alone: a chance needs more jobs to tell than hours do
        for group in one.taken.groups[:1]:
            counts.setdefault(group, []).append(one.parts)
    return {group: _chance(known, of_shop) for group, known in counts.items()}, of_shop


def _padded(known: Sequence[float | None], prior: tuple[float, ...]) -> tuple[float, ...]:
    """What was seen, rising; with the prior beside it while it is thin."""
    seen = [one for one in known if one is not None][-400:]
    return tuple(sorted(seen if len(seen) >= 4 * len(prior) else [*seen, *prior]))


@dataclass(slots=True)
class _Course:
    """One job in all runs: hours before and after its wait, the days waited, and hours on soak; a list entry a run."""

    first: list[float]
    rest: list[float]
    wait: list[int]
    soak: list[float]
    starts_after: list[int] | None
    looked_at: bool


def forecast(
    queue: Sequence[Open],
    learned: Learned,
    bench: Bench,
    stream: Stream,
    *,
    today: float | None = None,
    runs: int | None = None,
) -> list[Told]:
    """The forecast of each open job, in the order of the queue; an empty queue has none.

    `stream` gives each job its generator; `today` is what is left of today's bench hours, where that is known.
    """
    if not queue:
        return []
    runs = runs or max(min(JOB_RUNS // len(queue), MOST_RUNS), FEWEST_RUNS)
    courses = [_course(job, learned, stream, runs) for job in queue]
    work = sum(sum(course.first) + sum(course.rest) for course in courses) / runs
    weeks = bench.horizon(work)
    off, chance = bench.off_days(weeks), stream("bench")
    looked: list[list[int]] = [[] for _ in queue]
    ready: list[list[int]] = [[] for _ in queue]
    for run in range(runs):
        _work_through(courses, run, bench.drawn(chance, weeks, off, today), looked, ready)
    beyond = weeks * 7
    return [
        Told(
            job.key,
            Spread(tuple(sorted(looked[at])), beyond) if courses[at].looked_at else None,
            Spread(tuple(sorted(ready[at])), beyond),
            learned.hours.basis(job.groups),
        )
        for at, job in enumerate(queue)
    ]


def _course(job: Open, learned: Learned, stream: Stream, runs: int) -> _Course:
    """Draw what a job still takes. Every job draws the same number of chances, wherever it stands."""
    draw = stream(job.key).random
    drawn = [[draw() for _ in range(runs)] for _ in range(6)]
    hours, _, asked, wait, parts, soak = drawn
    left = learned.hours.left(job.groups, job.done, hours)
    proving = [learned.soak[int(u * len(learned.soak))] for u in soak]
    match job.step:
        case Step.SOAK:
            nothing = [0.0] * runs
            return _Course(nothing, nothing, [0] * runs, [job.soak_left] * runs, None, looked_at=False)
        case Step.KNOWN:
            return _Course([0.0] * runs, left, [0] * runs, proving, None, looked_at=False)
        case Step.WORD:
            return _after_word(job, learned, left, proving, wait, asked, parts)
        case Step.PARTS:
            days = _days_owed(job, learned, drawn)
            return _Course([0.0] * runs, left, days, proving, None, looked_at=False)
        case _:
            return _unknown(job, learned, left, proving, drawn)


def _unknown(
    job: Open, learned: Learned, left: list[float], proving: list[float], drawn: list[list[float]]
) -> _Course:
    """A job whose fault isn't known: it is looked at, then perhaps asked about, then perhaps waits for parts."""
    _, share, asked, wait, parts, soak = drawn
    finding, count = learned.finding, len(learned.finding)
    first = [
        max(min(total, (total + job.done) * finding[int(u * count)] - job.done), 0.0)
        for total, u in zip(left, share, strict=True)
    ]
    rest = [total - begun for total, begun in zip(left, first, strict=True)]
    days, needs = [0] * len(left), learned.needs_parts(job.groups)
    for run, (a, w, p) in enumerate(zip(asked, wait, parts, strict=True)):
        if a < learned.asked:
            days[run] = learned.word.drawn(w)
            if a < learned.asked * learned.no:
                rest[run] = proving[run] = 0.0
                continue
        if p < needs:
            # which part of the chance below `needs` it was is a chance of its own
            days[run] += learned.any_part.drawn(p / needs)
    comes = None
    if job.step is Step.COMING:
        comes = [learned.coming.drawn(u, job.waited) - job.waited for u in soak]
    return _Course(first, rest, days, proving, comes, looked_at=True)


def _after_word(
    job: Open,
    learned: Learned,
    left: list[float],
    proving: list[float],
    wait: list[float],
    asked: list[float],
    parts: list[float],
) -> _Course:
    """A job that awaits its customer's word, and then perhaps parts."""
    days, rest, needs = [], list(left), learned.needs_parts(job.groups)
    for run, (a, w, p) in enumerate(zip(asked, wait, parts, strict=True)):
        answer = learned.word.drawn(w, job.waited) - job.waited
        if a < learned.no:
            rest[run] = proving[run] = 0.0
        elif p < needs:
            answer += learned.any_part.drawn(p / needs)
        days.append(answer)
    return _Course([0.0] * len(left), rest, days, proving, None, looked_at=False)


def _days_owed(job: Open, learned: Learned, drawn: list[list[float]]) -> list[int]:
    """Days until the last of the owed parts is in; of a job that names none, as of a part ordered when it began to wait."""
    owed = job.owed or (Owed("", job.waited),)
    columns = (drawn[3], drawn[4], drawn[2])
    days: list[int] = [0] * len(drawn[0])
    for at, one in enumerate(owed):
        waits, column, waited = learned.part(one.supplier), columns[at % 3], max(one.days, 0)
        days = [max(so_far, waits.drawn(u, waited) - waited) for so_far, u in zip(days, column, strict=True)]
    return days


def _work_through(
    courses: Sequence[_Course],
    run: int,
    reached: list[float],
    looked: list[list[int]],
    ready: list[list[int]],
) -> None:
    """One run: the bench takes the first of the queue that waits for nothing, until all is done."""
    fresh, later = _at_the_start(courses, run, reached, ready)
    back: list[int] = []  # those that waited and are in the queue again, by their place
    seen = [not course.looked_at for course in courses]
    clock = 0.0
    while fresh or back or later:
        while later and later[0][0] <= clock:
            heappush(back, heappop(later)[1])
        if not (fresh or back):
            clock = later[0][0]
            continue
        at = heappop(back) if back and (not fresh or back[0] < fresh[-1]) else fresh.pop()
        course, wait = courses[at], 0
        if not seen[at]:
            seen[at] = True
            clock += course.first[run]
            day = bisect_left(reached, clock - ROUNDING)
            looked[at].append(day)
            wait = course.wait[run]
        if not wait:
            clock += course.rest[run]
            ready[at].append(bisect_left(reached, clock + course.soak[run] - ROUNDING))
        elif course.rest[run]:
            heappush(later, (_from_day(reached, day + wait), at))
        else:
            ready[at].append(min(day + wait, len(reached)))


def _at_the_start(
    courses: Sequence[_Course], run: int, reached: list[float], ready: list[list[int]]
) -> tuple[list[int], list[tuple[float, int]]]:
    """The places of the jobs that may be taken at once, the first last, and of those that come later, with the bench hours
    that will be reached by then. A job that waits for a word alone, with nothing to do after it, is ready with the word."""
    fresh: list[int] = []
    later: list[tuple[float, int]] = []
    for at in range(len(courses) - 1, -1, -1):
        course = courses[at]
        wait = 0 if course.looked_at else course.wait[run]
        if course.starts_after is not None:
            heappush(later, (_from_day(reached, course.starts_after[run]), at))
        elif not wait:
            fresh.append(at)
        elif course.rest[run]:
            heappush(later, (_from_day(reached, wait), at))
        else:
            ready[at].append(min(wait, len(reached)))
    return fresh, later


def _from_day(reached: list[float], day: int) -> float:
    """The bench hours reached when a day begins; past the last of them where the day lies beyond."""
    if day <= 0:
        return 0.0
    return reached[day - 1] if day <= len(reached) else reached[-1] + 1


def queue_hours(
    hours: Hours, ahead: Sequence[tuple[Sequence[str], float]], stream: Stream, runs: int = 10_000
) -> tuple[float, ...]:
    """Bench hours that so many jobs take one after the other, each by its groups and its hours done: a sum a run, rising."""
    sums = [0.0] * runs
    for at, (groups, done) in enumerate(ahead):
        draw = stream(f"ahead {at}").random
        left = hours.left(groups, done, [draw() for _ in range(runs)])
        sums = [so_far + more for so_far, more in zip(sums, left, strict=True)]
    return tuple(sorted(sums))
