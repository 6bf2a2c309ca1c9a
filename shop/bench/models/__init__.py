"""What was found, measured and done at the bench. A wrong line is struck out with a reason, never deleted."""

from __future__ import annotations

from shop.bench.models.evidence import Evidence, EvidenceKind
from shop.bench.models.notebook import FittedList, LeftOff, Pattern, Temporary, Ticked
from shop.bench.models.proving import SoakCheck, SoakTest
from shop.bench.models.readings import IN_WORDS, Meter, MeterRange, Reading, Verdict
from shop.bench.models.safety import (
    LONGEST_TYPED,
    CautionRead,
    Reservoir,
    SafetyCheck,
    SafetyOutcome,
    SafetyTest,
    SafetyWaiver,
)
from shop.bench.models.said import Heard, Said, Taking
from shop.bench.models.work import Conclusion, FailureMode, Finding, KnownBy, Overruled, Stint, WorkKind
from shop.bench.models.written import Written

__all__ = [
    "IN_WORDS",
    "LONGEST_TYPED",
    "CautionRead",
    "Conclusion",
    "Evidence",
    "EvidenceKind",
    "FailureMode",
    "Finding",
    "FittedList",
    "Heard",
    "KnownBy",
    "LeftOff",
    "Meter",
    "MeterRange",
    "Overruled",
    "Pattern",
    "Reading",
    "Reservoir",
    "SafetyCheck",
    "SafetyOutcome",
    "SafetyTest",
    "SafetyWaiver",
    "Said",
    "SoakCheck",
    "SoakTest",
    "Stint",
    "Taking",
    "Temporary",
    "Ticked",
    "Verdict",
    "WorkKind",
    "Written",
]
