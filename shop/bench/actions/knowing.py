"""What the bench keeps of a model or a set: the largest capacitor, the maker's limits, and sets that must match."""

from __future__ import annotations

import datetime as dt
import uuid
from decimal import Decimal
from typing import Any

from shop.bench.actions.lines import write
from shop.bench.models import Evidence, EvidenceKind, Reservoir
from shop.counter.model_file import set_safety_limits
from shop.counter.models import Job, SafetyLimits
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.discharge import DischargeError, wait_for
from shop.handbook.matching import Outcome, SetReport


def set_reservoir(
    *,
    job: Job,
    volt: Decimal,
    farad: Decimal,
    ohm: Decimal,
    by: Staff,
    where: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Reservoir:
    """Keep the largest capacitor of this job's model: volt, farad, and its bleeder in ohm."""
    try:
        wait_for(volt, farad, ohm)
    except DischargeError as error:
        raise Refusal(str(error)) from error
    with acting(by=by, at=at, once=entry) as act:
        reservoir, _ = Reservoir.objects.update_or_create(
            model=job.unit.model,
            defaults={"volt": volt, "farad": farad, "ohm": ohm, "where": where.strip()},
        )
        act.record("model.reservoir_set", subject=reservoir, jobs=[job.pk], model=job.unit.model_id)
    return reservoir


def set_limits(
    *,
    job: Job,
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
    **printed: Any,
) -> SafetyLimits:
    """Keep what the maker of this job's model prints, found in the manual while the unit lies open.

    `printed`: the limits as `set_safety_limits` of the counter takes them.
    """
    return set_safety_limits(model=job.unit.model, job=job, by=by, entry=entry, at=at, **printed)


def add_matched_set(
    *,
    job: Job,
    report: SetReport,
    marking: str,
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Evidence:
    """Keep the report on a set that must match: its devices as they are marked, and every check in a sentence."""
    with acting(by=by, at=at, once=entry) as act:
        evidence = Evidence(
            job=job,
            kind=EvidenceKind.MISMATCH,
            where=", ".join(report.names)[:160],
            marking=marking[:120],
            note=" ".join(check.sentence for check in report.checks),
            judgement=JUDGED[report.outcome],
            argument=f"{str(report.kind).capitalize()}: {WORDS[report.outcome]}.",
        )
        return write(act, evidence, "evidence.added", entry=entry, kind=EvidenceKind.MISMATCH.value)


JUDGED = {Outcome.PASS: "matched", Outcome.FAIL: "not_matched", Outcome.NOT_KNOWN: "open"}
WORDS = {
    Outcome.PASS: "the set matches",
    Outcome.FAIL: "the set does not match",
    Outcome.NOT_KNOWN: "not everything is known",
}
