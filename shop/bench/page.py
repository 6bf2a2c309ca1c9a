"""The bench page of one job: everything that it shows, in a fixed number of queries, and its forms."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.shortcuts import get_object_or_404

from shop.bench import forms, queries
from shop.bench.models import Meter, SoakTest, Stint, WorkKind
from shop.bench.next_step import NextStep, next_step
from shop.counter.models import Job, TestPoint
from shop.counter.queries import whole_jobs
from shop.counter.stages import ENDED, Stage
from shop.premises import clock
from shop.premises.formwork import PlainForm
from shop.premises.models import Staff
from shop.stockroom.models import PartFitted, PartWanted


@dataclass
class BenchPage:
    """The bench page of `job` for `staff`. `bound` holds the form that is being posted, by the name of its panel."""

    job: Job
    staff: Staff

    @classmethod
    def of(cls, number: str, staff: Staff) -> BenchPage:
        """The page of the job with that number; 404 when there is none."""
        return cls(get_object_or_404(whole_jobs(), number=number), staff)

    # --- facts, each read once -----------------------------------------------------------------------------

    @cached_property
    def record(self) -> queries.BenchRecord:
        """What the bench wrote on this job."""
        return queries.record_of(self.job)

    @cached_property
    def fitted(self) -> list[PartFitted]:
        """Parts fitted, struck ones among them."""
        return list(PartFitted.objects.filter(job=self.job).select_related("part", "by").order_by("id"))

    @cached_property
    def wanted(self) -> list[PartWanted]:
        """Parts that the job still waits for."""
        waiting = PartWanted.objects.filter(job=self.job, came_at__isnull=True, dropped_at__isnull=True)
        return list(waiting.select_related("part", "order_line").order_by("id"))

    @cached_property
    def points(self) -> list[TestPoint]:
        """The test points of the model file."""
        return list(self.job.unit.model.test_points.all())

    @cached_property
    def meters(self) -> list[Meter]:
        """The shop's meters in use."""
        return list(Meter.objects.filter(retired_at__isnull=True).order_by("name"))

    @cached_property
    def running(self) -> Stint | None:
        """The stint that this person's clock runs on, on whatever job."""
        return queries.running_stint(self.staff)

    @property
    def running_here(self) -> Stint | None:
        """The running stint, if it runs on this job."""
        return self.running if self.running is not None and self.running.job_id == self.job.pk else None

    @cached_property
    def soak(self) -> SoakTest | None:
        """The soak test that runs."""
        return next(
            (one for one in self.record.soaks if one.ended_at is None and one.struck_at is None), None
        )

    @property
    def seconds(self) -> int:
        """Bench time on this job so far."""
        now = clock.now()
        standing = [stint for stint in self.record.stints if stint.struck_at is None]
        return sum(int(((one.stopped_at or now) - one.started_at).total_seconds()) for one in standing)

    @property
    def likely_kind(self) -> str:
        """What the next stint is likely spent on: finding the fault until it is concluded, then what it was last."""
        if self.record.stints:
            return self.record.stints[-1].kind
        return WorkKind.DIAGNOSIS

    @property
    def next_step(self) -> NextStep | None:
        """What comes next."""
        return next_step(self)

    # --- forms ------------------------------------------------------------------------------------------------

    def form(self, name: str, *bound: Any) -> PlainForm:
        """The form of a panel, bound to posted data and files where they are given."""
        kind = FORMS[name]
        return kind(*bound, job=self.job, prefix=None, auto_id=f"{name}-%s", **self._extras(name))

    def _extras(self, name: str) -> dict[str, Any]:
        if name == "reading":
            return {
                "points": self.points,
                "meters": self.meters,
                "initial": {"after_repair": queries.conclusion_stands(self.record)},
            }
        if name == "safety":
            return {"meters": self.meters}
        if name == "start":
            return {"initial": {"kind": self.likely_kind}}
        return {}

    def context(self, *, wrong: tuple[str, PlainForm] | None = None, open_panel: str = "") -> dict[str, Any]:
        """Everything the template asks for; `wrong` is a form that was refused, shown with its errors."""
        drawn: dict[str, PlainForm] = {name: self.form(name) for name in self.panels}
        if wrong is not None:
            drawn[wrong[0]] = wrong[1]
        panels = [(name, drawn[name]) for name in self.panels if name in PANELS]
        return {
            "page": self,
            "job": self.job,
            "record": self.record,
            "forms": drawn,
            "panels": panels,
            "wrong": wrong[1] if wrong is not None and wrong[0] not in PANELS else None,
            "Stage": Stage,
            "ended": ENDED,
            "open": wrong[0] if wrong is not None else open_panel,
        }

    @property
    def panels(self) -> tuple[str, ...]:
        """The panels that this job's stage has a use for."""
        if self.job.stage in ENDED:
            return ()
        always = ("reading", "finding", "part", "evidence", "photos", "conclusion", "want", "start", "ready")
        if self.soak is not None:
            return (*always, "soak_check", "soak_end")
        return (*always, "soak") if self.job.stage == Stage.ON_THE_BENCH else always


FORMS: dict[str, type[Any]] = {
    "reading": forms.ReadingForm,
    "finding": forms.FindingForm,
    "part": forms.FitForm,
    "want": forms.WantForm,
    "evidence": forms.EvidenceForm,
    "photos": forms.PhotosForm,
    "conclusion": forms.ConclusionForm,
    "start": forms.StartForm,
    "soak": forms.SoakForm,
    "soak_check": forms.SoakCheckForm,
    "soak_end": forms.SoakEndForm,
    "ready": forms.ReadyForm,
    "safety": forms.SafetyForm,
    "waiver": forms.WaiverForm,
    "plain": forms.BenchForm,
}
PANELS = (
    "reading",
    "finding",
    "part",
    "evidence",
    "photos",
    "conclusion",
    "want",
    "soak",
    "soak_check",
    "soak_end",
    "ready",
)
"""The forms that open as a panel; the others stand beside their lines."""
