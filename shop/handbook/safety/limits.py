"""The limits a repaired unit is held to: common values as defaults, every one to be overridden per model.

Sources
    Hot check: 0.75 V RMS = 0.5 mA, "should not exceed" (service manuals of two makers, looked up); 0.15 V = 0.1 mA,
    "should not exceed" (a service manual, looked up); 0.35 V in a 230 V version, where "0.35 volt or more is
    excessive", so that the limit itself fails (a service manual, looked up). 0.5 mA for cord-connected and portable
    units, 0.75 mA for stationary ones: ANSI C101.1, now UL 101 (from memory; the same numbers stand in UL 8750,
    looked up).
    Cold check: 1.0 to 5.2 MΩ (three service manuals), more than 5 MΩ, 4 to 20 MΩ, at least 100 MΩ (service manuals,
    looked up); metal without a return path reads infinite (all of them); 240 kΩ in older manuals (from memory). Each
    upper limit is of its maker's own network between line and chassis, so that none holds where no manual prints one.
    IEC 60065 touch current: open circuit 35 V peak or 60 V DC, else U1 35 V peak and U2 0.35 V peak, DC U1 1.0 V
    (service manuals quoting it, looked up).
    After-repair test: VDE 0701-0702:2008 as tabled in an appliance tester's manual, continued by EN 50678:2020
    (looked up; EN 50678's own tables were not seen): protective conductor 0.3 Ω up to 5 m, 0.1 Ω more for each
    further 7.5 m, 1.0 Ω at most; insulation 1.0, 2.0 and 0.25 MΩ for class I, II and III, 0.3 MΩ with heating
    elements, 2.0 MΩ for safe separation; protective-conductor current 3.5 mA, 1 mA per kW up to 10 mA for heaters
    above 3.5 kW; touch current 0.5 mA; 500 V DC, 250 V with surge suppressors inside or on SELV.
    EN 50678: above 1.5 mm² the conductor's limit is calculated, R = ρ·l/A, smallest limit 0.1 Ω (a tester maker's
    note and a trade journal, looked up). ρ of copper 0.0178 Ω·mm²/m (from memory).
    Below which reading "infinite" is refused on a meter that reads so far: 100 MΩ (the strictest of the manuals
    above; the choice is common practice, no source).

These are aids. The maker's manual, local codes and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from decimal import ROUND_CEILING, Decimal

from .networks import HOT_FARAD, HOT_OHM, TOUCH_BODY_OHM


class SafetyError(ValueError):
    """A limit or a reading that can't be right; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What the readings of one model are held to. Units are in the names; raises SafetyError for impossible limits.

    ``*_inclusive``: whether a reading that equals the limit passes, as manuals differ in that.
    ``cold_max_ohm`` None: no upper limit, as where no manual prints one. ``cold_infinite``: the manual prints that metal
    without a return to the chassis must read infinite; elsewhere the lower limit decides there as well.
    ``conductor_ohm``: a fixed limit in place of the one by cord length.
    ``insulation_by_current``: the maker warns against the 500 V test, so the current tests stand in for it.
    """

    hot_volt: Decimal = Decimal("0.75")
    hot_inclusive: bool = True
    hot_ohm: Decimal = HOT_OHM
    hot_farad: Decimal = HOT_FARAD

    cold_min_ohm: Decimal = Decimal("1.0E6")
    cold_min_inclusive: bool = True
    cold_max_ohm: Decimal | None = None
    cold_infinite: bool = False
    infinite_from_ohm: Decimal = Decimal("100E6")

    open_circuit_peak_volt: Decimal = Decimal(35)
    open_circuit_dc_volt: Decimal = Decimal(60)
    u1_peak_volt: Decimal = Decimal(35)
    u2_peak_volt: Decimal = Decimal("0.35")
    u1_dc_volt: Decimal = Decimal("1.0")
    body_ohm: Decimal = TOUCH_BODY_OHM

    conductor_ohm: Decimal | None = None
    conductor_base_ohm: Decimal = Decimal("0.3")
    conductor_base_metre: Decimal = Decimal(5)
    conductor_step_ohm: Decimal = Decimal("0.1")
    conductor_step_metre: Decimal = Decimal("7.5")
    conductor_min_ohm: Decimal = Decimal("0.1")
    conductor_max_ohm: Decimal = Decimal("1.0")
    conductor_table_mm2: Decimal = Decimal("1.5")
    conductor_resistivity: Decimal = Decimal("0.0178")

    insulation_class_i_ohm: Decimal = Decimal("1.0E6")
    insulation_class_ii_ohm: Decimal = Decimal("2.0E6")
    insulation_class_iii_ohm: Decimal = Decimal("0.25E6")
    insulation_heating_ohm: Decimal = Decimal("0.3E6")
    insulation_separation_ohm: Decimal = Decimal("2.0E6")
    insulation_test_volt: Decimal = Decimal(500)
    insulation_reduced_test_volt: Decimal = Decimal(250)
    insulation_by_current: bool = False

    conductor_current_ampere: Decimal = Decimal("3.5E-3")
    heating_from_watt: Decimal = Decimal(3500)
    heating_ampere_per_kilowatt: Decimal = Decimal("1E-3")
    heating_max_ampere: Decimal = Decimal("10E-3")
    touch_current_ampere: Decimal = Decimal("0.5E-3")

    def __post_init__(self) -> None:
        """Refuse limits that are not positive numbers or that contradict each other."""
        for field in fields(self):
            value = getattr(self, field.name)
            if isinstance(value, Decimal) and not (value.is_finite() and value > 0):
                raise SafetyError(f"The limit “{field.name}” must be a positive number.")
        if self.cold_max_ohm is not None and self.cold_max_ohm < self.cold_min_ohm:
            raise SafetyError("The cold check's upper limit is below its lower limit.")
        if self.conductor_max_ohm < self.conductor_min_ohm:
            raise SafetyError("The protective conductor's largest limit is below its smallest.")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedHotLimit:
    """A hot-check limit as makers print it, offered where a model's limits are entered."""

    volt: Decimal
    inclusive: bool = True
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedColdLimit:
    """A cold-check range as makers print it; None where the manual gives no upper limit."""

    min_ohm: Decimal
    min_inclusive: bool = True
    max_ohm: Decimal | None = None
    source: str


