"""Belts, pulleys and tires: length from the path, speed from diameters, dial cord, torque at a hub.

Sources
    Length around pulleys: the straight pieces touch both circles (geometry). A belt's own line runs half its thickness
    outside the pulley, so diameters count with the thickness: common practice. Relaxed inside length: 5 to 7 % under the
    path for square rubber, 3 to 5 % for a flat capstan belt: common practice, no source; the maker's length comes first.
    Synchronous speed 120 · f / poles: motor theory. 1 gf·cm is 0.0980665 mN·m exactly (SI brochure, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..refusal import Refused, refuse_outside

MNM_PER_GFCM = Decimal("0.0980665")


class Belt(StrEnum):
    """A belt's cross section."""

    SQUARE = "square"
    FLAT = "flat"

    @property
    def under_percent(self) -> tuple[Decimal, Decimal]:
        """How far its relaxed inside length lies under the path, in percent."""
        return (Decimal(5), Decimal(7)) if self is Belt.SQUARE else (Decimal(3), Decimal(5))


def path(first_mm: Decimal, second_mm: Decimal, centers_mm: Decimal) -> Decimal:
    """The way around two pulleys in mm, from their diameters and the distance of their centers; not crossed."""
    refuse_outside(1, 500, "mm", first_pulley=first_mm, second_pulley=second_mm)
    refuse_outside(1, 2000, "mm", distance_of_centers=centers_mm)
    if centers_mm <= (first_mm + second_mm) / 2:
        raise Refused("The pulleys would touch: the distance is measured from center to center.")
    apart, difference = float(centers_mm), abs(float(first_mm - second_mm)) / 2
    straight = 2 * math.sqrt(apart**2 - difference**2)
    around = math.pi * float(first_mm + second_mm) / 2 + 2 * difference * math.asin(difference / apart)
    return Decimal(repr(round(straight + around, 6)))


@dataclass(frozen=True, slots=True)
class Length:
    """A relaxed inside length between two bounds in mm, and the inside diameter of such a ring."""

    least_mm: Decimal
    most_mm: Decimal
    least_diameter_mm: Decimal
    most_diameter_mm: Decimal


def belt_for(path_mm: Decimal, belt: Belt) -> Length:
    """Which belt goes around a path, with tensioner and idlers where they stand while playing."""
    refuse_outside(20, 3000, "mm", path=path_mm)
    little, much = belt.under_percent
    least, most = (path_mm * (100 - one) / 100 for one in (much, little))
    pi = Decimal(repr(math.pi))
    return Length(least, most, least / pi, most / pi)


def ratio(driver_mm: Decimal, driven_mm: Decimal, thickness_mm: Decimal) -> Decimal:
    """How many turns the driven pulley makes for one of the driver, with the belt's thickness."""
    refuse_outside(1, 500, "mm", driving_pulley=driver_mm, driven_pulley=driven_mm)
    refuse_outside(0, 10, "mm", thickness=thickness_mm)
    return (driver_mm + thickness_mm) / (driven_mm + thickness_mm)


def speed_change(driver_mm: Decimal, driven_mm: Decimal, old_mm: Decimal, new_mm: Decimal) -> Decimal:
    """What a belt of another thickness does to the speed, in percent."""
    return (ratio(driver_mm, driven_mm, new_mm) / ratio(driver_mm, driven_mm, old_mm) - 1) * 100


def diameter_for(diameter_mm: Decimal, speed_percent: Decimal, *, drives: bool) -> Decimal:
    """The diameter in mm that brings a speed error to nothing: of a part that drives, or of one that is driven.

    An idler between two rims changes nothing: only motor pulley and platter count.
    """
    refuse_outside(1, 500, "mm", diameter=diameter_mm)
    refuse_outside(-30, 30, "%", speed_error=speed_percent)
    runs = 1 + speed_percent / 100
    return diameter_mm / runs if drives else diameter_mm * runs


def synchronous_rpm(line_hz: Decimal, poles: int) -> Decimal:
    """The speed of a synchronous motor in rpm; an induction motor runs some percent under it."""
    refuse_outside(15, 500, "Hz", line_frequency=line_hz)
    if poles not in range(2, 49, 2):
        raise Refused("A motor has an even number of poles, from 2 to 48.")
    return 120 * line_hz / poles


def rim_drive_rpm(motor_rpm: Decimal, pulley_mm: Decimal, rim_mm: Decimal) -> Decimal:
    """The platter's rpm behind a motor pulley and an idler on the inside of its rim."""
    refuse_outside(10, 20_000, "rpm", motor=motor_rpm)
    refuse_outside(1, 500, "mm", pulley=pulley_mm, rim=rim_mm)
    return motor_rpm * pulley_mm / rim_mm


@dataclass(frozen=True, slots=True)
class DialCord:
    """How far a pointer travels, and the cord that the path asks for, in mm."""

    travel_mm: Decimal
    cord_mm: Decimal


def dial_cord(drum_mm: Decimal, degrees: Decimal, path_mm: Decimal, wraps: Decimal = Decimal(3)) -> DialCord:
    """A drum's diameter and its angle move the pointer; the cord is the path, the wraps, and two ends of 50 mm to tie."""
    refuse_outside(5, 300, "mm", drum=drum_mm)
    refuse_outside(10, 3600, "°", angle_of_the_drum=degrees)
    refuse_outside(20, 5000, "mm", path=path_mm)
    refuse_outside(0, 12, "", wraps=wraps)
    around = Decimal(repr(math.pi)) * drum_mm
    return DialCord(around * degrees / 360, path_mm + around * wraps + 100)


def torque_mnm(gram_force: Decimal, radius_mm: Decimal) -> Decimal:
    """Torque in mN·m of a pull in gram-force, on a gauge, at a radius in mm; divided by 0.0980665 it is gf·cm."""
    refuse_outside(Decimal("0.1"), 5000, "g", pull=gram_force)
    refuse_outside(1, 200, "mm", radius=radius_mm)
    return gram_force * radius_mm / 10 * MNM_PER_GFCM
