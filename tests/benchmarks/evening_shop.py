"""A made-up shop of one person's evenings, run day by day: what the benchmark of dates is measured on.

It knows nothing of the forecast, and its distributions are of other families than the forecast's priors. Hours are
logarithmic normals by kind and model; words and parts take what they take by person and supplier; the evenings follow the
season and are skipped now and then; one job in ten is taken out of turn, one in twenty jumps the queue. A fortnight in August is
off, and known a month ahead. In one year of each seed come a flu that nobody announced and a supplier who stops delivering.
"""

from __future__ import annotations

import copy
import datetime as dt
import math
import random
from dataclasses import dataclass, field

START = dt.date(2023, 1, 2)
YEARS = 3
DAYS = YEARS * 365
WEEK = (2.0, 2.0, 0.0, 2.0, 0.0, 4.0, 0.0)

KINDS = {
    "deck": (4.4, 0.6),
    "amplifier": (3.4, 0.6),
    "tuner": (2.2, 0.3),
    "turntable": (1.7, 0.5),
    "radio": (2.8, 0.4),
}
"""Mean hours, and the chance of needing parts."""
SPREAD, MODEL_SPREAD, MODELS = 0.55, 0.35, 12
SUPPLIERS = {"near": (5.0, 0.4), "far": (11.0, 0.5), "overseas": (20.0, 0.5)}
"""Median days, and how they scatter."""
ASKED, NO = 0.6, 0.08
JOBS_A_WEEK = 2.3
FLU_DAYS, SUPPLIER_DAYS = 17, 70


@dataclass
class Job:
    """One job. What the shop doesn't know of it yet is drawn all the same, and hidden until it shows."""

    at: int
    came: int
    kind: str
    model: str
    urgent: bool
    hours: float = 0.0
    share: float = 0.0
    asked: bool = False
    says_no: bool = False
    needs: bool = False
    supplier: str = ""
    word: int = 0
    lead: int = 0
    soak: float = 0.0
    done: float = 0.0
    soaked: float = 0.0
    found: int | None = None
    asked_on: int | None = None
    answered_on: int | None = None
    ordered_on: int | None = None
    arrived_on: int | None = None
    finished: bool = False
    ready: int | None = None

    @property
    def finding(self) -> float:
        """Hours after which the fault is known."""
        return self.hours * self.share

    @property
    def waits(self) -> bool:
        """Whether it waits for a word or a part."""
        return (self.asked_on is not None and self.answered_on is None) or (
            self.ordered_on is not None and self.arrived_on is None
        )


