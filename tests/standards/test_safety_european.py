"""The IEC 60990 network and the European after-repair tests against manuals that quote their limits."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shop.handbook import safety
from shop.handbook.safety import (
    Limits,
    Measurements,
    Profile,
    SafetyTest,
    Verdict,
    Voltage,
)
from tests.standards.safety_cases import (
    COMMON,
    EU_I,
    EU_I_GOOD,
    EU_II,
    EU_II_GOOD,
    EU_III,
    SOUND,
    D,
    cold,
    conductor,
    current,
    insulation,
    network,
    sentence_on,
    verdict_on,
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

    @pytest.mark.parametrize(
        "voltages, clause",
        [
            (
                {"open_circuit": Voltage(volt=D(20))},
                (
                    "passed in 4 readings, the worst open circuit 20 V peak at antenna terminal, plug the first way, "
                    "switch on, at most 35 V peak allowed."
                ),
            ),
            (
                {"u1": Voltage(volt=D(36)), "u2": Voltage(volt=D("0.1"))},
                (
                    "failed in 4 readings, the worst U1 36 V peak at antenna terminal, plug the first way, switch on, "
                    "at most 35 V peak allowed."
                ),
            ),
            (
                {"dc": True, "u1": Voltage(volt=D("1.2"))},
                (
                    "failed in 4 readings, the worst U1 1.2 V DC at antenna terminal, plug the first way, switch on, "
                    "at most 1 V DC allowed."
                ),
            ),
            (
                {"u2": Voltage(volt=D("0.1"))},
                "not done; U1 wasn't read at antenna terminal, plug the first way, switch on.",
            ),
            (
                {"dc": True, "u1": Voltage(volt=D("0.2"))},
                "not done; still to read: the AC voltages.",
            ),
            # U1 at 30/35 of its limit is nearer the edge than U2 at 0.1/0.35, and U2 at its limit nearer than U1.
            (
                {"u1": Voltage(volt=D(30)), "u2": Voltage(volt=D("0.1"))},
                (
                    "passed in 4 readings, the worst U1 30 V peak at antenna terminal, plug the first way, switch on, "
                    "at most 35 V peak allowed."
                ),
            ),
            (
                {"u1": Voltage(volt=D(30)), "u2": Voltage(volt=D("0.35"))},
                (
                    "passed in 4 readings, the worst U2 0.35 V peak at antenna terminal, plug the first way, switch on, "
                    "at most 0.35 V peak allowed (touch current 0.700 mA peak)."
                ),
            ),
        ],
    )
    def test_the_sentence_names_the_voltage_that_decides(self, voltages, clause):
        measured = Measurements(network=network(**voltages))
        assert sentence_on(SafetyTest.NETWORK, measured, self.UNIT) == f"Touch-current network: {clause}"

    def test_a_part_with_two_voltages_unread_names_the_touch_current_first(self):
        measured = Measurements(network=network())
        assert "not done; U2 wasn't read" in sentence_on(SafetyTest.NETWORK, measured, self.UNIT)

    def test_the_largest_of_several_readings_is_the_one_named(self):
        small = network(u1=Voltage(volt=D("0.1")), u2=Voltage(volt=D("0.1")))
        large = network(u1=Voltage(volt=D("0.1")), u2=Voltage(volt=D("0.3")))
        measured = Measurements(network=(*small[:3], large[3]))
        said = sentence_on(SafetyTest.NETWORK, measured, self.UNIT)
        assert "the worst U2 0.3 V peak at antenna terminal, plug reversed, switch off" in said

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

    def test_the_worst_of_several_earthed_parts_decides(self):
        parts = conductor("0.1") + conductor("0.25") + conductor("0.2")
        said = sentence_on(SafetyTest.CONDUCTOR, replace(EU_I_GOOD, conductor=parts), EU_I)
        assert said == (
            "Protective conductor: passed in 3 readings, the worst 0.25 Ω at chassis, at most 0.3 Ω allowed."
        )

    def test_an_unknown_cord_may_not_count_as_long(self):
        limits = Limits(conductor_base_metre=D("0.5"))
        assert safety.conductor_limit(limits) == D("0.3")

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
            "Insulation: failed, 500 kΩ at speaker terminal, at least 1 MΩ needed, and read at 9 V where 500 V is needed."
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

    def test_the_larger_of_two_currents_is_the_one_shown(self):
        readings = (*current("0.1E-3")[:1], *current("0.4E-3")[1:])
        said = sentence_on(SafetyTest.TOUCH_CURRENT, replace(EU_II_GOOD, touch_current=readings), EU_II)
        assert said == (
            "Touch current: passed in 2 readings, the worst 0.4 mA at tuner knob, plug reversed, at most 0.5 mA allowed."
        )

    def test_the_insulation_limit_is_that_to_exposed_metal_unless_said_otherwise(self):
        assert safety.insulation_limit(COMMON, EU_I) == D("1.0E6")
        assert safety.insulation_limit(COMMON, EU_I, separation=True) == D("2.0E6")

    def test_the_sentence_of_a_current_is_in_milliampere(self):
        said = sentence_on(
            SafetyTest.TOUCH_CURRENT, replace(EU_II_GOOD, touch_current=current("0.62E-3")[1:]), EU_II
        )
        assert said == (
            "Touch current: failed, 0.62 mA at tuner knob, plug reversed, at most 0.5 mA allowed."
        )
