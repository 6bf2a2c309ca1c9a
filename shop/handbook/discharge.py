"""Charged capacitors: how long to wait, what they hold, and which resistor empties them.

Sources
    V(t) = V0·e^(-t/RC), t = RC·ln(V0/Vs), E = CV²/2, P = V²/R: circuit theory.
    The standards' limits, with how far each was seen, are the data in ``RULES``. IEC 61010-1 6.10.3 with its charge of
    45 µC in place of the voltage: a thread of a product-safety mailing list (looked up).
    Waits are rounded up, and electrolytics may hold 20 % more than marked: common practice, no source.

These are aids. Waiting proves nothing: a bleeder may be open, a capacitor may recover. Discharge, then measure; local
codes and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum

from .in_words import plain, rounded
from .refusal import LARGEST, Refused, refuse_outside

SAFE_VOLT = Decimal(60)
"""DC up to here counts as extra-low: the ES1 voltage of IEC 62368-1 and the limit of IEC 61010-1 and IEC 60204-1."""

WORKING_VOLT = Decimal(10)
"""Down to here before hands and a soldering iron go in: common practice, no source."""

HIGHEST_VOLT = Decimal(50_000)
LARGEST_FARAD = Decimal(100)
"""Beyond a picture tube's anode, and beyond the largest reservoir or memory capacitor: our own choice."""
MORE_THAN_MARKED = Decimal("1.2")
"""What a capacitor of 20 % tolerance may hold, as a share of the marked value."""


class DischargeError(Refused):
    """A voltage, capacitance, resistance or time that can't be; the message is one sentence for the person."""


class Seen(StrEnum):
    """How far a limit was confirmed."""

    LOOKED_UP = "looked up"
    CLAUSE_ONLY = "clause looked up, values to be checked there"
    VALUE_ONLY = "values looked up, clause to be checked"
    FROM_MEMORY = "to be checked in the standard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One standard's demand: the voltage allowed some seconds after the plug was pulled.

    ``exempt_farad``: capacitors up to this size needn't meet it. ``charge_coulomb``: a smaller charge is enough, too.
    """

    standard: str
    clause: str
    volt: Decimal
    second: Decimal
    seen: Seen
    exempt_farad: Decimal | None = None
    charge_coulomb: Decimal | None = None


_TENTH_MICROFARAD = Decimal("0.1E-6")

RULES: tuple[Rule, ...] = (
    # 2 s from a test report's table 5.5.2.2; ES1 at 300 nF and more is 60 V, smaller ones may keep more (from memory).
    Rule(
        standard="IEC 62368-1", clause="5.5.2.2", volt=Decimal(60), second=Decimal(2), seen=Seen.CLAUSE_ONLY
    ),
    # 35 V peak, 34 V in the United States; the clause number from a decision sheet of the certification bodies.
    Rule(
        standard="IEC 60065",
        clause="9.1.6",
        volt=Decimal(35),
        second=Decimal(2),
        exempt_farad=_TENTH_MICROFARAD,
        seen=Seen.CLAUSE_ONLY,
    ),
    Rule(
        standard="IEC 60065, United States",
        clause="9.1.6",
        volt=Decimal(34),
        second=Decimal(2),
        exempt_farad=_TENTH_MICROFARAD,
        seen=Seen.CLAUSE_ONLY,
    ),
    Rule(
        standard="IEC 60335-1",
        clause="22.5",
        volt=Decimal(34),
        second=Decimal(1),
        exempt_farad=_TENTH_MICROFARAD,
        seen=Seen.VALUE_ONLY,
    ),
    Rule(
        standard="IEC 61010-1",
        clause="6.10.3",
        volt=Decimal(60),
        second=Decimal(5),
        charge_coulomb=Decimal("45E-6"),
        seen=Seen.LOOKED_UP,
    ),
    Rule(standard="IEC 60204-1", clause="6.2.4", volt=Decimal(60), second=Decimal(5), seen=Seen.VALUE_ONLY),
    Rule(
        standard="IEC 60204-1, exposed plug pins",
        clause="6.2.4",
        volt=Decimal(60),
        second=Decimal(1),
        seen=Seen.VALUE_ONLY,
    ),
)


def _refuse_unless_positive(**values: Decimal) -> None:
    for name, value in values.items():
        if not (value.is_finite() and value > 0):
            raise DischargeError(f"The {name.replace('_', ' ')} must be a positive number.")


def _refuse_unless_a_size(**values: Decimal) -> None:
    for name, value in values.items():
        if not (value.is_finite() and value >= 0):
            raise DischargeError(f"The {name} must be a number that isn't negative.")
        if value > LARGEST:
            raise DischargeError(f"The {name} is beyond everything that a bench measures.")


def peak_of_line(volt_rms: Decimal) -> Decimal:
    """What an unloaded capacitor across, or behind a rectifier on, a sine line charges to, in volt."""
    _refuse_unless_a_size(voltage=volt_rms)
    return volt_rms * Decimal(2).sqrt()


def volt_after(volt: Decimal, farad: Decimal, ohm: Decimal, second: Decimal) -> Decimal:
    """The voltage left on a capacitor after some seconds through a resistor."""
    _refuse_unless_a_size(voltage=volt, time=second)
    _refuse_unless_positive(capacitance=farad, resistance=ohm)
    return volt * (-second / (ohm * farad)).exp()


def seconds_to(volt: Decimal, farad: Decimal, ohm: Decimal, safe_volt: Decimal = SAFE_VOLT) -> Decimal:
    """The seconds until a capacitor has fallen to ``safe_volt`` through a resistor; 0 if it is there already."""
    _refuse_unless_a_size(voltage=volt)
    _refuse_unless_positive(capacitance=farad, resistance=ohm, safe_voltage=safe_volt)
    if volt <= safe_volt:
        return Decimal(0)
    return ohm * farad * (volt / safe_volt).ln()


def energy(volt: Decimal, farad: Decimal) -> Decimal:
    """The energy in a charged capacitor, in joule."""
    _refuse_unless_a_size(voltage=volt)
    _refuse_unless_positive(capacitance=farad)
    return farad * volt * volt / 2


def charge(volt: Decimal, farad: Decimal) -> Decimal:
    """The charge in a capacitor, in coulomb."""
    _refuse_unless_a_size(voltage=volt)
    _refuse_unless_positive(capacitance=farad)
    return farad * volt


def peak_power(volt: Decimal, ohm: Decimal) -> Decimal:
    """The power in the discharging resistor at the first instant, in watt; it falls twice as fast as the voltage."""
    _refuse_unless_a_size(voltage=volt)
    _refuse_unless_positive(resistance=ohm)
    return volt * volt / ohm


def largest_bleeder(
    volt: Decimal, farad: Decimal, second: Decimal, safe_volt: Decimal = SAFE_VOLT
) -> Decimal | None:
    """The largest resistor, in ohm, that brings a capacitor to ``safe_volt`` in time; None if none is needed."""
    _refuse_unless_a_size(voltage=volt)
    _refuse_unless_positive(capacitance=farad, time=second, safe_voltage=safe_volt)
    if volt <= safe_volt:
        return None
    return second / (farad * (volt / safe_volt).ln())


def smallest_resistor(volt: Decimal, watt: Decimal) -> Decimal:
    """The smallest resistor, in ohm, whose power at the first instant stays within ``watt``."""
    _refuse_unless_a_size(voltage=volt)
    _refuse_unless_positive(power=watt)
    return volt * volt / watt


def meets(rule: Rule, volt: Decimal, farad: Decimal, ohm: Decimal) -> bool:
    """Whether a capacitor charged to ``volt`` meets a standard's rule through its bleeder."""
    left = volt_after(volt, farad, ohm, rule.second)
    if rule.exempt_farad is not None and farad <= rule.exempt_farad:
        return True
    if rule.charge_coulomb is not None and charge(left, farad) <= rule.charge_coulomb:
        return True
    return left <= rule.volt


