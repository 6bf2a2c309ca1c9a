"""The output stage: DC at the speaker terminals, idle current, and what V_BE says about two transistors.

Sources
    DC offset bands 30, 50 and 100 mV, protection relays at 0.6 to 2 V, 10 to 30 minutes of warm-up before setting the
    idle current, junction voltages on a meter's diode range, -2 mV/K: common practice, no source. The maker's manual
    wins over all of them.
    Idle current I = V/R; across two emitter resistors in series the sum divides: Ohm's law.
    ΔV_BE = kT/q · ln(ratio): Ebers-Moll; k and q are exact in the SI since 2019 (BIPM, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..in_words import plain, rounded
from ..quantities import engineering
from .levels import power
from .refusal import AudioError, refuse_outside, refuse_unless_finite, refuse_unless_positive

BOLTZMANN = Decimal("1.380649E-23")
ELEMENTARY_CHARGE = Decimal("1.602176634E-19")
CELSIUS_ZERO = Decimal("273.15")
VBE_PER_KELVIN = Decimal("-0.002")
RELAY_TRIP_VOLT = (Decimal("0.6"), Decimal(2))
WARM_UP_MINUTE = (10, 30)
COLDEST_CELSIUS, HOTTEST_CELSIUS = Decimal(-100), Decimal(300)
"""Between these a junction is still one: common practice, no source."""
APART_AT_MOST_VOLT = Decimal("0.2")
"""Farther apart one of two junctions in parallel conducts nothing: common practice, no source."""
RAIL_VOLT = Decimal(2)
"""From here a DC voltage at the output is a failed stage, not an offset: the protection relay's upper trip point."""
HIGHEST_IDLE_AMPERE = Decimal(100)
"""Far above what any supply of a bench feeds: our own choice."""
HIGHEST_OUTPUT_VOLT = Decimal(300)
"""No output stage of a bench has a rail above this: our own choice."""


class OffsetBand(StrEnum):
    """How a DC offset at the speaker terminals reads."""

    GOOD = "good"
    ACCEPTABLE = "acceptable"
    ADJUST = "adjust or investigate"
    FAULT = "fault"


@dataclass(frozen=True, slots=True, kw_only=True)
class OffsetLimits:
    """The upper ends of the bands in volt; one ``maker_volt`` from the service manual replaces all of them."""

    good_volt: Decimal = Decimal("0.030")
    acceptable_volt: Decimal = Decimal("0.050")
    adjust_volt: Decimal = Decimal("0.100")
    maker_volt: Decimal | None = None

    def __post_init__(self) -> None:
        """Refuse bands that are out of order."""
        if not 0 < self.good_volt <= self.acceptable_volt <= self.adjust_volt:
            raise AudioError("The bands of the DC offset must rise from good to fault.")
        if self.maker_volt is not None:
            refuse_unless_positive(limit_of_the_maker=self.maker_volt)


@dataclass(frozen=True, slots=True)
class Offset:
    """A DC offset judged, with what it pushes through the load."""

    band: OffsetBand
    ampere: Decimal
    watt: Decimal
    sentence: str


COMMON_OFFSET_LIMITS = OffsetLimits()


def judge_offset(volt: Decimal, ohm: Decimal, limits: OffsetLimits = COMMON_OFFSET_LIMITS) -> Offset:
    """Judge a DC offset in volt, of either sign, at terminals that feed a load in ohm."""
    refuse_unless_finite(voltage=volt)
    refuse_outside(-HIGHEST_OUTPUT_VOLT, HIGHEST_OUTPUT_VOLT, "V", voltage_at_the_output=volt)
    refuse_unless_positive(load=ohm)
    refuse_outside(Decimal("0.1"), 1_000_000, "Ω", load=ohm)
    size = abs(volt)
    band = _band(size, limits)
    ampere, watt = size / ohm, power(volt, ohm)
    basis = "" if limits.maker_volt is None else f" against the maker's {plain(limits.maker_volt * 1000)} mV"
    if size >= RAIL_VOLT:
        load = f"{_three(ampere, 'A')} and {_three(watt, 'W')} into {plain(ohm)} Ω"
        sentence = (
            f"{engineering(volt, 'V', 4)}: {band}{basis}, and no offset but a failed output stage or coupling "
            f"capacitor; {load}."
        )
    else:
        load = f"{rounded(ampere * 1000)} mA and {rounded(watt * 1000)} mW into {plain(ohm)} Ω"
        sentence = f"{plain(volt * 1000)} mV: {band}{basis}; {load}."
    if size >= RELAY_TRIP_VOLT[0]:
        sentence += " Keep speakers off; a protection relay would trip about here."
    return Offset(band, ampere, watt, sentence)


