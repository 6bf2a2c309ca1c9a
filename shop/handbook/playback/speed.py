"""Speed: from a test tone, from a strobe disc, from a length of tape and a stopwatch.

Sources
    Test tones of 3,000 Hz (NAB, JIS) and 3,150 Hz (DIN 45507, IEC 60386): from memory. Bars of a strobe disc: the lamp
    is brightest twice a cycle, so bars stand at 120 · f / bars rpm (f in Hz): arithmetic. Record speeds: IEC 60098 (from memory).
    Tape speeds 15/16 to 30 in/s: IEC 60094-1 (from memory); an inch is 25.4 mm exactly.
    What is tolerable: DIN 45500 allowed ±1 % for reel machines, ±1.5 % for cassette, +1.5/−1 % for records (from
    memory); the maker's manual comes first. A semitone is 100 cents, an octave 1200: definition.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, Decimal

from ..refusal import Refused, refuse_outside

TEST_TONES = (Decimal(3000), Decimal(3150))
NEAR_PERCENT = Decimal(1)
"""A tone that lies this near to the other test frequency may well be the other test tape."""
MM_PER_INCH = Decimal("25.4")
TAPE_SPEEDS: dict[str, Decimal] = {
    "15/16 in/s": Decimal("2.38125"),
    "1 7/8 in/s": Decimal("4.7625"),
    "3 3/4 in/s": Decimal("9.525"),
    "7 1/2 in/s": Decimal("19.05"),
    "15 in/s": Decimal("38.1"),
    "30 in/s": Decimal("76.2"),
}
"""Nominal speeds in cm/s; IEC prints them as 2.38, 4.76, 9.53, 19.05, 38.1 and 76.2."""
RECORD_SPEEDS = (Decimal(50) / 3, Decimal(100) / 3, Decimal(45), Decimal("78.26"))
SHELLAC_AT_50_HZ = Decimal("77.92")
"""What 78 rpm is where the line has 50 Hz: IEC 60098, from memory."""
TOLERATED: dict[str, tuple[Decimal, Decimal]] = {
    "cassette": (Decimal("-1.5"), Decimal("1.5")),
    "reel": (Decimal(-1), Decimal(1)),
    "record": (Decimal(-1), Decimal("1.5")),
}
"""Percent, slow and fast: DIN 45500, from memory."""


@dataclass(frozen=True, slots=True)
class Speed:
    """How far a machine runs off its speed: percent, cents of pitch, and the other test tone that the reading would fit."""

    percent: Decimal
    cents: Decimal
    other_tone: Decimal | None = None


def by_tone(measured_hz: Decimal, tape_hz: Decimal) -> Speed:
    """The speed error from a test recording of ``tape_hz`` that plays at ``measured_hz``; more than a third off is refused."""
    refuse_outside(10, 20_000, "Hz", frequency_on_the_tape=tape_hz, frequency_measured=measured_hz)
    percent = (measured_hz / tape_hz - 1) * 100
    _refuse_unless_a_speed_error(percent)
    others = [tone for tone in TEST_TONES if tone != tape_hz and tape_hz in TEST_TONES]
    near = [tone for tone in others if abs(measured_hz / tone - 1) * 100 <= NEAR_PERCENT]
    return Speed(percent, _cents(measured_hz / tape_hz), near[0] if near else None)


def _refuse_unless_a_speed_error(percent: Decimal) -> None:
    if abs(percent) > 34:
        raise Refused("That is more than a third off: another speed, another tone, or a misread value.")


def _cents(ratio: Decimal) -> Decimal:
    return 1200 * ratio.ln() / Decimal(2).ln()


def tolerated(percent: Decimal, machine: str) -> bool:
    """Whether a speed error in percent lies within what DIN 45500 allowed for a cassette, reel or record machine."""
    refuse_outside(-100, 100, "%", speed_error=percent)
    if machine not in TOLERATED:
        raise Refused("Say whether it is a cassette, a reel or a record machine.")
    low, high = TOLERATED[machine]
    return low <= percent <= high


@dataclass(frozen=True, slots=True)
class Strobe:
    """A ring of bars under a lamp on the line: the exact number, the whole number printed, and what that is off by."""

    exact_bars: Decimal
    bars: int
    stands_at_rpm: Decimal
    percent: Decimal


def strobe(rpm: Decimal, line_hz: Decimal, bars: int | None = None) -> Strobe:
    """The ring for a speed at 50 or 60 Hz; with ``bars`` the ring that is there.

    ``percent``: how far the platter is off its nominal speed when the bars stand still.
    """
    refuse_outside(10, 100, "rpm", speed=rpm)
    refuse_outside(40, 70, "Hz", line_frequency=line_hz)
    per_minute = 120 * line_hz
    exact = per_minute / rpm
    whole = int(exact.to_integral_value(ROUND_HALF_EVEN)) if bars is None else bars
    if not 20 <= whole <= 1000:
        raise Refused("A ring of a strobe disc has 20 to 1000 bars.")
    stands = per_minute / whole
    percent = (stands / rpm - 1) * 100
    _refuse_unless_a_speed_error(percent)
    return Strobe(exact, whole, stands, percent)


def drift_percent(bars_per_minute: Decimal, bars: int, rpm: Decimal) -> Decimal:
    """The speed error in percent that bars wandering past a mark add; forward, with the platter, counts as positive."""
    refuse_outside(10, 100, "rpm", speed=rpm)
    refuse_outside(-2000, 2000, "bars", bars_a_minute=bars_per_minute)
    if not 20 <= bars <= 1000:
        raise Refused("A ring of a strobe disc has 20 to 1000 bars.")
    return bars_per_minute / (bars * rpm) * 100


@dataclass(frozen=True, slots=True)
class TapeSpeed:
    """A tape speed in cm/s and in/s, the nominal one nearest to it, and percent off that."""

    cm_s: Decimal
    inch_s: Decimal
    nominal: str
    percent: Decimal


def tape_speed(cm_s: Decimal) -> TapeSpeed:
    """A speed in cm/s beside its nearest nominal speed."""
    refuse_outside(1, 200, "cm/s", tape_speed=cm_s)
    name = min(TAPE_SPEEDS, key=lambda each: abs((cm_s / TAPE_SPEEDS[each]).ln()))
    return TapeSpeed(cm_s, cm_s * 10 / MM_PER_INCH, name, (cm_s / TAPE_SPEEDS[name] - 1) * 100)


def speed_by_length(meter: Decimal, second: Decimal) -> TapeSpeed:
    """The speed from a measured length of tape in m and the seconds that it took to pass."""
    refuse_outside(Decimal("0.1"), 2000, "m", length_of_tape=meter)
    refuse_outside(1, 100_000, "s", time=second)
    return tape_speed(meter * 100 / second)


def wavelength_um(cm_s: Decimal, hertz: Decimal) -> Decimal:
    """The recorded wavelength in micrometer; a head's gap must be well under it."""
    refuse_outside(1, 200, "cm/s", tape_speed=cm_s)
    refuse_outside(10, 100_000, "Hz", frequency=hertz)
    return cm_s * 10_000 / hertz
