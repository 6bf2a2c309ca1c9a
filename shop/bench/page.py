"""The bench page of one job: everything that it shows, in a bounded number of queries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from shop.bench import queries, stock
from shop.bench.cautions import Shown, cautions_of, steps_at, traits_of
from shop.bench.forgotten import Forgotten, forgotten
from shop.bench.models import (
    Conclusion,
    Evidence,
    Finding,
    Heard,
    Meter,
    Overruled,
    Pattern,
    Reservoir,
    SafetyCheck,
    SoakTest,
    Stint,
    WorkKind,
)
from shop.bench.next_step import NextStep, next_step
from shop.bench.story import story_of
from shop.bench.suggesting import Suggested, point_of, role_of, roles_known, suggested
from shop.counter.models import Job, JobPicture, TestPoint
from shop.counter.queries import whole_jobs
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.models import Staff
from shop.handbook import checklists as handbook
from shop.handbook.cautions import Step
from shop.handbook.originality import Story
from shop.stockroom.models import Part, PartFitted, PartWanted
from shop.stockroom.pricing import with_rule

SHOWN = 20
"""Lines of one kind on the page; the job card has all of them."""

GOES_ON_WITHIN = dt.timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Stepped:
    """A step of a checklist on this job: `left_out` is None while it is open, "" once it is done, else why it was left out."""

    name: str
    text: str
    left_out: str | None
    tick: int | None
    """The line that says so."""


@dataclass(frozen=True, slots=True)
class Checklist:
    """A checklist as it stands on this job."""

    slug: str
    name: str
    steps: list[Stepped]

    @classmethod
    def of(cls, one: handbook.Checklist, ticked: Mapping[tuple[str, str], queries.Note]) -> Checklist:
        """The checklist with what was ticked of it."""
        steps = [
            Stepped(f"{one.slug}-{at}", step, tick.third if tick else None, tick.pk if tick else None)
            for at, step in enumerate(one.steps)
            for tick in [ticked.get((one.name, step))]
        ]
        return cls(one.slug, one.name, steps)

    @property
    def open(self) -> list[Stepped]:
        """The steps that are still to be done."""
        return [one for one in self.steps if one.left_out is None]


@dataclass
class BenchPage:
    """The bench page of `job` for `staff`. Each fact is read when first asked for, and once."""

    job: Job
    staff: Staff

    @classmethod
    def of(cls, number: str, staff: Staff) -> BenchPage:
        """The page of the job with that number; 404 when there is none."""
        return cls(get_object_or_404(whole_jobs(), number=number), staff)

    def anew(self) -> BenchPage:
        """This page once a note was taken: what no note changes is kept, all else is read again."""
        self.job.refresh_from_db(fields=["stage", "outcome", "part_owed_since"])
        page = BenchPage(self.job, self.staff)
        page.__dict__.update(
            {name: self.__dict__[name] for name in ("points", "meters") if name in self.__dict__}
        )
        return page

    @property
    def address(self) -> str:
        """Where this page is found."""
        return reverse("bench:job", args=[self.job.number])

    @property
    def safety_address(self) -> str:
        """Where the safety check of this job is found."""
        return reverse("bench:safety", args=[self.job.number])

    # --- what was written ------------------------------------------------------------------------------------

    @cached_property
    def record(self) -> queries.BenchRecord:
        """What the bench wrote on this job."""
        return queries.record_of(self.job, whole=False, staff=self.staff)

    @cached_property
    def fitted(self) -> list[PartFitted]:
        """Parts fitted, struck ones among them."""
        return list(PartFitted.objects.filter(job=self.job).select_related("part", "by").order_by("id"))

    @cached_property
    def wants(self) -> list[PartWanted]:
        """Parts that the job wanted and that are not fitted in full, each with how far it has come."""
        standing = PartWanted.objects.filter(job=self.job, fitted_at__isnull=True, dropped_at__isnull=True)
        whole = standing.select_related("part__level", "order_line__order__supplier")
        return list(with_rule(whole, on=clock.today()).order_by("id"))

    @property
    def wanted(self) -> list[PartWanted]:
        """Parts that the job still waits for."""
        return [one for one in self.wants if one.missing_thousandths]

    @cached_property
    def arrived(self) -> list[stock.Arrived]:
        """Parts that lie here for the job, with what each costs the customer."""
        return stock.arrived(self.wants)

    @property
    def fitted_shown(self) -> list[PartFitted]:
        """The last parts fitted, newest first."""
        return self._with_words("part", self.fitted[::-1][:SHOWN])

    @property
    def readings_shown(self) -> list[Any]:
        """The last readings, newest first."""
        return self._with_words("reading", self.understood(self.record.readings[::-1][:SHOWN]))

    def understood(self, readings: list[Any]) -> list[Any]:
        """These readings, each with what its place is understood as."""
        known = roles_known(self.points)
        for one in readings:
            one.point = point_of(one.where, one.quantity, one.channel)
            one.read_as = role_of(one, known) or one.point.role
        return readings

    @property
    def findings_shown(self) -> list[Finding]:
        """The last findings, newest first."""
        return self._with_words("finding", self.record.findings[::-1][:SHOWN])

    @property
    def evidence_shown(self) -> list[Evidence]:
        """The last traces, newest first."""
        return self._with_words("evidence", self.record.evidence[::-1][:SHOWN])

    @property
    def pictures_shown(self) -> list[JobPicture]:
        """The last photographs, newest first."""
        return self.record.pictures[::-1][:SHOWN]

    @property
    def stints_shown(self) -> list[Stint]:
        """The last stints, newest first."""
        return self.record.stints[::-1][:SHOWN]

    @property
    def safety_shown(self) -> list[SafetyCheck]:
        """The last safety check that stands."""
        return [one for one in self.record.safety_checks if one.struck_at is None][-1:]

    @cached_property
    def notes(self) -> dict[str, list[queries.Note]]:
        """The short lines that stand: what is temporarily installed, where somebody stopped, steps, lists, cautions read."""
        return queries.notes_of(self.job, self.staff)

    @property
    def temporaries(self) -> list[queries.Note]:
        """What is temporarily in the set."""
        return self.notes["temporary"]

    @property
    def left_off(self) -> queries.Note | None:
        """Where somebody stopped the last time."""
        return self.notes["left_off"][-1] if self.notes["left_off"] else None

    @property
    def last_list(self) -> queries.Note | None:
        """The last list of parts that was not taken back."""
        return self.notes["list"][-1] if self.notes["list"] else None

    @property
    def last_taking(self) -> queries.Note | None:
        """What was taken last from what was said and was not taken back."""
        return self.notes["taking"][-1] if self.notes["taking"] else None

    @cached_property
    def taken_words(self) -> dict[tuple[str, int | None], Heard]:
        """What each line was taken from that somebody said; asked only where something was."""
        if not self.notes["taking"]:
            return {}
        latest = Heard.objects.filter(
            said__job=self.job, taking__isnull=False, taking__struck_at__isnull=True
        )
        return {
            (one.line_kind, one.line): one
            for one in latest.select_related("said").order_by("-pk")[: 4 * SHOWN]
        }

    def _with_words(self, kind: str, lines: list[Any]) -> list[Any]:
        """These lines, each with the words that it was taken from."""
        for one in lines:
            one.heard = self.taken_words.get((kind, one.pk))
        return lines

    @cached_property
    def open_words(self) -> list[Heard]:
        """What was heard and waits for a person, the latest words first; asked only where something does."""
        if not self.notes["waits"]:
            return []
        waiting = Heard.objects.filter(
            said__job=self.job, said__struck_at__isnull=True, taking__isnull=True, dropped_at__isnull=True
        )
        return list(waiting.select_related("said").order_by("-said", "number")[:SHOWN])

    @cached_property
    def patterns(self) -> list[Pattern]:
        """The shop's own rows and checklists for this kind of unit."""
        return list(Pattern.objects.filter(kind__in=("", self.job.unit.model.kind)))

    @cached_property
    def checklists(self) -> list[Checklist]:
        """The checklists for this kind of unit, with what was ticked of them."""
        own = [
            handbook.Checklist(f"own-{one.pk}", one.name, tuple(map(str, one.lines)))
            for one in self.patterns
            if one.of == Pattern.Of.STEPS
        ]
        ticked = {(one.first, one.second): one for one in self.notes["ticked"]}
        return [Checklist.of(one, ticked) for one in handbook.checklists_for(self.job.unit.model.kind, own)]

    @cached_property
    def story(self) -> Story | None:
        """The story of the earlier repair."""
        return story_of(self.job, self.record.of_the_unit)

    @cached_property
    def suggested(self) -> list[Suggested]:
        """Where to look next, by the readings."""
        if not any(one.struck_at is None for one in self.record.readings):
            return []
        found = suggested(self.record.readings, (), self.points)
        if not found:
            return []
        aside = [
            Overruled(pk=one.pk, job=self.job, rule=one.first, reason=one.second)
            for one in self.notes["overruled"]
        ]
        return suggested(self.record.readings, aside, self.points) if aside else found

    # --- what the shop knows ---------------------------------------------------------------------------------

    @cached_property
    def points(self) -> list[TestPoint]:
        """The test points of the model file."""
        return list(self.job.unit.model.test_points.all())

    @cached_property
    def meters(self) -> list[Meter]:
        """The shop's meters in use."""
        return list(Meter.objects.filter(retired_at__isnull=True).order_by("name"))

    @cached_property
    def drawers(self) -> stock.Drawers:
        """What lies in the drawers under the words that were said."""
        return stock.Drawers()

    @cached_property
    def likely_parts(self) -> list[Part]:
        """What was fitted in this model before."""
        return stock.likely_parts(self.job)

    @cached_property
    def failed_before(self) -> list[Conclusion]:
        """What failed in this model on other jobs."""
        return queries.failed_before(self.job, limit=4)

    @cached_property
    def reservoir(self) -> Reservoir | None:
        """The largest capacitor of the model, where the model file knows it."""
        return Reservoir.objects.filter(model_id=self.job.unit.model_id).first()

    @cached_property
    def cautions(self) -> list[Shown]:
        """What can hurt at this stage of the work."""
        steps = steps_at(self.job.stage)
        if not steps or not traits_of(self.job.unit):
            return []
        reservoir = self.reservoir if Step.OPENING in steps else None
        sitting = clock.now() - GOES_ON_WITHIN
        read = {one.first for one in self.notes["caution"] if one.at > sitting}
        return cautions_of(self.job, steps, read=read, reservoir=reservoir)

    @property
    def unread_cautions(self) -> list[Shown]:
        """Those that this person has not read on this job."""
        return [one for one in self.cautions if not one.read]

    # --- the clock ---------------------------------------------------------------------------------------------

    @cached_property
    def running(self) -> Stint | None:
        """The stint that this person's clock runs on, on whatever job."""
        return self.record.running

    @property
    def running_here(self) -> Stint | None:
        """The running stint, if it runs on this job."""
        return self.running if self.running is not None and self.running.job_id == self.job.pk else None

    @cached_property
    def forgotten(self) -> Forgotten | None:
        """The running stint, if it looks as if its person had left, with when it may have ended."""
        return forgotten(self.running)

    @property
    def goes_on(self) -> bool:
        """Whether starting the clock goes on with what was paused a while ago."""
        last = self.record.stints[-1] if self.record.stints else None
        return bool(last and last.stopped_at and clock.now() - last.stopped_at < GOES_ON_WITHIN)

    @property
    def clock_asks(self) -> str:
        """Whether the clock should still run, where the job has gone where no hands are on it; else nothing."""
        if self.running_here is None:
            return ""
        asked = {Stage.PROVING: "It is on soak test by itself.", Stage.READY: "It is ready."}
        said = asked.get(Stage(self.job.stage), "")
        return f"{said} Pause your clock, or let it run while you work on it." if said else ""

    @cached_property
    def soak(self) -> SoakTest | None:
        """The soak test that runs on this job, with the looks at it."""
        if self.job.stage != Stage.PROVING:
            return None
        return next((one for one in self.soaks if one.job_id == self.job.pk), None)

    @cached_property
    def soaks(self) -> list[SoakTest]:
        """All soak tests that run in the shop: their bell rings here, too."""
        return queries.running_soaks()

    @property
    def seconds(self) -> int:
        """Bench time on this job so far."""
        return sum(stint.seconds for stint in self.record.stints if stint.struck_at is None)

    @property
    def likely_kind(self) -> str:
        """What the next stint is likely spent on: finding the fault at first, then what it was last."""
        return self.record.stints[-1].kind if self.record.stints else WorkKind.DIAGNOSIS

    @cached_property
    def next_step(self) -> NextStep | None:
        """What comes next."""
        return next_step(self.job, self.record, self.wanted)

    @property
    def is_here(self) -> bool:
        """Whether the unit is in the house and the job has not ended: only then is there something to do or to note."""
        return Stage(self.job.stage).row.is_here
