"""A magnetic cartridge: its electrical load, the resonance of arm and stylus, the force on the record.

Sources
    Coil (L, R) into a capacitance and a resistance in parallel: a low pass of the second order, circuit theory; the
    mechanical rise and fall of a real stylus is left out. Arm resonance 1 / (2π √(m · C)); 8 to 12 Hz is favorable, common
    practice, no source. Compliance quoted at 100 Hz (Japanese makers) is roughly half of that at 10 Hz: factor 1.5 to 2,
    common practice, no source. One gram-force is 9.80665 mN exactly (SI brochure, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import Refused, refuse_outside

MN_PER_GRAM = Decimal("9.80665")
FAVORABLE_HZ = (Decimal(8), Decimal(12))
FROM_100_HZ = (Decimal("1.5"), Decimal(2))


@dataclass(frozen=True, slots=True)
class Load:
    """A coil and its load: resonance and −3 dB in Hz, the peak over low frequencies in dB and where it lies (None: no peak)."""

    resonance_hz: Decimal
    corner_hz: Decimal
    peak_db: Decimal
    peak_hz: Decimal | None


def load(henry: Decimal, coil_ohm: Decimal, farad: Decimal, load_ohm: Decimal) -> Load:
    """The electrical response of a coil into its load: capacitance of cable, plugs and input together, and a resistance."""
    _refuse_unless_a_cartridge(henry, coil_ohm, farad, load_ohm)
    a, b, c = _polynomial(henry, coil_ohm, farad, load_ohm)
    squared = (c - b * b / (2 * a)) / a
    peak_hz, peak_db = None, 0.0
    if squared > 0:
        bottom = math.sqrt(abs(complex(c - a * squared, b * math.sqrt(squared))) ** 2)
        peak_hz, peak_db = math.sqrt(squared) / (2 * math.pi), 20 * math.log10(c / bottom)
    half = b * b - 2 * a * c
    corner = math.sqrt((-half + math.sqrt(half * half + 4 * a * a * c * c)) / (2 * a * a))
    return Load(
        _decimal(1 / (2 * math.pi * math.sqrt(a))),
        _decimal(corner / (2 * math.pi)),
        _decimal(peak_db),
        None if peak_hz is None else _decimal(peak_hz),
    )


def load_db(henry: Decimal, coil_ohm: Decimal, farad: Decimal, load_ohm: Decimal, hertz: Decimal) -> Decimal:
    """The electrical response at one frequency against low frequencies, in dB."""
    _refuse_unless_a_cartridge(henry, coil_ohm, farad, load_ohm)
    refuse_outside(1, 200_000, "Hz", frequency=hertz)
    a, b, c = _polynomial(henry, coil_ohm, farad, load_ohm)
    omega = 2 * math.pi * float(hertz)
    return _decimal(20 * math.log10(c / abs(complex(c - a * omega * omega, b * omega))))


def _polynomial(
    henry: Decimal, coil_ohm: Decimal, farad: Decimal, load_ohm: Decimal
) -> tuple[float, float, float]:
    """1/H = c + b·s + a·s² with H at the load."""
    coil, resistance, capacitance, loading = map(float, (henry, coil_ohm, farad, load_ohm))
    return coil * capacitance, coil / loading + resistance * capacitance, 1 + resistance / loading


def _refuse_unless_a_cartridge(henry: Decimal, coil_ohm: Decimal, farad: Decimal, load_ohm: Decimal) -> None:
    refuse_outside(Decimal("1E-6"), 5, "H", inductance=henry)
    refuse_outside(Decimal("0.1"), 20_000, "Ω", resistance_of_the_coil=coil_ohm)
    refuse_outside(Decimal("1E-12"), Decimal("1E-6"), "F", capacitance=farad)
    refuse_outside(10, 1_000_000, "Ω", load=load_ohm)


def arm_resonance(mass_gram: Decimal, compliance_um_mn: Decimal) -> Decimal:
    """The resonance in Hz of arm, cartridge and screws (effective mass in g) on a stylus (µm/mN, the same as 10⁻⁶ cm/dyn)."""
    refuse_outside(1, 150, "g", moving_mass=mass_gram)
    refuse_outside(Decimal("0.5"), 100, "µm/mN", compliance=compliance_um_mn)
    return _decimal(1000 / (2 * math.pi * math.sqrt(float(mass_gram) * float(compliance_um_mn))))


def arm_resonance_from_100_hz(mass_gram: Decimal, compliance_um_mn: Decimal) -> tuple[Decimal, Decimal]:
    """Between which two frequencies the resonance lies when the compliance is quoted at 100 Hz."""
    refuse_outside(Decimal("0.5"), 50, "µm/mN", compliance=compliance_um_mn)
    least, most = (arm_resonance(mass_gram, compliance_um_mn * each) for each in reversed(FROM_100_HZ))
    return least, most


def millinewton(gram: Decimal) -> Decimal:
    """A stylus force in mN from the gram on a gauge; 0.1 to 20 g."""
    refuse_outside(Decimal("0.1"), 20, "g", stylus_force=gram)
    return gram * MN_PER_GRAM


def within_maker(gram: Decimal, least: Decimal, most: Decimal) -> int:
    """-1, 0 or 1: a stylus force under, within or over the maker's range, all in gram."""
    refuse_outside(
        Decimal("0.1"), 20, "g", stylus_force=gram, least_of_the_maker=least, most_of_the_maker=most
    )
    if least > most:
        raise Refused("The maker's least force is above the most: one of the two is read wrong.")
    return -1 if gram < least else int(gram > most)


def _decimal(value: float) -> Decimal:
    return Decimal(repr(round(value, 9)))
