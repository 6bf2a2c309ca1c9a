"""Preferred values of resistors and capacitors: the E series, the nearest value, and what a measured part could be.

Sources
    IEC 60063:2015. The two-figure series E3 to E24 are the standard's own table (looked up); eight places of E24 don't
    follow the formula. E48, E96 and E192 are 100 × 10^(i/n) rounded to three figures, with the one exception 920
    instead of 919 (computed; the exception looked up).
    Tolerance that goes with a series (E6 20 %, E12 10 %, E24 5 %, E48 2 %, E96 1 %, E192 0.5 %): looked up in a public
    table; the 2015 edition calls this advice, not a rule. E3 has more than 20 %: 40 % is common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import IntEnum


class Series(IntEnum):
    """A series by its number of values in each decade."""

    E3 = 3
    E6 = 6
    E12 = 12
    E24 = 24
    E48 = 48
    E96 = 96
    E192 = 192

    @property
    def figures(self) -> tuple[int, ...]:
        """The significant figures of one decade: 10 to 91 up to E24, 100 to 988 above."""
        return FIGURES[self]

    @property
    def tolerance(self) -> Decimal:
        """The tolerance in percent whose bands just meet from one value to the next."""
        return _TOLERANCES[self]


_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
_E192_EXCEPTION = {919: 920}
_TOLERANCES = {
    Series.E3: Decimal(40),
    Series.E6: Decimal(20),
    Series.E12: Decimal(10),
    Series.E24: Decimal(5),
    Series.E48: Decimal(2),
    Series.E96: Decimal(1),
    Series.E192: Decimal("0.5"),
}


def _by_formula(count: int) -> tuple[int, ...]:
    rounded = [
        int((100 * Decimal(10) ** (Decimal(i) / count)).to_integral_value(ROUND_HALF_UP))
        for i in range(count)
    ]
    return tuple(_E192_EXCEPTION.get(figure, figure) for figure in rounded)


FIGURES: dict[Series, tuple[int, ...]] = {
    series: _E24[:: 24 // series] if series <= Series.E24 else _by_formula(series) for series in Series
}
"""The values of one decade, of each series."""


@dataclass(frozen=True, slots=True)
class Preferred:
    """A preferred value beside the one that was asked for.

    ``deviation``: how far the preferred value lies from the asked one, in percent of the asked one; negative is lower.
    """

    value: Decimal
    series: Series
    deviation: Decimal


def _refuse_unless_positive(value: Decimal) -> None:
    if not value.is_finite() or value <= 0:
        raise ValueError("Only a value above zero has a preferred value beside it.")


def _around(value: Decimal, series: Series) -> list[Decimal]:
    """The series' values in the decade of ``value``, with one decade more to either side."""
    places = 1 if series <= Series.E24 else 2
    power = value.adjusted() - places
    return [Decimal(figure).scaleb(power + shift) for shift in (-1, 0, 1) for figure in series.figures]


def nearest(value: Decimal, series: Series = Series.E24) -> Preferred:
    """The preferred value with the smallest deviation from ``value``; of two equally near, the lower one.

    Raises ValueError unless the value is above zero.
    """
    _refuse_unless_positive(value)
    found = min(_around(value, series), key=lambda candidate: abs(candidate - value))
    deviation = ((found - value) / value * 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    return Preferred(found, series, deviation)


def series_of(value: Decimal) -> tuple[Series, ...]:
    """Every series that holds this value, coarsest first; empty for a value that no part is marked with.

    Raises ValueError unless the value is above zero.
    """
    _refuse_unless_positive(value)
    return tuple(series for series in Series if value in _around(value, series))


def could_be(measured: Decimal, series: Series, tolerance: Decimal | None = None) -> tuple[Decimal, ...]:
    """The nominal values whose tolerance band holds a measured one, lowest first; empty if it has drifted out of all.

    ``tolerance`` in percent of nominal, by default the one that goes with the series; limits count as inside.
    Raises ValueError unless the measured value is above zero and the tolerance is from 0 to 50.
    """
    _refuse_unless_positive(measured)
    percent = series.tolerance if tolerance is None else tolerance
    if not 0 <= percent <= 50:
        raise ValueError("A tolerance lies between 0 and 50 percent.")
    return tuple(
        nominal for nominal in _around(measured, series) if abs(measured - nominal) * 100 <= nominal * percent
    )
