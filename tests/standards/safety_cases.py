"""Readings and units for the checks of the safety check: an American set, and European ones of each class."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from shop.handbook.safety import (
    ColdReading,
    ConductorReading,
    CurrentReading,
    HotReading,
    Inspection,
    InsulationReading,
    Limits,
    Measurements,
    NetworkReading,
    ProtectionClass,
    Resistance,
    SafetyTest,
    UnitUnderTest,
    Verdict,
    assess,
)

D = Decimal
US = UnitUnderTest(protection_class=ProtectionClass.II, line_volt=D(120), line_hertz=D(60))
EU_I = UnitUnderTest(protection_class=ProtectionClass.I, line_volt=D(230), line_hertz=D(50))
EU_II = replace(EU_I, protection_class=ProtectionClass.II)
EU_III = replace(EU_I, protection_class=ProtectionClass.III)
COMMON = Limits()
SOUND = Inspection(sound=True)
POSITIONS = [(False, True), (False, False), (True, True), (True, False)]


def hot(volt: str, where: str = "headphone socket", **more) -> tuple[HotReading, ...]:
    return tuple(
        HotReading(where=where, volt=D(volt), plug_reversed=plug, switch_on=on, **more)
        for plug, on in POSITIONS
    )


def cold(ohm: str | None, **more) -> tuple[ColdReading, ...]:
    return (
        ColdReading(
            where="chassis screw", resistance=Resistance(ohm=None if ohm is None else D(ohm)), **more
        ),
    )


def conductor(ohm: str | None, **more) -> tuple[ConductorReading, ...]:
    reading = Resistance(ohm=None if ohm is None else D(ohm), **more)
    return (ConductorReading(where="chassis", resistance=reading),)


def insulation(
    ohm: str | None, volt: str = "500", *, separation: bool = False
) -> tuple[InsulationReading, ...]:
    reading = Resistance(ohm=None if ohm is None else D(ohm))
    return (
        InsulationReading(
            where="speaker terminal", resistance=reading, test_volt=D(volt), separation=separation
        ),
    )


def current(ampere: str, **more) -> tuple[CurrentReading, ...]:
    return tuple(
        CurrentReading(where="tuner knob", ampere=D(ampere), plug_reversed=plug, **more)
        for plug in (False, True)
    )


def network(**more) -> tuple[NetworkReading, ...]:
    return tuple(
        NetworkReading(where="antenna terminal", plug_reversed=plug, switch_on=on, **more)
        for plug, on in POSITIONS
    )


def verdict_on(
    test: SafetyTest, measurements: Measurements, unit: UnitUnderTest = US, limits: Limits = COMMON
) -> Verdict:
    return next(judged for judged in assess(measurements, limits, unit).tests if judged.test is test).verdict


def sentence_on(
    test: SafetyTest, measurements: Measurements, unit: UnitUnderTest = US, limits: Limits = COMMON
) -> str:
    return next(judged for judged in assess(measurements, limits, unit).tests if judged.test is test).sentence


US_GOOD = Measurements(visual=SOUND, cold=cold("2.2E6"), hot=hot("0.31"))
EU_I_GOOD = Measurements(
    visual=SOUND,
    conductor=conductor("0.18"),
    insulation=insulation("20E6"),
    conductor_current=current("0.4E-3"),
    touch_current=current("0.1E-3"),
)
EU_II_GOOD = Measurements(visual=SOUND, insulation=insulation("20E6"), touch_current=current("0.1E-3"))
