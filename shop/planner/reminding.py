"""What somebody should be reminded of, found by itself: each with a letter to look at before it is sent."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from shop.counter.models import Job, Promise
from shop.counter.stages import OPEN, Stage
from shop.frame import clock
from shop.frame.profile import the_profile
from shop.frame.spelling import weekday
from shop.office.models import Estimate
from shop.planner.models import Reminded
from shop.planner.queries import Row, rows
from shop.premises.queries import promise_rules
from shop.stockroom.models import PartWanted

UNANSWERED = dt.timedelta(days=7)
NOT_FETCHED = dt.timedelta(days=14)
OVERDUE = dt.timedelta(days=3)
AGAIN_AFTER = dt.timedelta(days=7)
KINDS = {
    "estimate": "The estimate is not answered",
    "part": "A part is overdue",
    "fetch": "Ready and not picked up",
    "promise": "A promised date has moved",
}


@dataclass(frozen=True, slots=True)
class Reminder:
    """One reminder: about which job, to whom, and the letter as it would go; `new_day` where it tells a new date."""

    kind: str
    job: Job
    to: str
    subject: str
    body: str
    new_day: dt.date | None = None
    what: str = Promise.What.READY

    @property
    def title(self) -> str:
        """What it is about."""
        return KINDS[self.kind]

    @property
    def key(self) -> str:
        """What its form says that it is."""
        return f"{self.kind}-{self.job.pk}"


def due() -> list[Reminder]:
    """All reminders that are due and were neither sent nor left aside in the last week."""
    lately = Reminded.objects.filter(at__gte=clock.now() - AGAIN_AFTER).values_list("kind", "job_id")
    dealt_with = set(lately)
    found = [*_moved(), *_unanswered(), *_not_fetched(), *_overdue()]
    return [one for one in found if (one.kind, one.job.pk) not in dealt_with]


def _letter(lines: str) -> str:
    return f"Hello,\n\n{lines}\n\n{the_profile().name}"


def _moved() -> Iterator[Reminder]:
    limit = promise_rules().retell_days
    for row in rows():
        promise = row.slipped(limit)
        if promise is None or promise.day is None:
            continue
        ready = promise.what == Promise.What.READY
        new = row.told.ready_safe if ready else row.told.word_safe
        yield Reminder(
            "promise",
            row.job,
            row.job.customer.email,
            f"{row.job.unit.model}: a new date",
            _letter(_new_date(row, promise, new)),
            new,
            promise.what,
        )


def _new_date(row: Row, promise: Promise, new: dt.date | None) -> str:
    hoped = "to have it ready" if promise.what == Promise.What.READY else "to tell you what is wrong with it"
    why = f", because {promise.get_because_display()}" if promise.because else ""
    then = f"We expect {weekday(new)} now." if new else "We will write when we know a new date."
    return (
        f"Your {row.job.unit.model} (job {row.job.number}) takes longer than we said{why}. "
        f"We had hoped {hoped} by {weekday(promise.day)}. {then} We are sorry."
    )


def _unanswered() -> Iterator[Reminder]:
    given = Estimate.objects.filter(
        state=Estimate.State.GIVEN,
        given_at__lt=clock.now() - UNANSWERED,
        job__stage=Stage.AWAITING_WORD,
    )
    for one in given.select_related("job__customer", "job__unit__model__maker").order_by("given_at")[:50]:
        body = (
            f"We sent you an estimate for your {one.job.unit.model} (job {one.job.number}) and have no answer yet. "
            "May we go on? A yes or a no is enough."
        )
        yield Reminder(
            "estimate", one.job, one.job.customer.email, f"{one.job.unit.model}: our estimate", _letter(body)
        )


def _not_fetched() -> Iterator[Reminder]:
    waiting = Job.objects.filter(stage=Stage.READY, ready_at__lt=clock.now() - NOT_FETCHED)
    for job in waiting.select_related("customer", "unit__model__maker").order_by("ready_at")[:50]:
        body = (
            f"Your {job.unit.model} (job {job.number}) has been ready since {weekday(job.ready_at)}. "
            "Tell us when you would like to pick it up."
        )
        yield Reminder("fetch", job, job.customer.email, f"{job.unit.model} is ready", _letter(body))


def _overdue() -> Iterator[Reminder]:
    owed = PartWanted.objects.filter(
        came_at=None,
        fitted_at=None,
        dropped_at=None,
        job__stage__in=OPEN,
        order_line__order__sent_at__isnull=False,
    ).select_related("job__unit__model__maker", "order_line__order__supplier")
    for one in owed.order_by("id")[:200]:
        line = one.order_line
        if line is None or line.order.sent_at is None:
            continue
        order = line.order
        due_at = line.order.sent_at + dt.timedelta(days=order.supplier.lead_days) + OVERDUE
        if due_at < clock.now():
            body = (
                f"Our order {order.number} of {weekday(order.sent_at)} has not come yet: {one.description}. "
                "When may we expect it?"
            )
            yield Reminder("part", one.job, order.supplier.email, f"Order {order.number}", _letter(body))
