"""A reservoir capacitor behind a rectifier: ripple, the lowest and the mean voltage.

Sources
    Ideal diodes and winding, constant load current: between two humps of the sine the capacitor falls by I·t/C; where the
    straight line meets the next hump is solved, not guessed (circuit theory). The rule of thumb I / (f·C) takes the whole
    time between humps for discharge and is the upper bound. A real winding's resistance makes the ripple smaller and the
    voltage lower. Electrolytics are −20 % at worst when new (common practice).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import Refused, refuse_outside


@dataclass(frozen=True, slots=True)
class Ripple:
    """Peak-to-peak ripple in V, the highest, lowest and mean voltage, the rule of thumb's ripple in V, and its frequency."""

    volt_pp: Decimal
    highest_volt: Decimal
    lowest_volt: Decimal
    mean_volt: Decimal
    rule_volt_pp: Decimal
    hertz: Decimal


def ripple(
    peak_volt: Decimal, ampere: Decimal, farad: Decimal, line_hz: Decimal, *, full_wave: bool = True
) -> Ripple:
    """The ripple on a capacitor that charges to ``peak_volt`` (behind the diodes) and feeds a constant current.

    Raises Refused where the capacitor is too small to hold anything between the humps.
    """
    refuse_outside(1, 5000, "V", peak_voltage=peak_volt)
    refuse_outside(Decimal("1E-6"), 100, "A", load_current=ampere)
    refuse_outside(Decimal("1E-9"), 10, "F", capacitance=farad)
    refuse_outside(15, 500, "Hz", line_frequency=line_hz)
    peak, load, holds = float(peak_volt), float(ampere), float(farad)
    omega = 2 * math.pi * float(line_hz)
    steepness = load / (omega * holds * peak)
    if steepness >= 0.5:
        raise Refused(
            "The capacitor is too small for that current: hardly anything is left between the humps."
        )
    leaves = math.asin(steepness)  # from here on the sine falls faster than the capacitor
    hump = math.pi if full_wave else 2 * math.pi
    meets = _meeting(leaves, hump, steepness)
    lowest = peak * math.cos(meets - hump)
    if lowest <= 0:
        raise Refused("The capacitor is too small for that current: it is empty before the next hump.")
    falling = (peak * math.cos(leaves) + lowest) / 2 * (meets - leaves)
    riding = peak * (math.sin(leaves) + math.sin(hump - meets))
    frequency = float(line_hz) * (2 if full_wave else 1)
    return Ripple(
        _decimal(peak - lowest),
        peak_volt,
        _decimal(lowest),
        _decimal((falling + riding) / hump),
        _decimal(load / (frequency * holds)),
        _decimal(frequency),
    )


def _meeting(leaves: float, hump: float, steepness: float) -> float:
    """The angle at which the straight line meets the next hump, by bisection; the line is above it at the start."""

    def above(angle: float) -> float:
        return math.cos(leaves) - steepness * (angle - leaves) - math.cos(angle - hump)

    low, high = max(hump - math.pi / 2, leaves), hump
    if above(low) <= 0:
        return low
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if above(middle) > 0 else (low, middle)
    return high


def peak_behind(rms_volt: Decimal, drops_volt: Decimal) -> Decimal:
    """What a winding (V RMS under load) charges a capacitor to, less the diodes' drops in volt."""
    refuse_outside(1, 3000, "V", winding=rms_volt)
    refuse_outside(0, 100, "V", drop_of_the_diodes=drops_volt)
    peak = rms_volt * Decimal(2).sqrt() - drops_volt
    if peak < 1:
        raise Refused("The diodes take all of that voltage.")
    return peak


def _decimal(value: float) -> Decimal:
    return Decimal(repr(round(value, 12)))
