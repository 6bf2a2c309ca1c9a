"""The bench's notebook: what is temporarily installed, where one stopped, and the steps of a checklist."""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Mapping, Sequence

from shop.bench.actions.lines import write
from shop.bench.models import LeftOff, Pattern, Temporary, Ticked
from shop.counter.models import Job
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal


def put_in_temporarily(
    *,
    job: Job,
    what: str,
    by: Staff,
    where: str = "",
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Temporary:
    """Note what is temporarily installed, or out of it: the job can't be called ready until it is put back."""
    if not what.strip():
        raise Refusal("Say what is temporarily installed.", field="what")
    with acting(by=by, at=at, once=entry) as act:
        line = Temporary(job=job, what=what.strip(), where=where.strip())
        return write(act, line, "temporary.noted", entry=entry)


def put_back(
    *, temporary: Temporary, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> Temporary:
    """Note that it is put back as it was. Refuses for what is back already, or was struck out."""
    with acting(by=by, at=at, once=entry) as act:
        still = Temporary.objects.filter(pk=temporary.pk, back_at__isnull=True, struck_at__isnull=True)
        if not still.update(back_at=act.at, back_by=by):
            raise Refusal("This is put back already.")
        act.record("temporary.put_back", subject=temporary, jobs=[temporary.job_id])
    temporary.refresh_from_db()
    return temporary


def leave_off(
    *, job: Job, text: str, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> LeftOff:
    """Write down where one stopped: the first thing that is seen the next evening."""
    if not text.strip():
        raise Refusal("Say where you stopped.", field="text")
    with acting(by=by, at=at, once=entry) as act:
        return write(act, LeftOff(job=job, text=text.strip()), "job.left_off", entry=entry)


def tick(
    *,
    job: Job,
    checklist: str,
    done: Sequence[str],
    by: Staff,
    left_out: Mapping[str, str] | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> list[Ticked]:
    """Tick steps of a checklist that were done, and note with a word those that were left out."""
    reasons = dict(left_out or {})
    if not done and not reasons:
        raise Refusal("Check a step, or say why one is left out.")
    with acting(by=by, at=at, once=entry) as act:
        ticked = [Ticked(job=job, checklist=checklist, step=step) for step in done]
        ticked += [
            Ticked(job=job, checklist=checklist, step=step, left_out=word) for step, word in reasons.items()
        ]
        return [write(act, one, "step.ticked", entry=None, left_out=bool(one.left_out)) for one in ticked]


def keep_pattern(
    *,
    of: str,
    name: str,
    kind: str,
    lines: Sequence[object],
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Pattern:
    """Keep rows of a sheet or steps of a checklist under a name, for units of that kind; one of that name is replaced."""
    if not name.strip():
        raise Refusal("Give it a name.", field="name")
    if not lines:
        raise Refusal("Write at least one line.", field="lines")
    with acting(by=by, at=at, once=entry) as act:
        pattern, _ = Pattern.objects.update_or_create(
            of=of, name=name.strip(), defaults={"kind": kind, "lines": list(lines)}
        )
        act.record("pattern.kept", subject=pattern, of=of)
    return pattern


def drop_pattern(
    *, pattern: Pattern, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> None:
    """Throw one of the shop's own patterns away; one of the handbook's of that name comes back."""
    with acting(by=by, at=at, once=entry) as act:
        act.record("pattern.dropped", subject=pattern, of=pattern.of)
        pattern.delete()
