"""Capacitor for capacitor, by what it does in the set; the voltage at cold start; ESR as a suspicion.

Sources
    Classes X1, X2, Y1, Y2: IEC 60384-14; that a Y may stand where an X was and never an X for a Y, that no other capacitor
    may stand for either, and that a Y is never larger than before (it sets the touch current): from memory. Old
    metallized-paper X and Y crack and burn: common practice, no source. Peak of the rectified line √2 · V, with a tenth
    more for a high line: circuit theory and IEC 60065 (from memory); a rectifier that is ready before the load draws lets
    the whole peak stand. A tube rectifier's largest first capacitor: the tube's data sheet. Capacitance bands by function,
    tantalum at half its voltage, ceramic of class 2 kept out of the signal: common practice, no source.
    ESR at 120 Hz is tan δ / (2πfC): definition; the largest tan δ by rated voltage: general-purpose data sheets, from
    memory. At 100 kHz a sound part lies under its 120 Hz value and, small ones far under it, under some 15 Ω at 1 µF that
    fall with the 0.55th power of the capacitance; a third of that for low-impedance series: common practice, no source.
    The series' own data sheet comes first. Under 0.47 µF a meter at 100 kHz shows reactance more than resistance.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from ..in_words import plain
from ..quantities import engineering
from ..refusal import Refused, refuse_outside
from .saying import Remark, mind, no, not_known

_TAU = Decimal(repr(2 * math.pi))


class Function(StrEnum):
    """What the capacitor does."""

    COUPLING = "coupling"
    SUPPLY = "supply"
    FIRST = "first"
    TIMING = "timing"
    SNUBBER = "snubber"
    X = "x"
    Y = "y"

    @property
    def words(self) -> str:
        """In words."""
        return _WORDS[self]


_WORDS: dict[Function, str] = {
    Function.COUPLING: "couples a signal",
    Function.SUPPLY: "smooths or decouples a supply",
    Function.FIRST: "is the first one behind a tube rectifier",
    Function.TIMING: "sets a time, a tone or a filter",
    Function.SNUBBER: "takes pulses, as a snubber",
    Function.X: "stands across the line (X)",
    Function.Y: "stands from line to chassis (Y)",
}


class Sort(StrEnum):
    """What it is made of."""

    ELECTROLYTIC = "electrolytic"
    BIPOLAR = "bipolar electrolytic"
    FILM = "film"
    PAPER = "paper"
    CERAMIC_1 = "ceramic C0G or class 1"
    CERAMIC_2 = "ceramic class 2"
    MICA = "mica"
    TANTALUM = "tantalum"
    SAFETY_X1 = "safety X1"
    SAFETY_X2 = "safety X2"
    SAFETY_Y1 = "safety Y1"
    SAFETY_Y2 = "safety Y2"

    @property
    def label(self) -> str:
        """The name at the head of a sentence."""
        return self.value[0].upper() + self.value[1:]

    @property
    def is_polar(self) -> bool:
        """Whether it has a plus and a minus."""
        return self in {Sort.ELECTROLYTIC, Sort.TANTALUM}

    @property
    def is_safety(self) -> bool:
        """Whether it carries a class of IEC 60384-14."""
        return self in _MAY_REPLACE


_X1, _X2, _Y1, _Y2 = Sort.SAFETY_X1, Sort.SAFETY_X2, Sort.SAFETY_Y1, Sort.SAFETY_Y2
_MAY_REPLACE: dict[Sort, frozenset[Sort]] = {
    _X1: frozenset({_X1, _Y1, _Y2}),
    _X2: frozenset({_X2, _X1, _Y1, _Y2}),
    _Y1: frozenset({_Y1}),
    _Y2: frozenset({_Y2, _Y1}),
}

_BANDS: dict[Function, tuple[Decimal, Decimal, str]] = {
    Function.COUPLING: (
        Decimal("0.8"),
        Decimal("2.2"),
        "less takes bass off, more thumps and slows protection and muting",
    ),
    Function.SUPPLY: (
        Decimal("0.8"),
        Decimal("1.5"),
        "less hums, more strains rectifier and fuse at switch-on",
    ),
    Function.FIRST: (Decimal("0.8"), Decimal(1), "less hums; more takes the rectifier’s cathode apart"),
    Function.TIMING: (Decimal("0.95"), Decimal("1.05"), "the value sets a frequency or a time"),
    Function.SNUBBER: (
        Decimal("0.9"),
        Decimal("1.1"),
        "the value belongs to the coil or the switch beside it",
    ),
    Function.X: (Decimal("0.8"), Decimal("1.2"), "the filter and its bleeder were made for that value"),
    Function.Y: (Decimal("0.5"), Decimal(1), "more lets more current through whoever touches the set"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacitor:
    """A capacitor as it is marked; None for what isn't known. Ripple in A, diameter and lead pitch in mm."""

    farad: Decimal
    volt: Decimal
    sort: Sort
    celsius: Decimal | None = None
    ripple_ampere: Decimal | None = None
    diameter_mm: Decimal | None = None
    pitch_mm: Decimal | None = None

    def __post_init__(self) -> None:
        """Refuse what no capacitor of a set is."""
        refuse_outside(Decimal("5E-13"), 1, "F", capacitance=self.farad)
        refuse_outside(Decimal("1.8"), 50_000, "V", rated_voltage=self.volt)
        if self.celsius is not None:
            refuse_outside(40, 250, "°C", rated_temperature=self.celsius)
        if self.ripple_ampere is not None:
            refuse_outside(Decimal("0.0001"), 100, "A", ripple_current=self.ripple_ampere)
        for name, size in (("diameter", self.diameter_mm), ("lead_pitch", self.pitch_mm)):
            if size is not None:
                refuse_outside(Decimal("0.5"), 200, "mm", Refused, **{name: size})


