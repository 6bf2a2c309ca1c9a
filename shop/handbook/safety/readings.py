"""What was measured for the safety check, as plain values in SI units.

Sources
    How each test is made: leakage hot check, both plug positions, switch on and off, each exposed metal part; cold
    check, unplugged, prongs joined, switch on (service manuals, looked up). IEC 60990 network with its two voltages
    (service manuals quoting IEC 60065, looked up). Insulation at 500 V DC, movable cords bent by hand while the
    protective conductor is measured (appliance testers' manuals, looked up).
    Meter uncertainty as an absolute half-width around the reading: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from ..in_words import milliamperes, ohms, volts
from .limits import SafetyError

NONE = Decimal(0)
INFINITE = Decimal("Infinity")


def _refuse_unless_measurable(**values: Decimal | None) -> None:
    """Raise SafetyError for a value that no meter shows: negative, or not a number."""
    for name, value in values.items():
        if value is not None and not (value.is_finite() and value >= 0):
            raise SafetyError(f"“{name.replace('_', ' ')}” must be a number that isn't negative.")


@dataclass(frozen=True, slots=True)
class Span:
    """Where the true value lies: the reading with its meter's uncertainty to either side."""

    low: Decimal
    high: Decimal


def around(value: Decimal, uncertainty: Decimal) -> Span:
    """The span of a reading that can't be negative; raises SafetyError for what no meter shows."""
    if not (value.is_finite() and uncertainty.is_finite()):
        raise SafetyError("A reading and its uncertainty must be numbers.")
    return Span(max(NONE, value - uncertainty), value + uncertainty)


def _shown(value: Decimal, uncertainty: Decimal, unit: Callable[[Decimal], str]) -> str:
    return f"{unit(value)} ± {unit(uncertainty)}" if uncertainty else unit(value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resistance:
    """A resistance as a meter shows it, in ohm; ``ohm`` None is over range.

    ``uncertainty``: half-width in ohm. ``range_top``: how far the meter reads, if known; over range is then anything
    from there up, otherwise infinite.
    """

    ohm: Decimal | None
    uncertainty: Decimal = NONE
    range_top: Decimal | None = None

    def __post_init__(self) -> None:
        """Refuse what no meter shows."""
        _refuse_unless_measurable(
            resistance=self.ohm, uncertainty=self.uncertainty, top_of_the_range=self.range_top
        )

    @property
    def span(self) -> Span:
        """Where the true resistance lies, in ohm."""
        if self.ohm is None:
            return Span(INFINITE if self.range_top is None else self.range_top, INFINITE)
        return around(self.ohm, self.uncertainty)

    @property
    def shown(self) -> str:
        """The reading as it stands in a sentence."""
        if self.ohm is not None:
            return _shown(self.ohm, self.uncertainty, ohms)
        return "over range" if self.range_top is None else f"over range (above {ohms(self.range_top)})"


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspection:
    """The visual inspection: cord, plug, strain relief, case, vents, fuse, guards back in place."""

    sound: bool
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdReading:
    """The resistance from the joined prongs of the unplugged unit to one exposed metal part.

    ``returns_to_chassis``: whether the part has a path to the chassis; if not, it is expected to read infinite.
    """

    where: str
    resistance: Resistance
    returns_to_chassis: bool = True
    switch_on: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class HotReading:
    """Volts RMS across 1500 Ω ∥ 0.15 µF between one exposed metal part and earth, in one plug and switch position.

    ``conductor_open``: whether the protective conductor was open while it was read. On a class I unit the bonded metal
    reads nothing through a closed one, whatever leaks.
    """

    where: str
    volt: Decimal
    plug_reversed: bool
    switch_on: bool
    uncertainty: Decimal = NONE
    conductor_open: bool = False

    def __post_init__(self) -> None:
        """Refuse what no meter shows."""
        _refuse_unless_measurable(voltage=self.volt, uncertainty=self.uncertainty)

    @property
    def span(self) -> Span:
        """Where the true voltage lies, in volt RMS."""
        return around(self.volt, self.uncertainty)

    @property
    def shown(self) -> str:
        """The reading as it stands in a sentence."""
        return _shown(self.volt, self.uncertainty, volts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Voltage:
    """One voltage at the touch-current network in volt, its size without sign, with its meter's half-width."""

    volt: Decimal
    uncertainty: Decimal = NONE

    def __post_init__(self) -> None:
        """Refuse what no meter shows."""
        _refuse_unless_measurable(voltage=self.volt, uncertainty=self.uncertainty)

    def span(self, factor: Decimal = Decimal(1)) -> Span:
        """Where the true voltage lies, multiplied by ``factor`` (√2 makes the peak of an RMS sine)."""
        return around(self.volt * factor, self.uncertainty * factor)

    @property
    def shown(self) -> str:
        """The reading as it stands in a sentence."""
        return _shown(self.volt, self.uncertainty, volts)


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkReading:
    """The IEC 60990 network between one exposed part and earth, in one plug and switch position.

    AC: ``open_circuit``, ``u1`` and ``u2`` as peak values, or as RMS values of a sine when ``rms`` is set.
    DC: ``open_circuit`` and ``u1``. What wasn't measured stays None.
    """

    where: str
    plug_reversed: bool
    switch_on: bool
    dc: bool = False
    rms: bool = False
    open_circuit: Voltage | None = None
    u1: Voltage | None = None
    u2: Voltage | None = None
    conductor_open: bool = False

    def __post_init__(self) -> None:
        """Refuse a DC value called RMS."""
        if self.dc and self.rms:
            raise SafetyError("A DC voltage has no RMS form of its own; give it as it was read.")


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorReading:
    """The resistance from the plug's earth pin to one earthed metal part, the cord moved while reading."""

    where: str
    resistance: Resistance


@dataclass(frozen=True, slots=True, kw_only=True)
class InsulationReading:
    """The resistance at a DC test voltage from the live conductors to exposed metal, or to a low-voltage output.

    ``separation``: read between mains and a low-voltage (SELV) output, where the safe-separation limit holds.
    """

    where: str
    resistance: Resistance
    test_volt: Decimal
    separation: bool = False

    def __post_init__(self) -> None:
        """Refuse what no meter shows."""
        _refuse_unless_measurable(test_voltage=self.test_volt)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentReading:
    """A protective-conductor or touch current in ampere, in one plug position, all switches on."""

    where: str
    ampere: Decimal
    plug_reversed: bool
    uncertainty: Decimal = NONE

    def __post_init__(self) -> None:
        """Refuse what no meter shows."""
        _refuse_unless_measurable(current=self.ampere, uncertainty=self.uncertainty)

    @property
    def span(self) -> Span:
        """Where the true current lies, in ampere."""
        return around(self.ampere, self.uncertainty)

    @property
    def shown(self) -> str:
        """The reading as it stands in a sentence."""
        return _shown(self.ampere, self.uncertainty, milliamperes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurements:
    """Everything measured in one safety check; a test that wasn't made stays empty.

    ``conductor_again``: the protective conductor once it was closed again, after a test for which it was open.
    """

    visual: Inspection | None = None
    conductor: tuple[ConductorReading, ...] = ()
    conductor_again: tuple[ConductorReading, ...] = ()
    cold: tuple[ColdReading, ...] = ()
    insulation: tuple[InsulationReading, ...] = ()
    hot: tuple[HotReading, ...] = ()
    network: tuple[NetworkReading, ...] = ()
    conductor_current: tuple[CurrentReading, ...] = ()
    touch_current: tuple[CurrentReading, ...] = ()