@dataclass(frozen=True, slots=True)
class Wait:
    """How long to leave a unit before it is opened: exact seconds, and the time to wait in words, rounded up."""

    seconds: Decimal
    words: str


def in_words(seconds: Decimal) -> str:
    """A time to wait, rounded up to what a person counts: seconds to a minute and a half, minutes, then hours."""
    _refuse_unless_a_size(time=seconds)
    if seconds <= 90:
        return _counted(seconds, "second")
    if seconds <= 90 * 60:
        return _counted(seconds / 60, "minute")
    return _counted(seconds / 3600, "hour")


def _counted(amount: Decimal, unit: str) -> str:
    whole = max(1, int(amount.to_integral_value(rounding=ROUND_CEILING)))
    return f"{whole} {unit}{'' if whole == 1 else 's'}"


def wait_for(
    volt: Decimal,
    farad: Decimal,
    ohm: Decimal,
    safe_volt: Decimal = WORKING_VOLT,
    margin: Decimal = MORE_THAN_MARKED,
) -> Wait:
    """How long a marked capacitor needs through its bleeder to ``safe_volt``, holding ``margin`` times as marked."""
    _refuse_unless_positive(margin=margin)
    seconds = seconds_to(volt, farad * margin, ohm, safe_volt)
    return Wait(seconds, in_words(seconds))


@dataclass(frozen=True, slots=True)
class Discharge:
    """What emptying one capacitor through one resistor means at the bench."""

    wait: Wait
    joule: Decimal
    peak_watt: Decimal
    peak_ampere: Decimal
    sentence: str


def plan(volt: Decimal, farad: Decimal, ohm: Decimal, safe_volt: Decimal = WORKING_VOLT) -> Discharge:
    """Plan the discharge of a capacitor charged to ``volt`` through a resistor that the person connects."""
    wait = wait_for(volt, farad, ohm, safe_volt)
    refuse_outside(0, HIGHEST_VOLT, "V", DischargeError, voltage=volt)
    refuse_outside(Decimal("1E-12"), LARGEST_FARAD, "F", DischargeError, capacitance=farad)
    refuse_outside(Decimal("0.01"), Decimal("1E10"), "Ω", DischargeError, resistance=ohm)
    held, power = energy(volt, farad), peak_power(volt, ohm)
    if not wait.seconds:
        sentence = f"Already at or below {plain(safe_volt)} V; measure before touching."
    else:
        sentence = (
            f"Hold the resistor on for {wait.words}: it takes {rounded(power)} W at first and {rounded(held)} J in "
            f"all. Then measure: below {plain(safe_volt)} V before touching."
        )
    return Discharge(wait, held, power, volt / ohm, sentence)
