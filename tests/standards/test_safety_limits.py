"""The networks and limits of the safety check against printed tables, and what is refused as no reading."""

from __future__ import annotations

import cmath
import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook import safety
from shop.handbook.safety import (
    CurrentReading,
    HotReading,
    InsulationReading,
    Limits,
    Resistance,
    SafetyError,
    Voltage,
    networks,
)
from shop.handbook.safety.readings import Span
from shop.handbook.safety.verdicts import Finding, Verdict, gravest, worst
from tests.standards.safety_cases import (
    COMMON,
    EU_I,
    D,
    network,
)


class TestNetworks:
    def test_the_two_networks_are_not_to_be_mixed_up(self):
        # hot check: service manuals (looked up); IEC 60990 figure 4, perception and reaction (looked up)
        assert (D("1500"), D("0.15E-6")) == (networks.HOT_OHM, networks.HOT_FARAD)
        assert (D("1500"), D("0.22E-6")) == (networks.TOUCH_SERIES_OHM, networks.TOUCH_SERIES_FARAD)
        assert D("500") == networks.TOUCH_BODY_OHM

    @pytest.mark.parametrize(
        "hertz, ohm",
        # Computed for 1500 Ω parallel 0.15 µF, the network of the service manuals' hot check.
        [("50", "1496.3"), ("60", "1494.6"), ("400", "1305.7"), ("1000", "866.2"), ("10000", "105.8")],
    )
    def test_the_hot_check_network_has_the_tabled_impedance(self, hertz, ohm):
        found = safety.parallel_impedance(D(hertz), D(1500), D("0.15E-6"))
        assert round(found, 1) == D(ohm)

    @given(
        hertz=st.integers(0, 100_000),
        ohm=st.integers(1, 10_000_000),
        nanofarad=st.integers(1, 10_000),
    )
    def test_the_impedance_is_that_of_complex_arithmetic(self, hertz, ohm, nanofarad):
        # Independent way: complex admittance in floats (Python's cmath).
        admittance = 1 / ohm + 2j * cmath.pi * hertz * nanofarad * 1e-9
        found = safety.parallel_impedance(D(hertz), D(ohm), D(nanofarad) * D("1E-9"))
        assert float(found) == pytest.approx(abs(1 / admittance), rel=1e-9)

    def test_three_quarters_of_a_volt_at_60_hz_is_0_5018_milliampere(self):
        # Computed: the plain division by 1500 Ω says 0.5 mA, 0.36 % too little.
        found = safety.hot_leakage_current(D("0.75"), D(60))
        assert round(found * 1000, 4) == D("0.5018")
        assert round((found / (D("0.75") / 1500) - 1) * 100, 2) == D("0.36")

    @pytest.mark.parametrize(
        "volt, milliampere",
        # Limits printed in service manuals, as V / 1500 Ω (DC, where the capacitor takes nothing).
        # 1.125 V is the 0.75 mA of ANSI C101.1 for stationary units (from memory).
        [("0.75", "0.500"), ("0.35", "0.233"), ("0.15", "0.100"), ("1.125", "0.750")],
    )
    def test_the_printed_limits_are_the_tabled_currents(self, volt, milliampere):
        assert round(safety.hot_leakage_current(D(volt), D(0)) * 1000, 3) == D(milliampere)

    @pytest.mark.parametrize(
        "volt, milliampere",
        # IEC 60990 / IEC 60065 annex D as quoted in service manuals: 0.35 V is 0.7 mA, 1.0 V DC is 2.0 mA; 0.20 computed.
        [("0.35", "0.7"), ("0.20", "0.4"), ("1.0", "2.0"), ("35", "70")],
    )
    def test_the_touch_current_is_u2_over_500_ohm(self, volt, milliampere):
        assert safety.touch_current(D(volt)) * 1000 == D(milliampere)

    def test_0_7_milliampere_peak_is_0_495_rms_of_a_sine(self):
        # Computed: 0.7 / √2.
        assert round(safety.rms_of_sine(D("0.7")), 3) == D("0.495")
        assert round(safety.peak_of_sine(D("0.5")), 3) == D("0.707")  # IEC 62368-1 ES1 pair, from memory


