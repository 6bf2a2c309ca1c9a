"""What a reading should be: a range, a nominal value with its tolerance, a limit to one side, or no path at all.

Sources
    The forms that a person types: common practice, no source. "Infinite" as an expectation, and limits on both sides
    of a resistance: makers' service manuals for the cold check (looked up). A limit counts as inside, as in "should
    not exceed 0.75 V", which passes at 0.75 V (the same manuals).
    Junction drops on a meter's diode test: common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal

from ..quantities import Kind, Quantity, Tolerance, Unreadable, engineering, parse
from ..quantities.digits import PLAIN

SWAPPABLE = frozenset({Kind.VOLTAGE_DC, Kind.CURRENT_DC})
"""Quantities whose sign only tells which probe was where; a level, a temperature or a percentage has its own sign."""

SHOWN_DIGITS = 4
_MOST_SHOWN_DIGITS = 8


def shown(value: Decimal, unit: str) -> str:
    """A value in a sentence: four digits, or as many as were typed, so that a limit and a reading can be told apart."""
    if value.is_nan():
        raise ValueError("Only a number can be shown.")
    typed = len(value.as_tuple().digits) if value.is_finite() else 0
    return engineering(value, unit, min(max(SHOWN_DIGITS, typed), _MOST_SHOWN_DIGITS))


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected at one point, in the base unit of its quantity.

    ``low`` and ``high``: the limits, inside included; None where there is none. ``either_sign``: ``high`` limits the
    amount, whichever its sign, as for a DC offset. ``no_path``: infinite resistance is expected.
    """

    kind: Kind
    low: Decimal | None = None
    high: Decimal | None = None
    unit: str = ""
    either_sign: bool = False
    no_path: bool = False
    typed: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        """Raise ValueError for limits that nothing could meet, or for none at all."""
        if not self.unit:
            object.__setattr__(self, "unit", self.kind.symbol)
        limits = [limit for limit in (self.low, self.high) if limit is not None]
        if bool(limits) == self.no_path:
            raise ValueError("An expectation has a limit, or expects no path at all.")
        if not all(limit.is_finite() for limit in limits):
            raise ValueError("A limit is a number.")
        if limits != sorted(limits):
            raise ValueError("The lower limit is above the higher one.")
        if self.either_sign and (self.low is not None or self.high is None or self.high < 0):
            raise ValueError("A limit on the amount is one limit, and isn't negative.")

    def __str__(self) -> str:
        """The expectation in words: ``11.4 V to 12.6 V``, ``at most 50 mV either way``, ``no path``."""
        if self.no_path:
            return "no path"
        if self.low is None or self.high is None:
            limit = self.high if self.low is None else self.low
            side = "at most" if self.low is None else "at least"
            way = " either way" if self.either_sign else ""
            return f"{side} {shown(limit or Decimal(0), self.unit)}{way}"
        return f"{shown(self.low, self.unit)} to {shown(self.high, self.unit)}"


def about(nominal: Quantity, kind: Kind, tolerance: Tolerance, typed: str = "") -> Expected:
    """Nominal ± tolerance; around zero too, where under the lower limit is low and over the upper one is high."""
    low, high = tolerance.limits(nominal.value)
    return Expected(kind, low, high, nominal.unit, typed=typed)


def at_most(limit: Quantity, kind: Kind, typed: str = "") -> Expected:
    """A highest value. For a direct voltage or current it limits the amount in either polarity."""
    polar = kind in SWAPPABLE and limit.value >= 0
    return Expected(kind, high=limit.value, unit=limit.unit, either_sign=polar, typed=typed)


def at_least(limit: Quantity, kind: Kind, typed: str = "") -> Expected:
    """A lowest value."""
    return Expected(kind, low=limit.value, unit=limit.unit, typed=typed)


JUNCTIONS: dict[str, Expected] = {
    "silicon": Expected(Kind.DIODE, Decimal("0.5"), Decimal("0.7")),
    "germanium": Expected(Kind.DIODE, Decimal("0.15"), Decimal("0.35")),
    "darlington": Expected(Kind.DIODE, Decimal("1.0"), Decimal("1.4")),
}
"""What a sound junction shows on a meter's diode test, forward, in volt."""


# --- reading what somebody typed --------------------------------------------------------------------------------

LONGEST = 80

_NO_PATH = re.compile(r"infinite|infinity|open|no path|no continuity|∞|O\.?L\.?", re.IGNORECASE).fullmatch
_AT_MOST = re.compile(r"(?:at most|not (?:more than|above|over)|max(?:imum|\.)?|up to|under|below|<=?|≤)\s*(\S.*)",
                      re.IGNORECASE).fullmatch  # fmt: skip
_AT_LEAST = re.compile(r"(?:at least|not (?:less than|below|under)|min(?:imum|\.)?|over|above|>=?|≥)\s*(\S.*)",
                       re.IGNORECASE).fullmatch  # fmt: skip
