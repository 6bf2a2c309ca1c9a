"""What was written down at the counter, put right: a slip of the pen, a serial number found once the cover was off."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping
from typing import Any

from shop.counter.actions.intake import UnitDescribed
from shop.counter.actions.units import built_in, change_unit, model_named
from shop.counter.agreed_sums import sums_still_open
from shop.counter.models import Job, UnitModel
from shop.counter.stages import ENDED
from shop.frame.journal import Act, acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal

SUMS = ("limit_minor", "bench_fee_minor")


def put_right(
    *,
    job: Job,
    described: UnitDescribed,
    facts: Mapping[str, object],
    by: Staff,
    once_key: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Job:
    """Put right what the counter wrote of a job and its unit; only what differs is written and told in the journal.

    `facts` are fields of `Job` with what they become. Papers that were issued stay as they are. Raises Refusal once the
    job has ended, and for a sum agreed on once the work has begun: from then on the office records the customer's answer.
    """
    with acting(by=by, at=at, once=once_key) as act:
        if job.stage in ENDED:
            raise Refusal("This job has ended; what was written of it stays.")
        changed = {name: value for name, value in facts.items() if getattr(job, name) != value}
        if changed.keys() & {*SUMS} and not sums_still_open(job):
            raise Refusal("The work has begun: what the customer agrees to now is recorded in the office.")
        _put_unit_right(act, job, described)
        for name, value in changed.items():
            setattr(job, name, value)
        if changed:
            job.save(update_fields=[*changed])
            act.record("job.put_right", subject=job, jobs=[job.pk], fields=sorted(changed))
    return job


def _put_unit_right(act: Act, job: Job, described: UnitDescribed) -> None:
    unit = job.unit
    model = model_named(maker=described.maker, name=described.model, kind=described.kind, by=act.by)
    if described.kind != unit.model.kind:
        _set_kind(act, model, described.kind)
    facts: dict[str, Any] = {
        "model": model,
        "serial": described.serial.strip(),
        "mains": described.mains,
        "line_voltage": described.line_voltage,
        "protection_class": described.protection_class,
    }
    changed = {name: value for name, value in facts.items() if getattr(unit, name) != value}
    if described.year_made != unit.year_made:
        changed |= built_in(described.year_made)
    if changed:
        change_unit(unit=unit, by=act.by, **changed)


def _set_kind(act: Act, model: UnitModel, kind: str) -> None:
    """The kind belongs to the model, so that all its jobs are found by it anew."""
    if model.kind == kind:
        return
    model.kind = kind
    model.save(update_fields=["kind"])
    jobs = Job.objects.filter(unit__model=model).values_list("pk", flat=True)
    act.record("model.changed", subject=model, jobs=jobs, fields=["kind"])
