"""Safety after repair: which tests a unit owes, what its readings are held to, and whether it may go home.

Sources
    Named in each module: service manuals of several makers (hot and cold check, IEC 60065 touch current), IEC 60990
    figure 4, VDE 0701-0702:2008 and EN 50678:2020 by way of testers' manuals and makers' notes.

These are aids to a competent person. The maker's manual, local codes and licensed practice come first.
"""

from __future__ import annotations

from .assessing import JudgedTest, Outcome, SafetyResult, assess
from .limits import (
    PRINTED_COLD_LIMITS,
    PRINTED_HOT_LIMITS,
    Limits,
    PrintedColdLimit,
    PrintedHotLimit,
    SafetyError,
    conductor_current_limit,
    conductor_limit,
)
from .networks import hot_leakage_current, parallel_impedance, peak_of_sine, rms_of_sine, touch_current
from .readings import (
    ColdReading,
    ConductorReading,
    CurrentReading,
    HotReading,
    Inspection,
    InsulationReading,
    Measurements,
    NetworkReading,
    Resistance,
    Voltage,
)
from .required import (
    CONDUCTOR_OPEN,
    Profile,
    ProtectionClass,
    SafetyTest,
    UnitUnderTest,
    profile_for,
    tests_required,
)
from .trials import insulation_limit, insulation_test_volt, limit_words
from .verdicts import Verdict

__all__ = [
    "CONDUCTOR_OPEN",
    "PRINTED_COLD_LIMITS",
    "PRINTED_HOT_LIMITS",
    "ColdReading",
    "ConductorReading",
    "CurrentReading",
    "HotReading",
    "Inspection",
    "InsulationReading",
    "JudgedTest",
    "Limits",
    "Measurements",
    "NetworkReading",
    "Outcome",
    "PrintedColdLimit",
    "PrintedHotLimit",
    "Profile",
    "ProtectionClass",
    "Resistance",
    "SafetyError",
    "SafetyResult",
    "SafetyTest",
    "UnitUnderTest",
    "Verdict",
    "Voltage",
    "assess",
    "conductor_current_limit",
    "conductor_limit",
    "hot_leakage_current",
    "insulation_limit",
    "insulation_test_volt",
    "limit_words",
    "parallel_impedance",
    "peak_of_sine",
    "profile_for",
    "rms_of_sine",
    "tests_required",
    "touch_current",
]
