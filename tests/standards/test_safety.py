"""Safety after repair against the values printed in service manuals, testers' manuals and the standards they quote."""

from __future__ import annotations

import cmath
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook import safety
from shop.handbook.safety import (
    ColdReading,
    ConductorReading,
    CurrentReading,
    HotReading,
    Inspection,
    InsulationReading,
    Limits,
    Measurements,
    NetworkReading,
    Outcome,
    Profile,
    ProtectionClass,
    Resistance,
    SafetyError,
    SafetyTest,
    UnitUnderTest,
    Verdict,
    Voltage,
    assess,
)
from shop.handbook.safety.readings import Span
from shop.handbook.safety.verdicts import at_least, at_most

D = Decimal
US = UnitUnderTest(protection_class=ProtectionClass.II, line_volt=D(120), line_hertz=D(60))
EU_I = UnitUnderTest(protection_class=ProtectionClass.I, line_volt=D(230), line_hertz=D(50))
EU_II = replace(EU_I, protection_class=ProtectionClass.II)
EU_III = replace(EU_I, protection_class=ProtectionClass.III)
COMMON = Limits()
SOUND = Inspection(sound=True)
POSITIONS = [(False, True), (False, False), (True, True), (True, False)]


def hot(volt: str, where: str = "headphone socket", **more) -> tuple[HotReading, ...]:
    return tuple(
        HotReading(where=where, volt=D(volt), plug_reversed=plug, switch_on=on, **more)
        for plug, on in POSITIONS
    )


def cold(ohm: str | None, **more) -> tuple[ColdReading, ...]:
    return (
        ColdReading(
            where="chassis screw", resistance=Resistance(ohm=None if ohm is None else D(ohm)), **more
        ),
    )


def conductor(ohm: str | None, **more) -> tuple[ConductorReading, ...]:
    reading = Resistance(ohm=None if ohm is None else D(ohm), **more)
    return (ConductorReading(where="chassis", resistance=reading),)


def insulation(
    ohm: str | None, volt: str = "500", *, separation: bool = False
) -> tuple[InsulationReading, ...]:
    reading = Resistance(ohm=None if ohm is None else D(ohm))
    return (
        InsulationReading(
            where="speaker terminal", resistance=reading, test_volt=D(volt), separation=separation
        ),
    )


def current(ampere: str, **more) -> tuple[CurrentReading, ...]:
    return tuple(
        CurrentReading(where="tuner knob", ampere=D(ampere), plug_reversed=plug, **more)
        for plug in (False, True)
    )


def network(**more) -> tuple[NetworkReading, ...]:
    return tuple(
        NetworkReading(where="antenna terminal", plug_reversed=plug, switch_on=on, **more)
        for plug, on in POSITIONS
    )


def verdict_on(
    test: SafetyTest, measurements: Measurements, unit: UnitUnderTest = US, limits: Limits = COMMON
) -> Verdict:
    return next(judged for judged in assess(measurements, limits, unit).tests if judged.test is test).verdict


def sentence_on(
    test: SafetyTest, measurements: Measurements, unit: UnitUnderTest = US, limits: Limits = COMMON
) -> str:
    return next(judged for judged in assess(measurements, limits, unit).tests if judged.test is test).sentence


US_GOOD = Measurements(visual=SOUND, cold=cold("2.2E6"), hot=hot("0.31"))
EU_I_GOOD = Measurements(
    visual=SOUND,
    conductor=conductor("0.18"),
    insulation=insulation("20E6"),
    conductor_current=current("0.4E-3"),
    touch_current=current("0.1E-3"),
)
EU_II_GOOD = Measurements(visual=SOUND, insulation=insulation("20E6"), touch_current=current("0.1E-3"))


class TestNetworks:
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
        [("0.75", "0.500"), ("0.35", "0.233"), ("0.15", "0.100")],
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


@pytest.mark.parametrize(
    "watt, milliampere",
    # Appliance tester's manual: 3.5 mA; above 3.5 kW of heating 1 mA per kW, at most 10 mA.
    [("0", "3.5"), ("3500", "3.5"), ("3600", "3.6"), ("6000", "6"), ("10000", "10"), ("12000", "10")],
)
def test_the_protective_conductor_current_grows_only_with_large_heaters(watt, milliampere):
    assert safety.conductor_current_limit(COMMON, D(watt)) * 1000 == D(milliampere)