def cold_start_volt(winding_rms: Decimal, high_line: Decimal = Decimal("1.1")) -> Decimal:
    """What stands on a reservoir before the load draws, on a high line: √2 · V · 1.1, for V RMS of the (half) winding."""
    refuse_outside(1, 3000, "V", winding=winding_rms)
    refuse_outside(1, Decimal("1.5"), "", high_line=high_line)
    return winding_rms * Decimal(2).sqrt() * high_line


def judge_capacitor(
    old: Capacitor,
    new: Capacitor,
    function: Function,
    *,
    winding_rms: Decimal | None = None,
    largest_first_farad: Decimal | None = None,
) -> tuple[Remark, ...]:
    """What speaks against ``new`` in the place of ``old``, and under which conditions it may; empty if nothing does.

    ``winding_rms``: the winding in front of the rectifier, where it charges the capacitor. ``largest_first_farad``: what
    the tube rectifier's data sheet allows.
    """
    found = [
        *_by_voltage(old, new, winding_rms),
        *_by_capacitance(old, new, function, largest_first_farad),
        *_by_class(old, new, function),
        *_by_sort(old, new, function),
        *_by_size_and_heat(old, new, function),
    ]
    return tuple(found)


def _by_voltage(old: Capacitor, new: Capacitor, winding_rms: Decimal | None) -> Iterator[Remark]:
    if new.volt < old.volt:
        yield no(f"Its {plain(new.volt)} V are less than the original’s {plain(old.volt)} V.")
    if winding_rms is not None:
        needed = cold_start_volt(winding_rms)
        if new.volt < needed:
            yield no(
                f"At cold start up to {engineering(needed, 'V', 3)} stand on it: {plain(new.volt)} V are too few."
            )
    if new.sort is Sort.TANTALUM and old.sort is not Sort.TANTALUM and new.volt < 2 * old.volt:
        yield mind("A tantalum is run at half its voltage, and never straight across a stiff supply.")


def _by_capacitance(
    old: Capacitor, new: Capacitor, function: Function, largest: Decimal | None
) -> Iterator[Remark]:
    low, high, why = _BANDS[function]
    ratio = new.farad / old.farad
    if not low <= ratio <= high:
        allowed = largest is not None and new.farad <= largest
        strict = function in {Function.TIMING, Function.Y, Function.FIRST} and (
            (ratio > high and not allowed) or function is Function.TIMING
        )
        said = f"{engineering(new.farad, 'F')} for {engineering(old.farad, 'F')}: {why}."
        yield no(said) if strict or ratio < low / 2 else mind(said)
    if function is Function.FIRST:
        if largest is None:
            yield not_known(
                "The largest first capacitor stands in the rectifier tube’s data sheet: look it up."
            )
        elif new.farad > largest:
            yield no(f"The rectifier tube allows {engineering(largest, 'F')} at most as its first capacitor.")


def _by_class(old: Capacitor, new: Capacitor, function: Function) -> Iterator[Remark]:
    if function not in {Function.X, Function.Y} and not old.sort.is_safety:
        return
    if old.sort is Sort.PAPER or (function in {Function.X, Function.Y} and not old.sort.is_safety):
        yield mind("An old paper safety capacitor is changed on sight, good or not.")
    if not new.sort.is_safety:
        yield no("Across the line or from line to chassis only a part marked X or Y may stand.")
    elif function is Function.Y and new.sort not in {_Y1, _Y2}:
        yield no("From line to chassis only a Y may stand, never an X.")
    elif old.sort.is_safety and new.sort not in _MAY_REPLACE[old.sort]:
        yield no(f"{new.sort.label} is a lesser class than {old.sort}.")


