"""What somebody should be reminded of, found by itself: each with a letter to look at before it is sent."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from shop.counter.models import Job, Promise
from shop.counter.stages import OPEN, Stage
from shop.frame import clock
from shop.frame.spelling import weekday
from shop.keeping.letter_texts import Texts, texts
from shop.office.models import Estimate
from shop.planner.letters import NEW_DATE, NO_ANSWER, NOT_PICKED_UP, PART_OVERDUE
from shop.planner.models import Reminded
from shop.planner.queries import rows
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


COUNTED = {
    "promise": ("a promised date has moved", "{} promised dates have moved"),
    "estimate": ("an estimate is not answered", "{} estimates are not answered"),
    "part": ("a part is overdue", "{} parts are overdue"),
    "fetch": ("a unit is ready and not picked up", "{} units are ready and not picked up"),
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
    words = texts()
    found = [*_moved(words), *_unanswered(words), *_not_fetched(words), *_overdue(words)]
    return [one for one in found if (one.kind, one.job.pk) not in dealt_with]


def in_words() -> str:
    """How many reminders of each kind are due, as news tells it; empty where none is."""
    counts = Counter(one.kind for one in due())
    return ", ".join(
        (one if counts[kind] == 1 else many.format(counts[kind]))
        for kind, (one, many) in COUNTED.items()
        if counts[kind]
    )


def _moved(words: Texts) -> Iterator[Reminder]:
    limit = promise_rules().retell_days
    for row in rows():
        promise = row.slipped(limit)
        if promise is None or promise.day is None:
            continue
        ready = promise.what == Promise.What.READY
        new = row.told.ready_safe if ready else row.told.word_safe
        letter = words.write(
            NEW_DATE,
            **_about(row.job),
            why=promise.get_because_display() if promise.because else "",
            hoped="to have it ready" if ready else "to tell you what is wrong with it",
            day=weekday(promise.day),
            then=f"We expect {weekday(new)} now." if new else "We will write when we know a new date.",
        )
        yield Reminder("promise", row.job, row.job.customer.email, *letter, new, promise.what)


def _unanswered(words: Texts) -> Iterator[Reminder]:
    given = Estimate.objects.filter(
        state=Estimate.State.GIVEN,
        given_at__lt=clock.now() - UNANSWERED,
        job__stage=Stage.AWAITING_WORD,
    )
    for one in given.select_related("job__customer", "job__unit__model__maker").order_by("given_at")[:50]:
        letter = words.write(NO_ANSWER, **_about(one.job))
        yield Reminder("estimate", one.job, one.job.customer.email, *letter)


def _not_fetched(words: Texts) -> Iterator[Reminder]:
    waiting = Job.objects.filter(stage=Stage.READY, ready_at__lt=clock.now() - NOT_FETCHED)
    for job in waiting.select_related("customer", "unit__model__maker").order_by("ready_at")[:50]:
        letter = words.write(NOT_PICKED_UP, **_about(job), day=weekday(job.ready_at))
        yield Reminder("fetch", job, job.customer.email, *letter)


def _overdue(words: Texts) -> Iterator[Reminder]:
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
            letter = words.write(
                PART_OVERDUE,
                number=order.number,
                supplier=str(order.supplier),
                day=weekday(order.sent_at),
                part=one.description,
            )
            yield Reminder("part", one.job, order.supplier.email, *letter)


def _about(job: Job) -> dict[str, str]:
    return {"customer": job.customer.name, "unit": str(job.unit.model), "number": job.number}
