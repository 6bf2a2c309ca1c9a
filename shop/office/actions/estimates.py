"""Estimates: written, put to the customer, and from then on never changed; a change makes the next version."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence

from shop.counter.actions import file_paper
from shop.counter.models import Job
from shop.counter.moving import move
from shop.counter.stages import Stage
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.office import discounts, pricing
from shop.office.actions.holding import refuse_other_currency
from shop.office.models import Estimate, EstimateLine
from shop.office.papers import estimate_sheet, issue
from shop.office.pricing import PricedItem
from shop.press.drawing import warm_up


def draft_estimate(
    *,
    job: Job,
    by: Staff,
    items: Sequence[PricedItem] | None = None,
    diagnosis_only: bool = False,
    lump_sum: bool = False,
    note: str = "",
    days_needed: int | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Estimate:
    """Write an estimate from what is recorded on the job, or from the items given. A draft that exists is written anew."""
    with acting(by=by, at=at, once=once_key) as act:
        refuse_other_currency(job)
        estimate = Estimate.objects.select_for_update().filter(job=job, state=Estimate.State.DRAFT).first()
        if estimate is None:
            last = Estimate.objects.filter(job=job).order_by("-version").first()
            estimate = Estimate(
                job=job, version=last.version + 1 if last else 1, currency=job.currency, by=by
            )
        estimate.job = job
        estimate.written_at = act.at
        estimate.diagnosis_only, estimate.lump_sum = diagnosis_only, lump_sum
        estimate.note, estimate.days_needed = note.strip(), days_needed
        estimate.save()
        set_lines(
            estimate=estimate,
            items=pricing.items_of(job, on=act.day) if items is None else items,
            by=by,
        )
    return estimate


def next_version(
    *, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Estimate:
    """Begin the next version from the lines of the last one, what is under the bench's hands since left to the person."""
    last = Estimate.objects.filter(job=job).exclude(state=Estimate.State.DRAFT).order_by("-version").first()
    if last is None:
        return draft_estimate(job=job, by=by, once_key=once_key, at=at)
    items = pricing.as_items(list(last.lines.all()), last.currency, job)
    return draft_estimate(
        job=job,
        by=by,
        items=items,
        lump_sum=last.lump_sum,
        days_needed=last.days_needed,
        once_key=once_key,
        at=at,
    )


def set_lines(
    *,
    estimate: Estimate,
    items: Sequence[PricedItem],
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Estimate:
    """Replace the lines of a draft."""
    with acting(by=by, at=at, once=once_key) as act:
        _refuse_given(estimate)
        job = estimate.job
        items, reckoned = discounts.reckoned(
            items,
            customer=job.customer,
            currency=estimate.currency,
            on=act.day,
            jobs=[job],
            lump_sum=estimate.lump_sum,
        )
        EstimateLine.objects.filter(estimate=estimate).delete()
        EstimateLine.objects.bulk_create(
            EstimateLine(estimate=estimate, gross_minor=gross.minor, **item.columns(place, line.net))
            for place, (item, line, gross) in enumerate(
                zip(items, reckoned.lines, reckoned.gross_lines, strict=True), 1
            )
        )
        estimate.total_minor, estimate.tax_minor = reckoned.net.minor, reckoned.tax.minor
        estimate.save(update_fields=["total_minor", "tax_minor"])
        act.record(
            "estimate.drafted",
            subject=estimate,
            jobs=[estimate.job_id],
            version=estimate.version,
            total_minor=estimate.total_minor,
        )
    return estimate


def discard_estimate(
    *, job: Job, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Job:
    """Throw the draft of an estimate away; what was given stays."""
    with acting(by=by, at=at, once=once_key) as act:
        draft = Estimate.objects.select_for_update().filter(job=job, state=Estimate.State.DRAFT).first()
        if draft is None:
            raise Refusal("There is no draft to discard.")
        act.record("estimate.discarded", subject=draft, jobs=[job.pk], version=draft.version)
        EstimateLine.objects.filter(estimate=draft).delete()
        draft.delete()
        act.made(job)
    return job


def put_estimate(
    *, estimate: Estimate, by: Staff, once_key: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Estimate:
    """Put an estimate to the customer: the paper is issued, the sum is fixed, and the job awaits word.

    Earlier versions are replaced by it. A job that stands elsewhere than on the bench or waiting for parts keeps its stage; the
    answer is owed all the same.
    """
    job = estimate.job
    warm_up()
    with acting(by=by, at=at, once=once_key) as act:
        _refuse_given(estimate)
        lines = list(estimate.lines.all())
        if not lines:
            raise Refusal("The estimate has no line yet.")
        if unpriced := [line.description for line in lines if line.unpriced]:
            raise Refusal(f"Say what these cost, 0 if nothing is charged: {'; '.join(unpriced)}.")
        day = act.day
        estimate.valid_until = day + dt.timedelta(days=pricing.rules_on(day).estimate_days)
        estimate.given_at = act.at
        paper = issue(estimate_sheet(estimate, lines, by=by), by=by)
        given = Estimate.objects.filter(pk=estimate.pk, state=Estimate.State.DRAFT)
        if not given.update(
            state=Estimate.State.GIVEN, given_at=act.at, valid_until=estimate.valid_until, paper=paper
        ):
            raise Refusal("This estimate is with the customer already.")
        earlier = Estimate.objects.filter(job=job, version__lt=estimate.version, state=Estimate.State.GIVEN)
        earlier.update(state=Estimate.State.REPLACED)
        estimate.refresh_from_db()
        Job.objects.filter(pk=job.pk).update(answer_owed_since=act.at)
        job.answer_owed_since = act.at
        if job.stage in {Stage.ON_THE_BENCH, Stage.AWAITING_PARTS}:
            move(job, Stage.AWAITING_WORD, act=act)
        file_paper(act=act, paper=paper, jobs=[job])
        act.seal(estimate, *lines)
        act.record(
            "estimate.given",
            subject=estimate,
            jobs=[job.pk],
            version=estimate.version,
            total_minor=estimate.total_minor,
        )
    return estimate


def _refuse_given(estimate: Estimate) -> None:
    if estimate.state != Estimate.State.DRAFT:
        raise Refusal(
            "This estimate was put to the customer: a change makes a new version that needs its own yes."
        )