class TestWhichTests:
    @pytest.mark.parametrize(
        "protection_class, expected",
        [
            # Appliance tester's manual, tests by class (VDE 0701-0702:2008, continued by EN 50678).
            ("I", "visual, protective conductor, insulation, protective-conductor current, touch current"),
            ("II", "visual, insulation, touch current"),
            ("III", "visual, insulation"),
        ],
    )
    def test_the_european_tests_go_by_protection_class(self, protection_class, expected):
        found = safety.tests_required(ProtectionClass(protection_class), mains=True, line_volt=D(230))
        assert ", ".join(found).replace("visual inspection", "visual") == expected

    @pytest.mark.parametrize(
        "protection_class, expected",
        [
            # Hot and cold check of the service manuals; the earth pin's reading for three-wire sets, and the hot check
            # alone for a unit on its own safety supply: common practice, no source.
            ("I", "visual, protective conductor, cold check, hot leakage"),
            ("II", "visual, cold check, hot leakage"),
            ("III", "visual, hot leakage"),
        ],
    )
    def test_the_american_tests_are_the_cold_and_hot_checks(self, protection_class, expected):
        found = safety.tests_required(ProtectionClass(protection_class), mains=True, line_volt=D(120))
        assert ", ".join(found).replace("visual inspection", "visual") == expected

    def test_the_network_style_puts_iec_60990_in_place_of_the_hot_check(self):
        # Service manuals of 230 V sets quoting IEC 60065.
        found = safety.tests_required(
            ProtectionClass.II, mains=True, line_volt=D(230), profile=Profile.NETWORK
        )
        assert found == (SafetyTest.VISUAL, SafetyTest.COLD, SafetyTest.NETWORK)

    @pytest.mark.parametrize(
        "volt, profile",
        # Nominal line voltages of the world, IEC 60038 and national practice (from memory).
        [
            ("100", Profile.LEAKAGE),
            ("120", Profile.LEAKAGE),
            ("127", Profile.LEAKAGE),
            ("130", Profile.LEAKAGE),
            ("131", Profile.EN_50678),
            ("220", Profile.EN_50678),
            ("240", Profile.EN_50678),
        ],
    )
    def test_the_line_voltage_suggests_the_style(self, volt, profile):
        assert safety.profile_for(D(volt)) is profile

    def test_a_named_style_wins_over_the_line_voltage(self):
        found = safety.tests_required(
            ProtectionClass.II, mains=True, line_volt=D(120), profile=Profile.EN_50678
        )
        assert SafetyTest.INSULATION in found
        assert SafetyTest.HOT not in found

    @pytest.mark.parametrize("protection_class", [ProtectionClass.II, ProtectionClass.III])
    @pytest.mark.parametrize("profile", [None, *Profile])
    def test_a_battery_unit_is_only_looked_at(self, protection_class, profile):
        found = safety.tests_required(protection_class, mains=False, line_volt=D(230), profile=profile)
        assert found == (SafetyTest.VISUAL,)

    def test_a_class_one_unit_is_a_mains_unit_whatever_was_ticked(self):
        as_ticked = safety.tests_required(ProtectionClass.I, mains=False, line_volt=D(230))
        assert as_ticked == safety.tests_required(ProtectionClass.I, mains=True, line_volt=D(230))

    @given(
        st.sampled_from(ProtectionClass),
        st.booleans(),
        st.integers(90, 260),
        st.none() | st.sampled_from(Profile),
        st.booleans(),
        st.booleans(),
    )
    def test_the_visual_inspection_is_always_owed_and_comes_first(
        self, protection_class, mains, line_volt, profile, unearthed, by_current
    ):
        found = safety.tests_required(
            protection_class,
            mains=mains,
            line_volt=D(line_volt),
            profile=profile,
            unearthed_metal=unearthed,
            insulation_by_current=by_current,
        )
        assert found[0] is SafetyTest.VISUAL
        assert (SafetyTest.CONDUCTOR in found) == (protection_class is ProtectionClass.I)

    def test_a_unit_whose_metal_is_all_earthed_owes_no_touch_current(self):
        # Appliance tester's manual: class I touch current on "conductive components without PE connection".
        found = safety.tests_required(ProtectionClass.I, mains=True, line_volt=D(230), unearthed_metal=False)
        assert SafetyTest.TOUCH_CURRENT not in found
        assert SafetyTest.TOUCH_CURRENT in safety.tests_required(
            ProtectionClass.II, mains=True, line_volt=D(230), unearthed_metal=False
        )

    def test_currents_stand_in_for_the_insulation_test_where_the_maker_warns_of_it(self):
        # Appliance tester's manual; British foreword to EN 50699: 500 V can damage equipment.
        for protection_class in (ProtectionClass.I, ProtectionClass.II):
            found = safety.tests_required(
                protection_class, mains=True, line_volt=D(230), insulation_by_current=True
            )
            assert SafetyTest.INSULATION not in found
            assert SafetyTest.TOUCH_CURRENT in found
        assert SafetyTest.INSULATION in safety.tests_required(
            ProtectionClass.III, mains=True, line_volt=D(230), insulation_by_current=True
        )


