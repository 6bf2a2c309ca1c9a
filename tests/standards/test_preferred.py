"""Preferred values of the E series.

Sources: IEC 60063 as given by the eseries library and by the trade's lists (looked up); tolerances of the series: a
public table, looked up. Worked values computed by hand.
"""

from __future__ import annotations

from decimal import Decimal

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.preferred import FIGURES, Preferred, Series, could_be, nearest, series_of

E6 = (10, 15, 22, 33, 47, 68)
E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)
E96 = (
    100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150, 154, 158, 162, 165, 169, 174,
    178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232, 237, 243, 249, 255, 261, 267, 274, 280, 287, 294, 301, 309,
    316, 324, 332, 340, 348, 357, 365, 374, 383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511, 523, 536, 549,
    562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732, 750, 768, 787, 806, 825, 845, 866, 887, 909, 931, 953, 976,
)  # fmt: skip


@pytest.mark.parametrize(
    "series,figures", [(Series.E6, E6), (Series.E12, E12), (Series.E24, E24), (Series.E96, E96)]
)
def test_a_series_holds_the_standards_figures(series, figures):
    """The trade's list of IEC 60063."""
    assert series.figures == figures


@pytest.mark.parametrize("series", Series)
def test_every_series_agrees_with_the_eseries_library(series):
    assert series.figures == tuple(eseries.series(series.value))
    assert len(FIGURES[series]) == series


def test_e24_leaves_the_formula_at_eight_places():
    """Computed: 100 × 10^(i/24) against the standard's table."""
    by_formula = [
        int((Decimal(10) * Decimal(10) ** (Decimal(i) / 24)).to_integral_value()) for i in range(24)
    ]
    apart = [(formula, figure) for formula, figure in zip(by_formula, E24, strict=True) if formula != figure]
    assert apart == [(26, 27), (29, 30), (32, 33), (35, 36), (38, 39), (42, 43), (46, 47), (83, 82)]


def test_e192_has_its_one_exception():
    """Looked up: 9.20 where the formula gives 9.19."""
    assert 920 in Series.E192.figures
    assert 919 not in Series.E192.figures


@pytest.mark.parametrize("series,percent", [(Series.E6, "20"), (Series.E12, "10"), (Series.E24, "5"),
    (Series.E48, "2"),
    (Series.E96, "1"), (Series.E192, "0.5"), (Series.E3, "40")])  # fmt: skip
def test_a_series_has_the_tolerance_that_goes_with_it(series, percent):
    """Public table; E3: common practice, no source. The eseries library says the same."""
    assert series.tolerance == Decimal(percent)
    assert float(series.tolerance) / 100 == pytest.approx(eseries.tolerance(series.value))


@pytest.mark.parametrize("value,series,found,deviation", [
    ("4700", Series.E12, "4700", "0.00"), ("5000", Series.E24, "5100", "2.00"), ("5000", Series.E12, "4700", "-6.00"),
    ("99.9", Series.E24, "100", "0.10"), ("0.97", Series.E96, "0.976", "0.62"), ("0.22", Series.E6, "0.22", "0.00"),
    ("9.5", Series.E12, "10", "5.26"), ("1.05", Series.E24, "1.0", "-4.76"), ("3.14E-9", Series.E6, "3.3E-9", "5.10"),
    ("9.99", Series.E192, "10.0", "0.10"), ("1050000", Series.E3, "1000000", "-4.76"),
])  # fmt: skip
def test_the_nearest_preferred_value_is_found_in_any_decade(value, series, found, deviation):
    """Computed by hand."""
    assert nearest(Decimal(value), series) == Preferred(Decimal(found), series, Decimal(deviation))


def test_e24_is_meant_where_no_series_is_named():
    assert nearest(Decimal(5000)).value == 5100


POSITIVE = st.decimals(min_value=Decimal("1E-12"), max_value=Decimal("1E9"), allow_nan=False, places=14)


@given(POSITIVE, st.sampled_from(Series))
def test_the_nearest_value_is_as_near_as_the_eseries_library_finds(value, series):
    other = eseries.find_nearest(series.value, float(value))
    ours = nearest(value, series).value
    assert float(abs(ours - value)) == pytest.approx(
        abs(other - float(value)), rel=1e-6, abs=float(value) * 1e-9
    )


@given(POSITIVE, st.sampled_from(Series))
def test_the_nearest_value_belongs_to_its_series(value, series):
    found = nearest(value, series).value
    assert series in series_of(found)
    assert nearest(found, series).value == found


def test_a_deviation_that_ties_is_rounded_up_as_percent_are_elsewhere():
    """33 instead of 32 is 1/32 = 3.125 % more (arithmetic); half up, not to the even digit."""
    assert nearest(Decimal(32)) == Preferred(Decimal(33), Series.E24, Decimal("3.13"))


@pytest.mark.parametrize("value,members", [("4700", [3, 6, 12, 24, 192]), ("5100", [24]), ("487", [48, 96, 192]),
    ("0.47", [3, 6, 12, 24, 192]), ("1", [3, 6, 12, 24, 48, 96, 192]), ("920", [192]), ("919", []), ("47.5",
    [96, 192]),
    ("5000", [])])  # fmt: skip
def test_a_value_knows_its_series(value, members):
    """Read off the tables above; 487 stands in E48, E96 and E192 (eseries)."""
    assert [series.value for series in series_of(Decimal(value))] == members


@pytest.mark.parametrize("measured,series,tolerance,nominal", [
    ("5000", Series.E12, None, ["4700"]), ("5170", Series.E12, None, ["4700", "5600"]),
    ("4230", Series.E12, None, ["3900", "4700"]),
    ("5000", Series.E24, None, ["5100"]), ("5000", Series.E24, "1", []), ("9.6", Series.E6, None, ["10"]),
    ("11.9", Series.E6, None, ["10"]), ("120", Series.E6, None, ["100", "150"]), ("4700", Series.E24, "0", ["4700"]),
    ("2000", Series.E3, "50", ["2200"]), ("5200", Series.E12, "10", ["5600"]),
    ("1050", Series.E6, "40", ["1000", "1500"]), ("1050", Series.E12, "30", ["820", "1000", "1200", "1500"]),
])  # fmt: skip
def test_a_measured_part_could_be_every_value_whose_band_holds_it(measured, series, tolerance, nominal):
    """Computed by hand: 4700 + 10 % = 5170, 5600 - 10 % = 5040, 820 + 30 % = 1066; a limit counts as inside."""
    percent = None if tolerance is None else Decimal(tolerance)
    assert could_be(Decimal(measured), series, percent) == tuple(Decimal(value) for value in nominal)


@given(st.sampled_from(Series), st.integers(0, 191), st.integers(-9, 6), st.decimals(-1, 1, places=4))
def test_a_part_inside_its_tolerance_could_be_itself(series, place, power, share):
    nominal = Decimal(series.figures[place % series]).scaleb(power)
    measured = nominal * (1 + share * series.tolerance / 100)
    assert nominal in could_be(measured, series)


@pytest.mark.parametrize("value", ["0", "-5", "Infinity", "NaN"])
def test_only_a_value_above_zero_has_a_preferred_one(value):
    for ask in (nearest, series_of, lambda number: could_be(number, Series.E12)):
        with pytest.raises(ValueError, match="above zero"):
            ask(Decimal(value))


@pytest.mark.parametrize("percent", ["-1", "50.1", "100"])
def test_a_tolerance_out_of_reason_is_refused(percent):
    with pytest.raises(ValueError, match="between 0 and 50"):
        could_be(Decimal(100), Series.E12, Decimal(percent))
