"""Readings and evidence: what was typed is read by the handbook, judged there, and kept with its reasons."""

from __future__ import annotations

import datetime as dt
import uuid

from shop.bench.actions.lines import strike, write
from shop.bench.judging import JudgedReading, judged_reading, read_evidence
from shop.bench.models import IN_WORDS, Evidence, Meter, Reading
from shop.bench.suggesting import point_of
from shop.counter.models import Job, TestPoint
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.isolation import Role
from shop.keeping.models import Picture

TYPED_ANEW = "Typed anew in its cell"


def add_reading(
    *,
    job: Job,
    typed: str,
    quantity: str,
    where: str,
    by: Staff,
    against: str = "",
    adjuster: str = "",
    condition: str = "",
    expected: str = "",
    test_point: TestPoint | None = None,
    channel: str = "",
    role: str = "",
    meter: Meter | None = None,
    after_repair: bool = False,
    instead_of: Reading | None = None,
    as_said: bool = False,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Reading:
    """Write a measured value down with its verdict. Refuses, at its field, what can't be read without guessing.

    `instead_of`: the reading that this one corrects, typed anew in the same cell; it is struck out. `as_said`: what should be
    there was said, and rarely how far off it may be; then it stands without a verdict.
    """
    if not where.strip():
        raise Refusal("Say where it was measured.", field="where")
    with acting(by=by, at=at, once=entry) as act:
        reading = Reading(
            job=job,
            typed=typed.strip(),
            quantity=quantity,
            test_point=test_point,
            where=where.strip(),
            against=against.strip(),
            adjuster=adjuster.strip(),
            condition=condition.strip(),
            role=role,
            channel=channel,
            expected=expected.strip(),
            meter=meter,
            after_repair=after_repair,
        )
        if quantity != IN_WORDS:
            _judge(reading, act.day, bare_target=as_said or bool(reading.adjuster))
        if instead_of is not None and instead_of.struck_at is None:
            strike(line=instead_of, reason=TYPED_ANEW, by=by)
        return write(act, reading, "reading.added", entry=entry, quantity=quantity, verdict=reading.verdict)


def _judge(reading: Reading, on: dt.date, *, bare_target: bool) -> None:
    """Have the handbook read what was typed and hold it against what is expected.

    A bare target, where something is turned or where one spoke, says not how far off it may be: then there is no verdict.
    """
    try:
        judged = _judged(reading, reading.expected, on)
    except Refusal as refusal:
        if refusal.field != "expected" or not bare_target:
            raise
        judged = _judged(reading, "", on)
    reading.value = judged.quantity.known
    reading.unit = judged.quantity.unit
    reading.over_range = judged.quantity.over_range
    reading.sort_value = float(judged.quantity.value) if judged.quantity.known is not None else None
    reading.expected_low = judged.expected.low if judged.expected is not None else None
    reading.expected_high = judged.expected.high if judged.expected is not None else None
    reading.verdict = judged.judgement.verdict.value
    reading.why = " ".join((judged.judgement.why, *judged.judgement.remarks))[:300]


def _judged(reading: Reading, expected: str, on: dt.date) -> JudgedReading:
    return judged_reading(
        typed=reading.typed,
        quantity=reading.quantity,
        expected=expected,
        meter=reading.meter,
        condition=reading.condition,
        on=on,
    )


def set_role(
    *,
    reading: Reading,
    role: str,
    by: Staff,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Reading:
    """Say what the place of a reading is to its circuit; the model file learns it where it knows the place."""
    if role not in set(Role):
        raise Refusal("Choose one of the roles.", field="role")
    with acting(by=by, at=at, once=entry) as act:
        Reading.objects.filter(pk=reading.pk).update(role=role)
        reading.role = role
        place = point_of(reading.where, reading.quantity).key
        for point in TestPoint.objects.filter(model=reading.job.unit.model_id).exclude(role=role):
            if (
                point.pk == reading.test_point_id
                or point_of(point.where or point.name, point.quantity).key == place
            ):
                TestPoint.objects.filter(pk=point.pk).update(role=role)
        act.record("reading.placed", subject=reading, jobs=[reading.job_id], role=role)
    return reading


def add_evidence(
    *,
    job: Job,
    kind: str,
    where: str,
    by: Staff,
    marking: str = "",
    note: str = "",
    chosen: int | None = None,
    untouched: bool = False,
    picture: Picture | None = None,
    entry: uuid.UUID | None = None,
    at: dt.datetime | None = None,
) -> Evidence:
    """Write a trace of an earlier repair down, verbatim, with every date it can stand for and what follows."""
    if not where.strip():
        raise Refusal("Say where it was found.", field="where")
    if not marking.strip() and not note.strip():
        raise Refusal("Copy the marking, or say what was seen.", field="marking")
    with acting(by=by, at=at, once=entry) as act:
        read = read_evidence(job=job, kind=kind, where=where, marking=marking, chosen=chosen, today=act.day)
        evidence = Evidence(
            job=job,
            kind=kind,
            where=where.strip(),
            marking=marking.strip(),
            note=note.strip(),
            candidates=read.candidates,
            chosen=chosen if chosen is not None and chosen < len(read.candidates) else None,
            untouched=untouched,
            earliest=read.earliest,
            latest=read.latest,
            judgement=read.judgement,
            argument=_whole_words(read.argument, 400),
            picture=picture,
        )
        return write(act, evidence, "evidence.added", entry=entry, kind=kind, judgement=read.judgement)


def _whole_words(text: str, most: int) -> str:
    """At most that many characters, ended at a word."""
    return text if len(text) <= most else text[: most - 1].rsplit(" ", 1)[0] + "…"