class TestConductorLimit:
    @pytest.mark.parametrize(
        "metre, ohm",
        [
            # Table of an appliance tester's manual (VDE 0701 part 1): 5, 12.5, 20 … 50 m and "more than 50".
            ("5", "0.3"),
            ("12.5", "0.4"),
            ("20", "0.5"),
            ("27.5", "0.6"),
            ("35", "0.7"),
            ("42.5", "0.8"),
            ("50", "0.9"),
            ("50.1", "1.0"),
            # Computed from the rule "0.3 Ω up to 5 m, 0.1 Ω per further 7.5 m, at most 1.0 Ω".
            ("1.5", "0.3"),
            ("10", "0.4"),
            ("13", "0.5"),
            ("60", "1.0"),
            ("500", "1.0"),
        ],
    )
    def test_a_thin_cord_follows_the_table_by_length(self, metre, ohm):
        assert safety.conductor_limit(COMMON, D(metre)) == D(ohm)
        assert safety.conductor_limit(COMMON, D(metre), D("1.5")) == D(ohm)

    def test_an_unknown_cord_is_held_to_the_short_ones_limit(self):
        # Common practice, no source: what isn't known is taken as the stricter case.
        assert safety.conductor_limit(COMMON) == D("0.3")

    def test_a_thick_cord_is_calculated_and_never_below_a_tenth_of_an_ohm(self):
        # EN 50678 by a tester maker's note: above 1.5 mm² calculated, smallest limit 0.1 Ω. R = ρ l / A.
        assert safety.conductor_limit(COMMON, D(3), D("2.5")) == D("0.1")
        assert safety.conductor_limit(COMMON, None, D("2.5")) == D("0.1")
        assert safety.conductor_limit(COMMON, D(50), D("2.5")) == D("0.0178") * 50 / D("2.5") == D("0.356")
        assert safety.conductor_limit(COMMON, D(500), D("2.5")) == D("1.0")

    def test_a_makers_fixed_limit_wins(self):
        assert safety.conductor_limit(Limits(conductor_ohm=D("0.2")), D(60), D("2.5")) == D("0.2")

    @given(st.integers(0, 200), st.integers(0, 200))
    def test_a_longer_cord_never_has_a_smaller_limit(self, one, other):
        short, long = sorted((D(one), D(other)))
        assert safety.conductor_limit(COMMON, short) <= safety.conductor_limit(COMMON, long)


def test_a_models_own_current_limit_holds_up_to_the_heaters_threshold():
    own = Limits(conductor_current_ampere=D("2E-3"))
    assert safety.conductor_current_limit(own, D(3500)) == D("2E-3")


@pytest.mark.parametrize(
    "watt, milliampere",
    # Appliance tester's manual: 3.5 mA; above 3.5 kW of heating 1 mA per kW, at most 10 mA.
    [
        ("0", "3.5"),
        ("3500", "3.5"),
        ("3501", "3.501"),
        ("3600", "3.6"),
        ("6000", "6"),
        ("10000", "10"),
        ("12000", "10"),
    ],
)
def test_the_protective_conductor_current_grows_only_with_large_heaters(watt, milliampere):
    assert safety.conductor_current_limit(COMMON, D(watt)) * 1000 == D(milliampere)


class TestRefusals:
    @pytest.mark.parametrize("value", ["-0.1", "NaN", "Infinity", "-Infinity"])
    def test_what_no_meter_shows_is_refused(self, value):
        bad = D(value)
        spot = {"where": "case", "plug_reversed": False}
        for make in (
            lambda: Resistance(ohm=bad),
            lambda: Resistance(ohm=D(1), uncertainty=bad),
            lambda: Resistance(ohm=None, range_top=bad),
            lambda: Voltage(volt=bad),
            lambda: Voltage(volt=D(1), uncertainty=bad),
            lambda: HotReading(volt=bad, switch_on=True, **spot),
            lambda: HotReading(volt=D(1), switch_on=True, uncertainty=bad, **spot),
            lambda: CurrentReading(ampere=bad, **spot),
            lambda: CurrentReading(ampere=D(1), uncertainty=bad, **spot),
            lambda: InsulationReading(where="case", resistance=Resistance(ohm=D(1)), test_volt=bad),
        ):
            with pytest.raises(SafetyError, match="isn't negative"):
                make()

    def test_the_refusal_names_the_value(self):
        with pytest.raises(SafetyError, match=r"^“top of the range” must be a number that isn't negative\.$"):
            Resistance(ohm=None, range_top=D(-1))

    def test_an_rms_value_of_dc_is_refused(self):
        with pytest.raises(
            SafetyError, match=r"^A DC voltage has no RMS form of its own; give it as it was read\.$"
        ):
            network(dc=True, rms=True)

    @pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
    def test_a_limit_must_be_a_positive_number(self, value):
        for name in ("hot_volt", "cold_max_ohm", "conductor_ohm", "touch_current_ampere"):
            with pytest.raises(SafetyError, match=f"“{name}” must be a positive number"):
                Limits(**{name: D(value)})

    def test_limits_that_contradict_each_other_are_refused(self):
        with pytest.raises(SafetyError, match=r"^The cold check's upper limit is below its lower limit\.$"):
            Limits(cold_min_ohm=D("6E6"), cold_max_ohm=D("5.2E6"))
        with pytest.raises(
            SafetyError, match=r"^The protective conductor's largest limit is below its smallest\.$"
        ):
            Limits(conductor_max_ohm=D("0.05"))
        assert Limits(cold_min_ohm=D("5.2E6"), cold_max_ohm=D("5.2E6")).cold_max_ohm == D("5.2E6")
        assert Limits(conductor_max_ohm=D("0.1")).conductor_max_ohm == D("0.1")

    @pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
    def test_a_line_or_a_cord_that_cannot_be_is_refused(self, value):
        for name, said in (
            ("line_volt", "line voltage"),
            ("line_hertz", "line frequency"),
            ("cord_metre", "cord length"),
            ("cord_mm2", "cord cross-section"),
        ):
            with pytest.raises(SafetyError, match=rf"^The {said} must be a positive number\.$"):
                replace(EU_I, **{name: D(value)})

    @pytest.mark.parametrize("value", ["-1", "NaN", "Infinity"])
    def test_a_heater_that_cannot_be_is_refused(self, value):
        with pytest.raises(SafetyError, match=r"^The heating power must be a number that isn't negative\.$"):
            replace(EU_I, heating_watt=D(value))


