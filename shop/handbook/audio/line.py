"""Power from the line: the lamp in series at the first start, and what a line above its marking does.

Sources
    Lamp: R = V²/P when hot (circuit theory); cold about 1/10 to 1/15 of that, 9.5 Ω for 120 V 100 W (encyclopedia and
    a lamp collector's page, looked up). Wattage by kind of set, and what the glow means: repairers' articles (looked
    up) and common practice.
    ANSI C84.1 range A, 114 to 126 V at 120 V (from memory); EN 50160, 230 V ± 10 % (from memory). Old sets marked
    117 V: common practice, no source.

A series lamp isolates nothing. Local codes and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..in_words import plain, rounded
from .refusal import refuse_unless_positive

COLD_SHARE = (Decimal(1) / 15, Decimal(1) / 10)

ORDINARY_LINES: dict[Decimal, tuple[Decimal, Decimal]] = {
    Decimal(120): (Decimal(114), Decimal(126)),
    Decimal(230): (Decimal(207), Decimal(253)),
}


@dataclass(frozen=True, slots=True)
class Lamp:
    """A filament lamp: hot resistance and current, and the resistance between which the cold filament lies."""

    hot_ohm: Decimal
    ampere: Decimal
    cold_ohm: tuple[Decimal, Decimal]


def lamp(volt: Decimal, watt: Decimal) -> Lamp:
    """The numbers of a filament lamp marked with this voltage and wattage; its current is the most it lets through."""
    refuse_unless_positive(voltage=volt, power=watt)
    hot = volt * volt / watt
    return Lamp(hot, watt / volt, (hot * COLD_SHARE[0], hot * COLD_SHARE[1]))


class SetKind(StrEnum):
    """What stands behind the lamp."""

    PREAMPLIFIER = "preamplifier or tuner"
    RECEIVER = "receiver"
    POWER_AMPLIFIER = "large power amplifier"


LAMP_WATTS: dict[SetKind, tuple[Decimal, Decimal]] = {
    SetKind.PREAMPLIFIER: (Decimal(40), Decimal(60)),
    SetKind.RECEIVER: (Decimal(60), Decimal(100)),
    SetKind.POWER_AMPLIFIER: (Decimal(150), Decimal(200)),
}


def lamp_watts_by_draw(idle_watt: Decimal, rated_watt: Decimal) -> tuple[Decimal, Decimal]:
    """The smallest and largest useful lamp for a set: its idle draw, and half of its rated draw, in order."""
    refuse_unless_positive(idle_draw=idle_watt, rated_draw=rated_watt)
    half = rated_watt / 2
    return min(idle_watt, half), max(idle_watt, half)


class Glow(StrEnum):
    """What the lamp did at switch-on."""

    FLASH_THEN_DIM = "bright flash, then dim"
    STAYS_BRIGHT = "stays bright"
    DARK = "stays dark"


def glow_says(glow: Glow) -> str:
    """What the lamp's glow means, in one sentence."""
    return {
        Glow.FLASH_THEN_DIM: "The capacitors charged and the set draws little: carry on and measure the rails.",
        Glow.STAYS_BRIGHT: "The set draws all it can get: switch off and look for a short.",
        Glow.DARK: "No current flows: look at fuse, switch, cord and the lamp itself.",
    }[glow]


@dataclass(frozen=True, slots=True)
class LineEffect:
    """A line voltage against the set's marking; ``ordinary`` None where no standard's range is known for the line."""

    voltage_percent: Decimal
    power_percent: Decimal
    ordinary: bool | None
    sentence: str


def line_effect(line_volt: Decimal, marked_volt: Decimal, nominal_volt: Decimal = Decimal(120)) -> LineEffect:
    """How far rails, heaters and heat move when a set marked for one voltage runs on another; all in volt RMS.

    Unregulated rails follow the line; heat in a resistance follows its square. ``nominal_volt`` names the line whose
    ordinary range the reading is held to.
    """
    refuse_unless_positive(line_voltage=line_volt, marked_voltage=marked_volt, nominal_voltage=nominal_volt)
    ratio = line_volt / marked_volt
    up, heat = (ratio - 1) * 100, (ratio * ratio - 1) * 100
    bounds = ORDINARY_LINES.get(nominal_volt)
    ordinary = None if bounds is None else bounds[0] <= line_volt <= bounds[1]
    sentence = (
        f"{plain(line_volt)} V on a set marked {plain(marked_volt)} V: unregulated rails and heaters {_signed(up)}, "
        f"heat in resistances {_signed(heat)}."
    )
    if bounds is not None and not ordinary:
        sentence += f" The line itself is outside {plain(bounds[0])} to {plain(bounds[1])} V."
    return LineEffect(up, heat, ordinary, sentence)


def _signed(percent: Decimal) -> str:
    if not percent:
        return "as designed"
    return f"{'+' if percent > 0 else '-'}{rounded(abs(percent), 2)} %"
