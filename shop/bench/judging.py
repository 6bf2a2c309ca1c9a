"""Where the bench asks the handbook: plain values in, plain values out. Nothing here writes."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Any

from shop.bench.models import EvidenceKind, Meter
from shop.counter.models import Job
from shop.handbook import meters
from shop.handbook.datecodes import Candidate, NotADate, read_date
from shop.handbook.originality import Window, judge
from shop.handbook.quantities import Kind, Quantity, Unreadable, parse
from shop.handbook.readings import Expected, Incomparable, Judgement, expect
from shop.handbook.readings import judge as judge_reading
from shop.premises.refusal import Refusal


@dataclass(frozen=True, slots=True)
class JudgedReading:
    """A reading as the handbook understands it."""

    quantity: Quantity
    expected: Expected | None
    judgement: Judgement


def judged_reading(
    *,
    typed: str,
    quantity: str,
    expected: str = "",
    meter: Meter | None = None,
    condition: str = "",
    on: dt.date | None = None,
) -> JudgedReading:
    """Read what was typed and hold it against what is expected; refuses at the field what can't be read."""
    try:
        kind = Kind(quantity)
    except ValueError:
        raise Refusal("Choose what was measured.", field="quantity") from None
    try:
        value = parse(typed, kind)
    except Unreadable as error:
        raise Refusal(str(error), field="typed") from error
    try:
        wanted = expect(expected, kind) if expected.strip() else None
        judgement = judge_reading(value, wanted, as_handbook_meter(meter), condition=condition, on=on)
    except (Unreadable, Incomparable) as error:
        raise Refusal(str(error), field="expected") from error
    return JudgedReading(value, wanted, judgement)


def as_handbook_meter(meter: Meter | None) -> meters.Meter | None:
    """One of the shop's meters as the handbook reckons with it."""
    if meter is None:
        return None
    return meters.Meter(
        name=meter.name,
        ranges=tuple(
            meters.Range(
                kind=Kind(one.quantity),
                full_scale=one.full_scale,
                resolution=one.resolution,
                accuracy=meters.Accuracy(one.percent_of_reading, one.digits),
            )
            for one in meter.ranges.all()
        ),
        calibration_due=meter.calibration_due,
    )


@dataclass(frozen=True, slots=True)
class EvidenceRead:
    """What a trace says: its candidates as plain data, the days it allows, the judgement and its argument."""

    candidates: list[dict[str, Any]]
    earliest: dt.date | None
    latest: dt.date | None
    judgement: str
    argument: str


DATED = {EvidenceKind.DATE_STAMP, EvidenceKind.DATE_CODE, EvidenceKind.DEVICE}


def read_evidence(
    *, job: Job, kind: str, where: str, marking: str, today: dt.date, chosen: int | None = None
) -> EvidenceRead:
    """Read a marking as a date where it may be one, and judge it against the unit's build window.

    A marking that is no date stays as it was copied: that is no error on a device or a label.
    """
    if kind not in DATED or not marking.strip():
        return EvidenceRead([], None, None, "", "")
    try:
        candidates = read_date(marking, today)
    except NotADate as error:
        if kind == EvidenceKind.DATE_CODE:
            raise Refusal(str(error), field="marking") from error
        return EvidenceRead([], None, None, "", "")
    if chosen is not None and 0 <= chosen < len(candidates):
        taken: tuple[Candidate, ...] = (candidates[chosen],)
    else:
        taken = candidates
    judgement = judge(build_window(job), taken, today, where.strip() or "It")
    return EvidenceRead(
        candidates=[as_plain(candidate) for candidate in candidates],
        earliest=judgement.earliest or min(candidate.first for candidate in taken),
        latest=judgement.latest or max(candidate.last for candidate in taken),
        judgement=judgement.verdict.name.lower(),
        argument=judgement.argument,
    )


def build_window(job: Job) -> Window:
    """When the unit may have been built: what is known of the unit itself, else of its model."""
    unit = job.unit
    first = unit.built_from or unit.model.built_from
    last = unit.built_to or unit.model.built_to
    return Window(first, last)


def as_plain(candidate: Candidate) -> dict[str, Any]:
    """A candidate as JSON keeps it."""
    return {
        "first": candidate.first.isoformat(),
        "last": candidate.last.isoformat(),
        "reading": candidate.reading,
        "system": candidate.system.value,
        "certainty": candidate.certainty.value,
    }