class TestHotCheck:
    @pytest.mark.parametrize(
        "volt, limits, verdict",
        [
            # "The potential at any point should not exceed 0.75 volts RMS": 0.75 itself passes (service manuals).
            ("0.75", COMMON, Verdict.PASSED),
            ("0.7501", COMMON, Verdict.FAILED),
            ("0", COMMON, Verdict.PASSED),
            # "A reading of 0.35 volt RMS or more is excessive": 0.35 itself fails (a 230 V service manual).
            ("0.34", Limits(hot_volt=D("0.35"), hot_inclusive=False), Verdict.PASSED),
            ("0.35", Limits(hot_volt=D("0.35"), hot_inclusive=False), Verdict.FAILED),
            # "Should not exceed 0.15 volts RMS" (a service manual).
            ("0.15", Limits(hot_volt=D("0.15")), Verdict.PASSED),
            ("0.16", Limits(hot_volt=D("0.15")), Verdict.FAILED),
        ],
    )
    def test_a_reading_is_held_to_the_models_own_limit(self, volt, limits, verdict):
        measured = replace(US_GOOD, hot=hot(volt))
        assert verdict_on(SafetyTest.HOT, measured, limits=limits) is verdict

    def test_the_printed_limits_are_offered_as_data(self):
        offered = {limit.volt: limit.inclusive for limit in safety.PRINTED_HOT_LIMITS}
        assert offered == {D("0.75"): True, D("0.35"): False, D("0.15"): True}
        assert all(limit.source for limit in safety.PRINTED_HOT_LIMITS)

    @pytest.mark.parametrize("left_out", range(4))
    def test_all_four_positions_are_needed(self, left_out):
        # "Reverse the AC plug and repeat"; "power switch in both the on and off positions" (service manuals).
        some = tuple(reading for index, reading in enumerate(hot("0.1")) if index != left_out)
        assert verdict_on(SafetyTest.HOT, replace(US_GOOD, hot=some)) is Verdict.NOT_DONE

    def test_the_missing_position_is_named(self):
        said = sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.1")[:3]))
        assert said == ("Hot leakage: not done; still to read: headphone socket (plug reversed, switch off).")

    def test_every_exposed_part_is_read_in_every_position(self):
        half = hot("0.1") + hot("0.1", where="speaker terminal")[:2]
        said = sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=half))
        assert "speaker terminal (plug reversed, switch on)" in said
        assert "headphone" not in said
        both = hot("0.1") + hot("0.1", where="speaker terminal")
        assert verdict_on(SafetyTest.HOT, replace(US_GOOD, hot=both)) is Verdict.PASSED

    def test_a_plug_that_fits_one_way_needs_two_positions(self):
        polarised = replace(US, reversible_plug=False)
        measured = replace(US_GOOD, hot=hot("0.1")[:2])
        assert verdict_on(SafetyTest.HOT, measured, polarised) is Verdict.PASSED
        assert (
            verdict_on(SafetyTest.HOT, replace(measured, hot=hot("0.1")[:1]), polarised) is Verdict.NOT_DONE
        )

    def test_one_bad_position_fails_the_test_even_before_the_others_are_read(self):
        assert verdict_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.8")[3:])) is Verdict.FAILED

    def test_the_sentence_gives_the_worst_reading_its_current_and_its_place(self):
        readings = (*hot("0.2")[:3], replace(hot("0.6")[3], where="headphone socket"))
        said = sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=readings))
        # Current computed through 1500 Ω ∥ 0.15 µF at 60 Hz: 0.6 V / 1494.6 Ω.
        assert said == (
            "Hot leakage: passed in 4 readings, the worst 0.6 V (0.401 mA) at headphone socket, plug reversed, "
            "switch off, at most 0.75 V allowed."
        )

    def test_the_sentence_says_less_than_where_the_limit_itself_fails(self):
        limits = Limits(hot_volt=D("0.35"), hot_inclusive=False)
        said = sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.35")[:1]), limits=limits)
        assert said == (
            "Hot leakage: failed: 0.35 V (0.234 mA) at headphone socket, plug the first way, switch on, "
            "less than 0.35 V allowed."
        )

    def test_the_current_is_worked_out_at_the_shops_line_frequency_and_the_models_network(self):
        at_50 = replace(US, line_hertz=D(50))
        assert "(0.501 mA)" in sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.75")), at_50)
        plain = Limits(hot_ohm=D(2000), hot_farad=D("1E-12"))
        assert "(0.375 mA)" in sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.75")), limits=plain)

    def test_no_reading_is_not_a_pass(self):
        assert verdict_on(SafetyTest.HOT, replace(US_GOOD, hot=())) is Verdict.NOT_DONE


class TestColdCheck:
    @pytest.mark.parametrize(
        "ohm, limits, verdict",
        [
            # "Between 1 MΩ and 5.2 MΩ": both ends matter (three service manuals).
            ("1.0E6", COMMON, Verdict.PASSED),
            ("5.2E6", COMMON, Verdict.PASSED),
            ("0.99E6", COMMON, Verdict.FAILED),
            ("5.21E6", COMMON, Verdict.FAILED),
            (None, COMMON, Verdict.FAILED),
            # "The resistance value must be more than 5 MΩ" (a service manual).
            (
                "5E6",
                Limits(cold_min_ohm=D("5E6"), cold_min_inclusive=False, cold_max_ohm=None),
                Verdict.FAILED,
            ),
            (
                "5.1E6",
                Limits(cold_min_ohm=D("5E6"), cold_min_inclusive=False, cold_max_ohm=None),
                Verdict.PASSED,
            ),
            (
                None,
                Limits(cold_min_ohm=D("5E6"), cold_min_inclusive=False, cold_max_ohm=None),
                Verdict.PASSED,
            ),
            # "Between 4 MΩ and 20 MΩ" (service manuals of television sets).
            ("3.9E6", Limits(cold_min_ohm=D("4E6"), cold_max_ohm=D("20E6")), Verdict.FAILED),
            ("4E6", Limits(cold_min_ohm=D("4E6"), cold_max_ohm=D("20E6")), Verdict.PASSED),
            ("20E6", Limits(cold_min_ohm=D("4E6"), cold_max_ohm=D("20E6")), Verdict.PASSED),
            # At least 100 MΩ (two service manuals).
            ("99E6", Limits(cold_min_ohm=D("100E6"), cold_max_ohm=None), Verdict.FAILED),
            ("100E6", Limits(cold_min_ohm=D("100E6"), cold_max_ohm=None), Verdict.PASSED),
            # At least 240 kΩ in older two-blade sets (from memory).
            ("0.24E6", Limits(cold_min_ohm=D("0.24E6"), cold_max_ohm=None), Verdict.PASSED),
            ("0.239E6", Limits(cold_min_ohm=D("0.24E6"), cold_max_ohm=None), Verdict.FAILED),
        ],
    )
    def test_metal_with_a_path_to_chassis_is_held_to_both_limits(self, ohm, limits, verdict):
        assert verdict_on(SafetyTest.COLD, replace(US_GOOD, cold=cold(ohm)), limits=limits) is verdict

    @pytest.mark.parametrize(
        "ohm, verdict",
        # "When the exposed metal does not have a return path to the chassis, the reading must be infinite" (manuals).
        # Where the meter reads that far, 100 MΩ counts as infinite: common practice, no source.
        [
            (None, Verdict.PASSED),
            ("2.2E6", Verdict.FAILED),
            ("99E6", Verdict.FAILED),
            ("100E6", Verdict.PASSED),
        ],
    )
    def test_metal_without_a_path_must_read_infinite(self, ohm, verdict):
        measured = replace(US_GOOD, cold=cold(ohm, returns_to_chassis=False))
        assert verdict_on(SafetyTest.COLD, measured) is verdict

    def test_every_printed_range_is_offered_as_data(self):
        offered = [(p.min_ohm, p.min_inclusive, p.max_ohm) for p in safety.PRINTED_COLD_LIMITS]
        assert offered == [
            (D("1.0E6"), True, D("5.2E6")),
            (D("5E6"), False, None),
            (D("4E6"), True, D("20E6")),
            (D("100E6"), True, None),
            (D("0.24E6"), True, None),
        ]
        assert all(limit.source for limit in safety.PRINTED_COLD_LIMITS)

    def test_the_switch_must_be_on(self):
        # "Turn on the receiver's power switch" (a service manual).
        measured = replace(US_GOOD, cold=cold("2.2E6", switch_on=False))
        assert sentence_on(SafetyTest.COLD, measured) == (
            "Cold check: not done; still to read: chassis screw with the switch on."
        )
        both = (*cold("2.2E6", switch_on=False), *cold("2.3E6"))
        assert verdict_on(SafetyTest.COLD, replace(US_GOOD, cold=both)) is Verdict.PASSED

    def test_over_range_on_a_short_range_leaves_the_upper_limit_open(self):
        # Arithmetic of what "over range" proves: a meter that ends at 2 MΩ shows the same for 3 MΩ and for a break.
        def read(top: str) -> Verdict:
            part = ColdReading(where="screw", resistance=Resistance(ohm=None, range_top=D(top)))
            return verdict_on(SafetyTest.COLD, replace(US_GOOD, cold=(part,)))

        assert read("2E6") is Verdict.TOO_CLOSE
        assert read("20E6") is Verdict.FAILED

    def test_over_range_on_a_short_range_does_not_prove_infinite(self):
        def read(top: str) -> Verdict:
            resistance = Resistance(ohm=None, range_top=D(top))
            part = ColdReading(where="screw", resistance=resistance, returns_to_chassis=False)
            return verdict_on(SafetyTest.COLD, replace(US_GOOD, cold=(part,)))

        assert read("40E6") is Verdict.TOO_CLOSE
        assert read("100E6") is Verdict.PASSED

    def test_the_sentence_says_what_the_reading_must_be(self):
        assert sentence_on(SafetyTest.COLD, replace(US_GOOD, cold=cold("0.9E6"))) == (
            "Cold check: failed: 900 kΩ at chassis screw, must be at least 1 MΩ and at most 5.2 MΩ."
        )
        limits = Limits(cold_min_ohm=D("5E6"), cold_min_inclusive=False, cold_max_ohm=None)
        assert sentence_on(SafetyTest.COLD, replace(US_GOOD, cold=cold(None)), limits=limits) == (
            "Cold check: passed: over range at chassis screw, must be more than 5 MΩ."
        )
        floating = replace(US_GOOD, cold=cold("2E6", returns_to_chassis=False))
        assert sentence_on(SafetyTest.COLD, floating) == (
            "Cold check: failed: 2 MΩ at chassis screw, must be infinite as it has no path to the chassis."
        )


