"""What the handbook needs to know of a unit to judge its safety check, and the guard at the way home."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from shop.bench.models import SafetyCheck, SafetyOutcome, SafetyWaiver
from shop.counter.models import Job, ProtectionClass, SafetyLimits, Unit, UnitModel
from shop.handbook import safety
from shop.premises.profile import the_profile


def limits_of(model: UnitModel) -> safety.Limits:
    """The limits of a model: its maker's where the model file has them, the handbook's common ones elsewhere."""
    printed = SafetyLimits.objects.filter(model=model).first()
    if printed is None:
        return safety.Limits()
    own: dict[str, Any] = {}
    if printed.hot_leakage_volts is not None:
        own["hot_volt"] = printed.hot_leakage_volts
    if printed.cold_min_ohms is not None:
        own["cold_min_ohm"] = printed.cold_min_ohms
    if printed.cold_max_ohms is not None or printed.cold_min_ohms is not None:
        # a maker who prints only a lower limit has no upper one; the common one may even lie below it
        own["cold_max_ohm"] = printed.cold_max_ohms
    return safety.Limits(**own)


def unit_under_test(unit: Unit) -> safety.UnitUnderTest:
    """The facts of a unit that decide its tests; a class that is not known is tested as class II, the stricter guess."""
    known = unit.protection_class != ProtectionClass.UNKNOWN
    profile = the_profile()
    return safety.UnitUnderTest(
        protection_class=safety.ProtectionClass(unit.protection_class)
        if known
        else safety.ProtectionClass.II,
        line_volt=Decimal(unit.line_voltage or profile.line_voltage),
        line_hertz=Decimal(profile.line_frequency),
        mains=unit.mains,
    )


def holds_back(job: Job) -> str | None:
    """Why a mains unit may not go home yet: the last safety check did not pass, and nobody gave a written reason since."""
    if not job.unit.mains:
        return None
    last = SafetyCheck.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id").first()
    if last is not None and last.outcome == SafetyOutcome.PASSED:
        return None
    waiver = SafetyWaiver.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id").first()
    return why_not(job, last, waiver)


def why_not(job: Job, last: SafetyCheck | None, waiver: SafetyWaiver | None) -> str | None:
    """The same from the last check and the last waiver that stand."""
    if not job.unit.mains or (last is not None and last.outcome == SafetyOutcome.PASSED):
        return None
    if waiver is not None and (last is None or waiver.at >= last.at):
        return None
    found = (
        "has no safety check"
        if last is None
        else f"has a safety check that is {last.get_outcome_display().lower()}"
    )
    return f"{job.number} runs on mains and {found}: do the safety check, or write the reason why it goes home without."
