"""The two networks that stand in for a person, and how a voltage across them becomes a current.

Sources
    Leakage hot check: 1500 Ω, 10 W, in parallel with 0.15 µF between exposed metal and earth; service manuals of
    several makers (looked up; 0.75 V there equals 0.5 mA).
    IEC 60990 figure 4 as quoted in service manuals (IEC 60065 annex D): Rs 1500 Ω parallel Cs 0.22 µF, in series with
    Rb 500 Ω; U1 across Rb, U2 after 10 kΩ and 0.022 µF; touch current = U2 / 500, a peak value (looked up).
    Impedance of R parallel C: R / √(1 + (2πfRC)²), circuit theory.

The two must not be mixed: other capacitor, other resistor, and RMS in the first against peak in the second.
"""

from __future__ import annotations

from decimal import Decimal

from ..refusal import refuse_unless_finite, refuse_unless_positive

PI = Decimal("3.141592653589793238462643383")
SQRT_2 = Decimal(2).sqrt()

HOT_OHM = Decimal(1500)
HOT_FARAD = Decimal("0.15E-6")
TOUCH_SERIES_OHM = Decimal(1500)
TOUCH_SERIES_FARAD = Decimal("0.22E-6")
TOUCH_BODY_OHM = Decimal(500)


def parallel_impedance(hertz: Decimal, ohm: Decimal, farad: Decimal) -> Decimal:
    """The size, in ohm, of a resistor and a capacitor in parallel at a frequency in hertz (0 for DC)."""
    refuse_unless_finite(frequency=hertz)
    refuse_unless_positive(resistance=ohm, capacitance=farad)
    turn = 2 * PI * hertz * ohm * farad
    return ohm / (1 + turn * turn).sqrt()


def hot_leakage_current(
    volt: Decimal, hertz: Decimal, ohm: Decimal = HOT_OHM, farad: Decimal = HOT_FARAD
) -> Decimal:
    """The leakage current in ampere RMS behind a hot-check reading in volt RMS, at the line frequency in hertz.

    The capacitor takes its share: 0.75 V at 60 Hz is 0.5018 mA where volt over 1500 Ω alone says 0.5 mA.
    """
    refuse_unless_finite(voltage=volt)
    return volt / parallel_impedance(hertz, ohm, farad)


def touch_current(u2_volt: Decimal, body_ohm: Decimal = TOUCH_BODY_OHM) -> Decimal:
    """The weighted touch current in ampere behind U2 in volt; peak gives peak, RMS gives RMS."""
    refuse_unless_finite(voltage=u2_volt)
    refuse_unless_positive(resistance_of_the_body=body_ohm)
    return u2_volt / body_ohm


def peak_of_sine(rms: Decimal) -> Decimal:
    """The peak of a sine whose RMS value is known; true of no other wave shape."""
    refuse_unless_finite(value=rms)
    return rms * SQRT_2


def rms_of_sine(peak: Decimal) -> Decimal:
    """The RMS value of a sine whose peak is known; true of no other wave shape."""
    refuse_unless_finite(value=peak)
    return peak / SQRT_2
