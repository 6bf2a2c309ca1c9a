"""Lines in a job's record: findings, photographs, the conclusion, and striking one out."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Sequence
from typing import TypeVar

from django.core.files.uploadedfile import UploadedFile

from shop.bench.models import Conclusion, FailureMode, Finding, Overruled, Written
from shop.counter.actions import attach_picture
from shop.counter.models import Job, JobPicture
from shop.counter.stages import ENDED, Outcome, Stage
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import Picture
from shop.keeping.pictures import take_picture

L = TypeVar("L", bound=Written)


def write(act: Act, line: L, verb: str, *, entry: uuid.UUID | None, **facts: object) -> L:
    """Save a new line under the open act, with its entry id and its journal entry."""
    refuse_away(line.job)
    if entry is not None:
        line.entry = entry
    line.at, line.by = act.at, act.by
    line.save(force_insert=True)
    act.record(verb, subject=line, jobs=[line.job_id], **facts)
    return line


def refuse_away(job: Job) -> None:
    """A unit that is not in the house takes no lines: one that has gone and comes back is a new job."""
    if job.stage in ENDED:
        raise Refusal(f"{job.number} has ended; book the unit in again and write it there.")
    if job.stage == Stage.EXPECTED:
        raise Refusal(f"{job.number} has not come yet; book it in first.")
    if not Stage(job.stage).row.is_here:
        raise Refusal(f"{job.number} is not in the house; note it when the unit is back.")


def add_finding(
    *,
    job: Job,
    text: str,
    by: Staff,
    picture: Picture | None = None,
    beyond: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Finding:
    """Write down what was seen. `beyond`: it is a further fault, and the customer is asked before it is mended."""
    if not text.strip():
        raise Refusal("Say what was found.", field="text")
    with acting(by=by, at=at, once=entry) as act:
        return write(
            act,
            Finding(job=job, text=text.strip(), picture=picture, beyond=beyond),
            "finding.added",
            entry=entry,
        )


def add_picture(
    *,
    job: Job,
    upload: UploadedFile,
    by: Staff,
    shows: str = JobPicture.Shows.BENCH,
    caption: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> JobPicture:
    """Keep a photograph taken at the bench."""
    with acting(by=by, at=at, once=entry):
        refuse_away(job)
        picture = take_picture(upload, by=by, field="photos")
        return attach_picture(job=job, picture=picture, by=by, shows=shows, caption=caption)


def add_pictures(
    *,
    job: Job,
    photos: Sequence[UploadedFile],
    by: Staff,
    shows: str = JobPicture.Shows.BENCH,
    caption: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[JobPicture]:
    """Keep several photographs taken at once: all of them or none."""
    if not photos:
        raise Refusal("Take or choose a photograph first.", field="photos")
    with acting(by=by, at=at, once=entry):
        return [add_picture(job=job, upload=one, by=by, shows=shows, caption=caption) for one in photos]


def conclude(
    *,
    job: Job,
    failed: str,
    mode: str,
    remedy: str,
    outcome: str,
    by: Staff,
    position: str = "",
    watch: str = "",
    known_by: str = "",
    tell_how_known: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Conclusion:
    """State what had failed, how, and what fixed it. A job may have several; the last one gives its outcome."""
    if mode != FailureMode.NONE_FOUND and not failed.strip():
        raise Refusal("Say what had failed.", field="failed")
    if not remedy.strip():
        raise Refusal("Say what fixed it, or why nothing did.", field="remedy")
    with acting(by=by, at=at, once=entry) as act:
        conclusion = Conclusion(
            job=job,
            failed=failed.strip() or "nothing",
            position=position.strip(),
            mode=mode,
            remedy=remedy.strip(),
            outcome=Outcome(outcome),
            watch=watch.strip(),
            known_by=known_by,
            tell_how_known=tell_how_known,
        )
        write(act, conclusion, "job.concluded", entry=entry, mode=mode, outcome=outcome)
        Job.objects.filter(pk=job.pk).update(outcome=outcome)
        job.outcome = outcome
    return conclusion


def overrule(
    *,
    job: Job,
    rule: str,
    reason: str,
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Overruled:
    """Set a suggestion of the isolation rules aside, with the reason."""
    if not reason.strip():
        raise Refusal("Say why it does not hold here.", field="reason")
    with acting(by=by, at=at, once=entry) as act:
        return write(
            act,
            Overruled(job=job, rule=rule, reason=reason.strip()),
            "rule.overruled",
            entry=entry,
            rule=rule,
        )


def strike(
    *, line: L, reason: str, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> L:
    """Strike a wrong line out. It stays readable with the reason, and nothing is calculated with it any more."""
    if not reason.strip():
        raise Refusal("Say why this line is struck out.", field="reason")
    with acting(by=by, at=at, once=entry) as act:
        standing = type(line)._default_manager.filter(pk=line.pk, struck_at__isnull=True)
        if not standing.update(struck_at=act.at, struck_by=by, struck_reason=reason.strip()[:200]):
            raise Refusal("This line is struck out already.")
        act.record("line.struck", subject=line, jobs=[line.job_id])
        if isinstance(line, Conclusion):
            last = (
                Conclusion.objects.filter(job_id=line.job_id, struck_at__isnull=True)
                .order_by("-at", "-id")
                .first()
            )
            Job.objects.filter(pk=line.job_id).update(outcome=last.outcome if last is not None else "")
    line.refresh_from_db()
    return line
