"""Sizes and weights of parcels in inches and pounds or centimeters and kilograms, exact in decimals.

Sources
    1 inch = 2.54 cm and 1 pound = 0.45359237 kg, exactly: the international yard and pound agreement of 1959, NIST
    Special Publication 811. Girth, and length plus girth: the postal and carrier tariffs' own definition, the longest
    side plus twice the sum of the other two.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

SizeUnit = Literal["in", "cm"]
WeightUnit = Literal["lb", "kg"]

CM_PER_INCH = Decimal("2.54")
KG_PER_POUND = Decimal("0.45359237")
OUNCES_PER_POUND = 16

LONGEST_SIDE = Decimal(10**6)
HEAVIEST = Decimal(10**18)
"""Far above any parcel: they keep every sum within the digits that decimals hold exactly."""

_NUMBER = r"[0-9]{1,5}(?:[.,][0-9]{1,4})?"
_SIZE = re.compile(
    rf"({_NUMBER})\s*[x×*]\s*({_NUMBER})\s*[x×*]\s*({_NUMBER})\s*(in|inch|inches|\"|″|cm|mm)?", re.IGNORECASE
)
_WEIGHT = re.compile(rf"({_NUMBER})\s*(lbs?\.?|#|oz\.?|ounces?|pounds?|kg|g)?", re.IGNORECASE)
_POUNDS_OUNCES = re.compile(rf"([0-9]{{1,5}})\s*(?:lb|lbs)\.?,?\s*({_NUMBER})\s*oz\.?", re.IGNORECASE)


class ParcelError(ValueError):
    """A parcel that can't be worked with; the message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class Size:
    """Three sides of a box, outside, in one unit; the order in which they are given doesn't matter."""

    length: Decimal
    width: Decimal
    height: Decimal
    unit: SizeUnit = "in"

    def __post_init__(self) -> None:
        for side in (self.length, self.width, self.height):
            if not (side.is_finite() and 0 < side <= LONGEST_SIDE):
                raise ParcelError("Each side of a box is more than nothing and not beyond all measure.")

    @property
    def sides(self) -> tuple[Decimal, Decimal, Decimal]:
        """The sides, the longest first."""
        longest, middle, shortest = sorted((self.length, self.width, self.height), reverse=True)
        return longest, middle, shortest

    @property
    def volume(self) -> Decimal:
        """Cubic inches or cubic centimetres."""
        return self.length * self.width * self.height

    @property
    def girth(self) -> Decimal:
        """Once around the box, across its longest side."""
        _, middle, shortest = self.sides
        return 2 * (middle + shortest)

    @property
    def length_plus_girth(self) -> Decimal:
        """The longest side plus the girth: what postal limits are written in."""
        return self.sides[0] + self.girth

    @property
    def united(self) -> Decimal:
        """Length, width and height added: what the strength of a box is written in."""
        return self.length + self.width + self.height

    def each(self, change: Callable[[Decimal], Decimal], unit: SizeUnit | None = None) -> Size:
        """The box with every side changed in the same way."""
        return Size(change(self.length), change(self.width), change(self.height), unit or self.unit)

    def to(self, unit: SizeUnit) -> Size:
        """The same box in another unit."""
        if unit == self.unit:
            return self
        if unit == "cm":
            return self.each(lambda side: side * CM_PER_INCH, unit)
        return self.each(lambda side: side / CM_PER_INCH, unit)

    def grown(self, by: Decimal) -> Size:
        """The box that leaves ``by`` on every side around this one, in this unit."""
        return self.each(lambda side: side + 2 * by)

    def __str__(self) -> str:
        return (
            " × ".join(f"{plain(side)}" for side in (self.length, self.width, self.height)) + f" {self.unit}"
        )


@dataclass(frozen=True, slots=True)
class Weight:
    """A weight in pounds or kilograms."""

    value: Decimal
    unit: WeightUnit = "lb"

    def __post_init__(self) -> None:
        if not (self.value.is_finite() and 0 < self.value <= HEAVIEST):
            raise ParcelError("A weight is more than nothing and not beyond all measure.")

    def to(self, unit: WeightUnit) -> Weight:
        """The same weight in another unit."""
        if unit == self.unit:
            return self
        return Weight(self.value * KG_PER_POUND if unit == "kg" else self.value / KG_PER_POUND, unit)

    def __str__(self) -> str:
        return f"{plain(self.value)} {self.unit}"


def parse_size(text: str, unit: SizeUnit) -> Size:
    """Read ``24 x 20 x 12`` or ``60×50×40 cm``; without a unit the shop's own is meant. Raises ParcelError."""
    found = _SIZE.fullmatch(text[:80].strip()) if len(text) <= 80 else None
    if not found:
        raise ParcelError("Write the three sides with an x between, such as 24 x 20 x 12.")
    written = (found[4] or unit).lower()
    size = Size(
        _decimal(found[1]), _decimal(found[2]), _decimal(found[3]), "cm" if written in {"cm", "mm"} else "in"
    )
    return size.each(lambda side: side / 10) if written == "mm" else size


def parse_weight(text: str, unit: WeightUnit) -> Weight:
    """Read ``12.5``, ``12 lb 8 oz``, ``5,4 kg`` or ``850 g``; without a unit the shop's own is meant. Raises ParcelError."""
    typed = text[:40].strip() if len(text) <= 40 else ""
    if both := _POUNDS_OUNCES.fullmatch(typed):
        return Weight(Decimal(both[1]) + _decimal(both[2]) / OUNCES_PER_POUND, "lb")
    found = _WEIGHT.fullmatch(typed)
    if not found:
        raise ParcelError("Write a weight as a number with its unit, such as 12 lb 8 oz or 5.7 kg.")
    written = (found[2] or unit).lower()
    if written.startswith(("oz", "ounce")):
        return Weight(_decimal(found[1]) / OUNCES_PER_POUND, "lb")
    if written == "g":
        return Weight(_decimal(found[1]) / 1000, "kg")
    return Weight(_decimal(found[1]), "kg" if written == "kg" else "lb")


def plain(number: Decimal) -> str:
    """At most two decimals, without trailing zeros and without an exponent."""
    if not number.is_finite():
        raise ParcelError("A measure must be a number.")
    rounded = number.quantize(Decimal("0.01"))
    return f"{rounded.normalize():f}"


def _decimal(text: str) -> Decimal:
    return Decimal(text.replace(",", "."))
