"""How well the dates hold: a made-up shop of three years, ten seeds, and what a promise of the 85th percentile came to.

    python -m tests.benchmarks.dates [seeds] [--oracle N]

Each job is told two days, as the shop gives them: by when its fault will be known, on the day it comes in, and when it is
ready, once the fault is known and its parts are in or ordered. A promise is kept when the day it names isn't passed. Beside
it stand an oracle, which is the made-up shop itself run on with other futures (it knows every distribution, not what will
be; asked for every fourth promise), and what a shop does without a forecast: the 85th percentile of how long the last ten
took. Loss is the pinball loss of the 85th percentile in days: a proper score, the smaller the better (T. Gneiting and
A. Raftery, "Strictly proper scoring rules, prediction, and estimation", 2007).

Shock years, with a flu and a supplier who stops delivering, are told apart from the others.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

from shop.handbook.counting import percentile, wilson
from shop.handbook.dates.forecasting import (
    SAFE,
    History,
    Open,
    Owed,
    Past,
    Step,
    Told,
    forecast,
    learn,
)
from shop.handbook.dates.kept import Gone, widened, widening
from shop.handbook.dates.waits import Wait
from shop.handbook.dates.work import Taken
from shop.handbook.dates.worked import Plan, Week, bench_of
from tests.benchmarks.evening_shop import DAYS, START, WEEK, YEARS, EveningShop, Job, opened

RUNS = 200
ORACLE_RUNS = 80
ONE_IN = 4
WIDEST = 1.3
KNOWN_AHEAD = 30


@dataclass(slots=True)
class Promise:
    """One date given: on which day, for which, for what; by the oracle and by the last ten where those were asked."""

    job: Job
    finish: bool
    given: int
    day: int
    plain: int
    oracle: int | None
    by_ten: int | None

    @property
    def came(self) -> int | None:
        """The day on which it came true; None if it hasn't yet."""
        return self.job.ready if self.finish else self.job.found


@dataclass
class Keeper:
    """Who gives the dates: sees of the shop what its book would hold, and no more."""

    shop: EveningShop
    oracle_one_in: int
    given: list[Promise] = field(default_factory=list)
    told_finish: set[int] = field(default_factory=set)

    def evening(self) -> None:
        """Give the dates that are due tonight, counted from tomorrow."""
        due = [job for job in self.shop.open if job.came == self.shop.day and job.found is None]
        able = [
            job for job in self.shop.open if job.at not in self.told_finish and _may_be_told_a_finish(job)
        ]
        if not due and not able:
            return
        told = self._forecast()
        for job in due:
            if (spread := told[str(job.at)].first_word) is not None:
                self._give(job, spread.percentile(SAFE), finish=False)
        for job in able:
            self._give(job, told[str(job.at)].ready.percentile(SAFE), finish=True)
            self.told_finish.add(job.at)

    def _give(self, job: Job, days: int, *, finish: bool) -> None:
        today = self.shop.day
        factor = widening(self._gone(finish=finish))
        asked = self.oracle_one_in and len(self.given) % self.oracle_one_in == 0
        self.given.append(
            Promise(
                job,
                finish,
                today,
                today + 1 + widened(days, factor),
                today + 1 + days,
                oracle_day(self.shop, job, finish=finish) if asked else None,
                self._last_ten(finish=finish),
            )
        )

    def _gone(self, *, finish: bool) -> list[Gone]:
        """The earlier promises of the kind, as far as they can be judged tonight."""
        today = self.shop.day
        gone = []
        for one in self.given[-200:]:
            if one.finish == finish:
                came = one.came
                ended = came is not None and came <= today
                gone.append(Gone(one.plain - one.given, (came if ended else today) - one.given, ended=ended))
        return gone

    def _last_ten(self, *, finish: bool) -> int | None:
        gone = [one for one in self._gone(finish=finish) if one.ended][-10:]
        return self.shop.day + percentile([one.took for one in gone], SAFE) if len(gone) == 10 else None

    def _forecast(self) -> dict[str, Told]:
        shop, today = self.shop, self.shop.day
        tomorrow = START.fromordinal(START.toordinal() + today + 1)
        off = [tomorrow.fromordinal(tomorrow.toordinal() + at) for at in range(400)]
        plan = Plan(
            WEEK, frozenset(day for at, day in enumerate(off) if shop.off(day) and _is_known(shop, day, at))
        )
        bench = bench_of(tomorrow, plan, _weeks(shop))
        queue = [_open(job, today + 1) for job in shop.open]
        if shop.current is not None:
            at = shop.open.index(shop.current)
            queue.insert(0, queue.pop(at))
        stream: Callable[[str], random.Random] = lambda name: random.Random(f"{today} {name}")  # noqa: E731, S311
        told = forecast(queue, learn(_history(shop)), bench, stream, runs=RUNS)
        return {one.key: one for one in told}