def _by_sort(old: Capacitor, new: Capacitor, function: Function) -> Iterator[Remark]:
    if new.sort.is_polar and not old.sort.is_polar:
        yield no("The original has no polarity: a polarized part may not stand in.")
    elif new.sort is Sort.BIPOLAR and old.sort not in {Sort.BIPOLAR, Sort.ELECTROLYTIC}:
        yield no("An electrolytic leaks and drifts where the original didn’t.")
    if new.sort is Sort.CERAMIC_2 and function in {Function.COUPLING, Function.TIMING}:
        yield no(
            "Ceramic of class 2 loses capacitance with voltage and heat, and sounds: not in a signal’s way."
        )
    if (
        function is Function.SNUBBER
        and new.sort not in {Sort.FILM, Sort.MICA, Sort.CERAMIC_1}
        and not new.sort.is_safety
    ):
        yield no("A snubber takes film, mica or class 1 ceramic, rated for pulses.")
    elif function is Function.SNUBBER:
        yield mind("The part must be rated for the pulses (dV/dt, AC volts), not for DC alone.")
    if (
        new.sort is Sort.FILM
        and old.sort in {Sort.ELECTROLYTIC, Sort.TANTALUM}
        and function is Function.SUPPLY
    ):
        yield mind(
            "Film has next to no ESR: an old regulator may oscillate on it; look at its output with a scope."
        )


def _by_size_and_heat(old: Capacitor, new: Capacitor, function: Function) -> Iterator[Remark]:
    if new.celsius is not None and new.celsius < (old.celsius or Decimal(85)):
        yield no(
            f"Rated for {plain(new.celsius)} °C, the original for {plain(old.celsius or Decimal(85))} °C."
        )
    if (
        old.ripple_ampere is not None
        and new.ripple_ampere is not None
        and new.ripple_ampere < old.ripple_ampere
    ):
        yield no("It stands less ripple current than the original.")
    elif function in {Function.SUPPLY, Function.FIRST} and new.ripple_ampere is None and new.sort.is_polar:
        yield mind("Its ripple current isn’t told: no less than the original’s.")
    if old.diameter_mm is not None and new.diameter_mm is not None and new.diameter_mm > old.diameter_mm:
        yield mind(
            f"It is {plain(new.diameter_mm)} mm thick where there were {plain(old.diameter_mm)} mm: is there room?"
        )
    if old.pitch_mm is not None and new.pitch_mm is not None and new.pitch_mm != old.pitch_mm:
        yield mind(
            f"Leads {plain(new.pitch_mm)} mm apart for holes {plain(old.pitch_mm)} mm apart: form them, don’t force them."
        )


_TAN_DELTA = (
    ("6.3", "0.28"), ("10", "0.24"), ("16", "0.20"), ("25", "0.16"), ("35", "0.14"), ("50", "0.12"), ("100", "0.10"),
    ("250", "0.20"), ("600", "0.25"),
)  # fmt: skip
_PER_THOUSAND_MICROFARAD = Decimal("0.02")
LOW_IMPEDANCE_SHARE = Decimal(1) / 3
AT_ONE_MICROFARAD_OHM = 15.0
FALLS_WITH = 0.55
LEAST_FARAD = Decimal("0.47E-6")
LEADS_OHM = Decimal("0.02")
"""Below this a meter's leads decide: common practice."""


class Esr(StrEnum):
    """The series of an electrolytic."""

    GENERAL = "general purpose"
    LOW = "low impedance"


def tan_delta(farad: Decimal, volt: Decimal) -> Decimal:
    """The largest loss factor at 120 Hz of a general-purpose electrolytic, by its rated voltage; from memory."""
    refuse_outside(Decimal("1E-7"), Decimal("0.5"), "F", capacitance=farad)
    refuse_outside(Decimal("2.5"), 600, "V", rated_voltage=volt)
    base = next(Decimal(loss) for most, loss in _TAN_DELTA if volt <= Decimal(most))
    thousands = farad * 1_000_000 / 1000
    return base + _PER_THOUSAND_MICROFARAD * max(
        thousands.to_integral_value(rounding="ROUND_FLOOR") - 1, Decimal(0)
    )


def esr_at_120_hz(farad: Decimal, loss: Decimal) -> Decimal:
    """ESR in Ω at 120 Hz from the loss factor."""
    refuse_outside(Decimal("1E-9"), Decimal("0.5"), "F", capacitance=farad)
    refuse_outside(Decimal("0.0001"), 10, "", loss_factor=loss)
    return loss / (_TAU * 120 * farad)


def suspicious_from(farad: Decimal, volt: Decimal, series: Esr) -> Decimal:
    """The ESR in Ω at 100 kHz from which an electrolytic is suspicious: a limit for a second look, no proof either way."""
    if not (farad.is_finite() and volt.is_finite()):
        raise Refused("Capacitance and voltage are numbers.")
    if farad < LEAST_FARAD:
        raise Refused(
            "Below 0.47 µF a meter shows reactance at 100 kHz: measure capacitance and leakage instead."
        )
    usual = Decimal(repr(round(AT_ONE_MICROFARAD_OHM * float(farad * 1_000_000) ** -FALLS_WITH, 6)))
    limit = min(esr_at_120_hz(farad, tan_delta(farad, volt)), usual)
    return max(limit if series is Esr.GENERAL else limit * LOW_IMPEDANCE_SHARE, LEADS_OHM)
