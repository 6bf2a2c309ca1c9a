"""Hot check, cold check and meter uncertainty against the words and numbers of service manuals."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook import safety
from shop.handbook.safety import (
    ColdReading,
    Limits,
    Outcome,
    ProtectionClass,
    Resistance,
    SafetyTest,
    Verdict,
    Voltage,
    assess,
)
from shop.handbook.safety.readings import Span
from shop.handbook.safety.verdicts import at_least, at_most
from tests.standards.safety_cases import (
    COMMON,
    EU_I,
    EU_I_GOOD,
    EU_II,
    EU_II_GOOD,
    US,
    US_GOOD,
    D,
    cold,
    conductor,
    current,
    hot,
    network,
    sentence_on,
    verdict_on,
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
            "Hot leakage: failed, 0.35 V (0.234 mA) at headphone socket, plug the first way, switch on, "
            "less than 0.35 V allowed."
        )

    def test_the_current_is_worked_out_at_the_shops_line_frequency_and_the_models_network(self):
        at_50 = replace(US, line_hertz=D(50))
        assert "(0.501 mA)" in sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.75")), at_50)
        plain = Limits(hot_ohm=D(2000), hot_farad=D("1E-12"))
        assert "(0.375 mA)" in sentence_on(SafetyTest.HOT, replace(US_GOOD, hot=hot("0.75")), limits=plain)

    def test_no_reading_is_not_a_pass(self):
        assert verdict_on(SafetyTest.HOT, replace(US_GOOD, hot=())) is Verdict.NOT_DONE


class TestHotCheckOfAnEarthedSet:
    """The bonded metal of a class I unit, its protective conductor open for the reading.

    Leakage of a grounded unit is read with its grounding conductor open: ANSI C101.1, now UL 101 (from memory). The
    conductor measured again: common practice, no source. Its limit, 0.3 Ω: VDE 0701-0702 by way of a tester's manual.
    """

    UNIT = replace(US, protection_class=ProtectionClass.I)
    GOOD = replace(
        US_GOOD,
        conductor=conductor("0.18"),
        hot=hot("0.31", conductor_open=True),
        conductor_again=conductor("0.18"),
    )

    def read(self, **changes):
        return (
            verdict_on(SafetyTest.HOT, replace(self.GOOD, **changes), self.UNIT),
            sentence_on(SafetyTest.HOT, replace(self.GOOD, **changes), self.UNIT),
        )

    def test_with_the_conductor_open_and_measured_again_it_passes(self):
        assert self.read()[0] is Verdict.PASSED
        assert assess(self.GOOD, COMMON, self.UNIT).outcome is safety.Outcome.PASSED

    def test_with_the_conductor_closed_it_is_no_reading(self):
        verdict, said = self.read(hot=hot("0.0"))
        assert verdict is Verdict.NOT_DONE
        assert "open it for this one reading, by tester or adapter" in said
        one_closed = (*hot("0.1", conductor_open=True)[:3], hot("0.1")[3])
        assert self.read(hot=one_closed)[0] is Verdict.NOT_DONE

    @pytest.mark.parametrize("volt, verdict", [("0.749", "passed"), ("0.75", "passed"), ("0.751", "failed")])
    def test_its_limit_is_that_of_every_set(self, volt, verdict):
        assert self.read(hot=hot(volt, conductor_open=True))[0] == verdict
        # too much through a closed conductor is too much, all the same
        assert (self.read(hot=hot(volt))[0] == "failed") is (verdict == "failed")

    @pytest.mark.parametrize("ohm, verdict", [("0.29", "passed"), ("0.3", "passed"), ("0.31", "failed")])
    def test_the_conductor_must_be_made_good_again(self, ohm, verdict):
        assert self.read(conductor_again=conductor(ohm))[0] == verdict
        without, said = self.read(conductor_again=())
        assert without is Verdict.NOT_DONE
        assert "still to read: the protective conductor again, closed" in said

    def test_the_network_is_held_to_the_same(self):
        unit = replace(self.UNIT, profile=safety.Profile.NETWORK)
        volt = Voltage(volt=D("0.1"))
        for opened, verdict in ((True, Verdict.PASSED), (False, Verdict.NOT_DONE)):
            measured = replace(self.GOOD, network=network(u1=volt, u2=volt, conductor_open=opened))
            assert verdict_on(SafetyTest.NETWORK, measured, unit) is verdict

    def test_a_double_insulated_set_is_not_asked(self):
        assert verdict_on(SafetyTest.HOT, US_GOOD) is Verdict.PASSED


@pytest.mark.parametrize(
    "test, unit, words",
    [
        (SafetyTest.COLD, US, "at least 1 MΩ"),
        (SafetyTest.HOT, US, "at most 0.75 V"),
        (SafetyTest.CONDUCTOR, replace(US, protection_class=ProtectionClass.I), "at most 0.3 Ω"),
        (
            SafetyTest.INSULATION,
            replace(US, protection_class=ProtectionClass.III),
            "at least 250 kΩ at 250 V",
        ),
        (SafetyTest.TOUCH_CURRENT, US, "at most 0.5 mA"),
        (SafetyTest.CONDUCTOR_CURRENT, US, "at most 3.5 mA"),
        (SafetyTest.NETWORK, US, "U2 at most 0.35 V peak, U1 at most 35 V peak"),
        (SafetyTest.VISUAL, US, ""),
    ],
)
def test_each_limit_stands_in_words_beside_its_reading(test, unit, words):
    assert safety.limit_words(test, COMMON, unit) == words


PRINTED = Limits(cold_max_ohm=D("5.2E6"))
INFINITE = Limits(cold_infinite=True)


class TestColdCheck:
    @pytest.mark.parametrize(
        "ohm, limits, verdict",
        [
            # No manual's upper limit, none: the lower one decides (1 MΩ, three service manuals).
            ("1.0E6", COMMON, Verdict.PASSED),
            ("0.99E6", COMMON, Verdict.FAILED),
            ("5.21E6", COMMON, Verdict.PASSED),
            ("20E6", COMMON, Verdict.PASSED),
            (None, COMMON, Verdict.PASSED),
            # "Between 1 MΩ and 5.2 MΩ": where it is printed, both ends matter (three service manuals).
            ("1.0E6", PRINTED, Verdict.PASSED),
            ("5.2E6", PRINTED, Verdict.PASSED),
            ("0.99E6", PRINTED, Verdict.FAILED),
            ("5.21E6", PRINTED, Verdict.FAILED),
            (None, PRINTED, Verdict.FAILED),
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
        assert verdict_on(SafetyTest.COLD, measured, limits=INFINITE) is verdict

    @pytest.mark.parametrize(
        "ohm, verdict",
        # The lower limit decides where no manual asks for infinite; an upper one is of metal that returns to the chassis.
        [
            (None, Verdict.PASSED),
            ("20E6", Verdict.PASSED),
            ("1E6", Verdict.PASSED),
            ("0.99E6", Verdict.FAILED),
        ],
    )
    @pytest.mark.parametrize("limits", [COMMON, PRINTED])
    def test_metal_without_a_path_is_held_to_the_lower_limit(self, ohm, verdict, limits):
        measured = replace(US_GOOD, cold=cold(ohm, returns_to_chassis=False))
        assert verdict_on(SafetyTest.COLD, measured, limits=limits) is verdict
        assert ("find the path" in sentence_on(SafetyTest.COLD, measured, limits=limits)) is (ohm is not None)

    def test_of_two_failing_parts_the_first_read_is_named(self):
        parts = cold("0.9E6") + cold("0.1E6") + cold("2E6", returns_to_chassis=False)
        said = sentence_on(SafetyTest.COLD, replace(US_GOOD, cold=parts))
        assert said.startswith("Cold check: failed in 3 readings, the worst 900 kΩ at chassis screw")
        floating = cold("2E6", returns_to_chassis=False) + cold("3E6", returns_to_chassis=False)
        said = sentence_on(SafetyTest.COLD, replace(US_GOOD, cold=floating), limits=INFINITE)
        assert said.startswith("Cold check: failed in 2 readings, the worst 2 MΩ at chassis screw")

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
            return verdict_on(SafetyTest.COLD, replace(US_GOOD, cold=(part,)), limits=PRINTED)

        assert read("2E6") is Verdict.TOO_CLOSE
        assert read("20E6") is Verdict.FAILED

    def test_over_range_on_a_short_range_does_not_prove_infinite(self):
        def read(top: str) -> Verdict:
            resistance = Resistance(ohm=None, range_top=D(top))
            part = ColdReading(where="screw", resistance=resistance, returns_to_chassis=False)
            return verdict_on(SafetyTest.COLD, replace(US_GOOD, cold=(part,)), limits=INFINITE)

        assert read("40E6") is Verdict.TOO_CLOSE
        assert read("100E6") is Verdict.PASSED

    def test_the_sentence_says_what_the_reading_must_be(self):
        assert sentence_on(SafetyTest.COLD, replace(US_GOOD, cold=cold("0.9E6")), limits=PRINTED) == (
            "Cold check: failed, 900 kΩ at chassis screw, must be at least 1 MΩ and at most 5.2 MΩ."
        )
        limits = Limits(cold_min_ohm=D("5E6"), cold_min_inclusive=False, cold_max_ohm=None)
        assert sentence_on(SafetyTest.COLD, replace(US_GOOD, cold=cold(None)), limits=limits) == (
            "Cold check: passed, over range at chassis screw, must be more than 5 MΩ."
        )
        floating = replace(US_GOOD, cold=cold("2E6", returns_to_chassis=False))
        assert sentence_on(SafetyTest.COLD, floating, limits=INFINITE) == (
            "Cold check: failed, 2 MΩ at chassis screw, must be infinite as it has no path to the chassis."
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
        assert "too close to call, 0.74 V ± 0.02 V" in said

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

    @pytest.mark.parametrize(
        "low, high, inclusive, most, least",
        [
            # A span that touches the limit from below or above with its end: arithmetic of "at most" and "less than".
            ("0.70", "0.75", True, Verdict.PASSED, Verdict.TOO_CLOSE),
            ("0.70", "0.75", False, Verdict.TOO_CLOSE, Verdict.FAILED),
            ("0.75", "0.80", True, Verdict.TOO_CLOSE, Verdict.PASSED),
            ("0.75", "0.80", False, Verdict.FAILED, Verdict.TOO_CLOSE),
        ],
    )
    def test_a_span_that_touches_the_limit_is_read_by_the_limits_own_words(
        self, low, high, inclusive, most, least
    ):
        span = Span(D(low), D(high))
        assert at_most(span, D("0.75"), inclusive=inclusive) is most
        assert at_least(span, D("0.75"), inclusive=inclusive) is least

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
