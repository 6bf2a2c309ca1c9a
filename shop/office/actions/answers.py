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
from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook import agreement
from shop.keeping.models import StoredFile
from shop.keeping.pictures import take_file, take_picture
from shop.office import discounts, queries
from shop.office.actions.holding import hold_jobs
from shop.office.models import Authorisation, Estimate, EstimateLine, LineKind

ORAL = {Authorisation.How.PHONE, Authorisation.How.IN_PERSON}
Answer = Authorisation.Answer


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
    begins_early: bool | None = None,
    address_seen: str | None = None,
    message: StoredFile | File[bytes] | None = None,
    drawing: File[bytes] | None = None,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Authorisation:
    """Write the customer's answer down as a line of what is agreed. Sums are minor units before tax (16 CCR 2722(b)).

    `message` is what the customer wrote, as a kept file or an upload; `drawing` the picture of a drawn signature.

    A job that awaited word goes to the bench where something is agreed now, else it is ready to go back as declined. A yes
    without an estimate to say it to, that names additional work, is a yes to more.
    """
    _refuse_unnamed(how, given_by, phone_called, by)
    with acting(by=by, at=at, once=once_key) as act:
        hold_jobs([job])
        _refuse_stale(estimate, act)
        answer = _meant(answer, estimate, up_to_minor, additional_minor)
        given = Authorisation(
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
            sum_minor=_sum(job, answer, estimate, accepted_lines, up_to_minor, additional_minor),
            begins_early=begins_early,
            address_seen=address_seen,
            message=message if isinstance(message, StoredFile | None) else _kept(message, by),
            drawing=take_picture(drawing, by=by, field="drawing") if drawing is not None else None,
        )
        agreed = agreement.add_up(
            [*queries.ledger_of(job), queries.as_consent(given, job.currency)], job.currency
        )
        given.authorised_minor = agreed.whole.minor
        given.save()
        if _settle(job, estimate, answer, accepted_lines):
            _is_owed_no_more(job)
            if job.stage == Stage.AWAITING_WORD:
                goes_on = agreed.whole > agreed.fee or answer == Answer.DIAGNOSIS
                goal, outcome = (Stage.ON_THE_BENCH, None) if goes_on else (Stage.READY, Outcome.DECLINED)
                move(job, goal, act=act, outcome=outcome)
        act.seal(given)
        act.record(
            "answer.recorded",
            subject=given,
            jobs=[job.pk],
            answer=answer,
            how=how,
            sum_minor=given.sum_minor,
            authorised_minor=given.authorised_minor,
        )
    return given


def _refuse_unnamed(how: str, given_by: str, phone_called: str, by: Staff | None) -> None:
    if not given_by.strip():
        raise Refusal("Name the person who gave the answer.", field="given_by")
    if how in ORAL and by is None:
        raise Refusal("An oral answer names who received it.", field="how")
    if how == Authorisation.How.PHONE and not phone_called.strip():
        by_law = the_profile().law.cited("16 CCR 2722(a)")
        raise Refusal(f"Note the phone number called{by_law}.", field="phone_called")


def _kept(message: File[bytes], by: Staff | None) -> StoredFile:
    return take_file(message, by=by, field="message")


def _refuse_stale(estimate: Estimate | None, act: Act) -> None:
    if estimate is None:
        return
    estimate.refresh_from_db()
    if estimate.state == Estimate.State.DRAFT:
        raise Refusal("This estimate has not been put to the customer yet.")
    if estimate.state == Estimate.State.REPLACED:
        raise Refusal("A later version of the estimate has replaced this one; the answer belongs to that.")
    if estimate.valid_until is not None and act.day > estimate.valid_until:
        raise Refusal(f"The estimate stood until {estimate.valid_until}; put a new version to the customer.")


