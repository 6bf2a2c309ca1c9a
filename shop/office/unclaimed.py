"""A unit that nobody fetches: the days of the law's ways, computed. Letters are made; the program sells nothing."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from shop.counter.models import Job
from shop.frame.clock import day_of
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook import law
from shop.handbook.law import Left, Timeline, unclaimed
from shop.handbook.money import Money
from shop.office import queries
from shop.office.models import Invoice, LeftHere, Letter


@dataclass(frozen=True, slots=True)
class LeftUnit:
    """What is known of a unit left here, the ways that the law offers, and what storage comes to by now."""

    left: Left
    timelines: tuple[Timeline, ...]
    storage: Money | None


def left_unit(job: Job, *, on: dt.date) -> LeftUnit:
    """Reckon the days for a unit that is ready. Refuses one that isn't."""
    if job.ready_at is None:
        raise Refusal(f"{job.number} is not ready yet; the days count from then.")
    left = known_of(job)
    timelines = law.timelines(the_profile().law, left)
    small = next((line for line in timelines if line.key == "ca_3052b" and line.open), None)
    return LeftUnit(left, timelines, unclaimed.storage_charge(small, on) if small else None)


def known_of(job: Job) -> Left:
    """The facts of a unit left here as the handbook reckons with them; letters give their days."""
    noted = LeftHere.objects.filter(job=job).first() or LeftHere(job=job)
    collect = _sent(job, Letter.Kind.COLLECT)
    sale = _sent(job, Letter.Kind.SALE)
    assert job.ready_at is not None  # noqa: S101  (asked before; for the type checker)
    return Left(
        completed=day_of(job.ready_at),
        charges=queries.balance_of(job),
        due=_due(job),
        within_estimate=_within_estimate(job),
        stored_by_agreement=noted.stored_by_agreement,
        summary_signed=noted.summary_signed,
        sign_posted=noted.sign_posted,
        notice_sent=collect.sent_on if collect else None,
        notice_received=collect.received_on if collect else None,
        sale_notice_sent=sale.sent_on if sale else None,
        disputed=noted.disputed,
    )


def _sent(job: Job, kind: str) -> Letter | None:
    """The first letter of that kind that went."""
    sent = Letter.objects.filter(job=job, kind=kind, sent_on__isnull=False)
    return sent.order_by("sent_on", "id").first()


def _due(job: Job) -> dt.date | None:
    standing = queries.invoices_of(job).filter(
        issued_at__isnull=False, kind=Invoice.Kind.INVOICE, taken_back_at__isnull=True
    )
    due: dt.date | None = standing.order_by("due_date").values_list("due_date", flat=True).first()
    return due


def _within_estimate(job: Job) -> bool:
    """B&P 9844.5: no right to hold the unit where the charges exceed the higher of estimate and documented revision."""
    return queries.charged_before(job) <= queries.agreed_on(job).may_be_held_for