def test_a_short_cord_is_a_cord():
    # A cord of 0.6 m and 0.5 mm² is quite usual: only zero and less are refused.
    assert replace(EU_I, cord_metre=D("0.6"), cord_mm2=D("0.5")).cord_metre == D("0.6")
    assert replace(EU_I, heating_watt=D("0.5")).heating_watt == D("0.5")


def test_a_reading_over_a_known_range_says_how_far_the_meter_reads():
    assert Resistance(ohm=None, range_top=D("40E6")).shown == "over range (above 40 MΩ)"
    assert Resistance(ohm=None).shown == "over range"
    assert Resistance(ohm=D("0.29"), uncertainty=D("0.01")).shown == "0.29 Ω ± 0.01 Ω"


def test_a_span_never_reaches_below_zero():
    assert Resistance(ohm=D("0.01"), uncertainty=D("0.05")).span == Span(D(0), D("0.06"))


def test_every_default_limit_is_the_common_value():
    # One list to read beside the sources named in shop/handbook/safety/limits.py.
    assert Limits() == Limits(
        hot_volt=D("0.75"),
        hot_inclusive=True,
        hot_ohm=D(1500),
        hot_farad=D("0.15E-6"),
        cold_min_ohm=D(1_000_000),
        cold_min_inclusive=True,
        cold_max_ohm=None,
        cold_infinite=False,
        infinite_from_ohm=D(100_000_000),
        open_circuit_peak_volt=D(35),
        open_circuit_dc_volt=D(60),
        u1_peak_volt=D(35),
        u2_peak_volt=D("0.35"),
        u1_dc_volt=D(1),
        body_ohm=D(500),
        conductor_ohm=None,
        conductor_base_ohm=D("0.3"),
        conductor_base_metre=D(5),
        conductor_step_ohm=D("0.1"),
        conductor_step_metre=D("7.5"),
        conductor_min_ohm=D("0.1"),
        conductor_max_ohm=D(1),
        conductor_table_mm2=D("1.5"),
        conductor_resistivity=D("0.0178"),
        insulation_class_i_ohm=D(1_000_000),
        insulation_class_ii_ohm=D(2_000_000),
        insulation_class_iii_ohm=D(250_000),
        insulation_heating_ohm=D(300_000),
        insulation_separation_ohm=D(2_000_000),
        insulation_test_volt=D(500),
        insulation_reduced_test_volt=D(250),
        insulation_by_current=False,
        conductor_current_ampere=D("0.0035"),
        heating_from_watt=D(3500),
        heating_ampere_per_kilowatt=D("0.001"),
        heating_max_ampere=D("0.01"),
        touch_current_ampere=D("0.0005"),
    )


class TestWhichDecides:
    # One failure fails a unit, one open question leaves it open: common practice, no source.
    ORDER = (Verdict.PASSED, Verdict.NOT_DONE, Verdict.TOO_CLOSE, Verdict.FAILED)

    @pytest.mark.parametrize("milder, graver", list(itertools.combinations(ORDER, 2)))
    def test_the_graver_of_two_verdicts_decides_however_they_stand(self, milder, graver):
        assert gravest((milder, graver)) is gravest((graver, milder)) is graver
        # even where the milder one lies further from its limit
        bad, worse = Finding(graver, D("1"), "bad"), Finding(milder, D("9"), "worse")
        assert worst((bad, worse)) is worst((worse, bad)) is bad