def _meant(answer: str, estimate: Estimate | None, up_to_minor: int | None, additional_minor: int) -> str:
    """What an answer does, where no estimate is with the customer that it could be said to."""
    settled = estimate is not None and estimate.state in {Estimate.State.ACCEPTED, Estimate.State.PARTLY}
    if answer == Answer.YES and additional_minor and (estimate is None or settled):
        return Answer.MORE
    if estimate is not None:
        return answer
    if answer == Answer.NO:
        return Answer.WITHDRAWN
    if answer == Answer.YES and up_to_minor is not None:
        return Answer.UP_TO
    if answer in {Answer.YES, Answer.PARTLY}:
        raise Refusal(
            "No estimate is with the customer. Say what comes on top of what is agreed, or up to which sum.",
            field="answer",
        )
    return answer


def _sum(
    job: Job,
    answer: str,
    estimate: Estimate | None,
    accepted_lines: Collection[int],
    up_to_minor: int | None,
    additional_minor: int,
) -> int:
    """What the answer itself speaks of, before tax, in minor units."""
    match answer:
        case Answer.NO:
            return 0
        case Answer.WITHDRAWN:
            return up_to_minor or 0
        case Answer.DIAGNOSIS:
            return up_to_minor if up_to_minor is not None else job.bench_fee_minor or 0
        case Answer.UP_TO:
            if up_to_minor is None:
                raise Refusal("Say up to which sum.", field="up_to")
            return up_to_minor
        case Answer.PARTLY | Answer.MORE:
            return _sum_of_lines(answer, estimate, accepted_lines, additional_minor)
        case _:
            assert estimate is not None  # noqa: S101  (asked before; for the type checker)
            return estimate.total_minor + additional_minor


def _sum_of_lines(
    answer: str, estimate: Estimate | None, accepted_lines: Collection[int], additional_minor: int
) -> int:
    if answer == Answer.PARTLY and not accepted_lines:
        raise Refusal("Check the lines that were accepted.", field="accepted_lines")
    if answer == Answer.MORE and not accepted_lines and not additional_minor:
        raise Refusal("Say what the additional work costs in all, before tax.", field="additional")
    lines = list(EstimateLine.objects.filter(estimate=estimate))
    return discounts.net_of_accepted(lines, accepted_lines) + additional_minor


def _settle(job: Job, estimate: Estimate | None, answer: str, accepted_lines: Collection[int]) -> bool:
    """Note on the estimates what became of them; False where one is still with the customer, unanswered."""
    if answer == Answer.WITHDRAWN:
        agreed = (Estimate.State.GIVEN, Estimate.State.ACCEPTED, Estimate.State.PARTLY)
        Estimate.objects.filter(job=job, state__in=agreed).update(state=Estimate.State.DECLINED)
    elif estimate is not None and (answer != Answer.MORE or accepted_lines):
        _settle_one(estimate, answer, accepted_lines)
    elif Estimate.objects.filter(job=job, state=Estimate.State.GIVEN).exists():
        return False
    if estimate is not None:
        estimate.refresh_from_db()
    return True


def _settle_one(estimate: Estimate, answer: str, accepted_lines: Collection[int]) -> None:
    refused = answer == Answer.NO or (answer == Answer.DIAGNOSIS and not estimate.diagnosis_only)
    in_part = answer in {Answer.PARTLY, Answer.MORE}
    state = (
        Estimate.State.DECLINED if refused else Estimate.State.PARTLY if in_part else Estimate.State.ACCEPTED
    )
    Estimate.objects.filter(pk=estimate.pk).update(state=state)
    lines = EstimateLine.objects.filter(estimate=estimate)
    if in_part:
        lines.filter(pk__in=accepted_lines).update(accepted=True)
        rest = lines.exclude(pk__in=accepted_lines)
        rest.exclude(kind=LineKind.DISCOUNT).update(accepted=False)
        rest.filter(kind=LineKind.DISCOUNT).update(accepted=True)  # it comes off what was accepted
    else:
        lines.update(accepted=not refused)


def _is_owed_no_more(job: Job) -> None:
    Job.objects.filter(pk=job.pk).update(answer_owed_since=None)
    job.answer_owed_since = None