class TestTouchNetwork:
    UNIT = replace(EU_II, profile=Profile.NETWORK)

    def verdict(self, limits: Limits = COMMON, **voltages) -> Verdict:
        measured = Measurements(visual=SOUND, cold=cold("2.2E6"), network=network(**voltages))
        return verdict_on(SafetyTest.NETWORK, measured, self.UNIT, limits)

    @pytest.mark.parametrize(
        "u1, u2, verdict",
        [
            # IEC 60065 as quoted in service manuals: U1 = 35 V peak and U2 = 0.35 V peak.
            ("0.3", "0.2", Verdict.PASSED),
            ("35", "0.35", Verdict.PASSED),
            ("35", "0.351", Verdict.FAILED),
            ("35.1", "0.35", Verdict.FAILED),
        ],
    )
    def test_ac_is_held_to_both_voltages_at_their_peaks(self, u1, u2, verdict):
        assert self.verdict(u1=Voltage(volt=D(u1)), u2=Voltage(volt=D(u2))) is verdict

    @pytest.mark.parametrize(
        "u2, verdict",
        # 0.35 V peak of a sine is 0.2475 V RMS (computed): an RMS meter must not be read as a peak meter.
        [("0.247", Verdict.PASSED), ("0.248", Verdict.FAILED), ("0.30", Verdict.FAILED)],
    )
    def test_an_rms_reading_is_turned_into_its_peak(self, u2, verdict):
        assert self.verdict(rms=True, u1=Voltage(volt=D("0.2")), u2=Voltage(volt=D(u2))) is verdict

    def test_the_uncertainty_of_an_rms_reading_is_turned_into_peak_too(self):
        near = Voltage(volt=D("0.24"), uncertainty=D("0.0076"))
        assert self.verdict(rms=True, u1=Voltage(volt=D("0.2")), u2=near) is Verdict.TOO_CLOSE

    @pytest.mark.parametrize(
        "dc, open_circuit, verdict",
        [
            # IEC 60065: not hazardous live at 35 V peak AC or 60 V DC open circuit; then no current is asked for.
            (False, "35", Verdict.PASSED),
            (False, "35.1", Verdict.NOT_DONE),
            (True, "60", Verdict.PASSED),
            (True, "60.1", Verdict.NOT_DONE),
        ],
    )
    def test_a_low_open_circuit_voltage_is_enough(self, dc, open_circuit, verdict):
        readings = network(dc=dc, open_circuit=Voltage(volt=D(open_circuit)))
        if dc:
            readings += network(open_circuit=Voltage(volt=D(3)))
        measured = Measurements(visual=SOUND, cold=cold("2.2E6"), network=readings)
        assert verdict_on(SafetyTest.NETWORK, measured, self.UNIT) is verdict

    def test_an_rms_open_circuit_voltage_is_turned_into_its_peak(self):
        # 35 V peak is 24.7 V RMS (computed).
        assert self.verdict(rms=True, open_circuit=Voltage(volt=D("24.7"))) is Verdict.PASSED
        assert self.verdict(rms=True, open_circuit=Voltage(volt=D(30))) is Verdict.NOT_DONE

    @pytest.mark.parametrize("u1, verdict", [("1.0", Verdict.PASSED), ("1.01", Verdict.FAILED)])
    def test_dc_is_held_to_u1_alone(self, u1, verdict):
        # IEC 60065 as quoted in service manuals: U1 = 1.0 V DC, 2.0 mA.
        readings = network(open_circuit=Voltage(volt=D(3))) + network(dc=True, u1=Voltage(volt=D(u1)))
        measured = Measurements(visual=SOUND, cold=cold("2.2E6"), network=readings)
        assert verdict_on(SafetyTest.NETWORK, measured, self.UNIT) is verdict

    def test_dc_alone_leaves_the_ac_owed(self):
        assert self.verdict(dc=True, u1=Voltage(volt=D("0.1"))) is Verdict.NOT_DONE

    def test_a_voltage_that_was_not_read_leaves_the_test_open(self):
        assert self.verdict(u2=Voltage(volt=D("0.1"))) is Verdict.NOT_DONE
        assert self.verdict(u1=Voltage(volt=D("0.1"))) is Verdict.NOT_DONE
        assert self.verdict(u2=Voltage(volt=D("0.5"))) is Verdict.FAILED

    def test_all_four_positions_are_needed(self):
        good = network(u1=Voltage(volt=D("0.1")), u2=Voltage(volt=D("0.1")))
        measured = Measurements(visual=SOUND, cold=cold("2.2E6"), network=good[:3])
        assert sentence_on(SafetyTest.NETWORK, measured, self.UNIT) == (
            "Touch-current network: not done; still to read: antenna terminal (plug reversed, switch off) AC."
        )
        with_dc = good + network(dc=True, u1=Voltage(volt=D("0.1")))[:3]
        assert sentence_on(SafetyTest.NETWORK, replace(measured, network=with_dc), self.UNIT) == (
            "Touch-current network: not done; still to read: antenna terminal (plug reversed, switch off) DC."
        )

    def test_the_sentence_gives_the_touch_current(self):
        readings = network(u1=Voltage(volt=D("0.5")), u2=Voltage(volt=D("0.20")))[:1]
        said = sentence_on(SafetyTest.NETWORK, Measurements(network=readings), replace(self.UNIT, mains=True))
        assert "not done; still to read" in said
        bad = network(u1=Voltage(volt=D("0.5")), u2=Voltage(volt=D("0.36")))
        # 0.36 V / 500 Ω = 0.72 mA.
        assert sentence_on(SafetyTest.NETWORK, Measurements(network=bad), self.UNIT) == (
            "Touch-current network: failed in 4 readings, the worst U2 0.36 V peak at antenna terminal, "
            "plug the first way, switch on, at most 0.35 V peak allowed (touch current 0.720 mA peak)."
        )
        sine = network(rms=True, u1=Voltage(volt=D("0.5")), u2=Voltage(volt=D("0.30")))
        # 0.30 V RMS × √2 / 500 Ω = 0.849 mA.
        said = sentence_on(SafetyTest.NETWORK, Measurements(network=sine), self.UNIT)
        assert "U2 0.3 V RMS taken as a sine" in said
        assert "(touch current 0.849 mA peak)" in said
        narrow = Limits(body_ohm=D(1000))
        assert "(touch current 0.424 mA peak)" in sentence_on(
            SafetyTest.NETWORK, Measurements(network=sine), self.UNIT, narrow
        )

    def test_a_model_may_have_its_own_limits(self):
        own = Limits(
            open_circuit_peak_volt=D(20),
            open_circuit_dc_volt=D(30),
            u1_peak_volt=D(20),
            u2_peak_volt=D("0.2"),
            u1_dc_volt=D("0.5"),
        )
        assert self.verdict(own, open_circuit=Voltage(volt=D(21))) is Verdict.NOT_DONE
        assert self.verdict(own, u1=Voltage(volt=D(1)), u2=Voltage(volt=D("0.21"))) is Verdict.FAILED
        assert self.verdict(own, u1=Voltage(volt=D(21)), u2=Voltage(volt=D("0.1"))) is Verdict.FAILED
        assert self.verdict(own, dc=True, u1=Voltage(volt=D("0.6"))) is Verdict.FAILED


