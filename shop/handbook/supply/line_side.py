"""The line side: voltage selectors, buck and boost transformers, inrush, and lamps replaced by LEDs.

Sources
    A transformer's secondary in series with the line adds or takes off its share: transformer theory. That a set is built
    for 0.9 to 1.1 of its marking: IEC 60065, 4.2 (from memory). Secondaries from 5 to 30 V are what is sold: common practice.
    Inrush: the line's peak over all resistance in its way is the upper bound (Ohm). LED through a resistor on AC: the mean
    and the square of the current over the part of the cycle in which the sine exceeds the forward voltage (calculus).
    Forward voltages red 1.8, yellow and green 2.1, blue and white 3.2 V: usual numbers, from memory; 5 V as the most
    that an LED stands in reverse: data sheets' usual limit, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import Refused, refuse_outside

SECONDARIES = tuple(Decimal(one) for one in ("5", "6.3", "9", "10", "12", "15", "18", "24", "30"))
FAR = Decimal("0.25")
"""Beyond a quarter of the line a series winding isn't the way: an isolating or auto transformer for the set's voltage is."""
ENDURED = (Decimal("0.9"), Decimal("1.1"))


@dataclass(frozen=True, slots=True)
class Tap:
    """A tap of a voltage selector: the percent by which the line lies over it, and whether the set endures that."""

    volt: Decimal
    percent: Decimal
    suits: bool


def best_tap(line_volt: Decimal, taps: Sequence[Decimal]) -> Tap:
    """The tap whose voltage is nearest to the line by ratio; of two equally near, the higher one.

    ``suits`` is False where even that one lies more than a tenth away.
    """
    refuse_outside(50, 500, "V", line_voltage=line_volt)
    if not 1 <= len(taps) <= 12:
        raise Refused("Type the taps of the selector, such as 100 117 220 240.")
    for tap in taps:
        refuse_outside(50, 500, "V", tap=tap)
    best = min(taps, key=lambda tap: (abs((line_volt / tap).ln()), -tap))
    return Tap(best, (line_volt / best - 1) * 100, ENDURED[0] <= line_volt / best <= ENDURED[1])


@dataclass(frozen=True, slots=True)
class Series:
    """A secondary winding in series with the line: its voltage, whether it takes off, and what the set then gets, in V."""

    secondary_volt: Decimal
    bucks: bool
    set_volt: Decimal
    percent: Decimal


def buck_or_boost(line_volt: Decimal, marked_volt: Decimal, primary_volt: Decimal) -> Series:
    """The common secondary that brings the set nearest to its marking; the primary lies across the line.

    Raises Refused where line and marking are too far apart for a series winding.
    """
    refuse_outside(80, 280, "V", line_voltage=line_volt, marking=marked_volt, primary=primary_volt)
    if abs(line_volt - marked_volt) > FAR * line_volt:
        raise Refused(
            "That is too far for a series winding: use a transformer from the line to the set’s own voltage."
        )
    bucks = line_volt > marked_volt
    sign = -1 if bucks else 1
    results = [(one, line_volt * (1 + sign * one / primary_volt)) for one in SECONDARIES]
    none = (Decimal(0), line_volt)
    secondary, gets = min([none, *results], key=lambda each: abs(each[1] - marked_volt))
    return Series(secondary, bucks, gets, (gets / marked_volt - 1) * 100)


def series_rating_va(secondary_volt: Decimal, set_volt: Decimal, set_watt: Decimal) -> Decimal:
    """The least VA of a series winding that carries the set's current; times 1.5, for poor power factors."""
    refuse_outside(0, 100, "V", secondary=secondary_volt)
    refuse_outside(50, 500, "V", voltage_at_the_set=set_volt)
    refuse_outside(1, 5000, "W", draw_of_the_set=set_watt)
    return secondary_volt * set_watt / set_volt * Decimal("1.5")


def inrush_ampere(line_volt: Decimal, ohm: Decimal) -> Decimal:
    """The most that can flow at switch-on: the line's peak over what stands in its way (winding, fuse, cold NTC), in A."""
    refuse_outside(1, 500, "V", line_voltage=line_volt)
    refuse_outside(Decimal("0.05"), 100_000, "Ω", resistance_in_the_way=ohm)
    return line_volt * Decimal(2).sqrt() / ohm


def limiter_ohm(line_volt: Decimal, ohm: Decimal, most_ampere: Decimal) -> Decimal:
    """The cold resistance in Ω that an inrush limiter must add so that no more than ``most_ampere`` flows; 0 if none."""
    refuse_outside(Decimal("0.1"), 1000, "A", most_current=most_ampere)
    inrush_ampere(line_volt, ohm)
    return max(line_volt * Decimal(2).sqrt() / most_ampere - ohm, Decimal(0))


FORWARD_VOLT: dict[str, Decimal] = {
    "red": Decimal("1.8"),
    "yellow": Decimal("2.1"),
    "green": Decimal("2.1"),
    "blue": Decimal("3.2"),
    "white": Decimal("3.2"),
}


@dataclass(frozen=True, slots=True)
class Led:
    """An LED in a lamp's place: series resistor in Ω, its watts, and the highest current in A."""

    ohm: Decimal
    watt: Decimal
    peak_ampere: Decimal


def led_on_dc(volt: Decimal, forward_volt: Decimal, ampere: Decimal) -> Led:
    """The resistor for LEDs whose forward voltages add up to ``forward_volt`` on DC."""
    _refuse_unless_a_led(volt, forward_volt, ampere)
    if volt <= forward_volt:
        raise Refused("The LEDs need more than that voltage: fewer of them in a row.")
    drop = volt - forward_volt
    return Led(drop / ampere, drop * ampere, ampere)


def led_on_ac(rms_volt: Decimal, forward_volt: Decimal, ampere: Decimal, *, bridge: bool = False) -> Led:
    """The same on AC (V RMS): half the cycle with a diode across the LED, or both halves through a bridge.

    ``ampere`` is the mean current, which is what an LED's brightness follows. The forward voltage counts the bridge's
    two diodes as well, where there is one.
    """
    _refuse_unless_a_led(rms_volt, forward_volt, ampere)
    peak, forward = float(rms_volt) * math.sqrt(2), float(forward_volt)
    if forward >= 0.95 * peak:
        raise Refused("The LEDs need more than that voltage: fewer of them in a row.")
    begins = math.asin(forward / peak)
    width = math.pi - 2 * begins
    times = 2 if bridge else 1
    mean = times * (2 * peak * math.cos(begins) - forward * width) / (2 * math.pi)
    square = peak**2 * (width / 2 + math.sin(2 * begins) / 2)
    square += forward**2 * width - 4 * peak * forward * math.cos(begins)
    ohm = mean / float(ampere)
    return Led(
        _decimal(ohm), _decimal(times * square / (2 * math.pi) / ohm), _decimal((peak - forward) / ohm)
    )


def _refuse_unless_a_led(volt: Decimal, forward_volt: Decimal, ampere: Decimal) -> None:
    refuse_outside(1, 60, "V", supply_of_the_lamp=volt)
    refuse_outside(1, 55, "V", forward_voltage=forward_volt)
    refuse_outside(Decimal("0.0002"), 1, "A", current=ampere)


def _decimal(value: float) -> Decimal:
    return Decimal(repr(round(value, 9)))