_EITHER_WAY = re.compile(r"(.*?)\s*(?:±|\+/-|\+-)\s*(\S.*)").fullmatch
_ABOUT = re.compile(
    r"(?:about|approx\.?|approximately|around|circa|ca\.?|~|≈)\s*(\S.*)", re.IGNORECASE
).fullmatch
_PERCENT = re.compile(r"([0-9.,]+)\s*%").fullmatch
_FROM_TO = re.compile(
    r"(?:from\s+|between\s+)?(\S.*?)\s*(?:\bto\b|\band\b|\.\.+|…|–|—|(?<=\S)\s*-(?=\s*[-0-9.,]))\s*(\S.*)",
    re.IGNORECASE,
).fullmatch


_ALL = Decimal(100)


def expect(text: str, kind: Kind) -> Expected:
    """Read an expectation: ``12 V ± 5 %``, ``5 to 20 ohm``, ``at most 50 mV``, ``> 2 MΩ``, ``4k7 5%``, ``infinite``.

    Raises Unreadable, with one sentence for the person; a value alone is refused, since nobody said how far off it
    may be.
    """
    if len(text) > LONGEST:
        raise Unreadable(f"That is too long for an expected value: at most {LONGEST} characters.")
    cleaned = text.strip().replace("−", "-")
    if _NO_PATH(cleaned):
        return _no_path(kind, text)
    return _limits(cleaned, kind, text)


def _no_path(kind: Kind, typed: str) -> Expected:
    if kind not in {Kind.RESISTANCE, Kind.DIODE}:
        raise Unreadable(
            f"Only a resistance or a diode can be expected to have no path, not {kind.in_words}."
        )
    return Expected(kind, no_path=True, typed=typed)


def _limits(cleaned: str, kind: Kind, typed: str) -> Expected:
    if match := _AT_MOST(cleaned):
        return at_most(_value(match[1], kind), kind, typed)
    if match := _AT_LEAST(cleaned):
        return at_least(_value(match[1], kind), kind, typed)
    if match := _EITHER_WAY(cleaned):
        return _around(match[1], match[2], kind, typed)
    if match := _FROM_TO(cleaned):
        first, second = _pair(match[1], match[2], kind)
        low, high = sorted((first.value, second.value))
        return Expected(kind, low, high, second.unit, typed=typed)
    if approximate := _ABOUT(cleaned):
        cleaned = approximate[1]
    nominal = _value(cleaned, kind)
    if nominal.tolerance is None:
        raise Unreadable(f"How far off may it be? Type a tolerance or a range, such as {nominal} ± 5 %.")
    return about(nominal, kind, nominal.tolerance, typed)


def _value(text: str, kind: Kind) -> Quantity:
    quantity = parse(text, kind)
    if quantity.over_range or quantity.ratings:
        raise Unreadable("Type the expected value alone, without a rating.")
    return quantity


def _around(nominal: str, tolerance: str, kind: Kind, typed: str) -> Expected:
    """``12 V ± 5 %``, ``12 ± 0.5 V``, ``± 50 mV`` around nothing; of a percentage, percent are points of it."""
    if _PERCENT(tolerance) and kind is not Kind.PERCENT:
        if not nominal:
            raise Unreadable("Percent of what? Type the nominal value in front of the tolerance.")
        share, middle = parse(tolerance, Kind.PERCENT).value, _value(nominal, kind)
        if not middle.value:
            raise Unreadable("Percent of nothing is nothing: type the tolerance with a unit.")
        if share > _ALL:
            raise Unreadable("A tolerance of more than 100 % leaves nothing to hold a reading to.")
        return about(middle, kind, Tolerance(share, share), typed)
    middle, width = _pair(nominal or "0", tolerance, kind)
    if width.value < 0:
        raise Unreadable("A tolerance can't be negative.")
    return Expected(kind, middle.value - width.value, middle.value + width.value, middle.unit, typed=typed)


def _pair(first: str, second: str, kind: Kind) -> tuple[Quantity, Quantity]:
    """Two values of which the first may leave its unit to the second: ``5 to 20 kohm``."""
    alone, other = PLAIN(first), PLAIN(second)
    if alone is None and other and not other[4]:
        raise Unreadable(f"Type the unit behind the second value as well: {second.strip()} {kind.symbol}?")
    if alone and other and other[4]:
        first += "" if alone[4] else other[4]
    elif alone and other and alone[4]:
        raise Unreadable(
            f"Type the unit behind the second value as well: {second.strip()} {alone[4].strip()}?"
        )
    left, right = _value(first, kind), _value(second, kind)
    if left.unit != right.unit:
        raise Unreadable(f"The two values are in different units, {left.unit} and {right.unit}.")
    return left, right
