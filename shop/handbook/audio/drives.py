"""Small things that turn: cassette and record-player motors, and potentiometers.

Sources
    Winding 5 to 20 Ω, open or far above with worn brushes: common practice, no source. Stall current I = V/R: Ohm.
    Taper letters: modern A audio, B linear, C reverse (a maker's board notes and a designer's article, looked up);
    W S-curve and MN balance (from memory). Older, and European: A linear, B logarithmic, F reverse; C is logarithmic
    in one source and reverse in another (looked up). Percent at mid rotation: 10 to 20 % audio, 50 % linear, 80 to
    90 % reverse (looked up); the width of the bands around them is common practice, no source.

A letter alone is never decoded: measure at mid rotation.
"""

from __future__ import annotations

from decimal import Decimal
from enum import StrEnum

from .refusal import AudioError, refuse_outside, refuse_unless_finite, refuse_unless_positive

WINDING_OHM = (Decimal(5), Decimal(20))


class Winding(StrEnum):
    """How a small DC motor's winding reads; turn the shaft while reading, it varies."""

    LOW = "low, turns may be shorted"
    USUAL = "usual"
    HIGH = "high, worn brushes or a dirty commutator"
    OPEN = "open, worn brushes or a broken winding"


def judge_winding(ohm: Decimal | None, usual: tuple[Decimal, Decimal] = WINDING_OHM) -> Winding:
    """Judge a winding's resistance in ohm; None is over range."""
    if ohm is None:
        return Winding.OPEN
    refuse_unless_finite(resistance=ohm)
    if ohm < 0:
        raise AudioError("A winding's resistance can't be negative.")
    if ohm < usual[0]:
        return Winding.LOW
    return Winding.USUAL if ohm <= usual[1] else Winding.HIGH


def stall_current(volt: Decimal, ohm: Decimal) -> Decimal:
    """Ampere that a DC motor draws while it is held still."""
    refuse_unless_positive(voltage=volt, resistance=ohm)
    refuse_outside(Decimal("0.1"), 400, "V", voltage_at_the_motor=volt)
    refuse_outside(Decimal("0.1"), 1_000_000, "Ω", winding=ohm)
    return volt / ohm


class Taper(StrEnum):
    """The law of a potentiometer."""

    AUDIO = "audio (logarithmic)"
    LINEAR = "linear"
    REVERSE = "reverse logarithmic"
    S_CURVE = "S-curve"
    BALANCE = "balance"


class TaperOrigin(StrEnum):
    """Whose letters are printed on it."""

    MODERN = "modern, Asian or American"
    OLDER = "older American, or European"


_LETTERS: dict[TaperOrigin, dict[str, tuple[Taper, ...]]] = {
    TaperOrigin.MODERN: {
        "A": (Taper.AUDIO,),
        "B": (Taper.LINEAR,),
        "C": (Taper.REVERSE,),
        "W": (Taper.S_CURVE,),
        "MN": (Taper.BALANCE,),
    },
    TaperOrigin.OLDER: {
        "A": (Taper.LINEAR,),
        "B": (Taper.AUDIO,),
        "C": (Taper.REVERSE, Taper.AUDIO),
        "F": (Taper.REVERSE,),
    },
}

_BANDS = (
    (Decimal(5), Decimal(30), Taper.AUDIO),
    (Decimal(40), Decimal(60), Taper.LINEAR),
    (Decimal(70), Decimal(95), Taper.REVERSE),
)


def tapers_of_letter(letter: str, origin: TaperOrigin | None = None) -> tuple[Taper, ...]:
    """Every law that a taper letter may mean; without the origin the conventions contradict each other. May be empty."""
    wanted = letter.strip().upper()
    origins = TaperOrigin if origin is None else (origin,)
    return tuple(dict.fromkeys(taper for each in origins for taper in _LETTERS[each].get(wanted, ())))


def mid_rotation_percent(start_to_wiper_ohm: Decimal, end_to_end_ohm: Decimal) -> Decimal:
    """The share in percent, at half rotation, of the track between the counter-clockwise end and the wiper."""
    refuse_unless_finite(resistance=start_to_wiper_ohm)
    refuse_unless_positive(end_to_end_resistance=end_to_end_ohm)
    refuse_outside(0, 1_000_000_000, "Ω", end_to_end_resistance=end_to_end_ohm)
    if not 0 <= start_to_wiper_ohm <= end_to_end_ohm:
        raise AudioError("The wiper can't read below zero or above the whole track.")
    return start_to_wiper_ohm / end_to_end_ohm * 100


def taper_at_mid_rotation(percent: Decimal) -> Taper | None:
    """The law that a reading in percent at half rotation shows; None where it fits none."""
    refuse_unless_finite(share=percent)
    return next((taper for low, high, taper in _BANDS if low <= percent <= high), None)
