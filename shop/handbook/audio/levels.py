"""Output power and the decibel forms of power and voltage.

Sources
    P = V²/R, V_rms = V_pp / (2√2) for a sine: circuit theory.
    dBW over 1 W, dBm over 1 mW, dBV over 1 V, dBu over √0.6 V = 0.7746 V (1 mW in 600 Ω): the usual definitions
    (IEC 60268-2, ITU-R V.574, from memory).
    16 CFR 432.3 (the FTC's amplifier rule): preconditioning at one eighth of rated power for one hour, 1 kHz, ambient
    at least 25 °C (text of 2006, looked up; amended 2024).
"""

from __future__ import annotations

from decimal import Decimal

from .refusal import refuse_outside, refuse_unless_finite, refuse_unless_positive

DBU_VOLT = Decimal("0.6").sqrt()
HIGHEST_VOLT = Decimal(10_000)
"""No amplifier of a bench gives more into a load: our own choice."""
PRECONDITIONING_SHARE = Decimal(1) / 8
PRECONDITIONING_SECOND = Decimal(3600)


def power(volt_rms: Decimal, ohm: Decimal) -> Decimal:
    """Watts that a voltage (V RMS, or DC of either sign) puts into a load."""
    refuse_unless_finite(voltage=volt_rms)
    refuse_unless_positive(load=ohm)
    refuse_outside(-HIGHEST_VOLT, HIGHEST_VOLT, "V", voltage=volt_rms)
    refuse_outside(Decimal("0.01"), 10_000_000, "Ω", load=ohm)
    return volt_rms * volt_rms / ohm


def rms_of_peak_to_peak(volt_pp: Decimal) -> Decimal:
    """V RMS of a sine read peak to peak off a screen; true of no other wave shape."""
    refuse_unless_finite(voltage=volt_pp)
    return volt_pp / (2 * Decimal(2).sqrt())


def dbw(watt: Decimal) -> Decimal:
    """Power in dB over 1 W."""
    refuse_unless_positive(power=watt)
    return 10 * watt.log10()


def dbm(watt: Decimal) -> Decimal:
    """Power in dB over 1 mW."""
    return dbw(watt) + 30


def dbv(volt_rms: Decimal) -> Decimal:
    """Voltage in dB over 1 V."""
    refuse_unless_positive(voltage=volt_rms)
    return 20 * volt_rms.log10()


def dbu(volt_rms: Decimal) -> Decimal:
    """Voltage in dB over √0.6 V."""
    return dbv(volt_rms) - dbv(DBU_VOLT)


def watts_of_dbw(level: Decimal) -> Decimal:
    """Watts behind a level in dBW."""
    refuse_unless_finite(level=level)
    refuse_outside(-300, 300, "dB", level=level)
    return Decimal(10) ** (level / 10)


def volts_of_dbv(level: Decimal) -> Decimal:
    """V RMS behind a level in dBV."""
    refuse_unless_finite(level=level)
    refuse_outside(-300, 300, "dB", level=level)
    return Decimal(10) ** (level / 20)


def volts_of_dbu(level: Decimal) -> Decimal:
    """V RMS behind a level in dBu."""
    return volts_of_dbv(level) * DBU_VOLT


def preconditioning_watt(rated_watt: Decimal) -> Decimal:
    """The power per channel at which an amplifier runs for an hour before its rated power is measured."""
    refuse_unless_positive(rated_power=rated_watt)
    return rated_watt * PRECONDITIONING_SHARE
