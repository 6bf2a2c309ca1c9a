"""Power from the line: the lamp in series at the first start, and what a line above its marking does.

Sources
    Lamp: R = V²/P when hot (circuit theory); cold about 1/10 to 1/15 of that, 9.5 Ω for 120 V 100 W (encyclopedia and
    a lamp collector's page, looked up). Wattage by kind of set, and what the glow means: repairers' articles (looked
    up) and common practice.
    What a line may measure, by country: the source stands with each row of ``LINES``. Old sets marked 117 V: common
    practice, no source. That a set is built for 0.9 to 1.1 times its marked voltage: IEC 60065, 4.2 (check the current edition).

A series lamp isolates nothing. Local codes and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..in_words import plain, rounded
from .refusal import AudioError, refuse_outside, refuse_unless_positive

COLD_SHARE = (Decimal(1) / 15, Decimal(1) / 10)

SET_TAKES = (Decimal("0.9"), Decimal("1.1"))
"""The share of its marked voltage for which a set is built."""


@dataclass(frozen=True, slots=True)
class Line:
    """What is usual at a country's outlets: volt RMS, the limits included, hertz, and where that stands."""

    nominal_volt: Decimal
    low_volt: Decimal
    high_volt: Decimal
    hertz: str
    source: str

    @property
    def words(self) -> str:
        """The range in words: ``114 to 126 V``."""
        return f"{plain(self.low_volt)} to {plain(self.high_volt)} V"


def _line(nominal: str, low: str, high: str, hertz: str, source: str) -> Line:
    return Line(Decimal(nominal), Decimal(low), Decimal(high), hertz, source)


_ANSI = _line("120", "114", "126", "60", "ANSI C84.1 range A (check the current edition)")
_EUROPE = _line("230", "207", "253", "50", "EN 50160, 230 V ± 10 % (check the current edition)")
_BRITAIN = _line(
    "230", "216.2", "253", "50", "ESQC Regulations 2002, 230 V +10/-6 % (check the current edition)"
)
_JAPAN = _line(
    "100", "95", "107", "50 or 60", "Electricity Business Act, rule 38, 101 ± 6 V (check the current edition)"
)
_EUROPEANS = "AT BE BG CH CY CZ DE DK EE ES FI FR GR HR HU IE IS IT LT LU LV MT NL NO PL PT RO SE SI SK"

LINES: dict[str, Line] = {
    "US": _ANSI,
    "CA": _line("120", "110", "125", "60", "CSA C235, normal range (check the current edition)"),
    "MX": _line("127", "114.3", "139.7", "60", "127 V ± 10 % (check the current edition)"),
    "JP": _JAPAN,
    "GB": _BRITAIN,
    "AU": _line("230", "216.2", "253", "50", "AS 60038, 230 V +10/-6 % (check the current edition)"),
    "NZ": _line(
        "230",
        "216.2",
        "243.8",
        "50",
        "Electricity (Safety) Regulations 2010, ± 6 % (check the current edition)",
    ),
    "KR": _line("220", "207", "233", "60", "220 ± 13 V (check the current edition)"),
    "CN": _line("220", "198", "235.4", "50", "GB/T 12325, 220 V +7/-10 % (check the current edition)"),
    "ZA": _line("230", "207", "253", "50", "NRS 048-2, 230 V ± 10 % (check the current edition)"),
} | dict.fromkeys(_EUROPEANS.split(), _EUROPE)
"""By ISO 3166 code of two letters."""

_IEC = "IEC 60038, ± 10 % (check the current edition)"

ORDINARY_LINES: dict[Decimal, Line] = {
    Decimal(100): _JAPAN,
    Decimal(110): _line("110", "99", "121", "50 or 60", _IEC),
    Decimal(120): _ANSI,
    Decimal(127): _line("127", "114.3", "139.7", "60", _IEC),
    Decimal(220): _line("220", "198", "242", "50 or 60", _IEC),
    Decimal(230): _EUROPE,
    Decimal(240): _line("240", "216", "264", "50", _IEC),
}
"""By nominal voltage alone, where the country isn't known: the widest of those that share it."""


def line_of(country: str, nominal_volt: Decimal) -> Line | None:
    """The usual line of a country (ISO 3166), if its nominal voltage is the one asked for; else of that voltage, or None.

    A shop may stand in one country and work on the voltage of another: then the voltage decides.
    """
    refuse_unless_positive(nominal_voltage=nominal_volt)
    line = LINES.get(country.strip().upper())
    return line if line and line.nominal_volt == nominal_volt else ORDINARY_LINES.get(nominal_volt)


@dataclass(frozen=True, slots=True)
class Lamp:
    """A filament lamp: hot resistance and current, and the resistance between which the cold filament lies."""

    hot_ohm: Decimal
    ampere: Decimal
    cold_ohm: tuple[Decimal, Decimal]


def lamp(volt: Decimal, watt: Decimal) -> Lamp:
    """The numbers of a filament lamp marked with this voltage and wattage; its current is the most it lets through."""
    refuse_unless_positive(voltage=volt, power=watt)
    refuse_outside(1, 1000, "V", voltage=volt)
    refuse_outside(Decimal("0.1"), 5000, "W", power_of_the_lamp=watt)
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
    refuse_outside(Decimal("0.1"), 10_000, "W", idle_draw=idle_watt, rated_draw=rated_watt)
    if idle_watt > rated_watt:
        raise AudioError("A set draws no more at idle than its label says: one of the two is read wrong.")
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
    """A line voltage against the set's marking; ``ordinary`` None where no standard's range is known for the line.

    ``ordinary`` is never True for a set that the line overdrives or starves. ``line``: the range it was held to.
    """

    voltage_percent: Decimal
    power_percent: Decimal
    ordinary: bool | None
    sentence: str
    line: Line | None = None


def line_effect(
    line_volt: Decimal, marked_volt: Decimal, nominal_volt: Decimal = Decimal(120), country: str = ""
) -> LineEffect:
    """How far rails, heaters and heat move when a set marked for one voltage runs on another; all in volt RMS.

    Unregulated rails follow the line; heat in a resistance follows its square. ``nominal_volt`` and ``country`` name
    the line whose ordinary range the reading is held to. A line more than a tenth off the set's marking is told apart:
    the set is made for another line.
    """
    refuse_unless_positive(line_voltage=line_volt, marked_voltage=marked_volt, nominal_voltage=nominal_volt)
    refuse_outside(
        1, 1000, "V", line_voltage=line_volt, marked_voltage=marked_volt, nominal_voltage=nominal_volt
    )
    ratio = line_volt / marked_volt
    up, heat = (ratio - 1) * 100, (ratio * ratio - 1) * 100
    line = line_of(country, nominal_volt)
    inside = None if line is None else line.low_volt <= line_volt <= line.high_volt
    suits = SET_TAKES[0] <= ratio <= SET_TAKES[1]
    ordinary = inside if suits else False
    sentence = (
        f"{plain(line_volt)} V on a set marked {plain(marked_volt)} V: unregulated rails and heaters {_signed(up)}, "
        f"heat in resistances {_signed(heat)}."
    )
    if line is not None and not inside:
        sentence += f" The line itself is outside {line.words}."
    if not suits:
        much = "too much" if ratio > 1 else "too little"
        sentence += f" That is {much} for it: set its voltage selector, or put a transformer before it."
    return LineEffect(up, heat, ordinary, sentence, line)


def _signed(percent: Decimal) -> str:
    if not percent:
        return "as designed"
    return f"{'+' if percent > 0 else '-'}{rounded(abs(percent), 2)} %"
