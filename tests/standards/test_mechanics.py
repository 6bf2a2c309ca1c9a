"""Belts, drives and screws against shapely, pint, and the formulas of the thread standards; the source beside each."""

from __future__ import annotations

import math
from decimal import Decimal

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPoint, Point, unary_union

from shop.handbook.mechanics import belts, screws
from shop.handbook.refusal import Refused

D = Decimal


@pytest.mark.parametrize(
    "first,second,centers", [(8, 80, 120), (30, 30, 200), (5, 60, 33), (2.2, 74.5, 90), (100, 20, 300)]
)
def test_the_way_around_two_pulleys_is_the_hull_that_shapely_draws(first, second, centers) -> None:
    circles = unary_union([Point(0, 0).buffer(first / 2, 4096), Point(centers, 0).buffer(second / 2, 4096)])
    assert float(belts.path(D(repr(first)), D(repr(second)), D(centers))) == pytest.approx(
        circles.convex_hull.length, rel=1e-6
    )


@given(st.floats(2, 200), st.floats(2, 200), st.floats(1.05, 6))
def test_a_path_is_never_shorter_than_a_string_of_points_on_it(first, second, factor) -> None:
    centers = (first + second) / 2 * factor
    points = [
        (r * math.cos(a / 50) + x, r * math.sin(a / 50))
        for x, r in ((0, first / 2), (centers, second / 2))
        for a in range(315)
    ]
    hull = MultiPoint(points).convex_hull.length
    assert float(belts.path(*(D(repr(round(one, 6))) for one in (first, second, centers)))) >= hull - 1e-3


def test_pulleys_that_touch_have_no_belt() -> None:
    with pytest.raises(Refused, match="would touch"):
        belts.path(D(80), D(80), D(80))


# shares: common practice, no source; the arithmetic by hand
def test_a_relaxed_belt_is_shorter_than_its_path() -> None:
    square = belts.belt_for(D(400), belts.Belt.SQUARE)
    assert (square.least_mm, square.most_mm) == (372, 380)
    assert float(square.most_diameter_mm) == pytest.approx(380 / math.pi)
    flat = belts.belt_for(D(400), belts.Belt.FLAT)
    assert (flat.least_mm, flat.most_mm) == (380, 388)


def test_a_thicker_belt_runs_faster() -> None:
    # 8 and 80 mm, 0.6 to 1.0 mm: (9/81)/(8.6/80.6) = 1.0413 (by hand)
    assert float(belts.speed_change(D(8), D(80), D("0.6"), D(1))) == pytest.approx(4.134, abs=0.001)


def test_a_diameter_puts_a_speed_right() -> None:
    right = belts.diameter_for(D("9.52"), D("-2.5"), drives=True)
    assert float(right * D("0.975")) == pytest.approx(
        9.52
    )  # turning as before, it runs its rim as much faster
    assert belts.diameter_for(D(100), D(2), drives=False) == 102


def test_synchronous_motors_and_rims() -> None:
    # 4 poles: 1500 rpm at 50 Hz, 1800 at 60 (every motor's plate); 24 poles at 50 Hz are 250 rpm
    assert (
        belts.synchronous_rpm(D(50), 4),
        belts.synchronous_rpm(D(60), 4),
        belts.synchronous_rpm(D(50), 24),
    ) == (1500, 1800, 250)
    assert float(belts.rim_drive_rpm(D(1800), D("5.1852"), D(280))) == pytest.approx(33.333, abs=1e-3)
    with pytest.raises(Refused, match="even number"):
        belts.synchronous_rpm(D(50), 5)


def test_a_dial_cord_by_its_drum() -> None:
    found = belts.dial_cord(D(50), D(180), D(620), D(3))
    assert float(found.travel_mm) == pytest.approx(Point(0, 0).buffer(25, 4096).length / 2, rel=1e-6)
    assert float(found.cord_mm) == pytest.approx(620 + 3 * math.pi * 50 + 100)


def test_torque_by_pint() -> None:
    units = pint.UnitRegistry()
    other = (20 * units("gram_force") * 25 * units("mm")).to("mN*m").magnitude
    assert float(belts.torque_mnm(D(20), D(25))) == pytest.approx(other)


@pytest.mark.parametrize("number", [0, 2, 3, 4, 5, 6, 7, 8, 10])
def test_british_threads_follow_their_formula(number) -> None:
    # BS 93: pitch 0.9ⁿ, diameter 6 · pitch^1.2, both rounded to two figures (from memory)
    thread = next(one for one in screws.THREADS if one.name == f"{number} BA")
    assert float(thread.pitch_mm) == pytest.approx(0.9**number, abs=0.006)
    assert float(thread.diameter_mm) == pytest.approx(6 * (0.9**number) ** 1.2, abs=0.06)


@pytest.mark.parametrize(
    "name,inches,turns",
    [("#4-40 UNC", 0.112, 40), ("#6-32 UNC", 0.138, 32), ("#10-32 UNF", 0.190, 32), ("1/4-20 UNC", 0.25, 20)],
)
def test_unified_threads_have_their_inches(name, inches, turns) -> None:
    # diameters as every table of ASME B1.1 prints them (from memory), by pint
    units = pint.UnitRegistry()
    thread = next(one for one in screws.THREADS if one.name == name)
    assert float(thread.diameter_mm) == pytest.approx((inches * units.inch).to("mm").magnitude)
    assert float(thread.per_inch) == pytest.approx(turns)


@pytest.mark.parametrize(
    "diameter,pitch,names",
    [
        ("2.93", "0.6", {"M3 × 0.6"}),
        ("2.93", "0.5", {"M3 × 0.5"}),
        ("3.93", "0.75", {"M4 × 0.75"}),
        ("3.93", "0.7", {"M4 × 0.7", "3 BA"}),
        ("2.55", "0.45", {"M2.6 × 0.45"}),
        ("6.25", "1.27", {"1/4-20 UNC", "1/4 BSW"}),
        ("4.9", "0.9", {"M5 × 0.9"}),
        ("1.66", "0.35", {"M1.7 × 0.35", "10 BA"}),
        ("3.45", "0.794", {"#6-32 UNC"}),
        # BS 84 and ASME B1.1, from memory: 3/16 BSW and #10-24 UNC have 24 turns, 3/8 BSW and 3/8 UNC 16
        ("4.7", "1.058", {"3/16 BSW", "#10-24 UNC"}),
        ("9.45", "1.5875", {"3/8-16 UNC", "3/8 BSW"}),
        ("7.85", "1.411", {"5/16-18 UNC"}),
    ],
)
def test_a_measured_screw_has_all_its_candidates(diameter, pitch, names) -> None:
    found = {one.name for one in screws.threads_like(D(diameter), D(pitch))}
    assert names <= found
    assert not any(
        abs(float(one.pitch_mm) - float(pitch)) > 0.0301 for one in screws.threads_like(D(diameter), D(pitch))
    )


def test_a_pitch_of_no_thread_has_no_name() -> None:
    assert screws.threads_like(D("3.1"), D("1.5")) == ()