def _is_known(shop: EveningShop, day: object, ahead: int) -> bool:
    return ahead <= KNOWN_AHEAD or (getattr(day, "month", 0) != 8)


def _may_be_told_a_finish(job: Job) -> bool:
    if job.found is None or job.ready is not None:
        return False
    return job.ordered_on is not None or not job.waits


def _groups(job: Job) -> tuple[str, ...]:
    return (job.kind, job.model)


def _open(job: Job, on: int) -> Open:
    name, groups = str(job.at), _groups(job)
    if job.finished:
        return Open(name, Step.SOAK, groups, soak_left=max(job.soak - job.soaked, 0.0))
    if job.found is None:
        return Open(name, Step.TO_LOOK_AT, groups, job.done)
    if job.asked_on is not None and job.answered_on is None:
        return Open(name, Step.WORD, groups, job.done, on - job.asked_on)
    if job.ordered_on is not None and job.arrived_on is None:
        return Open(name, Step.PARTS, groups, job.done, 0, (Owed(job.supplier, on - job.ordered_on),))
    return Open(name, Step.KNOWN, groups, job.done)


def _history(shop: EveningShop) -> History:
    past, words, today = [], [], shop.day + 1
    parts: dict[str, list[Wait]] = {}
    for job in shop.jobs:
        if job.ready is not None and job.finished:
            past.append(
                Past(
                    Taken(job.hours, _groups(job)),
                    job.share,
                    job.asked,
                    False,
                    job.ordered_on is not None,
                    job.soak,
                )
            )
        elif job.ready is not None:
            past.append(Past(Taken(0.0, _groups(job)), None, True, True, None, None))
        if job.asked_on is not None:
            until = job.answered_on if job.answered_on is not None else today
            words.append(Wait(until - job.asked_on, job.answered_on is not None))
        if job.ordered_on is not None:
            until = job.arrived_on if job.arrived_on is not None else today
            parts.setdefault(job.supplier, []).append(
                Wait(until - job.ordered_on, job.arrived_on is not None)
            )
    return History(past, words[-200:], {name: waits[-60:] for name, waits in parts.items()})


def _weeks(shop: EveningShop) -> list[Week]:
    whole = len(shop.worked) // 7
    return [Week(tuple(shop.worked[at * 7 : at * 7 + 7])) for at in range(max(whole - 52, 0), whole)]


def oracle_day(shop: EveningShop, job: Job, *, finish: bool) -> int:
    """The 85th percentile over other futures of the shop itself."""
    days = []
    for run in range(ORACLE_RUNS):
        twin = shop.another(run * 7919 + shop.day)
        same = twin.jobs[job.at]
        while (came := same.ready if finish else same.found) is None and twin.day < shop.day + 600:
            twin.live()
        days.append(twin.day if came is None else came)
    return percentile(days, SAFE)


def run(seed: int, oracle_one_in: int) -> tuple[int, int, list[Promise]]:
    """One seed's three years and what was promised in them; the last sixty days are run to see how it ended."""
    shop = opened(seed)
    keeper = Keeper(shop, oracle_one_in)
    for _ in range(DAYS):
        shop.live()
        keeper.evening()
    for _ in range(400):
        if all(one.came is not None for one in keeper.given):
            break
        shop.live()
    return seed, shop.shock_year if shop.shock_year is not None else -1, keeper.given


# --- what is told of it ---------------------------------------------------------------------------------------------------


def kept(promises: Sequence[Promise], day: Callable[[Promise], int | None]) -> tuple[int, int]:
    """How many were kept, of how many that have such a day."""
    asked = [(one, day(one)) for one in promises if day(one) is not None]
    return sum(one.came is not None and one.came <= (limit or 0) for one, limit in asked), len(asked)


def loss(promises: Sequence[Promise], day: Callable[[Promise], int | None]) -> float:
    """The mean pinball loss of the 85th percentile, in days."""
    total, count = 0.0, 0
    for one in promises:
        if (limit := day(one)) is not None and one.came is not None:
            over = one.came - limit
            total += SAFE * over if over > 0 else (1 - SAFE) * -over
            count += 1
    return total / max(count, 1)


