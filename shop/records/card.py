"""The job card: everything that the shop wrote about one stay of one unit, read in a fixed number of queries.

Small kinds of line that are shown alike are read together, and a test with its checks comes in one joined query, so that the
card of the fullest job needs no more queries than that of an empty one.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.db.models import CharField, DateTimeField, F, OuterRef, Q, QuerySet, Subquery, Value

from shop.bench.models import (
    Conclusion,
    Evidence,
    FailureMode,
    Finding,
    Overruled,
    Reading,
    SafetyCheck,
    SafetyWaiver,
    SoakTest,
    Stint,
)
from shop.bench.story import earlier_work
from shop.counter.models import Accessory, Job, JobPaper, JobPicture
from shop.counter.queries import whole_jobs
from shop.counter.stages import ENDED, Outcome, Stage
from shop.dispatch.models import CollectionJob, GoingBack, ParcelJob
from shop.office.models import Allocation, Authorisation, Estimate, Invoice, InvoiceJob, Payment
from shop.premises import clock
from shop.premises.models import JournalEntry
from shop.premises.wording import sentence_of
from shop.stockroom.models import PartFitted, PartWanted


@dataclass(frozen=True, slots=True)
class Line:
    """One written line of any kind: a finding, a waiver, a suggestion overruled, a conclusion."""

    kind: str
    pk: int
    at: dt.datetime
    who: str
    struck_at: dt.datetime | None
    struck_reason: str
    text: str
    more: tuple[str, str, str, str]

    @property
    def mode(self) -> str:
        """How it failed, in words: of a conclusion."""
        return FailureMode(self.more[1]).label if self.more[1] else ""

    @property
    def outcome(self) -> str:
        """How the job ended, in words: of a conclusion."""
        return Outcome(self.more[3]).label if self.more[3] else ""


@dataclass(frozen=True, slots=True)
class WayHome:
    """One way by which the unit left: a parcel, or a collection at the counter."""

    kind: str
    pk: int
    at: dt.datetime | None
    who: str
    tracking: str
    state: str


@dataclass(frozen=True, slots=True)
class Told:
    """One entry of the journal, in words."""

    at: dt.datetime
    sentence: str
    who: str
    is_stage: bool


@dataclass(frozen=True, slots=True)
class Tested:
    """A soak test or a safety check with its checks or tests, each as the database joined it."""

    of: Any
    lines: list[Any]


def _named(entry: Any) -> str:
    by = entry.by if hasattr(entry, "by") else entry
    return "" if by is None else by.get_full_name() or by.username


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

    @cached_property
    def papers(self) -> list[JobPaper]:
        """Issued papers that speak of this job, the newest first."""
        return list(
            JobPaper.objects.filter(job=self.job).select_related("paper").order_by("-paper__issued_at")
        )

    @cached_property
    def earlier(self) -> list[Job]:
        """The other stays of this unit, the newest first."""
        others = Job.objects.filter(unit=self.job.unit_id).exclude(pk=self.job.pk)
        return list(others.order_by("-id")[:10])

    # --- at the bench -----------------------------------------------------------------------------------

    @cached_property
    def lines(self) -> list[Line]:
        """Findings, conclusions, waivers and overruled suggestions in the order of writing."""
        kinds: list[tuple[str, Any, str, tuple[str, str, str, str]]] = [
            ("finding", Finding, "text", ("", "", "", "")),
            ("conclusion", Conclusion, "failed", ("position", "mode", "remedy", "outcome")),
            ("waiver", SafetyWaiver, "reason", ("", "", "", "")),
            ("overruled", Overruled, "reason", ("rule", "", "", "")),
        ]
        first, *rest = [
            self._lines_of(kind, model, text, more).order_by() for kind, model, text, more in kinds
        ]
        rows = first.union(*rest, all=True).order_by("at", "pk_of")
        return [_line(row) for row in rows]

    def _lines_of(self, kind: str, model: Any, text: str, more: Sequence[str]) -> QuerySet[Any]:
        blank = Value("", output_field=CharField())
        extra = {f"more_{at}": F(name) if name else blank for at, name in enumerate(more)}
        return (
            model.objects.filter(job=self.job)
            .annotate(
                kind_of=Value(kind, output_field=CharField()),
                pk_of=F("id"),
                said=F(text),
                first=F("by__first_name"),
                last=F("by__last_name"),
                user=F("by__username"),
                **extra,
            )
            .values_list(
                *("kind_of", "pk_of", "at", "first", "last", "user", "struck_at", "struck_reason"),
                *("said", "more_0", "more_1", "more_2", "more_3"),
            )
        )

    @property
    def findings(self) -> list[Line]:
        """What the bench saw."""
        return [line for line in self.lines if line.kind == "finding"]

    @property
    def conclusions(self) -> list[Line]:
        """What had failed, how, and what put it right."""
        return [line for line in self.lines if line.kind == "conclusion"]

    @property
    def waivers(self) -> list[Line]:
        """Why the safety check was not needed."""
        return [line for line in self.lines if line.kind == "waiver"]

    @property
    def overruled(self) -> list[Line]:
        """Suggestions that the technician overruled."""
        return [line for line in self.lines if line.kind == "overruled"]

    @cached_property
    def readings(self) -> list[Reading]:
        """Readings in the order in which they were taken."""
        taken = Reading.objects.filter(job=self.job).select_related("by", "meter")
        return list(taken.order_by("at", "id"))

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
        joined = (
            SoakTest.objects.filter(job=self.job)
            .select_related("by")
            .annotate(
                check_at=F("checks__at"),
                check_temperature=F("checks__temperature"),
                check_offset=F("checks__dc_offset"),
                check_came_back=F("checks__came_back"),
                check_note=F("checks__note"),
            )
            .order_by("at", "id", "checks__at", "checks__id")
        )
        return _together(joined, told=lambda row: row.check_at is not None)

    @cached_property
    def safety_checks(self) -> list[Tested]:
        """Safety checks, each with its tests."""
        joined = (
            SafetyCheck.objects.filter(job=self.job)
            .select_related("by", "meter")
            .annotate(
                test_label=F("tests__label"),
                test_typed=F("tests__typed"),
                test_limit=F("tests__limit"),
                test_outcome=F("tests__outcome"),
                test_sentence=F("tests__sentence"),
            )
            .order_by("at", "id", "tests__id")
        )
        return _together(joined, told=lambda row: row.test_label is not None)

    # --- parts, money, the way home ---------------------------------------------------------------------------

    @cached_property
    def parts(self) -> list[PartFitted]:
        """Parts fitted."""
        return list(PartFitted.objects.filter(job=self.job).select_related("part", "by").order_by("id"))

    @cached_property
    def wanted(self) -> list[PartWanted]:
        """Parts that the job waits for; nothing once it has ended."""
        if self.job.stage in ENDED:
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
        mine = Allocation.objects.filter(Q(job=self.job) | Q(invoice__in=covering))
        return list(mine.select_related("payment").order_by("payment__at", "payment_id", "id"))

    @property
    def payments(self) -> list[Payment]:
        """Payments and refunds that concern this job or its invoices, each once."""
        return list({one.payment_id: one.payment for one in self._allocations}.values())

    @property
    def balance_minor(self) -> int:
        """What is open on all issued invoices and credit notes that cover this job, in minor units."""
        issued = {one.pk: one.total_minor for one in self.invoices if one.issued_at}
        paid = sum(one.amount_minor for one in self._allocations if one.invoice_id in issued)
        return sum(issued.values()) - paid

    @cached_property
    def ways_home(self) -> list[WayHome]:
        """Parcels and the collection; nothing before the unit was ready."""
        if self.job.ready_at is None:
            return []
        parcels = ParcelJob.objects.filter(job=self.job).values_list(
            Value("parcel", output_field=CharField()),
            "parcel_id",
            "parcel__handed_over_at",
            "parcel__carrier__name",
            "parcel__tracking",
            "parcel__delivered_at",
            "parcel__lost_at",
            "parcel__unpacked_at",
        )
        collected = CollectionJob.objects.filter(job=self.job).values_list(
            Value("collection", output_field=CharField()),
            "collection_id",
            "collection__at",
            "collection__collected_by",
            "collection__shown",
            "collection__at",
            *_NEVER,
        )
        return [_way_home(row) for row in parcels.order_by().union(collected.order_by(), all=True)]

    # --- who did what ------------------------------------------------------------------------------------------

    @cached_property
    def journal(self) -> list[Told]:
        """The journal of this job in words, in order."""
        entries = JournalEntry.objects.filter(touches__job_id=self.job.pk).select_related("staff")
        return [
            Told(
                entry.at,
                sentence_of(entry),
                _named(entry.staff) if entry.staff else "",
                "to_stage" in entry.data,
            )
            for entry in entries.order_by("sequence")
        ]

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


_NEVER = (Value(None, output_field=DateTimeField()), Value(None, output_field=DateTimeField()))


def _line(row: Sequence[Any]) -> Line:
    kind, pk, at, first, last, user, struck_at, struck_reason, said, *more = row
    who = f"{first or ''} {last or ''}".strip() or user or ""
    return Line(kind, pk, at, who, struck_at, struck_reason, said, (more[0], more[1], more[2], more[3]))


def _way_home(row: Sequence[Any]) -> WayHome:
    kind, pk, at, who, tracking, done, lost, unpacked = row
    if kind == "collection":
        return WayHome(kind, pk, at, who, "", "collected")
    state = (
        "opened again"
        if unpacked
        else "lost"
        if lost
        else "delivered"
        if done
        else "on its way"
        if at
        else "packed"
    )
    return WayHome(kind, pk, at, who or "", tracking or "", state)


def _together(joined: Iterable[Any], *, told: Any) -> list[Tested]:
    """Rows of an outer join put back under the row they hang on."""
    found: dict[int, Tested] = {}
    for row in joined:
        tested = found.setdefault(row.pk, Tested(row, []))
        if told(row):
            tested.lines.append(row)
    return list(found.values())
