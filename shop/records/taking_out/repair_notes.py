"""What the shop's repairs taught, for publishing: the second file beside that of the Open Repair Data Standard.

Only own jobs that ended and whose conclusion names what failed; names, addresses and numbers left out as in the first file.
"""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import NotRequired, TypedDict

from django.db.models import QuerySet

from shop.bench.models import Conclusion, Evidence, FailureMode, KnownBy
from shop.counter.models import Job
from shop.counter.stages import END_WITH_OUTCOME
from shop.frame import clock
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook import openrepair, repairnotes
from shop.records.models import BroughtRow
from shop.records.taking_out.open_repair import private_names

MOST = 200
"""So many records go into one file: each has been seen before it leaves."""


class Marking(TypedDict):
    """What is printed on a part."""

    where: str
    marking: str


class Note(TypedDict):
    """One record of the file; its fields are told in `repairnotes.schema`."""

    id: str
    category: str
    kind: str
    maker: str
    model: NotRequired[str]
    failed_part: str
    failure_mode: str
    known_by: NotRequired[str]
    remedy: str
    repair_status: str
    no_cure: NotRequired[list[str]]
    markings: NotRequired[list[Marking]]


class Document(TypedDict):
    """The whole file."""

    format: str
    publisher: str
    license: str
    records: list[Note]


MODES = tuple(mode.value for mode in FailureMode if mode != FailureMode.NONE_FOUND)


def schema() -> dict[str, object]:
    """The JSON Schema of the file."""
    return repairnotes.schema(MODES, tuple(one.value for one in KnownBy))


@dataclass(frozen=True, slots=True)
class Rule:
    """Which jobs are offered: since a day, of some kinds (all, if none is named), and only what is surely known."""

    since: dt.date | None = None
    kinds: Sequence[str] = ()
    sure: bool = False


@dataclass(frozen=True, slots=True)
class Noted:
    """One record as it would leave, and the job that it is of."""

    job: Job
    note: Note

    @property
    def mode(self) -> str:
        """How it failed, in words."""
        return str(FailureMode(str(self.note["failure_mode"])).label).lower()

    @property
    def known(self) -> str:
        """How that is known, in words."""
        known = self.note.get("known_by")
        return str(KnownBy(str(known)).label) if known else ""


def offered(rule: Rule) -> tuple[list[Noted], int]:
    """The newest records that a rule offers, and how many it finds in all."""
    found = _conclusions()
    if rule.since is not None:
        found = found.filter(job__ended_at__gte=clock.moment_of(rule.since))
    if rule.kinds:
        found = found.filter(job__unit__model__kind__in=rule.kinds)
    if rule.sure:
        found = found.filter(known_by__in=(KnownBy.MEASURED, KnownBy.SWAPPED, KnownBy.CURED_ALONE))
    return _noted(found.order_by("-job__ended_at", "-pk")[:MOST]), found.count()


def document(numbers: Collection[str]) -> Document:
    """The file of these jobs, by their numbers; what may not be published is left out, whoever asks."""
    chosen = _conclusions().filter(job__number__in=list(numbers)[:MOST]).order_by("job__ended_at", "pk")
    return {
        "format": repairnotes.FORMAT,
        "publisher": the_profile().name,
        "license": repairnotes.LICENSE,
        "records": [one.note for one in _noted(chosen)],
    }


def _conclusions() -> QuerySet[Conclusion]:
    published = BroughtRow.objects.filter(again=False, job__isnull=False).exclude(provider="")
    return (
        Conclusion.objects.filter(
            struck_at__isnull=True, job__stage__in=END_WITH_OUTCOME, job__customer__is_shop=False
        )
        .exclude(failed="")
        .exclude(mode=FailureMode.NONE_FOUND)
        .exclude(job__in=published.values("job"))
        .select_related("job__customer", "job__unit__model__maker")
    )


def _noted(conclusions: Iterable[Conclusion]) -> list[Noted]:
    """Each job once, by its last conclusion; an earlier one that did not cure it is told beside."""
    by_job: dict[int, list[Conclusion]] = defaultdict(list)
    for one in conclusions:
        by_job[one.job_id].append(one)
    before = _what_came_back([told[0].job for told in by_job.values()])
    marks = _markings(by_job)
    staff = list(Staff.objects.values_list("username", flat=True))
    return [
        _one(max(told, key=lambda one: (one.at, one.pk)), told, before[job], marks[job], staff)
        for job, told in by_job.items()
    ]


def _what_came_back(jobs: Iterable[Job]) -> dict[int, list[str]]:
    """What had been done on the job that came back as this one."""
    first = {job.comeback_of_id: job.pk for job in jobs if job.comeback_of_id}
    done: dict[int, list[str]] = defaultdict(list)
    for job, remedy in Conclusion.objects.filter(job__in=list(first), struck_at__isnull=True).values_list(
        "job", "remedy"
    ):
        done[first[job]].append(remedy)
    return done


def _markings(jobs: Iterable[int]) -> dict[int, list[tuple[str, str]]]:
    found: dict[int, list[tuple[str, str]]] = defaultdict(list)
    seen = (
        Evidence.objects.filter(job__in=list(jobs), struck_at__isnull=True)
        .exclude(marking="")
        .order_by("at", "pk")
    )
    for job, where, marking in seen.values_list("job", "where", "marking"):
        found[job].append((where, marking))
    return found


def _one(
    last: Conclusion,
    told: Sequence[Conclusion],
    came_back: Sequence[str],
    marks: Sequence[tuple[str, str]],
    staff: Sequence[str],
) -> Noted:
    job, model = last.job, last.job.unit.model
    names = [*private_names(job), *staff]

    def plain(text: str) -> str:
        return openrepair.without_personal(text, names).strip()

    no_cure = [*came_back, *(one.remedy for one in told if one.pk != last.pk)]
    note: Note = {
        "id": f"mendwright_{job.number}",
        "category": openrepair.category(model.kind)[1],
        "kind": model.get_kind_display(),
        "maker": model.maker.name,
        "failed_part": plain(last.failed),
        "failure_mode": last.mode,
        "remedy": plain(last.remedy) or "not told",
        "repair_status": openrepair.STATUS.get(last.outcome, "Unknown"),
    }
    if model.is_known:
        note["model"] = model.name
    if last.known_by:
        note["known_by"] = last.known_by
    if vain := [said for text in no_cure if (said := plain(text))]:
        note["no_cure"] = vain
    if marks:
        note["markings"] = [Marking(where=plain(where), marking=plain(mark)) for where, mark in marks]
    return Noted(job, note)
