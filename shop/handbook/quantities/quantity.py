"""A measured or marked value, its tolerance, and the one error that reading it may raise.

Sources
    Tolerances as percent below and above nominal, or in the unit itself for small capacitors: IEC 60062 (public
    article on the RKM code; the pF rule below 10 pF confirmed by a public capacitor table).
    Printing: see ``si``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from ..in_words import plain
from .kinds import Kind
from .si import MINUS, engineering

PRINTED_DIGITS = 20
"""As many digits as a typed number may have, so that nothing is rounded away when a quantity is shown in full."""


class Unreadable(ValueError):
    """What was typed is not a value that can be read without guessing. The message is one sentence for the person."""


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far below and above nominal a part may be, both as positive numbers; ``unit`` is ``%`` or a base unit."""

    below: Decimal
    above: Decimal
    unit: str = "%"

    def limits(self, nominal: Decimal) -> tuple[Decimal, Decimal]:
        """The lowest and the highest value allowed, in nominal's unit; for a negative nominal too."""
        if self.unit != "%":
            return nominal - self.below, nominal + self.above
        size = abs(nominal) / 100
        return nominal - self.below * size, nominal + self.above * size

    def __str__(self) -> str:
        """The tolerance as a card shows it: ``±5 %``, ``−20/+80 %``, ``±0.25 pF``."""
        unit, power = ("pF", 12) if self.unit == "F" else (self.unit, 0)
        below, above = (plain(value.scaleb(power)) for value in (self.below, self.above))
        return f"±{above} {unit}" if below == above else f"{MINUS}{below}/+{above} {unit}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value with its unit, as read from what somebody typed.

    ``value`` is exact and in the base unit; the places that were typed are kept (``12.60`` stays ``12.60``).
    ``over_range``: the meter showed more than it can measure; ``value`` is then the bound that was typed (``>200 MΩ``)
    or plus or minus infinity (``OL``). ``kind`` is None where the unit leaves it open (V: DC or AC?).
    ``ratings``: what else stands on a part, such as 63 V or 0.25 W. Two quantities are equal whatever was typed.
    """

    value: Decimal
    unit: str
    kind: Kind | None = None
    typed: str = field(default="", compare=False)
    over_range: bool = False
    tolerance: Tolerance | None = None
    ratings: tuple[Quantity, ...] = ()

    @property
    def rating(self) -> Quantity | None:
        """The first rating, if there is one."""
        return self.ratings[0] if self.ratings else None

    @property
    def known(self) -> Decimal | None:
        """The value where a number is known, None for a bare over-range: what a column of numbers can hold."""
        return self.value if self.value.is_finite() else None

    @property
    def limits(self) -> tuple[Decimal, Decimal] | None:
        """The lowest and highest value that the marked tolerance allows, None where no tolerance is known."""
        return self.tolerance.limits(self.value) if self.tolerance else None

    def __str__(self) -> str:
        """In engineering form and in full: ``4.7 µF ±10 % 63 V``; over range is ``OL`` or ``> 200 MΩ``."""
        if self.value.is_infinite():
            shown = f"{MINUS if self.value < 0 else ''}OL {self.unit}".rstrip()
        else:
            shown = engineering(self.value, self.unit, PRINTED_DIGITS)
            shown = f"> {shown}" if self.over_range else shown
        extras = [str(self.tolerance)] if self.tolerance else []
        return " ".join([shown, *extras, *(_in_trade_form(rating) for rating in self.ratings)])


_bare = object.__new__
_put_value, _put_unit, _put_kind, _put_typed, _put_over_range, _put_tolerance, _put_ratings = (
    Quantity.__dict__[slot].__set__ for slot in Quantity.__slots__
)


def measured(value: Decimal, unit: str, kind: Kind | None, typed: str) -> Quantity:
    """The same as ``Quantity(value, unit, kind, typed)``, made in two thirds of the time.

    Filling a frozen dataclass through its own initialiser costs as much as all the rest of reading a number.
    """
    quantity: Quantity = _bare(Quantity)
    _put_value(quantity, value)
    _put_unit(quantity, unit)
    _put_kind(quantity, kind)
    _put_typed(quantity, typed)
    _put_over_range(quantity, False)  # noqa: FBT003
    _put_tolerance(quantity, None)
    _put_ratings(quantity, ())
    return quantity


def rated(fresh: Quantity, rating: Quantity, typed: str) -> Quantity:
    """A quantity just made, which nobody else holds yet, finished with its rating and the whole of what was typed."""
    _put_typed(fresh, typed)
    _put_ratings(fresh, (rating,))
    return fresh


def _in_trade_form(rating: Quantity) -> str:
    """A rating as the trade says it: 0.25 W rather than 250 mW."""
    in_watts = rating.unit == "W" and Decimal("0.01") <= rating.value < 1
    return f"{plain(rating.value)} W" if in_watts else str(rating)


def canonical(quantity: Quantity) -> str:
    """One spelling per value, for a column that is searched: ``4700 ohm 0.25 W``. The tolerance is left out."""
    unit = {"Ω": "ohm", "°C": "degC"}.get(quantity.unit, quantity.unit)
    words = [f"{plain(quantity.value)} {unit}".rstrip()]
    return " ".join([*words, *(canonical(rating) for rating in quantity.ratings)])