@dataclass
class EveningShop:
    """The shop on one day. `shock_year` None: no year has a flu or a silent supplier."""

    r: random.Random
    shock_year: int | None
    effects: dict[str, float]
    day: int = -1
    jobs: list[Job] = field(default_factory=list)
    open: list[Job] = field(default_factory=list)
    current: Job | None = None
    worked: list[float | None] = field(default_factory=list)

    @property
    def date(self) -> dt.date:
        """Today."""
        return START + dt.timedelta(days=self.day)

    def off(self, date: dt.date) -> bool:
        """A fortnight in August and the days between the years."""
        return (date.month == 8 and date.day <= 14) or (date.month, date.day) in {
            (12, 24),
            (12, 25),
            (12, 31),
            (1, 1),
        }

    def live(self) -> None:
        """Let one day pass: who comes in the morning, what arrives, what the evening gets done."""
        self.day += 1
        for _ in range(_poisson(self.r, JOBS_A_WEEK / 7 * self._season(0.15, peak=320))):
            self._take_in()
        for job in self.open:
            self._hear(job)
        self.open = [job for job in self.open if job.ready is None]
        hours = self._evening()
        for job in self.open:
            job.soaked += hours if job.finished else 0.0
        left = hours
        while left > 1e-9 and (job := self._pick()) is not None:
            left = self._work(job, left)
        self.open = [job for job in self.open if not self._is_through(job)]
        idle = left > 0.25 * hours and hours > 0
        self.worked.append(None if self.off(self.date) or idle else hours)

    def _season(self, depth: float, peak: int) -> float:
        return 1 + depth * math.cos(2 * math.pi * ((self.day % 365) - peak) / 365)

    def _shocked(self, start: int, days: int) -> bool:
        if self.shock_year is None:
            return False
        begins = self.shock_year * 365 + start
        return begins <= self.day < begins + days

    def _evening(self) -> float:
        planned = WEEK[self.date.weekday()]
        if not planned or self.off(self.date):
            return 0.0
        skipped, share = self.r.random() < 0.15, self.r.uniform(0.6, 1.3)
        if skipped or self._shocked(60, FLU_DAYS):
            return 0.0
        return planned * share * self._season(0.15, peak=350)

    def _take_in(self) -> None:
        kind = self.r.choice(list(KINDS))
        job = Job(
            len(self.jobs), self.day, kind, f"{kind} {self.r.randrange(MODELS)}", self.r.random() < 0.05
        )
        self.draw(job)
        self.jobs.append(job)
        self.open.insert(0 if job.urgent else len(self.open), job)

    def draw(self, job: Job) -> None:
        """Draw all that is hidden of a job."""
        _, needs = KINDS[job.kind]
        self.draw_hours(job)
        job.asked = self.r.random() < ASKED
        job.says_no = self.r.random() < NO
        job.needs = self.r.random() < needs
        job.supplier = self.r.choice(list(SUPPLIERS))
        self.draw_word(job)
        self.draw_lead(job)
        job.soak = self.r.choice((0.0, 1.0, 2.0, 2.0, 3.0, 4.0))

    def draw_hours(self, job: Job) -> None:
        """The hours in all, and the share after which the fault is known."""
        mean = KINDS[job.kind][0] * self.effects[job.model] * math.exp(-(SPREAD**2) / 2)
        job.hours, job.share = mean * self.r.lognormvariate(0, SPREAD), self.r.betavariate(3, 6)

    def draw_word(self, job: Job) -> None:
        """Days until the customer answers."""
        quick = self.r.random() < 0.65
        job.word = int(self.r.expovariate(1 / 1.5)) if quick else int(self.r.lognormvariate(math.log(6), 0.6))

    def draw_lead(self, job: Job) -> None:
        """Days until the part is here."""
        median, spread = SUPPLIERS[job.supplier]
        job.lead = max(1, round(self.r.lognormvariate(math.log(median), spread)))

    def _hear(self, job: Job) -> None:
        if job.asked_on is not None and job.answered_on is None and self.day >= job.asked_on + job.word:
            job.answered_on = self.day
            if job.says_no:
                job.ready = self.day
            elif job.needs:
                job.ordered_on = self.day
        if (
            job.ordered_on is not None
            and job.arrived_on is None
            and self.day >= job.ordered_on + job.lead
            and not (job.supplier == "far" and self._shocked(150, SUPPLIER_DAYS))
        ):
            job.arrived_on = self.day

    def _pick(self) -> Job | None:
        if self.current is not None:
            return self.current
        waiting = [job for job in self.open if not job.finished and not job.waits]
        if not waiting:
            return None
        self.current = self.r.choice(waiting) if self.r.random() < 0.1 else waiting[0]
        return self.current

    def _work(self, job: Job, left: float) -> float:
        """Work on a job until the evening or this part of the job ends; returns what is left of the evening."""
        until = job.hours if job.found is not None else job.finding
        spent = min(left, max(until - job.done, 0.0))
        job.done += spent
        left -= spent
        if job.done >= until - 1e-9:
            if job.found is None:
                job.found = self.day
                self._ask(job)
            else:
                job.finished = True
                self.current = None
                job.soaked = left  # the rest of this evening counts
        return left

    def _ask(self, job: Job) -> None:
        if job.asked:
            job.asked_on = self.day
        elif job.needs:
            job.ordered_on = self.day
        if job.waits:
            self.current = None

    def _is_through(self, job: Job) -> bool:
        if job.ready is None and job.finished and job.soaked >= job.soak - 1e-9:
            job.ready = self.day
        return job.ready is not None

    # --- for the oracle ----------------------------------------------------------------------------------------------

    def another(self, seed: int) -> EveningShop:
        """The same shop on the same day with another future: all that is hidden is drawn anew, as far as it can still be."""
        twin = copy.copy(self)
        twin.r, twin.shock_year = random.Random(seed), None  # noqa: S311 - a made-up shop
        twin.worked = []
        twin.jobs = [None] * len(self.jobs)  # type: ignore[list-item]
        twin.open = [copy.copy(job) for job in self.open]
        for job in twin.open:
            twin.jobs[job.at] = job
            twin._redraw(job)
        if self.current is not None:
            twin.current = twin.jobs[self.current.at]
        return twin

    def _redraw(self, job: Job) -> None:
        known = (
            job.asked,
            job.needs,
            job.supplier,
            job.says_no,
            job.word,
            job.lead,
            job.hours,
            job.share,
            job.soak,
        )
        self.draw(job)
        if job.found is not None:
            job.asked = known[0]
            job.share = known[7]
        if job.answered_on is not None or (job.found is not None and not job.asked):
            job.needs, job.supplier, job.says_no = known[1], known[2], known[3]
        if job.finished:
            job.hours, job.share, job.soak = known[6], known[7], known[8]
        else:
            self._redraw_hours(job)
        if job.asked_on is not None:
            _until(job, "word", self.day - job.asked_on, self.draw_word)
        if job.ordered_on is not None:
            _until(job, "lead", self.day - job.ordered_on, self.draw_lead)

    def _redraw_hours(self, job: Job) -> None:
        for _ in range(2000):
            short = job.hours <= job.done if job.found is not None else job.finding <= job.done
            if not short:
                return
            self.draw_hours(job)
        job.hours, job.share = max(job.hours, job.done * 1.2 + 0.1), 0.9


def _until(job: Job, name: str, least: int, draw: object) -> None:
    """Draw a wait anew until it is longer than it has lasted already."""
    for _ in range(500):
        if getattr(job, name) > least:
            return
        draw(job)  # type: ignore[operator]
    setattr(job, name, least + 3)


def _poisson(r: random.Random, mean: float) -> int:
    count, product, least = 0, r.random(), math.exp(-mean)
    while product > least:
        count += 1
        product *= r.random()
    return count


def opened(seed: int, *, shocks: bool = True) -> EveningShop:
    """A shop on the eve of its first day."""
    r = random.Random(seed)  # noqa: S311 - a made-up shop
    effects = {
        f"{kind} {at}": r.lognormvariate(-(MODEL_SPREAD**2) / 2, MODEL_SPREAD)
        for kind in KINDS
        for at in range(MODELS)
    }
    return EveningShop(r, 1 + seed % 2 if shocks else None, effects)
