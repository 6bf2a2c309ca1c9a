"""What falls on which day: promised dates, parts due, soak tests, estimates that run out, days of the law, days off."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from dataclasses import dataclass

from shop.bench.queries import running_soaks
from shop.counter.models import InboundParcel, Job, Promise
from shop.counter.promising import standing
from shop.counter.stages import OPEN, Stage
from shop.frame import clock
from shop.frame.profile import the_profile
from shop.handbook import law
from shop.handbook.dates.forecasting import LIKELY, learn
from shop.office.models import Estimate, Letter, RepairForm
from shop.office.unclaimed import known_of
from shop.planner import reading
from shop.premises.queries import days_off
from shop.stockroom.models import PartWanted

PROMISED = {Promise.What.WORD: "First word promised", Promise.What.READY: "Promised ready"}
PARCELS = 100
LEFT_HERE = 20


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing of a day; `moment` where it has a time. `uid` stays the same for the same thing."""

    uid: str
    day: dt.date
    title: str
    job: Job | None = None
    moment: dt.datetime | None = None

    @property
    def whole(self) -> str:
        """The title with the job's number and unit."""
        return f"{self.title}: {self.job.number} {self.job.unit.model}" if self.job else self.title


@dataclass(frozen=True, slots=True)
class Day:
    """A day and what falls on it."""

    day: dt.date
    entries: list[Entry]
    off: str | None


def entries(first: dt.date, last: dt.date) -> list[Entry]:
    """All that falls on the days from first to last, both included, in their order."""
    found = [
        *_promised(),
        *_parts(),
        *_parcels(),
        *_soaks(),
        *_running_out(first, last),
        *_by_law(first, last),
    ]
    within = [one for one in found if first <= one.day <= last]
    return sorted(within, key=lambda one: (one.day, one.title, one.uid))


def week(first: dt.date, days: int = 7) -> list[Day]:
    """A week by its days."""
    last = first + dt.timedelta(days=days - 1)
    off, by_day = days_off(first, last), defaultdict(list)
    for one in entries(first, last):
        by_day[one.day].append(one)
    dates = [first + dt.timedelta(days=at) for at in range(days)]
    return [Day(day, by_day[day], (off[day] or "Off") if day in off else None) for day in dates]


def _promised() -> list[Entry]:
    # in the order of the index of open jobs, which SQLite takes for no better than the table otherwise
    unready = Job.objects.filter(stage__among=OPEN, ready_at=None).order_by("whose_move", "stage_since")
    jobs = {job.pk: job for job in unready.select_related("unit__model__maker", "customer")}
    return [
        Entry(f"promise-{one.pk}", one.day, PROMISED[Promise.What(one.what)], jobs[job])
        for job, given in standing(jobs).items()
        for one in given.values()
        if one.day is not None
    ]


def _parts() -> list[Entry]:
    owed = PartWanted.objects.filter(
        came_at=None, fitted_at=None, dropped_at=None, order_line__order__sent_at__isnull=False
    ).select_related("job__unit__model__maker", "job__customer", "order_line__order__supplier")
    found = []
    for one in owed.order_by("id")[:200]:
        if one.order_line is not None and one.order_line.order.sent_at is not None:
            order = one.order_line.order
            due = clock.day_of(one.order_line.order.sent_at) + dt.timedelta(days=order.supplier.lead_days)
            found.append(Entry(f"part-{one.pk}", due, f"Part due from {order.supplier.name}", one.job))
    return found


def _parcels() -> list[Entry]:
    """Parcels on their way in, on the day on which they come as likely as not."""
    expected = InboundParcel.objects.filter(
        arrived_at=None, opened_at=None, jobs__stage__among=OPEN
    ).distinct()
    coming = list(
        expected.prefetch_related("jobs__unit__model__maker", "jobs__customer").order_by("id")[:PARCELS]
    )
    if not coming:
        return []
    waits = learn(reading.history_of_parcels()).coming
    found = []
    for parcel in coming:
        began = clock.day_of(parcel.announced_at)
        waited = max((clock.today() - began).days, 0)
        day = began + dt.timedelta(days=waits.drawn(LIKELY, waited))
        found.append(Entry(f"parcel-{parcel.pk}", day, "Parcel expected", parcel.jobs.all()[0]))
    return found


def _soaks() -> list[Entry]:
    found = []
    for soak in running_soaks():
        ends = soak.at + dt.timedelta(seconds=soak.planned_seconds)
        found.append(Entry(f"soak-{soak.pk}", clock.day_of(ends), "Soak test ends", soak.job, ends))
    return found


def _running_out(first: dt.date, last: dt.date) -> list[Entry]:
    given = Estimate.objects.filter(
        state=Estimate.State.GIVEN, valid_until__gte=first, valid_until__lte=last, job__stage__in=OPEN
    )
    return [
        Entry(f"estimate-{one.pk}", one.valid_until, "Estimate runs out", one.job)
        for one in given.select_related("job__unit__model__maker", "job__customer")
        if one.valid_until is not None
    ]


def _by_law(first: dt.date, last: dt.date) -> list[Entry]:
    """Until when a repair information form stands, and the days of the law for a unit left here once a notice went."""
    here = list(
        Job.objects.filter(stage__in=OPEN).order_by("whose_move", "stage_since").values_list("pk", "stage")
    )
    forms = RepairForm.objects.filter(
        job__in=[pk for pk, _ in here], valid_until__gte=first, valid_until__lte=last
    ).select_related("job__unit__model__maker", "job__customer")
    found = [
        Entry(f"form-{one.pk}", one.valid_until, "Repair information form runs out", one.job) for one in forms
    ]
    ready = [pk for pk, stage in here if stage == Stage.READY]
    notices = Letter.objects.filter(
        job__in=ready, kind__in=(Letter.Kind.COLLECT, Letter.Kind.SALE), sent_on__isnull=False
    )
    left = Job.objects.filter(pk__in=sorted(set(notices.values_list("job_id", flat=True)))[:LEFT_HERE])
    profile = the_profile().law
    for job in left.select_related("unit__model__maker", "customer"):
        for way in law.timelines(profile, known_of(job)):
            found.extend(
                Entry(f"law-{way.key}-{step.key}-{job.pk}", step.day, _lawful(step), job)
                for step in way.steps
                if way.open
            )
    return found


def _lawful(step: law.Step) -> str:
    return f"{step.what[0].upper()}{step.what[1:]} ({step.paragraph})"
