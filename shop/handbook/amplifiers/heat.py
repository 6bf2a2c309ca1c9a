"""Heat: junction, case and heat sink, and a device's derated power.

Sources
    Thermal resistances in a row, ΔT = P · R: the usual model (data sheets, from memory). Derating in a straight line from
    25 °C case to the highest junction temperature: data sheets. Class B push-pull, sine: the most heat is 2·V²/(π²·R) for
    both devices, at 2/π of full swing: circuit theory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import Refused, refuse_outside

_PI = Decimal(repr(math.pi))


@dataclass(frozen=True, slots=True)
class Chain:
    """Temperatures in °C along the chain."""

    junction: Decimal
    case: Decimal
    sink: Decimal


def chain(
    watt: Decimal, ambient: Decimal, junction_case: Decimal, case_sink: Decimal, sink_ambient: Decimal
) -> Chain:
    """Junction, case and heat sink temperature; resistances in K/W, ambient in °C."""
    refuse_outside(0, 2000, "W", power=watt)
    refuse_outside(-40, 120, "°C", ambient=ambient)
    refuse_outside(
        0, 500, "K/W", junction_to_case=junction_case, case_to_sink=case_sink, sink_to_ambient=sink_ambient
    )
    sink = ambient + watt * sink_ambient
    case = sink + watt * case_sink
    found = Chain(case + watt * junction_case, case, sink)
    if found.junction > 1000:
        raise Refused("That would glow: look at the watts and at the heat sink’s K/W.")
    return found


def derated_watt(
    rated_watt: Decimal, case: Decimal, most_junction: Decimal, rated_at: Decimal = Decimal(25)
) -> Decimal:
    """What a device may dissipate at a case temperature in °C; 0 at its highest junction temperature and above."""
    refuse_outside(Decimal("0.001"), 5000, "W", rated_power=rated_watt)
    refuse_outside(-60, 400, "°C", case_temperature=case)
    refuse_outside(60, 300, "°C", highest_junction_temperature=most_junction)
    refuse_outside(0, 150, "°C", temperature_of_the_rating=rated_at)
    if rated_at >= most_junction:
        raise Refused("The rating’s temperature lies above the highest junction temperature.")
    share = (most_junction - case) / (most_junction - rated_at)
    return rated_watt * min(max(share, Decimal(0)), Decimal(1))


def class_b_heat(rail_volt: Decimal, load_ohm: Decimal) -> Decimal:
    """The most heat in W of both output devices of a channel, ideal class B on rails of ±``rail_volt``, resistive load."""
    refuse_outside(1, 300, "V", rail=rail_volt)
    refuse_outside(1, 1000, "Ω", load=load_ohm)
    return 2 * rail_volt * rail_volt / (_PI * _PI * load_ohm)
