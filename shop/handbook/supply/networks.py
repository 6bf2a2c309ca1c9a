"""Small networks: dividers, parallel and series, corners, a Zener, a regulator's headroom, a dropper.

Sources
    Ohm's and Kirchhoff's laws; corner 1/(2πRC), R/(2πL), resonance 1/(2π√LC): circuit theory. Drop-out of about 2 V for
    78xx and 317 types, 5 mA as a Zener's least current: data sheets' typical numbers, from memory. A resistor is chosen
    for twice the power that it takes: common practice, no source. The line between 0.9 and 1.1 of nominal: see audio.line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import Refused, refuse_outside

MOST_PARTS = 12
LOW_LINE, HIGH_LINE = Decimal("0.9"), Decimal("1.1")
USUAL_DROPOUT_VOLT = Decimal(2)
LEAST_ZENER_AMPERE = Decimal("0.005")
_LEAST_OHM, _MOST_OHM = Decimal("0.001"), Decimal("1E12")


@dataclass(frozen=True, slots=True)
class Divider:
    """Output in V, what the divider looks like from there in Ω, and the watts in the upper and the lower resistor."""

    volt: Decimal
    source_ohm: Decimal
    upper_watt: Decimal
    lower_watt: Decimal


def divider(
    volt: Decimal, upper_ohm: Decimal, lower_ohm: Decimal, load_ohm: Decimal | None = None
) -> Divider:
    """A voltage divider, with what loads it."""
    refuse_outside(-50_000, 50_000, "V", voltage=volt)
    refuse_outside(_LEAST_OHM, _MOST_OHM, "Ω", upper_resistor=upper_ohm, lower_resistor=lower_ohm)
    below = lower_ohm
    if load_ohm is not None:
        refuse_outside(_LEAST_OHM, _MOST_OHM, "Ω", load=load_ohm)
        below = in_parallel([lower_ohm, load_ohm])
    out = volt * below / (upper_ohm + below)
    return Divider(
        out,
        in_parallel([upper_ohm, lower_ohm]),
        (volt - out) * (volt - out) / upper_ohm,
        out * out / lower_ohm,
    )


def in_parallel(values: Sequence[Decimal]) -> Decimal:
    """Resistors or inductors in parallel, or capacitors in series: the reciprocal of the sum of reciprocals."""
    _refuse_unless_some(values)
    return 1 / sum((1 / value for value in values), Decimal(0))


def in_a_row(values: Sequence[Decimal]) -> Decimal:
    """Resistors or inductors in series, or capacitors in parallel: the sum."""
    _refuse_unless_some(values)
    return sum(values, Decimal(0))


def _refuse_unless_some(values: Sequence[Decimal]) -> None:
    if not 1 <= len(values) <= MOST_PARTS:
        raise Refused(f"Type one to {MOST_PARTS} values.")
    for value in values:
        refuse_outside(Decimal("1E-15"), Decimal("1E12"), "", value=value)


def rc_corner(ohm: Decimal, farad: Decimal) -> Decimal:
    """The corner in Hz of a resistance and a capacitance."""
    refuse_outside(_LEAST_OHM, _MOST_OHM, "Ω", resistance=ohm)
    _refuse_unless_a_capacitor(farad)
    return 1 / (_TAU * ohm * farad)


def rl_corner(ohm: Decimal, henry: Decimal) -> Decimal:
    """The corner in Hz of a resistance and an inductance."""
    refuse_outside(_LEAST_OHM, _MOST_OHM, "Ω", resistance=ohm)
    _refuse_unless_a_coil(henry)
    return ohm / (_TAU * henry)


def lc_resonance(henry: Decimal, farad: Decimal) -> tuple[Decimal, Decimal]:
    """The resonance in Hz of an inductance and a capacitance, and √(L/C) in Ω."""
    _refuse_unless_a_coil(henry)
    _refuse_unless_a_capacitor(farad)
    return 1 / (_TAU * (henry * farad).sqrt()), (henry / farad).sqrt()


_TAU = Decimal(repr(2 * math.pi))


def _refuse_unless_a_capacitor(farad: Decimal) -> None:
    refuse_outside(Decimal("1E-14"), 100, "F", capacitance=farad)


def _refuse_unless_a_coil(henry: Decimal) -> None:
    refuse_outside(Decimal("1E-10"), 1000, "H", inductance=henry)


@dataclass(frozen=True, slots=True)
class Zener:
    """A Zener behind its resistor: least and most current in it in A, and the most watts in it and in the resistor."""

    least_ampere: Decimal
    most_ampere: Decimal
    zener_watt: Decimal
    resistor_watt: Decimal


def zener(
    low_volt: Decimal,
    high_volt: Decimal,
    zener_volt: Decimal,
    ohm: Decimal,
    most_load: Decimal,
    least_load: Decimal = Decimal(0),
) -> Zener:
    """The worst of both ends: low supply with the most load, high supply with the least; volt, Ω and ampere.

    A load that takes more than the resistor brings leaves no current in the Zener: ``least_ampere`` is then negative.
    """
    refuse_outside(1, 2000, "V", lowest_supply=low_volt, highest_supply=high_volt, zener_voltage=zener_volt)
    refuse_outside(Decimal("0.1"), 10_000_000, "Ω", resistor=ohm)
    refuse_outside(0, 20, "A", most_load=most_load, least_load=least_load)
    if not zener_volt < low_volt <= high_volt:
        raise Refused("The supply must lie above the Zener’s voltage, its lowest value first.")
    if least_load > most_load:
        raise Refused("The least load is above the most: one of the two is read wrong.")
    most = (high_volt - zener_volt) / ohm - least_load
    across = high_volt - min(zener_volt, high_volt)
    return Zener(
        (low_volt - zener_volt) / ohm - most_load,
        most,
        zener_volt * max(most, Decimal(0)),
        across * across / ohm,
    )


def zener_resistor(
    low_volt: Decimal,
    zener_volt: Decimal,
    most_load: Decimal,
    least_zener: Decimal = LEAST_ZENER_AMPERE,
) -> Decimal:
    """The largest resistor in Ω that leaves the Zener its least current at the lowest supply."""
    refuse_outside(1, 2000, "V", lowest_supply=low_volt, zener_voltage=zener_volt)
    refuse_outside(0, 20, "A", most_load=most_load)
    refuse_outside(Decimal("1E-5"), 5, "A", least_current_of_the_zener=least_zener)
    if low_volt <= zener_volt:
        raise Refused("The supply must lie above the Zener’s voltage.")
    return (low_volt - zener_volt) / (most_load + least_zener)


@dataclass(frozen=True, slots=True)
class Headroom:
    """What is left over a regulator's drop-out at today's line and at 10 % less, in V; its heat today and at 10 % more, in W."""

    now_volt: Decimal
    low_line_volt: Decimal
    now_watt: Decimal
    high_line_watt: Decimal


def headroom(
    mean_volt: Decimal,
    ripple_pp: Decimal,
    out_volt: Decimal,
    ampere: Decimal,
    dropout_volt: Decimal = USUAL_DROPOUT_VOLT,
) -> Headroom:
    """A regulator between an unregulated rail (mean voltage and ripple) and its output; amounts, for negative rails too."""
    refuse_outside(1, 1000, "V", rail=mean_volt, output=out_volt)
    refuse_outside(0, 500, "V", ripple=ripple_pp)
    refuse_outside(0, 50, "A", current=ampere)
    refuse_outside(0, 20, "V", drop_out=dropout_volt)
    if ripple_pp / 2 >= mean_volt:
        raise Refused("That is more ripple than there is voltage: one of the two is read wrong.")
    if out_volt >= mean_volt:
        raise Refused("The output can’t lie at or above the rail that feeds it.")
    needs = out_volt + dropout_volt
    return Headroom(
        mean_volt - ripple_pp / 2 - needs,
        mean_volt * LOW_LINE - ripple_pp / 2 - needs,
        (mean_volt - out_volt) * ampere,
        (mean_volt * HIGH_LINE - out_volt) * ampere,
    )


@dataclass(frozen=True, slots=True)
class Dropper:
    """A part that takes the rest of a voltage: Ω and watts of a resistor, or F of a capacitor where the line is AC."""

    ohm: Decimal
    watt: Decimal
    farad: Decimal | None


def dropper(
    line_volt: Decimal, set_volt: Decimal, ampere: Decimal, line_hz: Decimal | None = None
) -> Dropper:
    """What stands in series with a resistive string (heaters) of ``set_volt`` and ``ampere`` on a line; RMS on AC.

    A capacitor takes the rest at a right angle: √(V² − V_set²) / I is its reactance.
    """
    refuse_outside(1, 1000, "V", line_voltage=line_volt, voltage_of_the_string=set_volt)
    refuse_outside(Decimal("0.001"), 20, "A", current=ampere)
    if set_volt >= line_volt:
        raise Refused("The string needs all of the line or more: nothing is to be dropped.")
    drop = line_volt - set_volt
    farad = None
    if line_hz is not None:
        refuse_outside(15, 500, "Hz", line_frequency=line_hz)
        reactance = (line_volt * line_volt - set_volt * set_volt).sqrt() / ampere
        farad = 1 / (_TAU * line_hz * reactance)
    return Dropper(drop / ampere, drop * ampere, farad)
