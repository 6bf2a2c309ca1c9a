"""Where the bench asks the handbook: plain values in, plain values out. Nothing here writes."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from shop.bench.models import EvidenceKind, Meter
from shop.counter.models import Job
from shop.frame.refusal import Refusal
from shop.handbook import meters
from shop.handbook.datecodes import Candidate, Certainty, NotADate, System, read_date
from shop.handbook.designations import Designation, Match, NoDesignation, compare, read_designation
from shop.handbook.in_words import listed
from shop.handbook.originality import Verdict as Originality
from shop.handbook.originality import Window, judge
from shop.handbook.quantities import Kind, Quantity, Unreadable, parse
from shop.handbook.readings import Expected, Incomparable, Judgement, expect
from shop.handbook.readings import judge as judge_reading


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
    """The meter that was named as the handbook reckons with it; None where none was."""
    return handbook_meter(meter) if meter is not None else None


def handbook_meter(meter: Meter) -> meters.Meter:
    """One of the shop's meters as the handbook reckons with it."""
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

    candidates: list[dict[str, Any]] = field(default_factory=list)
    earliest: dt.date | None = None
    latest: dt.date | None = None
    judgement: str = ""
    argument: str = ""


DATED = {EvidenceKind.DATE_STAMP, EvidenceKind.FACTORY, EvidenceKind.DATE_CODE}


def read_evidence(
    *, job: Job, kind: str, where: str, marking: str, today: dt.date, chosen: int | None = None
) -> EvidenceRead:
    """What the handbook reads from a marking: every date it can stand for, or what a device's designation says.

    A marking on a label that is no date stays as it was copied: that is no error there. A date code must be one.
    """
    if not marking.strip():
        return EvidenceRead()
    if kind == EvidenceKind.DEVICE:
        return _read_device(job, where, marking)
    if kind not in DATED:
        return EvidenceRead()
    try:
        candidates = read_date(marking, today)
    except NotADate as error:
        if kind == EvidenceKind.DATE_CODE:
            raise Refusal(str(error), field="marking") from error
        return EvidenceRead()
    taken = _taken(candidates, chosen)
    plain = [as_plain(candidate) for candidate in candidates]
    first, last = min(one.first for one in taken), max(one.last for one in taken)
    if kind != EvidenceKind.DATE_CODE:
        return EvidenceRead(plain, first, last)
    judgement = judge(build_window(job), taken, today, where.strip() or "It")
    return EvidenceRead(
        candidates=plain,
        earliest=judgement.earliest or first,
        latest=judgement.latest or last,
        judgement=JUDGED[judgement.verdict],
        argument=judgement.argument,
    )


JUDGED = {
    Originality.ORIGINAL: "original",
    Originality.LATER: "later",
    Originality.OLDER: "older_stock",
    Originality.OPEN: "open",
}


def _taken(candidates: tuple[Candidate, ...], chosen: int | None) -> tuple[Candidate, ...]:
    """The reading that the person chose, else all of them."""
    if chosen is not None and 0 <= chosen < len(candidates):
        return (candidates[chosen],)
    return candidates


def _read_device(job: Job, where: str, marking: str) -> EvidenceRead:
    """A device's designation: what it says, and how it stands to the model file's originals at that place."""
    try:
        readings = read_designation(marking)
        compared = compare(marking, originals_at(job, where))
    except NoDesignation as error:
        raise Refusal(str(error), field="marking") from error
    says = [f"{one.full}: {'; '.join(one.says)}." for one in readings if one.says]
    if all(not one.registered for one in readings):
        says.append("It is in no public register.")
    if silent := not_told(readings):
        says.append(f"The marking doesn't tell {listed(silent)}.")
    return EvidenceRead(
        judgement=MATCHED[compared.match],
        argument=" ".join([compared.sentence, *says]),
    )


def not_told(readings: Sequence[Designation]) -> list[str]:
    """What the marking must not be taken to tell, whichever way it is read; the first words of each point."""
    shared = [word for word in readings[0].silent_on if all(word in one.silent_on for one in readings)]
    return [word.partition(":")[0] for word in shared]


MATCHED = {
    Match.SAME: "original",
    Match.SAME_TYPE: "open",
    Match.SUBSTITUTE: "later",
    Match.UNKNOWN: "",
}


def originals_at(job: Job, where: str) -> list[str]:
    """What the model file lists as fitted at that position; nothing where it does not know the position."""
    wanted = "".join(where.split()).casefold()
    listed = job.unit.model.originals.all()
    return [one.designation for one in listed if "".join(one.position.split()).casefold() == wanted]


def build_window(job: Job) -> Window:
    """When the unit may have been built: what is known of the unit itself, else of its model."""
    unit = job.unit
    first = unit.built_from or unit.model.built_from
    last = unit.built_to or unit.model.built_to
    return Window(first, last)


def as_plain(candidate: Candidate) -> dict[str, object]:
    """A candidate as JSON keeps it."""
    return {
        "first": candidate.first.isoformat(),
        "last": candidate.last.isoformat(),
        "reading": candidate.reading,
        "system": candidate.system.value,
        "certainty": candidate.certainty.value,
        "early": candidate.early,
        "late": candidate.late,
    }


def from_plain(kept: dict[str, Any]) -> Candidate:
    """A candidate as it was kept."""
    return Candidate(
        first=dt.date.fromisoformat(kept["first"]),
        last=dt.date.fromisoformat(kept["last"]),
        system=System(kept["system"]),
        certainty=Certainty(kept["certainty"]),
        reading=kept["reading"],
        early=kept.get("early", 0),
        late=kept.get("late", 0),
    )