class TestEuropeanTests:
    @pytest.mark.parametrize(
        "ohm, cord, verdict",
        [
            # Appliance tester's manual: at most 0.3 Ω up to 5 m.
            ("0.3", None, Verdict.PASSED),
            ("0.301", None, Verdict.FAILED),
            (None, None, Verdict.FAILED),
            ("0.4", "10", Verdict.PASSED),
            ("0.41", "10", Verdict.FAILED),
        ],
    )
    def test_the_protective_conductor_is_held_to_its_cord(self, ohm, cord, verdict):
        unit = replace(EU_I, cord_metre=None if cord is None else D(cord))
        assert verdict_on(SafetyTest.CONDUCTOR, replace(EU_I_GOOD, conductor=conductor(ohm)), unit) is verdict

    def test_a_thick_cord_is_held_to_its_calculated_limit(self):
        unit = replace(EU_I, cord_metre=D(3), cord_mm2=D("2.5"))
        assert verdict_on(SafetyTest.CONDUCTOR, EU_I_GOOD, unit) is Verdict.FAILED

    @pytest.mark.parametrize(
        "unit, ohm, verdict",
        [
            # Appliance tester's manual: 1.0, 2.0 and 0.25 MΩ for class I, II and III; 0.3 MΩ with heating elements.
            (EU_I, "1.0E6", Verdict.PASSED),
            (EU_I, "0.99E6", Verdict.FAILED),
            (EU_II, "2.0E6", Verdict.PASSED),
            (EU_II, "1.99E6", Verdict.FAILED),
            (EU_III, "0.25E6", Verdict.PASSED),
            (EU_III, "0.24E6", Verdict.FAILED),
            (replace(EU_I, heating_watt=D(800)), "0.3E6", Verdict.PASSED),
            (replace(EU_I, heating_watt=D(800)), "0.29E6", Verdict.FAILED),
            (replace(EU_II, heating_watt=D(800)), "1.99E6", Verdict.FAILED),
        ],
    )
    def test_insulation_is_held_to_the_protection_class(self, unit, ohm, verdict):
        assert verdict_on(SafetyTest.INSULATION, Measurements(insulation=insulation(ohm)), unit) is verdict

    @pytest.mark.parametrize("ohm, verdict", [("2.0E6", Verdict.PASSED), ("1.9E6", Verdict.FAILED)])
    def test_safe_separation_is_held_to_two_megohm(self, ohm, verdict):
        # Appliance tester's manual: "for proving safe isolation ≥ 2.0 MΩ".
        readings = insulation("20E6") + insulation(ohm, separation=True)
        assert verdict_on(SafetyTest.INSULATION, Measurements(insulation=readings), EU_I) is verdict

    def test_the_separation_alone_leaves_the_metal_to_be_read(self):
        readings = insulation("20E6", separation=True)
        assert sentence_on(SafetyTest.INSULATION, Measurements(insulation=readings), EU_I) == (
            "Insulation: not done; still to read: live conductors to exposed metal."
        )

    @pytest.mark.parametrize(
        "unit, volt, verdict",
        [
            # 500 V DC; 250 V with surge suppressors inside or on SELV (British foreword to EN 50699; a safety note).
            (EU_I, "500", Verdict.PASSED),
            (EU_I, "250", Verdict.NOT_DONE),
            (replace(EU_I, surge_protectors=True), "250", Verdict.PASSED),
            (replace(EU_I, surge_protectors=True), "249", Verdict.NOT_DONE),
            (EU_III, "250", Verdict.PASSED),
            (EU_III, "9", Verdict.NOT_DONE),
        ],
    )
    def test_a_good_reading_at_too_low_a_voltage_proves_nothing(self, unit, volt, verdict):
        measured = Measurements(insulation=insulation("20E6", volt))
        assert verdict_on(SafetyTest.INSULATION, measured, unit) is verdict

    def test_a_bad_reading_at_too_low_a_voltage_is_still_bad(self):
        measured = Measurements(insulation=insulation("0.5E6", "9"))
        assert verdict_on(SafetyTest.INSULATION, measured, EU_I) is Verdict.FAILED
        assert sentence_on(SafetyTest.INSULATION, measured, EU_I) == (
            "Insulation: failed: 500 kΩ at speaker terminal, at least 1 MΩ needed, and read at 9 V where 500 V is needed."
        )

    def test_the_worst_insulation_reading_is_the_lowest(self):
        readings = insulation("30E6") + insulation("4E6") + insulation(None)
        said = sentence_on(SafetyTest.INSULATION, Measurements(insulation=readings), EU_I)
        assert said == (
            "Insulation: passed in 3 readings, the worst 4 MΩ at speaker terminal, at least 1 MΩ needed."
        )

    @pytest.mark.parametrize(
        "test, field, ampere, verdict",
        [
            # Appliance tester's manual: 3.5 mA in the protective conductor, 0.5 mA on parts that aren't earthed.
            (SafetyTest.CONDUCTOR_CURRENT, "conductor_current", "3.5E-3", Verdict.PASSED),
            (SafetyTest.CONDUCTOR_CURRENT, "conductor_current", "3.51E-3", Verdict.FAILED),
            (SafetyTest.TOUCH_CURRENT, "touch_current", "0.5E-3", Verdict.PASSED),
            (SafetyTest.TOUCH_CURRENT, "touch_current", "0.51E-3", Verdict.FAILED),
        ],
    )
    def test_the_leakage_currents_are_held_to_their_limits(self, test, field, ampere, verdict):
        assert verdict_on(test, replace(EU_I_GOOD, **{field: current(ampere)}), EU_I) is verdict

    def test_a_large_heater_may_leak_more_into_the_protective_conductor(self):
        heater = replace(EU_I, heating_watt=D(6000))
        measured = replace(EU_I_GOOD, conductor_current=current("6E-3"))
        assert verdict_on(SafetyTest.CONDUCTOR_CURRENT, measured, heater) is Verdict.PASSED
        assert verdict_on(SafetyTest.CONDUCTOR_CURRENT, measured, EU_I) is Verdict.FAILED

    def test_both_plug_positions_are_needed_for_the_currents(self):
        # VDE 0701-0702 practice (from memory).
        one_way = replace(EU_II_GOOD, touch_current=current("0.1E-3")[:1])
        assert sentence_on(SafetyTest.TOUCH_CURRENT, one_way, EU_II) == (
            "Touch current: not done; still to read: tuner knob (plug reversed)."
        )
        assert (
            verdict_on(SafetyTest.TOUCH_CURRENT, one_way, replace(EU_II, reversible_plug=False))
            is Verdict.PASSED
        )

    def test_the_sentence_of_a_current_is_in_milliampere(self):
        said = sentence_on(
            SafetyTest.TOUCH_CURRENT, replace(EU_II_GOOD, touch_current=current("0.62E-3")[1:]), EU_II
        )
        assert said == (
            "Touch current: failed: 0.62 mA at tuner knob, plug reversed, at most 0.5 mA allowed."
        )