def _three(value: Decimal, unit: str) -> str:
    return engineering(value, unit, 3, padded=True)


def _band(size: Decimal, limits: OffsetLimits) -> OffsetBand:
    if limits.maker_volt is not None:
        return OffsetBand.GOOD if size <= limits.maker_volt else OffsetBand.FAULT
    if size <= limits.good_volt:
        return OffsetBand.GOOD
    if size <= limits.acceptable_volt:
        return OffsetBand.ACCEPTABLE
    return OffsetBand.ADJUST if size <= limits.adjust_volt else OffsetBand.FAULT


def idle_current(volt: Decimal, *emitter_ohms: Decimal) -> Decimal:
    """Ampere through the emitter resistors that the voltage, of either sign, was read across: one, or two in series."""
    refuse_unless_finite(voltage=volt)
    if not emitter_ohms:
        raise AudioError("Give the emitter resistor the voltage was read across.")
    for ohm in emitter_ohms:
        refuse_unless_positive(emitter_resistor=ohm)
        refuse_outside(Decimal("0.001"), 10_000, "Ω", emitter_resistor=ohm)
    refuse_outside(-50, 50, "V", voltage_over_the_resistors=volt)
    ampere = abs(volt) / sum(emitter_ohms)
    if ampere > HIGHEST_IDLE_AMPERE:
        raise AudioError("No output stage idles at more than 100 A: look at the units of both values.")
    return ampere


def thermal_voltage(celsius: Decimal = Decimal(25)) -> Decimal:
    """kT/q in volt at a temperature in °C."""
    refuse_unless_finite(temperature=celsius)
    kelvin = celsius + CELSIUS_ZERO
    if kelvin <= 0:
        raise AudioError("Nothing is colder than -273.15 °C.")
    refuse_outside(COLDEST_CELSIUS, HOTTEST_CELSIUS, "°C", temperature=celsius)
    return BOLTZMANN * kelvin / ELEMENTARY_CHARGE


def delta_vbe(current_ratio: Decimal, celsius: Decimal = Decimal(25)) -> Decimal:
    """The difference of V_BE in volt between two equal transistors whose currents stand in this ratio."""
    refuse_unless_positive(current_ratio=current_ratio)
    return thermal_voltage(celsius) * current_ratio.ln()


def current_ratio(delta_volt: Decimal, celsius: Decimal = Decimal(25)) -> Decimal:
    """How unequally two transistors share the current when their V_BE differ by ``delta_volt``, bases tied."""
    refuse_unless_finite(voltage=delta_volt)
    if abs(delta_volt) > APART_AT_MOST_VOLT:
        raise AudioError(
            "More than 200 mV apart is no mismatch of V_BE: one of the two conducts nothing, or the reading is another."
        )
    return (delta_volt / thermal_voltage(celsius)).exp()


def vbe_drift(kelvin: Decimal) -> Decimal:
    """How far V_BE moves, in volt, when a silicon junction warms by so many kelvin at the same current."""
    refuse_unless_finite(temperature=kelvin)
    refuse_outside(-400, 400, "K", change_of_temperature=kelvin)
    return VBE_PER_KELVIN * kelvin


class Junction(StrEnum):
    """What a meter's diode range suggests about a junction."""

    SHORT = "short"
    GERMANIUM = "germanium or Schottky"
    SILICON = "silicon"
    DARLINGTON = "Darlington"
    OPEN = "open"
    UNCLEAR = "unclear"


_JUNCTIONS = (
    (Decimal("0.15"), Decimal("0.35"), Junction.GERMANIUM),
    (Decimal("0.5"), Decimal("0.7"), Junction.SILICON),
    (Decimal("1.0"), Decimal("1.4"), Junction.DARLINGTON),
)
_SHORT_BELOW_VOLT = Decimal("0.05")


def read_junction(volt: Decimal | None) -> Junction:
    """What the diode range's reading in volt suggests; None is over range. Parts still in circuit may mislead."""
    if volt is None:
        return Junction.OPEN
    refuse_unless_finite(voltage=volt)
    if abs(volt) < _SHORT_BELOW_VOLT:
        return Junction.SHORT
    for low, high, junction in _JUNCTIONS:
        if low <= volt <= high:
            return junction
    return Junction.UNCLEAR