PRINTED_HOT_LIMITS: tuple[PrintedHotLimit, ...] = (
    PrintedHotLimit(volt=Decimal("0.75"), source="service manuals of two makers, owner manual of a third"),
    PrintedHotLimit(volt=Decimal("0.35"), inclusive=False, source="a maker's service manual, 230 V version"),
    PrintedHotLimit(volt=Decimal("0.15"), source="a maker's service manual"),
)

PRINTED_COLD_LIMITS: tuple[PrintedColdLimit, ...] = (
    PrintedColdLimit(min_ohm=Decimal("1.0E6"), max_ohm=Decimal("5.2E6"), source="three service manuals"),
    PrintedColdLimit(min_ohm=Decimal("5E6"), min_inclusive=False, source="a service manual: more than 5 MΩ"),
    PrintedColdLimit(
        min_ohm=Decimal("4E6"), max_ohm=Decimal("20E6"), source="service manuals of television sets"
    ),
    PrintedColdLimit(min_ohm=Decimal("100E6"), source="two service manuals"),
    PrintedColdLimit(min_ohm=Decimal("0.24E6"), source="older two-blade sets; check the set’s manual"),
)


def conductor_limit(
    limits: Limits, cord_metre: Decimal | None = None, cord_mm2: Decimal | None = None
) -> Decimal:
    """The largest protective-conductor resistance in ohm for a cord, rated up to 16 A.

    Unknown length counts as a short cord and unknown cross-section as up to 1.5 mm². Above 1.5 mm² the limit is
    the copper's own resistance, never below ``conductor_min_ohm``; a maker's fixed limit wins over everything.
    """
    if limits.conductor_ohm is not None:
        return limits.conductor_ohm
    metre = Decimal(0) if cord_metre is None else cord_metre
    if cord_mm2 is not None and cord_mm2 > limits.conductor_table_mm2:
        calculated = limits.conductor_resistivity * metre / cord_mm2
        return min(limits.conductor_max_ohm, max(limits.conductor_min_ohm, calculated))
    beyond = max(Decimal(0), metre - limits.conductor_base_metre)
    steps = (beyond / limits.conductor_step_metre).to_integral_value(rounding=ROUND_CEILING)
    return min(limits.conductor_max_ohm, limits.conductor_base_ohm + limits.conductor_step_ohm * steps)


def conductor_current_limit(limits: Limits, heating_watt: Decimal = Decimal(0)) -> Decimal:
    """The largest protective-conductor current in ampere; units with more than 3.5 kW of heating may leak more."""
    if heating_watt <= limits.heating_from_watt:
        return limits.conductor_current_ampere
    return min(limits.heating_max_ampere, limits.heating_ampere_per_kilowatt * heating_watt / 1000)
