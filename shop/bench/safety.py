"""What the handbook needs to know of a unit to judge its safety check, and the guard at the way home."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from shop.bench.models import SafetyCheck, SafetyOutcome, SafetyWaiver
from shop.counter.models import Job, ProtectionClass, SafetyLimits, Unit, UnitModel
from shop.frame.profile import the_profile
from shop.handbook import safety


def printed_for(model: UnitModel) -> SafetyLimits | None:
    """What the model file keeps of the maker's own limits; None where nobody wrote any down."""
    return SafetyLimits.objects.filter(model=model).first()


def limits_of(model: UnitModel) -> safety.Limits:
    """The limits of a model: its maker's where the model file has them, the handbook's common ones elsewhere."""
    printed = printed_for(model)
    if printed is None:
        return safety.Limits()
    own: dict[str, Any] = {"insulation_by_current": printed.insulation_by_current}
    if printed.hot_leakage_volts is not None:
        own["hot_volt"] = printed.hot_leakage_volts
        own["hot_inclusive"] = not printed.hot_limit_fails
    if printed.cold_min_ohms is not None:
        own["cold_min_ohm"] = printed.cold_min_ohms
    own |= {"cold_max_ohm": printed.cold_max_ohms, "cold_infinite": printed.cold_infinite}
    return safety.Limits(**own)


def tested_as(protection_class: str) -> safety.ProtectionClass:
    """The class by whose tests a unit is judged; one that is not known is tested as class II, the stricter guess."""
    if protection_class == ProtectionClass.UNKNOWN:
        return safety.ProtectionClass.II
    return safety.ProtectionClass(protection_class)


def unit_under_test(unit: Unit, cord_metre: Decimal | None = None) -> safety.UnitUnderTest:
    """The facts of a unit that decide its tests; `cord_metre` is the length of its mains cord where it was measured."""
    profile = the_profile()
    printed = printed_for(unit.model)
    return safety.UnitUnderTest(
        protection_class=tested_as(unit.protection_class),
        line_volt=Decimal(unit.line_voltage or profile.line_voltage),
        line_hertz=Decimal(profile.line_frequency),
        mains=unit.mains,
        profile=safety.Profile(printed.tests_by) if printed and printed.tests_by else None,
        cord_metre=cord_metre,
        surge_protectors=printed is not None and printed.surge_protectors,
    )


def lets_go(check: SafetyCheck | None, unit: Unit) -> bool:
    """True when `check` was passed by the tests of the unit's class; one of another class says nothing of its earth."""
    return (
        check is not None
        and check.outcome == SafetyOutcome.PASSED
        and tested_as(check.protection_class) == tested_as(unit.protection_class)
    )


def holds_back(job: Job) -> str | None:
    """Why a mains unit may not go home yet: the last safety check did not pass, and nobody gave a written reason since."""
    if not job.unit.mains:
        return None
    last = SafetyCheck.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id").first()
    if lets_go(last, job.unit):
        return None
    waiver = SafetyWaiver.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id").first()
    return why_not(job, last, waiver)


def failed(job: Job) -> str | None:
    """Why a unit isn't ready: its last safety check failed, and nobody gave a written reason since."""
    last = SafetyCheck.objects.filter(job=job, struck_at__isnull=True).order_by("-at", "-id").first()
    if last is None or last.outcome != SafetyOutcome.FAILED:
        return None
    if SafetyWaiver.objects.filter(job=job, struck_at__isnull=True, at__gte=last.at).exists():
        return None
    return f"The last safety check of {job.number} failed: fix that and check again, or write the reason why it goes without."


def why_not(job: Job, last: SafetyCheck | None, waiver: SafetyWaiver | None) -> str | None:
    """The same from the last check and the last waiver that stand."""
    if not job.unit.mains or lets_go(last, job.unit):
        return None
    if waiver is not None and (last is None or waiver.at >= last.at):
        return None
    found = _found(last, job.unit)
    return f"{job.number} runs on AC power and {found}: do the safety check, or write the reason why it goes home without."


def _found(last: SafetyCheck | None, unit: Unit) -> str:
    if last is None:
        return "has no safety check"
    if last.outcome == SafetyOutcome.PASSED:
        return f"was checked as class {tested_as(last.protection_class)}, but is of class {tested_as(unit.protection_class)}"
    return f"has a safety check that is {last.get_outcome_display().lower()}"
