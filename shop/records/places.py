"""What the records hang up in the pages of lower rooms. Each function renders a template and writes nothing."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Count, Max, Min, Q
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import resolve

from shop.counter.models import Customer, Job, Unit, UnitModel
from shop.counter.stages import ENDED
from shop.frame.doors import StaffRequest
from shop.frame.formwork import PlainForm
from shop.frame.models import Role
from shop.frame.rooms import open_door
from shop.records.comebacks import likely_comeback
from shop.records.models import SearchRow
from shop.records.next_step import next_step
from shop.records.remedies import advice_for
from shop.records.usually import usual_of

SHOWN = 5


@dataclass(frozen=True, slots=True)
class Door:
    """One way on from a job: to its card or its page in a room."""

    key: str
    label: str
    icon: str
    url_name: str
    roles: tuple[str, ...]


DOORS = (
    Door("card", "Job card", "file-text", "records:job_card", (Role.COUNTER, Role.BENCH)),
    Door("counter", "Counter", "tag", "counter:job", (Role.COUNTER,)),
    Door("bench", "Bench", "wrench", "bench:job", (Role.BENCH,)),
    Door("money", "Money", "receipt-text", "office:job", (Role.COUNTER,)),
    Door("dispatch", "Dispatch", "truck", "dispatch:job", (Role.COUNTER,)),
)
ALSO_CALLED = {"office": "money", "records": "card"}


def job_doors(request: StaffRequest, *, job: Job, here: str = "") -> str:
    """Tabs that lead from any page of a job to its others, as far as the person's roles reach."""
    doors = [
        (door, address)
        for door in DOORS
        if request.user.has_role(*door.roles) and (address := open_door(door.url_name, job.number))
    ]
    # the bench says its own steps
    step = next_step(job) if here != "bench" else None
    context = {
        "doors": doors,
        "here": ALSO_CALLED.get(here, here),
        "step": step,
        "way": step.address if step is not None and _leads(request, step.address) else "",
    }
    return render_to_string("records/places/job_doors.html", context, request)


def _leads(request: StaffRequest, address: str) -> bool:
    """Whether the address leads somewhere else, and this person may go there."""
    if not address or address == request.path:
        return False
    roles = getattr(resolve(address.partition("#")[0]).func, "roles", ())
    return not roles or request.user.has_role(*roles)


def unit_known(request: HttpRequest, *, unit: Unit, complaint: str = "") -> str:
    """The earlier jobs of a unit, at the counter while it is being booked in, and whether it seems to come back."""
    jobs = list(Job.objects.filter(unit=unit).order_by("-id")[: SHOWN + 1])
    if not jobs:
        return ""
    context = {
        "jobs": jobs[:SHOWN],
        "more": len(jobs) > SHOWN,
        "ended": ENDED,
        "likely": likely_comeback(unit, complaint) if complaint.strip() else None,
    }
    return render_to_string("records/places/unit_known.html", context, request)


def comeback(request: HttpRequest, *, job: Job) -> str:
    """Where a job has just been booked in, and on its page at the counter: it seems to be a comeback, or is one."""
    if job.stage in ENDED:
        return ""
    likely = None if job.comeback_of_id else likely_comeback(job.unit, job.complaint, job=job)
    if likely is None and not job.comeback_of_id:
        return ""
    context = {"job": job, "likely": likely, "form": PlainForm()}
    return render_to_string("records/places/comeback.html", context, request)


def fixed_last_time(request: HttpRequest, *, model: UnitModel, complaint: str = "") -> str:
    """While booking in: what fixed such a complaint last time, for the estimate."""
    if not complaint.strip():
        return ""
    advice = advice_for(model, complaint)
    context = {"advice": advice, "usual": usual_of(advice)}
    return render_to_string("records/places/advice.html", context, request) if advice else ""


def bench_aside(request: HttpRequest, *, job: Job) -> str:
    """At the bench, which asks for it after its page has come: what fixed it last time."""
    context = {"advice": advice_for(job.unit.model, job.complaint, job=job)}
    return render_to_string("records/places/bench_aside.html", context, request)


def customer_history(request: StaffRequest, *, customer: Customer) -> str:
    """What the shop did for a customer in sum; for the owner, their data as a file, merging and forgetting."""
    jobs = Job.objects.filter(customer=customer).aggregate(
        count=Count("pk"),
        open=Count("pk", filter=~Q(stage__in=ENDED)),
        comebacks=Count("pk", filter=Q(comeback_of__isnull=False)),
        first=Min("booked_in_at"),
        last=Max("booked_in_at"),
    )
    context = {"customer": customer, "jobs": jobs, "owner": request.user.has_role(Role.OWNER)}
    return render_to_string("records/places/customer_history.html", context, request)


def model_known(request: HttpRequest, *, model: UnitModel) -> str:
    """While booking in: the shop has had this model before."""
    count = SearchRow.objects.filter(model=model).order_by()[:100].count()
    return render_to_string("records/places/model_known.html", {"model": model, "count": count}, request)
