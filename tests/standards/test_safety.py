"""Safety after repair: which tests a unit owes, and the verdict over all of them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook import safety
from shop.handbook.safety import (
    Inspection,
    Limits,
    Measurements,
    Outcome,
    Profile,
    ProtectionClass,
    SafetyTest,
    Verdict,
    Voltage,
    assess,
)
from tests.standards.safety_cases import (
    COMMON,
    EU_I,
    EU_I_GOOD,
    EU_II,
    EU_II_GOOD,
    EU_III,
    SOUND,
    US,
    US_GOOD,
    D,
    cold,
    conductor,
    current,
    hot,
    insulation,
    network,
)


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
        assert ", ".join(test.label for test in found).replace("visual inspection", "visual") == expected

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
        assert ", ".join(test.label for test in found).replace("visual inspection", "visual") == expected

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
        everything = replace(
            EU_I_GOOD,
            cold=cold("2.2E6"),
            hot=hot("0.1", conductor_open=True),
            conductor_again=conductor("0.18"),
        )
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
            "Protective conductor: not done; no reading from the ground pin to the grounded metal.",
            "Insulation: not done; no reading at the test voltage.",
            "Protective-conductor current: not done; no reading.",
            "Touch current: not done; no reading.",
        ]
        said = [judged.sentence for judged in assess(Measurements(), COMMON, US).tests[1:]]
        assert said == [
            "Cold check: not done; no reading from the joined prongs to exposed metal.",
            "Hot leakage: not done; no reading from exposed metal to ground.",
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


def test_labels_are_words_for_a_person_and_values_are_tokens_for_a_table():
    assert [verdict.label for verdict in Verdict] == ["passed", "not done", "too close to call", "failed"]
    assert [outcome.label for outcome in Outcome] == ["passed", "failed", "not done"]
    for member in (*SafetyTest, *Profile, *Verdict, *Outcome):
        assert member.value.replace("_", "").isalnum()
        assert member.label
    assert Profile.LEAKAGE.label == "cold and hot leakage checks"
    assert Profile.NETWORK.label == "cold check and touch current (IEC 60990)"
    assert Profile.EN_50678.label == "after-repair test (EN 50678)"


def test_each_test_says_how_it_is_made():
    # Network, meter, plug and switch positions of the hot check: service manuals (looked up).
    hot_way = SafetyTest.HOT.how
    for part in (
        "no isolation transformer",
        "1500 Ω 10 W",
        "0.15 µF",
        "plug both ways",
        "on and off",
        "1000 Ω/V",
    ):
        assert part in hot_way
    assert "prongs joined, switch on" in SafetyTest.COLD.how
    assert "500 V DC" in SafetyTest.INSULATION.how
    assert all(test.how.endswith(".") for test in SafetyTest)