class TestUncertainty:
    @pytest.mark.parametrize(
        "volt, uncertainty, verdict",
        # Guard band: a verdict only where the whole span lies on one side (ILAC-G8 in its plainest form, from memory).
        [
            ("0.73", "0.02", Verdict.PASSED),
            ("0.74", "0.02", Verdict.TOO_CLOSE),
            ("0.77", "0.02", Verdict.TOO_CLOSE),
            ("0.78", "0.02", Verdict.FAILED),
        ],
    )
    def test_a_reading_near_the_edge_is_too_close_to_call(self, volt, uncertainty, verdict):
        measured = replace(US_GOOD, hot=hot(volt, uncertainty=D(uncertainty)))
        assert verdict_on(SafetyTest.HOT, measured) is verdict

    def test_a_check_with_a_reading_too_close_to_call_is_not_passed(self):
        result = assess(replace(US_GOOD, hot=hot("0.74", uncertainty=D("0.02"))), COMMON, US)
        assert result.outcome is Outcome.NOT_DONE
        assert result.sentence == "Not done; too close to call, repeat with a better meter: hot leakage."

    def test_uncertainty_works_on_resistances_and_currents_too(self):
        close = conductor("0.29", uncertainty=D("0.02"))
        assert (
            verdict_on(SafetyTest.CONDUCTOR, replace(EU_I_GOOD, conductor=close), EU_I) is Verdict.TOO_CLOSE
        )
        near = current("0.49E-3", uncertainty=D("0.02E-3"))
        assert verdict_on(SafetyTest.TOUCH_CURRENT, replace(EU_II_GOOD, touch_current=near), EU_II) is (
            Verdict.TOO_CLOSE
        )

    def test_the_sentence_shows_the_uncertainty(self):
        said = sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.74", uncertainty=D("0.02"))[:1]))
        assert "too close to call: 0.74 V ± 0.02 V" in said

    limit = st.decimals(min_value="0.001", max_value="1000", places=3)
    reading = st.decimals(min_value="0", max_value="1000", places=3)

    @given(low=reading, width=reading, limit=limit, inclusive=st.booleans())
    def test_a_span_is_never_both_within_and_beyond_a_limit(self, low, width, limit, inclusive):
        span = Span(low, low + width)
        below = at_most(span, limit, inclusive=inclusive)
        above = at_least(span, limit, inclusive=not inclusive)
        # Being at most a limit and being at least it (strictly, the other way round) are each other's opposite.
        opposite = {Verdict.PASSED: Verdict.FAILED, Verdict.FAILED: Verdict.PASSED}
        assert above is opposite.get(below, Verdict.TOO_CLOSE)

    @given(value=reading, limit=limit, small=reading, more=reading)
    def test_more_uncertainty_never_turns_an_open_verdict_into_a_sure_one(self, value, limit, small, more):
        def verdict(uncertainty):
            return at_most(Span(max(D(0), value - uncertainty), value + uncertainty), limit)

        if verdict(small) is Verdict.TOO_CLOSE and value - small - more > 0:
            assert verdict(small + more) is Verdict.TOO_CLOSE

    @given(value=reading, limit=limit)
    def test_without_uncertainty_every_reading_is_called(self, value, limit):
        assert at_most(Span(value, value), limit) is (Verdict.PASSED if value <= limit else Verdict.FAILED)
        assert at_least(Span(value, value), limit) is (Verdict.PASSED if value >= limit else Verdict.FAILED)


