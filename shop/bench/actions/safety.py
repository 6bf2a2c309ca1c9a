"""The safety check of a repaired unit, the written reason in its place, and cautions that were read."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence
from decimal import Decimal

from shop.bench.actions.lines import write
from shop.bench.actions.time import take_to_bench
from shop.bench.models import LONGEST_TYPED, CautionRead, Meter, SafetyCheck, SafetyTest, SafetyWaiver
from shop.bench.safety import limits_of, unit_under_test
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.once import keyless
from shop.frame.refusal import Refusal
from shop.handbook.safety import Measurements, Outcome, SafetyError, assess
from shop.handbook.safety import Verdict as SafetyVerdict


def record_safety_check(
    *,
    job: Job,
    measurements: Measurements,
    by: Staff,
    typed: Mapping[str, str] | None = None,
    meter: Meter | None = None,
    cord_metre: Decimal | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> SafetyCheck:
    """Judge a safety check by the limits of the unit's model and write it down, each test with its sentence.

    `typed` gives, by the test's key, what was typed, so that the record shows it as it was entered.
    `cord_metre`: how long the mains cord is, where it is longer than the 5 m that the common limit covers.
    A job that was ready goes back to the bench when its check fails.
    """
    typed = typed or {}
    with acting(by=by, at=at, once=entry) as act:
        try:
            unit = unit_under_test(job.unit, cord_metre)
            result = assess(measurements, limits_of(job.unit.model), unit)
        except SafetyError as error:
            raise Refusal(str(error)) from error
        check = SafetyCheck(
            job=job,
            protection_class=job.unit.protection_class,
            outcome=result.outcome.value,
            summary=result.sentence[:400],
            meter=meter,
        )
        write(act, check, "safety.checked", entry=entry, outcome=result.outcome.value)
        SafetyTest.objects.bulk_create(
            SafetyTest(
                check_of=check,
                key=judged.test.value,
                label=judged.test.label,
                typed=typed.get(judged.test.value, "")[:LONGEST_TYPED],
                outcome=judged.verdict.value,
                limit=judged.limit[:120],
                sentence=judged.sentence[:300],
            )
            for judged in result.tests
            if judged.required or judged.verdict is not SafetyVerdict.NOT_DONE
        )
        if result.outcome is Outcome.FAILED and job.stage == Stage.READY:
            take_to_bench(job=job, by=by)
    return check


def waive_safety(
    *, job: Job, reason: str, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> SafetyWaiver:
    """Let a mains unit go home without a passed safety check: a written reason by a named person."""
    if len(reason.strip()) < 10:
        raise Refusal("Write the reason out: somebody may have to answer for it.", field="reason")
    with acting(by=by, at=at, once=entry) as act:
        return write(act, SafetyWaiver(job=job, reason=reason.strip()), "safety.waived", entry=entry)


@keyless("joined")
def read_caution(*, job: Job, key: str, by: Staff, at: dt.datetime | None = None) -> CautionRead:
    """Note that a caution was read on this job."""
    with acting(by=by, at=at) as act:
        read, made = CautionRead.objects.get_or_create(job=job, key=key, by=by, defaults={"at": act.at})
        if made:
            act.record("caution.read", subject=read, jobs=[job.pk], caution=key)
        else:
            CautionRead.objects.filter(pk=read.pk).update(at=act.at)
    return read


def read_cautions(
    *, job: Job, keys: Sequence[str], by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> list[CautionRead]:
    """Note that these cautions were read on this job, by this person."""
    with acting(by=by, at=at, once=entry) as act:
        read = [read_caution(job=job, key=key, by=by) for key in keys]
        act.made(job)
    return read
