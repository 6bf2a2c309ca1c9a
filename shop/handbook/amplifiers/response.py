"""Response and load: damping, bandwidth and rise time, Zobel, crossovers, loudspeakers together.

Sources
    Output resistance from two loads, R = (V1 − V2)/(V2/R2 − V1/R1): Ohm. Damping factor over 8 Ω: common practice.
    t_r · f = ln 9 / 2π, about 0.35, for one pole: circuit theory. First-order 1/(2πRC) and R/(2πL); second-order Butterworth
    C = 1/(2√2·πRf), L = √2·R/(2πf); Linkwitz-Riley of the second order C = 1/(4πRf), L = R/(πf): filter tables, from memory.
    A Zobel's resistor takes V²·R/(R² + X²): circuit theory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..refusal import Refused, refuse_outside

_TAU = Decimal(repr(2 * math.pi))
RISE = Decimal(repr(math.log(9) / (2 * math.pi)))


@dataclass(frozen=True, slots=True)
class Damping:
    """The output resistance in Ω and the damping factor over a nominal load; None where the resistance is too small to tell."""

    output_ohm: Decimal
    factor: Decimal | None


def damping(
    light_volt: Decimal,
    light_ohm: Decimal | None,
    heavy_volt: Decimal,
    heavy_ohm: Decimal,
    nominal_ohm: Decimal,
) -> Damping:
    """From the output at a light load (None: open) and at a heavy one, at the same drive, in V RMS."""
    refuse_outside(
        Decimal("0.001"),
        1000,
        "V",
        voltage_at_the_light_load=light_volt,
        voltage_at_the_heavy_load=heavy_volt,
    )
    refuse_outside(Decimal("0.1"), 100_000, "Ω", heavy_load=heavy_ohm, nominal_load=nominal_ohm)
    if light_ohm is not None:
        refuse_outside(Decimal("0.1"), 10_000_000, "Ω", light_load=light_ohm)
        if light_ohm <= heavy_ohm:
            raise Refused("The light load has more ohms than the heavy one.")
    if heavy_volt > light_volt:
        raise Refused("The output rose under load: the two voltages are exchanged, or the drive moved.")
    light_ampere = light_volt / light_ohm if light_ohm is not None else Decimal(0)
    more = heavy_volt / heavy_ohm - light_ampere
    if more <= 0:
        raise Refused("The heavy load drew no more current than the light one: read both again.")
    out = (light_volt - heavy_volt) / more
    return Damping(out, nominal_ohm / out if out else None)


def rise_time(hertz: Decimal) -> Decimal:
    """The 10 to 90 % rise time in s of a single pole with this −3 dB frequency."""
    refuse_outside(1, Decimal("1E9"), "Hz", bandwidth=hertz)
    return RISE / hertz


def bandwidth(second: Decimal, generator_second: Decimal = Decimal(0)) -> Decimal:
    """The −3 dB frequency in Hz behind a rise time in s; the generator's own is taken off by squares."""
    refuse_outside(Decimal("1E-10"), 1, "s", rise_time=second)
    refuse_outside(0, 1, "s", rise_time_of_the_generator=generator_second)
    if generator_second >= second:
        raise Refused("The generator’s own edge is no faster than what was read: nothing can be told.")
    return RISE / (second * second - generator_second * generator_second).sqrt()


@dataclass(frozen=True, slots=True)
class Zobel:
    """An RC across the output at one frequency: corner in Hz, current in A RMS, and watts in the resistor."""

    corner_hz: Decimal
    ampere: Decimal
    watt: Decimal


def zobel(volt_rms: Decimal, ohm: Decimal, farad: Decimal, hertz: Decimal) -> Zobel:
    """What the resistor of a Zobel network must dissipate at a frequency and output (V RMS)."""
    refuse_outside(Decimal("0.01"), 1000, "V", output=volt_rms)
    refuse_outside(Decimal("0.1"), 10_000, "Ω", resistor=ohm)
    refuse_outside(Decimal("1E-11"), Decimal("1E-3"), "F", capacitor=farad)
    refuse_outside(1, 10_000_000, "Hz", frequency=hertz)
    reactance = 1 / (_TAU * hertz * farad)
    ampere = volt_rms / (ohm * ohm + reactance * reactance).sqrt()
    return Zobel(1 / (_TAU * ohm * farad), ampere, ampere * ampere * ohm)


class Crossover(StrEnum):
    """A crossover's kind."""

    FIRST = "first"
    BUTTERWORTH = "second"
    LINKWITZ_RILEY = "lr2"


def crossover(kind: Crossover, hertz: Decimal, ohm: Decimal) -> tuple[Decimal, Decimal]:
    """Capacitance in F and inductance in H of one crossover point for a resistive driver; real drivers need their own Zobel."""
    refuse_outside(20, 40_000, "Hz", crossover_frequency=hertz)
    refuse_outside(1, 1000, "Ω", driver=ohm)
    quality = {
        Crossover.FIRST: Decimal(1),
        Crossover.BUTTERWORTH: Decimal(2).sqrt(),
        Crossover.LINKWITZ_RILEY: Decimal(2),
    }[kind]
    return 1 / (_TAU * ohm * hertz * quality), ohm * quality / (_TAU * hertz)


@dataclass(frozen=True, slots=True)
class Together:
    """Loudspeakers on one output: their load in Ω, and each one's share of the power in percent."""

    ohm: Decimal
    shares: tuple[Decimal, ...]


def speakers(ohms: Sequence[Decimal], *, in_series: bool = False) -> Together:
    """Loudspeakers A and B (and more) in parallel or in series; nominal Ω, a real one dips to some 80 % of it."""
    if not 1 <= len(ohms) <= 8:
        raise Refused("Type one to eight loudspeakers, such as 8 4.")
    for each in ohms:
        refuse_outside(1, 2000, "Ω", loudspeaker=each)
    if in_series:
        whole = sum(ohms, Decimal(0))
        return Together(whole, tuple(each / whole * 100 for each in ohms))
    whole = 1 / sum((1 / each for each in ohms), Decimal(0))
    return Together(whole, tuple(whole / each * 100 for each in ohms))
