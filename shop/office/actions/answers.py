"""The customer's answer to an estimate, with everything that 16 CCR 2722 asks to be noted when it was oral."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Collection

from django.core.files.base import File

from shop.counter.models import Job
from shop.counter.moving import move
from shop.counter.stages import Outcome, Stage
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import StoredFile
from shop.keeping.pictures import take_file, take_picture
from shop.office.models import Authorisation, Estimate, EstimateLine

ORAL = {Authorisation.How.PHONE, Authorisation.How.IN_PERSON}
YES = {
    Authorisation.Answer.YES,
    Authorisation.Answer.PARTLY,
    Authorisation.Answer.UP_TO,
    Authorisation.Answer.DIAGNOSIS,
}


def record_answer(
    *,
    job: Job,
    answer: str,
    how: str,
    given_by: str,
    by: Staff | None,
    estimate: Estimate | None = None,
    accepted_lines: Collection[int] = (),
    up_to_minor: int | None = None,
    phone_called: str = "",
    conditions: str = "",
    additional_work: str = "",
    additional_minor: int = 0,
    address_seen: str | None = None,
    message: StoredFile | File[bytes] | None = None,
    drawing: File[bytes] | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Authorisation:
    """Write the customer's answer down. Sums are minor units before tax (16 CCR 2722(b)).

    `message` is what the customer wrote, as a kept file or an upload; `drawing` the picture of a drawn signature.

    A yes puts a job that awaited word on the bench; a no makes it ready to go back as declined.
    """
    if not given_by.strip():
        raise Refusal("Name the person who gave the answer.", field="given_by")
    if how in ORAL and by is None:
        raise Refusal("An oral answer names who received it.", field="how")
    if how == Authorisation.How.PHONE and not phone_called.strip():
        raise Refusal("Note the phone number called (16 CCR 2722).", field="phone_called")
    with acting(by=by, at=at, once=once_key) as act:
        _refuse_stale(estimate, act)
        authorisation = Authorisation.objects.create(
            job=job,
            estimate=estimate,
            answer=answer,
            how=how,
            at=act.at,
            given_by=given_by.strip(),
            phone_called=phone_called.strip(),
            received_by=by,
            conditions=conditions.strip(),
            additional_work=additional_work.strip(),
            additional_minor=additional_minor,
            authorised_minor=_authorised(
                job, answer, estimate, accepted_lines, up_to_minor, additional_minor
            ),
            address_seen=address_seen,
            message=message if isinstance(message, StoredFile | None) else _kept(message, by),
            drawing=take_picture(drawing, by=by, field="drawing") if drawing is not None else None,
        )
        if estimate is not None:
            _settle(estimate, answer, accepted_lines)
        Job.objects.filter(pk=job.pk).update(answer_owed_since=None)
        job.answer_owed_since = None
        if job.stage == Stage.AWAITING_WORD:
            goal, outcome = (Stage.ON_THE_BENCH, None) if answer in YES else (Stage.READY, Outcome.DECLINED)
            move(job, goal, act=act, asked_by="office.record_answer", outcome=outcome)
        act.seal(authorisation)
        act.record(
            "answer.recorded",
            subject=authorisation,
            jobs=[job.pk],
            answer=answer,
            how=how,
            authorised_minor=authorisation.authorised_minor,
        )
    return authorisation


def _kept(message: File[bytes], by: Staff | None) -> StoredFile:
    return take_file(message, by=by, field="message")


def _refuse_stale(estimate: Estimate | None, act: Act) -> None:
    if estimate is None:
        return
    if estimate.state == Estimate.State.DRAFT:
        raise Refusal("This estimate has not been put to the customer yet.")
    if estimate.state == Estimate.State.REPLACED:
        raise Refusal("A later version of the estimate has replaced this one; the answer belongs to that.")
    if estimate.valid_until is not None and act.day > estimate.valid_until:
        raise Refusal(f"The estimate stood until {estimate.valid_until}; put a new version to the customer.")


def _authorised(
    job: Job,
    answer: str,
    estimate: Estimate | None,
    accepted_lines: Collection[int],
    up_to_minor: int | None,
    additional_minor: int,
) -> int:
    """What may be charged in all, before tax, in minor units."""
    if answer == Authorisation.Answer.NO:
        return job.bench_fee_minor or 0
    if answer == Authorisation.Answer.DIAGNOSIS:
        return up_to_minor if up_to_minor is not None else job.bench_fee_minor or 0
    if answer == Authorisation.Answer.UP_TO:
        if up_to_minor is None:
            raise Refusal("Say up to which sum.", field="up_to")
        return up_to_minor
    if answer == Authorisation.Answer.PARTLY:
        if estimate is None or not accepted_lines:
            raise Refusal("Tick the lines that were accepted.", field="accepted_lines")
        lines = EstimateLine.objects.filter(estimate=estimate, pk__in=accepted_lines)
        return sum(lines.values_list("net_minor", flat=True)) + additional_minor
    return (estimate.total_minor if estimate is not None else up_to_minor or 0) + additional_minor


def _settle(estimate: Estimate, answer: str, accepted_lines: Collection[int]) -> None:
    state = {
        Authorisation.Answer.NO: Estimate.State.DECLINED,
        Authorisation.Answer.PARTLY: Estimate.State.PARTLY,
    }.get(Authorisation.Answer(answer), Estimate.State.ACCEPTED)
    Estimate.objects.filter(pk=estimate.pk).update(state=state)
    lines = EstimateLine.objects.filter(estimate=estimate)
    if answer == Authorisation.Answer.PARTLY:
        lines.filter(pk__in=accepted_lines).update(accepted=True)
        lines.exclude(pk__in=accepted_lines).update(accepted=False)
    else:
        lines.update(accepted=answer in YES)
    estimate.refresh_from_db()
