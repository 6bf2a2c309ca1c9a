"""Each test of the safety check judged by itself: readings and limits in, a verdict and one sentence out.

Sources
    The limits and their sources stand in ``limits``, the way of measuring in ``readings``. That each exposed part is
    read in both plug positions with the switch on and off: service manuals (looked up). Both plug positions for the
    leakage currents of an after-repair test: VDE 0701-0702 practice (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from decimal import Decimal

from ..in_words import listed, milliamperes, ohms, rounded, volts
from .limits import Limits, conductor_current_limit, conductor_limit
from .networks import SQRT_2, hot_leakage_current, touch_current
from .readings import (
    ColdReading,
    ConductorReading,
    CurrentReading,
    HotReading,
    InsulationReading,
    Measurements,
    NetworkReading,
    Voltage,
)
from .required import ProtectionClass, SafetyTest, UnitUnderTest
from .verdicts import Finding, Verdict, at_least, at_most, gravest, worst

Judged = tuple[Verdict, str]
Position = tuple[bool, bool]
"""Plug reversed, switch on."""

NO_BADNESS = Decimal(0)


def judge(test: SafetyTest, measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    """The verdict on one test and its sentence; readings that are missing make it not done."""
    return _TRIALS[test](measurements, limits, unit)


def _sum_up(test: SafetyTest, findings: Sequence[Finding], missing: Sequence[str], nothing: str) -> Judged:
    """One sentence for a test: what is wrong if anything is, else what is missing, else the worst that passed."""
    title = test.label.capitalize()
    if not findings:
        return Verdict.NOT_DONE, f"{title}: not done; {nothing}."
    decisive = worst(findings)
    if decisive.verdict is Verdict.PASSED and missing:
        return Verdict.NOT_DONE, f"{title}: not done; still to read: {listed(missing)}."
    if decisive.verdict is Verdict.NOT_DONE:
        return Verdict.NOT_DONE, f"{title}: not done; {decisive.clause}."
    count = f" in {len(findings)} readings, the worst" if len(findings) > 1 else ","
    return decisive.verdict, f"{title}: {decisive.verdict.label}{count} {decisive.clause}."


def _wanted(unit: UnitUnderTest, *, both_switch_positions: bool) -> tuple[Position, ...]:
    """The plug and switch positions that every part must be read in."""
    plugs = (False, True) if unit.reversible_plug else (False,)
    switches = (True, False) if both_switch_positions else (True,)
    return tuple((plug, on) for plug in plugs for on in switches)


def _plug(position: Position) -> str:
    return "plug reversed" if position[0] else "plug the first way"


def _plug_and_switch(position: Position) -> str:
    return f"{_plug(position)}, switch {'on' if position[1] else 'off'}"


def _missing(
    read: Iterable[tuple[str, Position]], wanted: Sequence[Position], shown: Callable[[Position], str]
) -> list[str]:
    """The positions not yet read, part by part in the order in which the parts were first read."""
    seen: dict[str, set[Position]] = {}
    for where, position in read:
        seen.setdefault(where, set()).add(position)
    return [f"{where} ({shown(spot)})" for where, done in seen.items() for spot in wanted if spot not in done]


def _visual(measurements: Measurements, _limits: Limits, _unit: UnitUnderTest) -> Judged:
    seen = measurements.visual
    if seen is None:
        return (
            Verdict.NOT_DONE,
            "Visual inspection: not done; look at cord, plug, strain relief, case and fuse.",
        )
    verdict = Verdict.PASSED if seen.sound else Verdict.FAILED
    return verdict, f"Visual inspection: {verdict.label}{f', {seen.note}' if seen.note else ''}."


def _conductor(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    findings = _conductor_findings(measurements.conductor, limits, unit)
    return _sum_up(SafetyTest.CONDUCTOR, findings, (), "no reading from the ground pin to the grounded metal")


def _conductor_findings(
    readings: Iterable[ConductorReading], limits: Limits, unit: UnitUnderTest
) -> list[Finding]:
    limit = conductor_limit(limits, unit.cord_metre, unit.cord_mm2)
    return [
        Finding(
            at_most(reading.resistance.span, limit),
            reading.resistance.span.high,
            f"{reading.resistance.shown} at {reading.where}, at most {ohms(limit)} allowed",
        )
        for reading in readings
    ]


def _cold(measurements: Measurements, limits: Limits, _unit: UnitUnderTest) -> Judged:
    findings = [_cold_finding(reading, limits) for reading in measurements.cold]
    with_switch_on = {reading.where for reading in measurements.cold if reading.switch_on}
    parts = dict.fromkeys(reading.where for reading in measurements.cold)
    missing = [f"{where} with the switch on" for where in parts if where not in with_switch_on]
    return _sum_up(SafetyTest.COLD, findings, missing, "no reading from the joined prongs to exposed metal")


def _cold_finding(reading: ColdReading, limits: Limits) -> Finding:
    span, shown = reading.resistance.span, f"{reading.resistance.shown} at {reading.where}"
    if not reading.returns_to_chassis and limits.cold_infinite:
        verdict = at_least(span, limits.infinite_from_ohm)
        return Finding(verdict, NO_BADNESS, f"{shown}, must be infinite as it has no path to the chassis")
    verdict = at_least(span, limits.cold_min_ohm, inclusive=limits.cold_min_inclusive)
    bound = f"{'at least' if limits.cold_min_inclusive else 'more than'} {ohms(limits.cold_min_ohm)}"
    if limits.cold_max_ohm is not None and reading.returns_to_chassis:
        verdict = gravest((verdict, at_most(span, limits.cold_max_ohm)))
        bound += f" and at most {ohms(limits.cold_max_ohm)}"
    if not reading.returns_to_chassis and at_least(span, limits.infinite_from_ohm) is not Verdict.PASSED:
        bound += "; without a path to the chassis it mostly reads infinite: find the path"
    return Finding(verdict, NO_BADNESS, f"{shown}, must be {bound}")


def _insulation(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    findings = [_insulation_finding(reading, limits, unit) for reading in measurements.insulation]
    to_metal = any(not reading.separation for reading in measurements.insulation)
    missing = () if to_metal else ("live conductors to exposed metal",)
    return _sum_up(SafetyTest.INSULATION, findings, missing, "no reading at the test voltage")


def insulation_limit(limits: Limits, unit: UnitUnderTest, *, separation: bool = False) -> Decimal:
    """The smallest insulation resistance in ohm for a unit, or for the separation of its low-voltage outputs."""
    if separation:
        return limits.insulation_separation_ohm
    if unit.protection_class is ProtectionClass.I:
        return limits.insulation_heating_ohm if unit.heating_watt else limits.insulation_class_i_ohm
    if unit.protection_class is ProtectionClass.II:
        return limits.insulation_class_ii_ohm
    return limits.insulation_class_iii_ohm


def insulation_test_volt(limits: Limits, unit: UnitUnderTest) -> Decimal:
    """The DC test voltage in volt: reduced for units with surge protectors inside and for class III."""
    if unit.surge_protectors or unit.protection_class is ProtectionClass.III:
        return limits.insulation_reduced_test_volt
    return limits.insulation_test_volt


def _insulation_finding(reading: InsulationReading, limits: Limits, unit: UnitUnderTest) -> Finding:
    limit = insulation_limit(limits, unit, separation=reading.separation)
    needed = insulation_test_volt(limits, unit)
    verdict = at_least(reading.resistance.span, limit)
    clause = f"{reading.resistance.shown} at {reading.where}, at least {ohms(limit)} needed"
    if reading.test_volt < needed:
        # A failure at too low a voltage is a failure; a pass there proves nothing.
        verdict = Verdict.FAILED if verdict is Verdict.FAILED else Verdict.NOT_DONE
        clause += f", and read at {volts(reading.test_volt)} where {volts(needed)} is needed"
    return Finding(verdict, -reading.resistance.span.low, clause)


def _hot(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    findings = [_hot_finding(reading, limits, unit) for reading in measurements.hot]
    read = ((reading.where, (reading.plug_reversed, reading.switch_on)) for reading in measurements.hot)
    missing = _missing(read, _wanted(unit, both_switch_positions=True), _plug_and_switch)
    opened = [reading.conductor_open for reading in measurements.hot]
    findings, missing = _with_conductor_open(opened, findings, missing, measurements, limits, unit)
    return _sum_up(SafetyTest.HOT, findings, missing, "no reading from exposed metal to ground")


def _with_conductor_open(
    opened: Sequence[bool],
    findings: list[Finding],
    missing: list[str],
    measurements: Measurements,
    limits: Limits,
    unit: UnitUnderTest,
) -> tuple[list[Finding], list[str]]:
    """What a class I unit needs beside: its conductor open while it is read, and read again afterwards."""
    if unit.protection_class is not ProtectionClass.I or not opened:
        return findings, missing
    if any(one.verdict is Verdict.FAILED for one in findings):
        return findings, missing
    if not all(opened):
        clause = (
            "read with the protective conductor closed, which carries the leakage away; open it for this one reading, "
            "by tester or adapter"
        )
        return [Finding(Verdict.NOT_DONE, NO_BADNESS, clause)], missing
    if not measurements.conductor_again:
        return findings, [*missing, "the protective conductor again, closed"]
    again = _conductor_findings(measurements.conductor_again, limits, unit)
    return [*findings, *(one for one in again if one.verdict is not Verdict.PASSED)], missing


def _hot_finding(reading: HotReading, limits: Limits, unit: UnitUnderTest) -> Finding:
    verdict = at_most(reading.span, limits.hot_volt, inclusive=limits.hot_inclusive)
    current = hot_leakage_current(reading.volt, unit.line_hertz, limits.hot_ohm, limits.hot_farad)
    spot = _plug_and_switch((reading.plug_reversed, reading.switch_on))
    bound = f"{'at most' if limits.hot_inclusive else 'less than'} {volts(limits.hot_volt)}"
    clause = f"{reading.shown} ({rounded(current.scaleb(3))} mA) at {reading.where}, {spot}, {bound} allowed"
    return Finding(verdict, reading.span.high, clause)


def _network(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    findings = [_network_finding(reading, limits) for reading in measurements.network]
    wanted = _wanted(unit, both_switch_positions=True)
    missing: list[str] = []
    for dc in (False, True):
        read = [(r.where, (r.plug_reversed, r.switch_on)) for r in measurements.network if r.dc is dc]
        missing += [f"{spot} {'DC' if dc else 'AC'}" for spot in _missing(read, wanted, _plug_and_switch)]
    if all(reading.dc for reading in measurements.network):
        missing.append("the AC voltages")
    opened = [reading.conductor_open for reading in measurements.network]
    findings, missing = _with_conductor_open(opened, findings, missing, measurements, limits, unit)
    return _sum_up(SafetyTest.NETWORK, findings, missing, "no reading through the IEC 60990 network")


def _network_finding(reading: NetworkReading, limits: Limits) -> Finding:
    """Not hazardous by its open-circuit voltage, or else by every voltage at the network."""
    place = f"at {reading.where}, {_plug_and_switch((reading.plug_reversed, reading.switch_on))}"
    limit = limits.open_circuit_dc_volt if reading.dc else limits.open_circuit_peak_volt
    if reading.open_circuit is not None:
        calm = _network_voltage("open circuit", reading.open_circuit, limit, reading, place)
        if calm.verdict is Verdict.PASSED:
            return calm
    u1_limit = limits.u1_dc_volt if reading.dc else limits.u1_peak_volt
    findings = [_network_voltage("U1", reading.u1, u1_limit, reading, place)]
    if not reading.dc:
        u2 = _network_voltage("U2", reading.u2, limits.u2_peak_volt, reading, place)
        if reading.u2 is not None:
            current = touch_current(reading.u2.span(_peak_factor(reading)).high, limits.body_ohm)
            u2 = replace(u2, clause=f"{u2.clause} (touch current {rounded(current.scaleb(3))} mA peak)")
        findings.insert(0, u2)
    return worst(findings)


def _peak_factor(reading: NetworkReading) -> Decimal:
    return SQRT_2 if reading.rms else Decimal(1)


def _network_voltage(
    name: str, voltage: Voltage | None, limit: Decimal, reading: NetworkReading, place: str
) -> Finding:
    """One voltage at the network against its limit; badness is its share of the limit, so that U1 and U2 compare."""
    if voltage is None:
        return Finding(Verdict.NOT_DONE, NO_BADNESS, f"{name} wasn't read {place}")
    span = voltage.span(_peak_factor(reading))
    form = "DC" if reading.dc else "RMS taken as a sine" if reading.rms else "peak"
    bound = f"at most {volts(limit)} {'DC' if reading.dc else 'peak'} allowed"
    return Finding(at_most(span, limit), span.high / limit, f"{name} {voltage.shown} {form} {place}, {bound}")


def _conductor_current(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    limit = conductor_current_limit(limits, unit.heating_watt)
    return _currents(SafetyTest.CONDUCTOR_CURRENT, measurements.conductor_current, limit, unit)


def _touch_current(measurements: Measurements, limits: Limits, unit: UnitUnderTest) -> Judged:
    return _currents(SafetyTest.TOUCH_CURRENT, measurements.touch_current, limits.touch_current_ampere, unit)


def _currents(
    test: SafetyTest, readings: Sequence[CurrentReading], limit: Decimal, unit: UnitUnderTest
) -> Judged:
    """Currents with all switches on, so that only the plug has two positions."""
    findings = [
        Finding(
            at_most(reading.span, limit),
            reading.span.high,
            f"{reading.shown} at {reading.where}, {_plug((reading.plug_reversed, True))}, "
            f"at most {milliamperes(limit)} allowed",
        )
        for reading in readings
    ]
    read = ((reading.where, (reading.plug_reversed, True)) for reading in readings)
    missing = _missing(read, _wanted(unit, both_switch_positions=False), _plug)
    return _sum_up(test, findings, missing, "no reading")


def limit_words(test: SafetyTest, limits: Limits, unit: UnitUnderTest) -> str:
    """The limit that a test's readings are held to, in words; nothing for the inspection."""
    if test is SafetyTest.COLD:
        bound = f"{'at least' if limits.cold_min_inclusive else 'more than'} {ohms(limits.cold_min_ohm)}"
        return bound + (f", at most {ohms(limits.cold_max_ohm)}" if limits.cold_max_ohm is not None else "")
    if test is SafetyTest.INSULATION:
        return (
            f"at least {ohms(insulation_limit(limits, unit))} at {volts(insulation_test_volt(limits, unit))}"
        )
    if test is SafetyTest.NETWORK:
        return f"U2 at most {volts(limits.u2_peak_volt)} peak, U1 at most {volts(limits.u1_peak_volt)} peak"
    most = {
        SafetyTest.CONDUCTOR: ohms(conductor_limit(limits, unit.cord_metre, unit.cord_mm2)),
        SafetyTest.CONDUCTOR_CURRENT: milliamperes(conductor_current_limit(limits, unit.heating_watt)),
        SafetyTest.TOUCH_CURRENT: milliamperes(limits.touch_current_ampere),
    }
    if test is SafetyTest.HOT:
        return f"{'at most' if limits.hot_inclusive else 'less than'} {volts(limits.hot_volt)}"
    return f"at most {most[test]}" if test in most else ""


_TRIALS: dict[SafetyTest, Callable[[Measurements, Limits, UnitUnderTest], Judged]] = {
    SafetyTest.VISUAL: _visual,
    SafetyTest.CONDUCTOR: _conductor,
    SafetyTest.COLD: _cold,
    SafetyTest.INSULATION: _insulation,
    SafetyTest.HOT: _hot,
    SafetyTest.NETWORK: _network,
    SafetyTest.CONDUCTOR_CURRENT: _conductor_current,
    SafetyTest.TOUCH_CURRENT: _touch_current,
}
