"""The shop's meters: what a reading on one of them is worth, and whether its calibration still holds.

Sources
    ± (percent of reading + digits), a digit being one count of the range's last place: makers' specifications, as
    explained in a university's laboratory guide and several makers' articles (looked up; worked examples in the tests).
    A reading is taken on the smallest range that holds it, as an auto-ranging meter or a careful person would:
    common practice, no source. A calibration holds through the day on which it is due: common practice, no source.
    The figure holds in the conditions the maker names (temperature, frequency, waveform), which this module can't see.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from .in_words import plain
from .quantities import Kind, Quantity, Unreadable, engineering
from .quantities.digits import DIGITS, number_in


class MeterError(ValueError):
    """What this meter can't tell: it has no range for the reading. The message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class Accuracy:
    """± ``percent`` of reading + ``digits`` counts of the last place."""

    percent: Decimal
    digits: int = 0

    def __str__(self) -> str:
        """As makers print it: ``±(0.5 % + 3 digits)``."""
        if not self.digits:
            return f"±{plain(self.percent)} %"
        return f"±({plain(self.percent)} % + {self.digits} digit{'s' if self.digits > 1 else ''})"


@dataclass(frozen=True, slots=True)
class Range:
    """One range of a meter. ``full_scale`` and ``resolution`` (one count) are in the quantity's base unit."""

    kind: Kind
    full_scale: Decimal
    resolution: Decimal
    accuracy: Accuracy

    def __post_init__(self) -> None:
        """Raise MeterError for a range that no meter has."""
        numbers = (self.full_scale, self.resolution, self.accuracy.percent)
        if not all(number.is_finite() for number in numbers):
            raise MeterError("A range is described by numbers.")
        if not 0 < self.resolution <= self.full_scale:
            raise MeterError("A range's last place is above zero and no larger than its full scale.")
        if self.accuracy.percent < 0 or self.accuracy.digits < 0:
            raise MeterError("An accuracy can't be negative.")

    def half_width(self, value: Decimal) -> Decimal:
        """How far the true value may lie to either side of this reading, in the base unit."""
        return abs(value) * self.accuracy.percent / 100 + self.accuracy.digits * self.resolution

    def __str__(self) -> str:
        """The range by its full scale: ``40 V range``."""
        return f"{engineering(self.full_scale, self.kind.symbol)} range"


@dataclass(frozen=True, slots=True)
class Meter:
    """One of the shop's meters or testers."""

    name: str
    ranges: tuple[Range, ...] = ()
    calibrated_on: date | None = None
    calibration_due: date | None = None

    def ranges_for(self, kind: Kind) -> tuple[Range, ...]:
        """This quantity's ranges, the smallest first."""
        found = [one for one in self.ranges if one.kind is kind]
        return tuple(sorted(found, key=lambda one: (one.full_scale, one.resolution)))

    def reaches(self, kind: Kind) -> Decimal | None:
        """The largest value of this quantity that the meter can show; None if it has no range for it."""
        found = self.ranges_for(kind)
        return found[-1].full_scale if found else None


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """What a reading is worth: the true value lies within ``half_width`` of it, in the base unit."""

    half_width: Decimal
    on: Range

    def __str__(self) -> str:
        """As a card prints it: ``±0.83 V: ±(2.5 % + 3 digits) on the 40 V range``."""
        width = engineering(self.half_width, self.on.kind.symbol, 2)
        return f"±{width}: {self.on.accuracy} on the {self.on}"


def uncertainty(
    meter: Meter, reading: Quantity, kind: Kind, *, full_scale: Decimal | None = None
) -> Uncertainty:
    """What this reading is worth on this meter.

    ``kind`` is the quantity chosen for the reading; ``full_scale`` names the range where the person set it by hand.
    Raises MeterError where the meter has no range that holds the reading, and for an over-range reading.
    """
    shown = engineering(reading.value, kind.symbol)
    if reading.over_range:
        raise MeterError("An over-range reading has no uncertainty: only a lower bound.")
    ranges = meter.ranges_for(kind)
    if not ranges:
        raise MeterError(f"{meter.name} has no range for {kind.in_words}.")
    if full_scale is not None:
        ranges = tuple(one for one in ranges if one.full_scale == full_scale)
        if not ranges:
            raise MeterError(f"{meter.name} has no range of {engineering(full_scale, kind.symbol)}.")
    fitting = next((one for one in ranges if abs(reading.value) <= one.full_scale), None)
    if fitting is None:
        raise MeterError(f"{shown} is beyond the {ranges[-1]} of {meter.name}.")
    return Uncertainty(fitting.half_width(reading.value), fitting)


class CalibrationState(StrEnum):
    """Whether a meter's word counts on a given day."""

    VALID = "valid"
    EXPIRED = "expired"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Calibration:
    """A meter's calibration on one day, with the sentence that is printed beside its readings."""

    state: CalibrationState
    sentence: str


def calibration(meter: Meter, on: date) -> Calibration:
    """Whether the meter's calibration holds on that day; unknown where no due date is kept."""
    due = meter.calibration_due
    if due is None:
        return Calibration(CalibrationState.UNKNOWN, f"No calibration date is kept for {meter.name}.")
    if on <= due:
        return Calibration(CalibrationState.VALID, f"{meter.name} is calibrated until {due.isoformat()}.")
    days = (on - due).days
    ago = "a day ago" if days == 1 else f"{days} days ago"
    return Calibration(
        CalibrationState.EXPIRED, f"The calibration of {meter.name} expired on {due.isoformat()}, {ago}."
    )


_ACCURACY = re.compile(
    rf"(?:±|\+/-)?\s*\(?\s*({DIGITS})\s*%\s*(?:rdg\.?|of reading|reading)?\s*"
    r"(?:\+\s*([0-9]{1,4})\s*(?:d|dgts?\.?|digits?|counts?|lsd)?)?\s*\)?",
    re.IGNORECASE,
).fullmatch
_LONGEST_ACCURACY = 60


def parse_accuracy(text: str) -> Accuracy:
    """Read a meter's accuracy as makers print it: ``±(0.5% + 3)``, ``0.8 % rdg + 2 dgt``, ``1%``.

    Raises Unreadable for anything else.
    """
    match = _ACCURACY(text.strip()) if len(text) <= _LONGEST_ACCURACY else None
    if match is None:
        raise Unreadable("An accuracy is typed as percent of reading plus digits, such as 0.5 % + 3.")
    return Accuracy(Decimal(number_in("", match[1], None)), int(match[2] or 0))