def line(title: str, promises: Sequence[Promise]) -> str:
    """Kept and its interval, width against the oracle, and the losses."""
    hits, tries = kept(promises, lambda one: one.day)
    between = wilson(hits, tries)
    beside = [one for one in promises if one.oracle is not None]
    tens = [one for one in promises if one.by_ten is not None]
    of_ten, all_ten = kept(tens, lambda one: one.by_ten)
    known, all_known = kept(beside, lambda one: one.oracle)
    share = f"{100 * hits / max(tries, 1):5.1f} % [{100 * between.lower:4.1f}–{100 * between.upper:4.1f}]"
    return (
        f"{title:<34}{hits:>5}/{tries:<5}{share}"
        f"  width/oracle {width(beside):4.2f}  oracle kept {100 * known / max(all_known, 1):5.1f} %"
        f"  loss {loss(tens, lambda one: one.day):5.2f}  last ten: kept {100 * of_ten / max(all_ten, 1):5.1f} %"
        f" loss {loss(tens, lambda one: one.by_ten):5.2f}"
    )


def verdicts(rows: dict[tuple[int, bool], list[Promise]]) -> list[tuple[str, bool]]:
    """What must hold, and whether it does: each year after the first, all of its promises and those without shocks."""
    told = []
    for year in range(1, YEARS):
        calm, shocked = rows.get((year, False), []), rows.get((year, True), [])
        for title, some in (
            (f"year {year + 1} without shocks", calm),
            (f"year {year + 1}, all", [*calm, *shocked]),
        ):
            hits, tries = kept(some, lambda one: one.day)
            told.append((f"{title}: 80 to 90 % kept", 0.8 * tries <= hits <= 0.9 * tries))
        beside = [one for one in calm if one.oracle is not None]
        if beside:
            ratio = width(beside)
            told.append(
                (f"year {year + 1} without shocks: at most 1.3 times the oracle's width", ratio <= WIDEST)
            )
        ours, tens = loss(calm, lambda one: one.day), loss(calm, lambda one: one.by_ten)
        told.append(
            (f"year {year + 1} without shocks: loss at most 0.7 of the last ten's", ours <= 0.7 * tens)
        )
    return told


def width(beside: Sequence[Promise]) -> float:
    """Mean days from giving to the named day, over the oracle's."""
    return sum(one.day - one.given for one in beside) / max(
        sum((one.oracle or 0) - one.given for one in beside), 1
    )


def main() -> int:
    """Run the seeds and print; 1 where something that must hold doesn't."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("seeds", nargs="?", type=int, default=10)
    asked.add_argument("--first", type=int, default=1, help="the first seed")
    asked.add_argument(
        "--oracle", type=int, default=ONE_IN, help="ask it for one promise in so many; 0: never"
    )
    told = asked.parse_args()
    seeds = range(told.first, told.first + told.seeds)
    with ProcessPoolExecutor(2) as pool:
        ran = list(pool.map(run, seeds, [told.oracle] * len(seeds)))
    rows: dict[tuple[int, bool], list[Promise]] = {}
    lines: list[str] = []
    for seed, shock, promises in ran:
        for year in range(YEARS):
            some = [one for one in promises if one.given // 365 == year]
            rows.setdefault((year, shock == year), []).extend(some)
            lines.append(line(f"seed {seed}, year {year + 1}{' (shocks)' if shock == year else ''}", some))
    for (year, shocked), some in sorted(rows.items()):
        lines.append(line(f"all seeds, year {year + 1}{', shocks' if shocked else ''}", some))
    lines += [line(f"all seeds, year {year + 1}, both", _all_of(rows, year)) for year in range(1, YEARS)]
    calm = [one for (year, shocked), some in rows.items() if year and not shocked for one in some]
    lines.append(line("years 2 and 3 without shocks", calm))
    lines.append(line("  by when the fault is known", [one for one in calm if not one.finish]))
    lines.append(line("  when it is ready", [one for one in calm if one.finish]))
    verdict = verdicts(rows)
    lines += [f"{'holds' if holds else 'DOES NOT HOLD':<14}{title}" for title, holds in verdict]
    sys.stdout.write("\n".join(lines) + "\n")
    return 0 if all(holds for _, holds in verdict) else 1


def _all_of(rows: dict[tuple[int, bool], list[Promise]], year: int) -> list[Promise]:
    return [*rows.get((year, False), []), *rows.get((year, True), [])]


if __name__ == "__main__":
    raise SystemExit(main())
