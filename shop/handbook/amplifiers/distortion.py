"""Distortion and noise: THD from harmonics, SINAD, and signal to noise with what it was measured against.

Sources
    THD over the fundamental, √(ΣH²)/H1, and over the whole, √(ΣH²)/√(H1²+ΣH²): IEC 60268-3 has the second (from memory).
    SINAD = 20 log((S+N+D)/(N+D)), what a notch meter shows: from memory. A power sum of levels: circuit theory.
    CCIR 468 weighting reads higher than A for the same noise, by no fixed number (common practice): the two aren't compared.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import Refused, refuse_outside

MOST_HARMONICS = 20


@dataclass(frozen=True, slots=True)
class Thd:
    """Total harmonic distortion in percent: over the fundamental, over the whole signal, and in dB under the fundamental."""

    of_fundamental: Decimal
    of_whole: Decimal
    decibel: Decimal


def thd(fundamental_volt: Decimal, harmonics_volt: Sequence[Decimal]) -> Thd:
    """THD from the fundamental and its harmonics, all RMS or all peak."""
    refuse_outside(Decimal("1E-9"), 10_000, "V", fundamental=fundamental_volt)
    if not 1 <= len(harmonics_volt) <= MOST_HARMONICS:
        raise Refused(f"Type one to {MOST_HARMONICS} harmonics.")
    for each in harmonics_volt:
        refuse_outside(0, 10_000, "V", harmonic=each)
    rest = sum((each * each for each in harmonics_volt), Decimal(0)).sqrt()
    if not rest:
        raise Refused("Harmonics of nothing make no distortion: type at least one above 0.")
    if rest > fundamental_volt:
        raise Refused("The harmonics are larger than the fundamental: another tone, or a clipped reading.")
    whole = (fundamental_volt * fundamental_volt + rest * rest).sqrt()
    ratio = rest / fundamental_volt
    return Thd(ratio * 100, rest / whole * 100, 20 * ratio.log10())


def thd_of_levels(levels_db: Sequence[Decimal]) -> Thd:
    """THD from harmonics in dB under the fundamental, as an analyzer shows them: -60, -72; a bare 60 is refused."""
    for each in levels_db:
        refuse_outside(-200, 0, "dB", level_of_a_harmonic=each)
    return thd(Decimal(1), [Decimal(10) ** (each / 20) for each in levels_db])


def sinad_db(rest_percent: Decimal) -> Decimal:
    """SINAD in dB from a notch meter's percent (noise and distortion over the whole)."""
    refuse_outside(Decimal("0.00001"), 100, "%", reading=rest_percent)
    return 20 * (100 / rest_percent).log10()


def signal_to_noise_db(signal_volt: Decimal, noise_volt: Decimal) -> Decimal:
    """S/N in dB from the reference output and the noise left, both V RMS at the same output."""
    refuse_outside(Decimal("1E-6"), 10_000, "V", reference_output=signal_volt)
    refuse_outside(Decimal("1E-9"), 10_000, "V", noise=noise_volt)
    if noise_volt >= signal_volt:
        raise Refused("The noise is no smaller than the signal: one of the two is read wrong.")
    return 20 * (signal_volt / noise_volt).log10()


def named(decibel: Decimal, reference: str, termination: str, weighting: str) -> str:
    """S/N in words that can be compared later: without reference, termination and weighting it says little."""
    refuse_outside(-200, 300, "dB", level=decibel)
    wanting = [
        name
        for name, said in (("reference", reference), ("termination", termination), ("weighting", weighting))
        if not said
    ]
    stands = f"{decibel:.1f} dB"
    told = [f"re {reference}" * bool(reference), f"input {termination}" * bool(termination), weighting]
    words = ", ".join(one for one in told if one)
    missing = f"; {' and '.join(wanting)} not noted, so it can’t be compared" if wanting else ""
    return f"{stands}{', ' if words else ''}{words}{missing}"
