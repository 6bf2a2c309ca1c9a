"""The whole card, read in a fixed number of queries.

Small kinds of line that are shown alike are read together, and a test with its checks comes in one joined query, so that the
card of the fullest job needs no more queries than that of an empty one.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import cached_property

from django.db.models import OuterRef, Subquery

from shop.bench.models import Evidence, Reading, Stint
from shop.bench.story import earlier_work
from shop.counter.models import Accessory, Job, JobPaper, JobPicture
from shop.counter.queries import whole_jobs
from shop.counter.stages import ENDED, Stage
from shop.dispatch.models import GoingBack
from shop.frame import clock
from shop.handbook.money import Money
from shop.office.models import Allocation, Authorisation, Estimate, Invoice, InvoiceJob, Payment
from shop.office.queries import balance_among
from shop.records.card.homeward import WayHome, ways_home_of
from shop.records.card.lines import Line, lines_of
from shop.records.card.readings import ReadingTable, table_of
from shop.records.card.tested import Tested, safety_checks_of, soaks_of
from shop.records.card.told import Told, journal_of
from shop.records.models import BroughtRow
from shop.stockroom.models import PartFitted, PartWanted


@dataclass
class JobCard:
    """Everything on one page. Each part is read once, when the page asks for it."""

    job: Job

    @classmethod
    def of(cls, number: str) -> JobCard | None:
        """The card of the job with that number."""
        job = whole_jobs().select_related("comeback_of").filter(number=number).first()
        return None if job is None else cls(job)

    # --- as it came in ----------------------------------------------------------------------------------

    @cached_property
    def accessories(self) -> list[Accessory]:
        """What came with it, and whether it goes back (`goes_back`, `explanation`), where that is settled."""
        answer = GoingBack.objects.filter(accessory=OuterRef("pk"))
        return list(
            Accessory.objects.filter(job=self.job)
            .annotate(
                goes_back=Subquery(answer.values("included")[:1]),
                explanation=Subquery(answer.values("explanation")[:1]),
            )
            .order_by("id")
        )

    @cached_property
    def pictures(self) -> list[JobPicture]:
        """Photographs that stand."""
        kept = JobPicture.objects.filter(job=self.job, struck_at__isnull=True)
        return list(kept.select_related("picture").order_by("id"))

    @property
    def first_pictures(self) -> list[JobPicture]:
        """Four of them, what was found and what it became before how it came in."""
        order = [JobPicture.Shows.AFTER, JobPicture.Shows.BENCH, JobPicture.Shows.BEFORE]
        rank = {shows: at for at, shows in enumerate(order)}
        return sorted(self.pictures, key=lambda one: rank.get(JobPicture.Shows(one.shows), len(order)))[:4]

    @cached_property
    def papers(self) -> list[JobPaper]:
        """Issued papers that speak of this job, the newest first."""
        return list(
            JobPaper.objects.filter(job=self.job).select_related("paper").order_by("-paper__issued_at")
        )

    @cached_property
    def earlier(self) -> list[Job]:
        """The stays of this unit before this one, the latest first."""
        # what is only announced has not been here
        others = Job.objects.filter(unit=self.job.unit_id, booked_in_at__isnull=False).exclude(pk=self.job.pk)
        if self.job.booked_in_at is not None:
            others = others.filter(booked_in_at__lt=self.job.booked_in_at)
        return list(others.order_by("-booked_in_at", "-id")[:10])

    @cached_property
    def brought_in(self) -> BroughtRow | None:
        """The row of the list that this job was brought in from, if it was."""
        if self.job.accepted_by_id is not None:
            return None
        rows = BroughtRow.objects.filter(job=self.job, again=False).select_related("batch")
        return rows.order_by("id").first()

    # --- at the bench -----------------------------------------------------------------------------------

    @cached_property
    def lines(self) -> list[Line]:
        """Findings, conclusions, waivers and overruled suggestions in the order of writing."""
        return lines_of(self.job)

    @property
    def findings(self) -> list[Line]:
        """What the bench saw."""
        return [line for line in self.lines if line.kind == "finding"]

    @property
    def last_finding(self) -> Line | None:
        """The newest finding that stands."""
        return next((line for line in reversed(self.findings) if line.struck_at is None), None)

    @property
    def conclusions(self) -> list[Line]:
        """What had failed, how, and what fixed it."""
        return [line for line in self.lines if line.kind == "conclusion"]

    @property
    def waivers(self) -> list[Line]:
        """Why the safety check was not needed."""
        return [line for line in self.lines if line.kind == "waiver"]

    @property
    def overruled(self) -> list[Line]:
        """Suggestions that the technician overruled."""
        return [line for line in self.lines if line.kind == "overruled"]

    @property
    def temporaries(self) -> list[Line]:
        """What was temporarily in the set."""
        return [line for line in self.lines if line.kind == "temporary"]

    @property
    def left_off(self) -> list[Line]:
        """Where somebody stopped, each time."""
        return [line for line in self.lines if line.kind == "left_off"]

    @property
    def ticked(self) -> list[Line]:
        """Steps of checklists, done or left out with a word."""
        return [line for line in self.lines if line.kind == "ticked"]

    @cached_property
    def readings(self) -> list[Reading]:
        """Readings in the order in which they were taken."""
        taken = Reading.objects.filter(job=self.job).select_related("by", "meter")
        return list(taken.order_by("at", "id"))

    @cached_property
    def reading_table(self) -> ReadingTable:
        """The readings by place, side by side, before and after the repair."""
        return table_of(self.readings)

    @cached_property
    def evidence(self) -> list[Evidence]:
        """Traces of earlier repairs."""
        return list(
            Evidence.objects.filter(job=self.job).select_related("by", "picture").order_by("at", "id")
        )

    @cached_property
    def story(self) -> tuple[str, ...]:
        """What the dated traces of this unit tell together, in sentences."""
        told = earlier_work(self.job)
        return told.sentences if told is not None else ()

    @cached_property
    def stints(self) -> list[Stint]:
        """Bench time."""
        return list(Stint.objects.filter(job=self.job).select_related("by").order_by("started_at", "id"))

    @property
    def seconds(self) -> int:
        """Bench time in all, in seconds, a running stint counted up to now."""
        now = clock.now()
        standing = [stint for stint in self.stints if stint.struck_at is None]
        return sum(int(((one.stopped_at or now) - one.started_at).total_seconds()) for one in standing)

    @cached_property
    def soaks(self) -> list[Tested]:
        """Soak tests, each with its checks."""
        return soaks_of(self.job)

    @cached_property
    def safety_checks(self) -> list[Tested]:
        """Safety checks, each with its tests."""
        return safety_checks_of(self.job)

    # --- parts, money, the way home ---------------------------------------------------------------------------

    @cached_property
    def parts(self) -> list[PartFitted]:
        """Parts fitted."""
        return list(PartFitted.objects.filter(job=self.job).select_related("part", "by").order_by("id"))

    @cached_property
    def wanted(self) -> list[PartWanted]:
        """Parts that the job waits for; nothing once it has ended."""
        if self.job.stage in ENDED or self.job.part_owed_since is None:
            return []
        waiting = PartWanted.objects.filter(job=self.job, came_at__isnull=True, dropped_at__isnull=True)
        return list(waiting.select_related("part").order_by("id"))

    @cached_property
    def estimates(self) -> list[Estimate]:
        """Every version of the price put to the customer."""
        return list(Estimate.objects.filter(job=self.job).order_by("version"))

    @cached_property
    def answers(self) -> list[Authorisation]:
        """The customer's answers."""
        given = Authorisation.objects.filter(job=self.job).select_related("received_by", "estimate")
        return list(given.order_by("at", "id"))

    @cached_property
    def invoices(self) -> list[Invoice]:
        """Drafts, invoices and credit notes that cover this job."""
        covering = InvoiceJob.objects.filter(job=self.job).values("invoice")
        return list(Invoice.objects.filter(pk__in=covering).order_by("id"))

    @cached_property
    def _allocations(self) -> list[Allocation]:
        covering = InvoiceJob.objects.filter(job=self.job).values("invoice")
        of_the_job = Allocation.objects.filter(job=self.job).values("pk")
        of_its_invoices = Allocation.objects.filter(invoice__in=covering).values("pk")
        mine = Allocation.objects.filter(pk__in=of_the_job.union(of_its_invoices)).select_related("payment")
        # ordered here: asked to do it, SQLite walks through all payments in their order
        return sorted(mine, key=lambda one: (one.payment.at, one.payment_id, one.pk))

    @property
    def payments(self) -> list[Payment]:
        """Payments and refunds that concern this job or its invoices, each once."""
        return list({one.payment_id: one.payment for one in self._allocations}.values())

    @property
    def balance(self) -> Money:
        """What is open on this job, as the office reckons it."""
        return balance_among(self.invoices, self._allocations, self.job.currency)

    @cached_property
    def ways_home(self) -> list[WayHome]:
        """Parcels and the collection; nothing before the unit was ready."""
        return ways_home_of(self.job)

    # --- who did what ------------------------------------------------------------------------------------------

    @cached_property
    def journal(self) -> list[Told]:
        """The journal of this job in words, in order."""
        return journal_of(self.job)

    @property
    def needs_safety_check(self) -> bool:
        """Whether the unit runs on AC power, so that a safety check is asked before it goes home."""
        return self.job.unit.mains and self.job.stage != Stage.CALLED_OFF

    @property
    def authorized_minor(self) -> int | None:
        """What the customer agreed to in all, before tax, by the last answer; None before any."""
        return self.answers[-1].authorised_minor if self.answers else None

    @property
    def safety(self) -> str:
        """What the last safety check that stands found; "waived" where the unit went without, nothing before either."""
        standing = [tested.of.outcome for tested in self.safety_checks if tested.of.struck_at is None]
        if standing:
            return str(standing[-1])
        return "waived" if any(line.struck_at is None for line in self.waivers) else ""

    @property
    def is_open(self) -> bool:
        """Whether the unit is still here or on its way."""
        return self.job.stage not in ENDED

    @property
    def waited_until(self) -> dt.datetime | None:
        """When the job ended; None while it is open, so that its age runs on."""
        return self.job.ended_at

    @property
    def late(self) -> bool:
        """Whether the promise passed and the unit is not ready."""
        promised = self.job.promised_for
        waiting = self.is_open and self.job.stage != Stage.READY
        return promised is not None and waiting and promised < clock.today()