class TestTheWholeCheck:
    @pytest.mark.parametrize(
        "unit, measured, count", [(US, US_GOOD, 3), (EU_I, EU_I_GOOD, 5), (EU_II, EU_II_GOOD, 3)]
    )
    def test_a_unit_passes_when_every_required_test_passed(self, unit, measured, count):
        result = assess(measured, COMMON, unit)
        assert result.outcome is Outcome.PASSED
        assert result.sentence == f"Passed: {count} of {count} required tests."
        assert all(judged.required and judged.verdict is Verdict.PASSED for judged in result.tests)

    def test_a_class_three_unit_passes_on_looks_and_insulation(self):
        measured = Measurements(visual=SOUND, insulation=insulation("1E6", "250"))
        assert assess(measured, COMMON, EU_III).outcome is Outcome.PASSED

    @pytest.mark.parametrize("unit", [EU_I, replace(US, protection_class=ProtectionClass.I)])
    def test_class_one_without_a_protective_conductor_reading_is_not_passed(self, unit):
        everything = replace(EU_I_GOOD, cold=cold("2.2E6"), hot=hot("0.1"))
        assert assess(everything, COMMON, unit).outcome is Outcome.PASSED
        without = assess(replace(everything, conductor=()), COMMON, unit)
        assert without.outcome is Outcome.NOT_DONE
        assert without.sentence == "Not done; still to do: protective conductor."

    @pytest.mark.parametrize("unit, measured", [(US, US_GOOD), (EU_I, EU_I_GOOD), (EU_II, EU_II_GOOD)])
    def test_leaving_out_any_required_test_leaves_the_check_not_done(self, unit, measured):
        fields = {
            SafetyTest.VISUAL: ("visual", None),
            SafetyTest.CONDUCTOR: ("conductor", ()),
            SafetyTest.COLD: ("cold", ()),
            SafetyTest.INSULATION: ("insulation", ()),
            SafetyTest.HOT: ("hot", ()),
            SafetyTest.CONDUCTOR_CURRENT: ("conductor_current", ()),
            SafetyTest.TOUCH_CURRENT: ("touch_current", ()),
        }
        for judged in assess(measured, COMMON, unit).tests:
            name, nothing = fields[judged.test]
            without = assess(replace(measured, **{name: nothing}), COMMON, unit)
            assert without.outcome is Outcome.NOT_DONE
            assert next(j.verdict for j in without.tests if j.test is judged.test) is Verdict.NOT_DONE

    def test_a_bad_look_fails_whatever_the_meters_say(self):
        measured = replace(US_GOOD, visual=Inspection(sound=False, note="cord nicked at the strain relief"))
        result = assess(measured, COMMON, US)
        assert result.outcome is Outcome.FAILED
        assert result.sentence == "Failed: visual inspection."
        assert result.tests[0].sentence == "Visual inspection: failed, cord nicked at the strain relief."

    def test_a_good_look_says_so(self):
        assert assess(US_GOOD, COMMON, US).tests[0].sentence == "Visual inspection: passed."

    def test_a_failure_in_a_test_that_was_not_owed_fails_the_unit(self):
        # Common practice, no source: what was found isn't un-found because nobody asked for it.
        result = assess(replace(US_GOOD, touch_current=current("0.6E-3")), COMMON, US)
        assert result.outcome is Outcome.FAILED
        assert [judged.required for judged in result.tests] == [True, True, True, False]

    @pytest.mark.parametrize(
        "field, readings",
        [
            ("conductor", conductor("3")),
            ("cold", cold("1E3")),
            ("insulation", insulation("1E3")),
            ("hot", hot("5")),
            ("network", network(u2=Voltage(volt=D(1)))),
            ("conductor_current", current("1")),
            ("touch_current", current("1")),
        ],
    )
    def test_any_failed_reading_fails_even_a_battery_unit(self, field, readings):
        battery = replace(US, mains=False)
        result = assess(Measurements(visual=SOUND, **{field: readings}), COMMON, battery)
        assert result.outcome is Outcome.FAILED
        assert assess(Measurements(visual=SOUND), COMMON, battery).outcome is Outcome.PASSED

    def test_an_unfinished_test_that_was_not_owed_does_not_hold_the_unit_back(self):
        result = assess(replace(US_GOOD, touch_current=current("0.1E-3")[:1]), COMMON, US)
        assert result.outcome is Outcome.PASSED
        assert result.sentence == "Passed: 3 of 3 required tests."

    def test_what_failed_what_is_owed_and_what_is_close_is_named(self):
        close = hot("0.74", uncertainty=D("0.02"))
        assert assess(Measurements(hot=close), COMMON, US).sentence == (
            "Not done; still to do: visual inspection and cold check; "
            "too close to call, repeat with a better meter: hot leakage."
        )
        bad = Measurements(visual=SOUND, cold=cold("1E3"), hot=hot("5"))
        assert assess(bad, COMMON, US).sentence == "Failed: cold check and hot leakage."

    def test_nothing_measured_is_not_done_with_a_sentence_for_each_test(self):
        result = assess(Measurements(), COMMON, EU_I)
        assert result.outcome is Outcome.NOT_DONE
        assert [judged.sentence for judged in result.tests] == [
            "Visual inspection: not done; look at cord, plug, strain relief, case and fuse.",
            "Protective conductor: not done; no reading from the earth pin to the earthed metal.",
            "Insulation: not done; no reading at the test voltage.",
            "Protective-conductor current: not done; no reading.",
            "Touch current: not done; no reading.",
        ]
        said = [judged.sentence for judged in assess(Measurements(), COMMON, US).tests[1:]]
        assert said == [
            "Cold check: not done; no reading from the joined prongs to exposed metal.",
            "Hot leakage: not done; no reading from exposed metal to earth.",
        ]
        by_network = assess(Measurements(), COMMON, replace(US, profile=Profile.NETWORK))
        assert by_network.tests[-1].sentence == (
            "Touch-current network: not done; no reading through the IEC 60990 network."
        )

    def test_the_makers_warning_against_500_volt_lets_the_currents_stand_in(self):
        limits = Limits(insulation_by_current=True)
        assert assess(replace(EU_I_GOOD, insulation=()), limits, EU_I).outcome is Outcome.PASSED

    def test_a_unit_with_all_its_metal_earthed_passes_without_a_touch_current(self):
        unit = replace(EU_I, unearthed_metal=False)
        assert assess(replace(EU_I_GOOD, touch_current=()), COMMON, unit).outcome is Outcome.PASSED

    @given(
        volt=st.decimals(min_value="0", max_value="3", places=3),
        ohm=st.decimals(min_value="0", max_value="10", places=3),
        looks=st.none() | st.booleans(),
        uncertainty=st.decimals(min_value="0", max_value="0.1", places=3),
        positions=st.integers(0, 4),
    )
    def test_a_passed_check_has_no_required_test_that_is_not_passed(
        self, volt, ohm, looks, uncertainty, positions
    ):
        measured = Measurements(
            visual=None if looks is None else Inspection(sound=looks),
            cold=cold(str(ohm * 1_000_000)),
            hot=hot(str(volt), uncertainty=uncertainty)[:positions],
        )
        result = assess(measured, COMMON, US)
        within = looks is True and positions == 4 and volt + uncertainty <= D("0.75") and 1 <= ohm <= D("5.2")
        assert (result.outcome is Outcome.PASSED) == within


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
        with pytest.raises(SafetyError, match="DC voltage has no RMS form"):
            network(dc=True, rms=True)

    @pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
    def test_a_limit_must_be_a_positive_number(self, value):
        for name in ("hot_volt", "cold_max_ohm", "conductor_ohm", "touch_current_ampere"):
            with pytest.raises(SafetyError, match=f"“{name}” must be a positive number"):
                Limits(**{name: D(value)})

    def test_limits_that_contradict_each_other_are_refused(self):
        with pytest.raises(SafetyError, match="upper limit is below its lower"):
            Limits(cold_min_ohm=D("6E6"))
        with pytest.raises(SafetyError, match="largest limit is below its smallest"):
            Limits(conductor_max_ohm=D("0.05"))
        assert Limits(cold_min_ohm=D("5.2E6")).cold_max_ohm == D("5.2E6")
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
        cold_max_ohm=D(5_200_000),
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
