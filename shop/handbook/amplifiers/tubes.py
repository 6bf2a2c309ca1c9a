"""Tubes: bias and dissipation at idle, and an output transformer's ratio.

Sources
    Cathode current from the cathode resistor's voltage (Ohm); plate current is what is left of it without the screen's;
    dissipation is plate to cathode voltage times plate current (circuit theory). 70 % of the rated dissipation as a ceiling
    at idle for fixed-bias class AB, and up to 100 % for cathode-biased class A: common practice, no source; the maker's
    number comes first. Never a meter across an output transformer's half to read the current: its probes carry B+, and a
    slip shorts it (common practice). Screen current of about 5 % of the plate's where nothing is known: common practice.
    Ratio by √(Z1/Z2): transformer theory.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..refusal import Refused, refuse_outside

SCREEN_SHARE = Decimal("0.05")


class Bias(StrEnum):
    """How the stage is biased."""

    FIXED_AB = "fixed"
    CATHODE_A = "cathode"

    @property
    def ceiling(self) -> Decimal:
        """The most, in percent of the rated dissipation, at idle: common practice."""
        return Decimal(70) if self is Bias.FIXED_AB else Decimal(100)


@dataclass(frozen=True, slots=True)
class Idle:
    """One tube at idle: cathode, screen and plate current in A, dissipation in W, and percent of its rating."""

    cathode_ampere: Decimal
    screen_ampere: Decimal
    plate_ampere: Decimal
    plate_watt: Decimal
    percent: Decimal
    screen_guessed: bool


def idle(
    cathode_volt: Decimal,
    cathode_ohm: Decimal,
    plate_volt: Decimal,
    rated_watt: Decimal,
    *,
    tubes: int = 1,
    screen_ampere: Decimal | None = None,
    has_screen: bool = True,
) -> Idle:
    """Idle by the cathode resistor: its voltage and Ω, and the plate's voltage to chassis.

    ``tubes``: how many share the resistor. ``screen_ampere``: each tube's; None takes a twentieth of the plate's for a
    pentode or tetrode, and says so. A triode, or a pentode strapped as one, has no screen current of its own.
    """
    refuse_outside(Decimal("0.001"), 200, "V", voltage_over_the_cathode_resistor=cathode_volt)
    refuse_outside(Decimal("0.5"), 10_000, "Ω", cathode_resistor=cathode_ohm)
    refuse_outside(20, 3000, "V", plate_voltage=plate_volt)
    refuse_outside(Decimal("0.2"), 500, "W", rated_dissipation=rated_watt)
    if not 1 <= tubes <= 12:
        raise Refused("One to twelve tubes share a cathode resistor.")
    if plate_volt <= cathode_volt:
        raise Refused("The plate must lie above the cathode: one of the two is read wrong.")
    cathode = cathode_volt / cathode_ohm / tubes
    if cathode > Decimal("1.5"):
        raise Refused("No tube of an amplifier idles at that current: look at the cathode resistor’s value.")
    screen, guessed = _screen(cathode, screen_ampere, has_screen=has_screen)
    plate = cathode - screen
    watt = (plate_volt - cathode_volt) * plate
    return Idle(cathode, screen, plate, watt, watt / rated_watt * 100, guessed)


def _screen(cathode: Decimal, screen_ampere: Decimal | None, *, has_screen: bool) -> tuple[Decimal, bool]:
    if not has_screen:
        return Decimal(0), False
    if screen_ampere is None:
        return cathode * SCREEN_SHARE / (1 + SCREEN_SHARE), True
    refuse_outside(0, 1, "A", screen_current=screen_ampere)
    if screen_ampere >= cathode:
        raise Refused("The screen can’t take all of the cathode’s current: read both again.")
    return screen_ampere, False


def current_for(percent: Decimal, plate_to_cathode_volt: Decimal, rated_watt: Decimal) -> Decimal:
    """The plate current in A that makes so many percent of the rated dissipation."""
    refuse_outside(1, 100, "%", share_of_the_rating=percent)
    refuse_outside(20, 3000, "V", voltage_from_plate_to_cathode=plate_to_cathode_volt)
    refuse_outside(Decimal("0.2"), 500, "W", rated_dissipation=rated_watt)
    return rated_watt * percent / 100 / plate_to_cathode_volt


@dataclass(frozen=True, slots=True)
class Ratio:
    """An output transformer: turns ratio, impedance ratio, and what the primary sees for a load in Ω."""

    turns: Decimal
    impedance: Decimal
    primary_ohm: Decimal


def transformer(primary_volt: Decimal, secondary_volt: Decimal, load_ohm: Decimal) -> Ratio:
    """Ratio from a small AC voltage on the primary and what the open secondary gives; disconnected from the set."""
    refuse_outside(
        Decimal("0.01"),
        500,
        "V",
        voltage_at_the_primary=primary_volt,
        voltage_at_the_secondary=secondary_volt,
    )
    refuse_outside(Decimal("0.5"), 1000, "Ω", load=load_ohm)
    turns = primary_volt / secondary_volt
    if turns < 1:
        raise Refused("An output transformer steps down: exchange the two readings, or measure again.")
    if turns > 1000:
        raise Refused("No output transformer has such a ratio: read both voltages again.")
    return Ratio(turns, turns * turns, turns * turns * load_ohm)
