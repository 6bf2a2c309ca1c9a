"""Azimuth: what a tilted head does between two tracks and within one.

Sources
    Delay between tracks d · tan θ / v; loss within a track sin(x)/x with x = π · w · tan θ / λ: geometry.
    Distances between track centers: cassette stereo 0.9 mm (0.6 mm tracks, 0.3 mm apart; IEC 60094-7, from memory); reel
    quarter-track 3.4 mm (tracks 1 and 3) and half-track stereo about 4 mm by NAB, from memory: measure, or take the manual's.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from ..refusal import refuse_outside

CENTERS_MM: dict[str, Decimal] = {
    "cassette": Decimal("0.9"),
    "quarter": Decimal("3.4"),
    "half": Decimal(4),
}
WIDEST_MINUTE = Decimal(300)
"""Five degrees: a head that leans farther is not out of azimuth but loose (our own choice)."""


@dataclass(frozen=True, slots=True)
class Azimuth:
    """What an angle does: delay between the tracks in s, phase at the tone in degrees, level of both tracks summed in dB.

    ``sum_db`` is None where the two tracks cancel altogether.
    """

    minute: Decimal
    delay_s: Decimal
    phase_degree: Decimal
    sum_db: Decimal | None


def by_angle(minute: Decimal, hertz: Decimal, cm_s: Decimal, centers_mm: Decimal) -> Azimuth:
    """The delay and the phase between two tracks from a tilt in minutes of arc."""
    refuse_outside(-WIDEST_MINUTE, WIDEST_MINUTE, "′", tilt=minute)
    _refuse_unless_a_machine(hertz, cm_s, centers_mm)
    tangent = math.tan(math.radians(float(minute) / 60))
    delay = float(centers_mm) * 1e-3 * tangent / (float(cm_s) * 1e-2)
    phase = delay * float(hertz) * 360
    together = abs(math.cos(math.radians(phase / 2)))
    summed = Decimal(repr(round(20 * math.log10(together), 6))) if together > 1e-6 else None
    return Azimuth(minute, _decimal(delay), _decimal(phase), summed)


def by_phase(degree: Decimal, hertz: Decimal, cm_s: Decimal, centers_mm: Decimal) -> Azimuth:
    """The tilt from the phase between two tracks at a tone; true only while the phase is under half a turn.

    Set the azimuth at a low tone first: at a high one a whole turn looks like none.
    """
    refuse_outside(-180, 180, "°", phase=degree)
    _refuse_unless_a_machine(hertz, cm_s, centers_mm)
    delay = float(degree) / 360 / float(hertz)
    tangent = delay * float(cm_s) * 1e-2 / (float(centers_mm) * 1e-3)
    return by_angle(_decimal(math.degrees(math.atan(tangent)) * 60), hertz, cm_s, centers_mm)


def loss_db(minute: Decimal, hertz: Decimal, cm_s: Decimal, track_mm: Decimal) -> Decimal | None:
    """What the tilt costs within one track, in dB, negative or 0; None where nothing is left."""
    refuse_outside(-WIDEST_MINUTE, WIDEST_MINUTE, "′", tilt=minute)
    _refuse_unless_a_machine(hertz, cm_s, track_mm)
    wave_mm = float(cm_s) * 10 / float(hertz)
    across = math.pi * float(track_mm) * math.tan(math.radians(abs(float(minute)) / 60)) / wave_mm
    if not across:
        return Decimal(0)
    left = abs(math.sin(across) / across)
    return Decimal(repr(round(20 * math.log10(left), 6))) if left > 1e-6 else None


def _refuse_unless_a_machine(hertz: Decimal, cm_s: Decimal, across_mm: Decimal) -> None:
    refuse_outside(20, 30_000, "Hz", tone=hertz)
    refuse_outside(1, 200, "cm/s", tape_speed=cm_s)
    refuse_outside(Decimal("0.05"), 50, "mm", distance_across_the_tape=across_mm)


def _decimal(value: float) -> Decimal:
    return Decimal(repr(round(value, 15)))
