"""From a line of a job into its model file: the same facts, worded as what is to be expected in this model."""

from __future__ import annotations

from django.core.exceptions import ObjectDoesNotExist

from shop.bench.models import Evidence, EvidenceKind, Finding, Reading
from shop.counter import model_file
from shop.counter.models import Job
from shop.frame.formwork import whole_number
from shop.frame.models import Staff
from shop.frame.refusal import Refusal
from shop.handbook.quantities import Kind

LEARNT = ("reading", "finding", "evidence")
ASSUMED = "± 10 %"
ASSUMED_LEVEL = "± 1 dB"


def learn(*, job: Job, kind: str, pk: str, by: Staff) -> str:
    """Put one line of `job` into its model file and say what was kept. Refuses what tells nothing of the model."""
    line = whole_number(pk)
    if kind not in LEARNT or line is None:
        raise Refusal("Choose a line of this job first.")
    try:
        return {"reading": _reading, "finding": _finding, "evidence": _device}[kind](job, line, by)
    except ObjectDoesNotExist:
        raise Refusal("That line is struck out, or not of this job.") from None


def expected_from(reading: Reading) -> str:
    """What the reading makes one expect there: what was expected already, no path, or its value give or take.

    Ten percent, and one decibel for a level, are taken until somebody knows better: common practice, no source.
    """
    if reading.expected:
        return reading.expected
    if reading.over_range:
        return "infinite" if reading.quantity in {Kind.RESISTANCE, Kind.DIODE} else ""
    return f"{reading.shown} {ASSUMED_LEVEL if reading.quantity == Kind.LEVEL else ASSUMED}"


def _reading(job: Job, pk: int, by: Staff) -> str:
    reading = Reading.objects.get(pk=pk, job=job, struck_at__isnull=True)
    if reading.test_point_id is not None and reading.expected:
        raise Refusal("This test point stands in the model file already, with what is expected there.")
    expected = expected_from(reading)
    point = model_file.learn_test_point(
        model=job.unit.model,
        name=reading.test_point.name if reading.test_point is not None else reading.where,
        where=reading.where,
        quantity=reading.quantity,
        condition=reading.condition,
        role=reading.role,
        channel=reading.channel,
        expected=expected,
        note="" if reading.expected else f"from one reading on {job.number}",
        job=job,
        by=by,
    )
    return f"{point.name} is in the model file: {point.expected or 'nothing expected'}."


def _finding(job: Job, pk: int, by: Staff) -> str:
    finding = Finding.objects.get(pk=pk, job=job, struck_at__isnull=True)
    model_file.learn_note(model=job.unit.model, text=finding.text, job=job, by=by)
    return "The note is in the model file."


def _device(job: Job, pk: int, by: Staff) -> str:
    device = Evidence.objects.get(pk=pk, job=job, struck_at__isnull=True, kind=EvidenceKind.DEVICE)
    original = model_file.learn_original(
        model=job.unit.model, position=device.where, designation=device.marking, job=job, by=by
    )
    return f"{original.designation} is kept as the original at {original.position}."
