"""What the bench prints: the record of a safety check."""

from __future__ import annotations

import datetime as dt
import uuid

from django.db.models import F

from shop.bench.judging import as_handbook_meter
from shop.bench.models import SafetyCheck
from shop.bench.safety import tested_as
from shop.counter.actions import file_paper
from shop.counter.models import JobPaper, ProtectionClass
from shop.frame import spelling
from shop.frame.clock import day_of
from shop.frame.journal import acting
from shop.frame.models import Staff
from shop.frame.profile import the_profile
from shop.handbook.meters import CalibrationState, calibration
from shop.keeping.models import IssuedPaper
from shop.press.building import Fact, Signature
from shop.press.issuing import issue_paper

SAFETY_RECORD = "safety_record"
KEPT_YEARS = 10

VERDICTS = {"passed": "passed", "failed": "FAILED", "too_close": "too close to call", "not_done": "not done"}


def issue_safety_record(
    *, check: SafetyCheck, by: Staff, entry: uuid.UUID | None = None, at: dt.datetime | None = None
) -> IssuedPaper:
    """Issue the record of one safety check; a check that has its paper already is answered with that paper.

    It names each test with what was typed, its verdict and its sentence, and the meter with its calibration.
    """
    number = f"{check.job.number}/S{check.pk}"
    filed = JobPaper.objects.filter(job_id=check.job_id, paper__kind=SAFETY_RECORD, paper__number=number)
    known = filed.select_related("paper").order_by(F("id")).first()
    if known is not None:
        return known.paper
    made = day_of(check.at)
    with acting(by=by, at=at, once=entry) as act:
        paper = issue_paper(
            kind=SAFETY_RECORD,
            number=number,
            title=f"Safety record {number}",
            heading="Safety record",
            template="papers/bench/safety_record.html",
            context={"facts": safety_facts(check), "check": check, "tests": _tests(check), **_signed(check)},
            keep_until=made.replace(year=made.year + KEPT_YEARS, day=min(made.day, 28)),
            by=by,
        )
        file_paper(act=act, paper=paper, jobs=[check.job])
    return paper


def safety_facts(check: SafetyCheck) -> list[Fact]:
    """The head of the record: unit, class, day, meter and its calibration."""
    unit = check.job.unit
    facts = [
        Fact("Unit", str(unit), wide=True, strong=True),
        Fact("Job", check.job.number),
        Fact("Made on", spelling.day(check.at)),
        Fact("Line", f"{unit.line_voltage or the_profile().line_voltage} V"),
        Fact("Class", _tested_class(check)),
        Fact(
            "Meter or tester", f"{check.meter} {check.meter.serial}".strip() if check.meter else "not named"
        ),
    ]
    return [*facts, Fact("Calibration", calibration_words(check))]


def _tested_class(check: SafetyCheck) -> str:
    """The class on the day of the check: its tests were chosen by it, whatever the unit was found to be since."""
    words = str(ProtectionClass(check.protection_class).label)
    if check.protection_class == ProtectionClass.UNKNOWN:
        return f"{words}, tested as class {tested_as(check.protection_class)}"
    return words


def calibration_words(check: SafetyCheck) -> str:
    """Whether the meter's calibration held on the day of the check."""
    meter = as_handbook_meter(check.meter)
    if meter is None:
        return "—"
    state = calibration(meter, day_of(check.at))
    if state.state is CalibrationState.VALID and meter.calibration_due is not None:
        return f"valid until {spelling.day(meter.calibration_due)}"
    return "EXPIRED" if state.state is CalibrationState.EXPIRED else "no date kept"


def _tests(check: SafetyCheck) -> list[dict[str, str]]:
    return [
        {
            "label": test.label.capitalize(),
            "typed": test.typed or "—",
            "limit": test.limit or "—",
            "verdict": VERDICTS.get(test.outcome, test.outcome),
            "sentence": test.sentence.partition(": ")[2] or test.sentence,
        }
        for test in check.tests.all()
    ]


def _signed(check: SafetyCheck) -> dict[str, object]:
    by = check.by
    signature = Signature("Checked by", name=by.signature if by else "", day=day_of(check.at))
    return {"signatures": [signature]}
