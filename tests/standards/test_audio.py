"""The audio bench against worked examples, definitions and looked-up texts; an independent way where there is one."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook import audio
from shop.handbook.audio import (
    AudioError,
    Glow,
    Junction,
    OffsetBand,
    OffsetLimits,
    SetKind,
    Taper,
    TaperOrigin,
    Winding,
)

D = Decimal


def like(printed: str, value: Decimal) -> Decimal:
    """The value with as many decimals as were printed."""
    return value.quantize(D(printed))


class TestOffset:
    @pytest.mark.parametrize(
        "millivolt, band",
        [
            # Bands: common practice, no source.
            ("0", OffsetBand.GOOD),
            ("20", OffsetBand.GOOD),
            ("30", OffsetBand.GOOD),
            ("31", OffsetBand.ACCEPTABLE),
            ("50", OffsetBand.ACCEPTABLE),
            ("51", OffsetBand.ADJUST),
            ("100", OffsetBand.ADJUST),
            ("101", OffsetBand.FAULT),
            ("-18", OffsetBand.GOOD),
            ("-2400", OffsetBand.FAULT),
        ],
    )
    def test_an_offset_falls_into_its_band_whatever_its_sign(self, millivolt, band):
        assert audio.judge_offset(D(millivolt) / 1000, D(8)).band is band

    @pytest.mark.parametrize(
        "volt, milliampere, milliwatt",
        # Into 8 Ω, computed (V/R and V²/R).
        [
            ("0.010", "1.25", "0.0125"),
            ("0.050", "6.25", "0.3125"),
            ("0.100", "12.5", "1.25"),
            ("1", "125", "125"),
        ],
    )
    def test_what_an_offset_pushes_into_eight_ohm(self, volt, milliampere, milliwatt):
        offset = audio.judge_offset(D(volt), D(8))
        assert offset.ampere * 1000 == D(milliampere)
        assert offset.watt * 1000 == D(milliwatt)

    def test_the_makers_limit_wins(self):
        limits = OffsetLimits(maker_volt=D("0.075"))
        assert audio.judge_offset(D("0.075"), D(8), limits).band is OffsetBand.GOOD
        assert audio.judge_offset(D("0.076"), D(8), limits).band is OffsetBand.FAULT
        strict = OffsetLimits(maker_volt=D("0.010"))
        assert audio.judge_offset(D("0.011"), D(8), strict).band is OffsetBand.FAULT

    def test_the_sentence_says_what_it_means(self):
        assert audio.judge_offset(D("-0.060"), D(8)).sentence == (
            "-60 mV: adjust or investigate; 7.50 mA and 0.450 mW into 8 Ω."
        )
        assert audio.judge_offset(D("0.020"), D(4), OffsetLimits(maker_volt=D("0.015"))).sentence == (
            "20 mV: fault against the maker's 15 mV; 5.00 mA and 0.100 mW into 4 Ω."
        )

    def test_from_where_relays_trip_speakers_are_kept_off(self):
        # Protection relays trip at about 0.6 to 2 V: common practice, no source.
        lowest, highest = audio.RELAY_TRIP_VOLT
        assert (lowest, highest) == (D("0.6"), D(2))
        assert "Keep speakers off" in audio.judge_offset(D("-0.6"), D(8)).sentence
        assert "Keep speakers off" not in audio.judge_offset(D("0.59"), D(8)).sentence

    def test_bands_out_of_order_are_refused(self):
        for bands in ({"good_volt": D(0)}, {"good_volt": D("0.06")}, {"adjust_volt": D("0.04")}):
            with pytest.raises(AudioError, match="must rise from good to fault"):
                OffsetLimits(**bands)
        with pytest.raises(AudioError, match="limit of the maker must be a positive number"):
            OffsetLimits(maker_volt=D(0))
        flat = OffsetLimits(good_volt=D("0.05"), acceptable_volt=D("0.05"), adjust_volt=D("0.05"))
        assert audio.judge_offset(D("0.06"), D(8), flat).band is OffsetBand.FAULT


class TestIdleCurrent:
    @pytest.mark.parametrize(
        "millivolt, ohms, milliampere",
        [
            # Computed, Ohm's law; 15 mV was read across two 0.22 Ω resistors in series.
            ("10", ["0.47"], "21.28"),
            ("22", ["0.22"], "100.0"),
            ("8", ["0.33"], "24.24"),
            ("15", ["0.22", "0.22"], "34.09"),
            ("25", ["0.5"], "50.0"),
        ],
    )
    def test_the_worked_examples_come_out(self, millivolt, ohms, milliampere):
        found = audio.idle_current(D(millivolt) / 1000, *(D(ohm) for ohm in ohms)) * 1000
        assert like(milliampere, found) == D(milliampere)

    @given(
        st.decimals(min_value="0.001", max_value="1", places=3),
        st.decimals(min_value="0.1", max_value="10", places=2),
    )
    def test_across_two_resistors_the_same_voltage_means_half_the_current(self, volt, ohm):
        one, two = audio.idle_current(volt, ohm), audio.idle_current(volt, ohm, ohm)
        assert float(one) == pytest.approx(2 * float(two))

    def test_swapped_probes_give_the_same_current(self):
        assert audio.idle_current(D("-0.022"), D("0.22")) == D("0.1")

    def test_without_a_resistor_there_is_no_current_to_tell(self):
        with pytest.raises(AudioError, match="Give the emitter resistor"):
            audio.idle_current(D("0.01"))
        with pytest.raises(AudioError, match="emitter resistor must be a positive number"):
            audio.idle_current(D("0.01"), D("0.22"), D(0))

    def test_the_warm_up_before_setting_it(self):
        # 10 to 30 minutes: common practice, no source.
        assert audio.WARM_UP_MINUTE == (10, 30)


class TestLevels:
    @pytest.mark.parametrize(
        "volt, ohm, watt, dbw",
        [
            # Computed: P = V²/R, 10 log10(P / 1 W).
            ("20", "8", "50", "16.990"),
            ("17.9", "4", "80.1025", "19.036"),
            ("12.65", "8", "20.003", None),
            ("2.83", "8", "1.0011", "0.005"),
            ("2.83", "4", "2.0022", None),
        ],
    )
    def test_the_worked_examples_of_power_come_out(self, volt, ohm, watt, dbw):
        found = audio.power(D(volt), D(ohm))
        assert like(watt, found) == D(watt)
        if dbw is not None:
            assert like(dbw, audio.dbw(found)) == D(dbw)

    def test_twenty_volt_in_every_form(self):
        # Computed: 50 W in 8 Ω = 16.990 dBW, 20 V = 26.021 dBV = 28.239 dBu; dBm = dBW + 30.
        assert like("0.001", audio.dbv(D(20))) == D("26.021")
        assert like("0.001", audio.dbu(D(20))) == D("28.239")
        assert like("0.001", audio.dbm(D(50))) == D("46.990")

    def test_nought_dbu_is_a_milliwatt_in_600_ohm(self):
        # The definition: √0.6 V = 0.7746 V.
        assert like("0.0001", audio.volts_of_dbu(D(0))) == D("0.7746")
        assert like("1E-10", audio.power(audio.volts_of_dbu(D(0)), D(600))) == D("0.001")
        assert audio.dbm(D("0.001")) == 0

    @pytest.mark.parametrize("peak_to_peak, rms", [("56.5685", "20"), ("2.8284", "1"), ("1", "0.3536")])
    def test_a_sine_on_the_screen_is_its_rms_times_two_root_two(self, peak_to_peak, rms):
        # V_rms = V_pp / (2√2), computed.
        assert like("0.0001", audio.rms_of_peak_to_peak(D(peak_to_peak))) == D(rms)

    def test_a_direct_voltage_of_either_sign_makes_heat(self):
        assert audio.power(D(-2), D(8)) == audio.power(D(2), D(8)) == D("0.5")

    def test_the_ftc_preconditions_at_an_eighth_for_an_hour(self):
        # 16 CFR 432.3(c), text of 2006 (looked up): "one-eighth of rated power output for one hour".
        assert audio.preconditioning_watt(D(80)) == 10
        assert audio.levels.PRECONDITIONING_SECOND == 3600

    levels = st.decimals(min_value="-120", max_value="60", places=3)

    @given(levels)
    def test_a_level_comes_back_from_its_watts_and_volts(self, level):
        assert float(audio.dbw(audio.watts_of_dbw(level))) == pytest.approx(float(level), abs=1e-12)
        assert float(audio.dbv(audio.volts_of_dbv(level))) == pytest.approx(float(level), abs=1e-12)
        assert float(audio.dbu(audio.volts_of_dbu(level))) == pytest.approx(float(level), abs=1e-12)

    @given(
        st.decimals(min_value="0.001", max_value="100", places=3),
        st.decimals(min_value="1", max_value="16", places=1),
    )
    def test_decibels_agree_with_pythons_own_logarithm(self, volt, ohm):
        assert float(audio.dbw(audio.power(volt, ohm))) == pytest.approx(
            10 * math.log10(float(volt) ** 2 / float(ohm)), abs=1e-9
        )


class TestTransistors:
    @pytest.mark.parametrize(
        "ratio, millivolt",
        # Computed from Ebers-Moll with kT/q = 25.69 mV at 25 °C.
        [("1.1", "2.45"), ("1.2", "4.68"), ("2", "17.81"), ("10", "59.16"), ("1", "0.00")],
    )
    def test_the_tabled_vbe_differences(self, ratio, millivolt):
        assert like(millivolt, audio.delta_vbe(D(ratio)) * 1000) == D(millivolt)

    def test_the_thermal_voltage(self):
        # kT/q from the SI's exact constants: 25.69 mV at 25 °C, 25.85 mV at 300 K.
        assert like("0.01", audio.thermal_voltage() * 1000) == D("25.69")
        assert like("0.01", audio.thermal_voltage(D("26.85")) * 1000) == D("25.85")

    def test_the_constants_are_those_of_scipy(self):
        # Independent library: scipy.constants (CODATA).
        constants = pytest.importorskip("scipy.constants")
        assert float(audio.output_stage.BOLTZMANN) == constants.k
        assert float(audio.output_stage.ELEMENTARY_CHARGE) == constants.e

    @given(
        st.decimals(min_value="0.01", max_value="100", places=3),
        st.decimals(min_value="-40", max_value="150", places=1),
    )
    def test_the_ratio_comes_back_from_the_difference(self, ratio, celsius):
        found = audio.current_ratio(audio.delta_vbe(ratio, celsius), celsius)
        assert float(found) == pytest.approx(float(ratio), rel=1e-12)

    def test_a_junction_loses_two_millivolt_per_kelvin(self):
        # Common practice, no source.
        assert audio.vbe_drift(D(30)) == D("-0.06")

    def test_nothing_is_colder_than_absolute_zero(self):
        with pytest.raises(AudioError, match="Nothing is colder"):
            audio.delta_vbe(D(2), D("-273.15"))

    @pytest.mark.parametrize(
        "volt, junction",
        [
            # Diode range of a meter: common practice, no source.
            (None, Junction.OPEN),
            ("0", Junction.SHORT),
            ("0.049", Junction.SHORT),
            ("0.05", Junction.UNCLEAR),
            ("0.15", Junction.GERMANIUM),
            ("0.35", Junction.GERMANIUM),
            ("0.40", Junction.UNCLEAR),
            ("0.5", Junction.SILICON),
            ("0.7", Junction.SILICON),
            ("0.8", Junction.UNCLEAR),
            ("1.0", Junction.DARLINGTON),
            ("1.4", Junction.DARLINGTON),
            ("1.5", Junction.UNCLEAR),
            ("-0.6", Junction.UNCLEAR),
        ],
    )
    def test_what_a_diode_reading_suggests(self, volt, junction):
        assert audio.read_junction(None if volt is None else D(volt)) is junction


class TestSeriesLamp:
    @pytest.mark.parametrize(
        "volt, watt, ohm, ampere",
        # Computed: V²/P and P/V.
        [
            ("120", "60", "240", "0.5"),
            ("120", "100", "144", "0.833"),
            ("120", "150", "96", "1.25"),
            ("230", "100", "529", "0.435"),
        ],
    )
    def test_the_tabled_lamps(self, volt, watt, ohm, ampere):
        lamp = audio.lamp(D(volt), D(watt))
        assert lamp.hot_ohm == D(ohm)
        assert like(ampere, lamp.ampere) == D(ampere)

    def test_a_cold_filament_is_a_tenth_to_a_fifteenth_of_the_hot_one(self):
        # 120 V 100 W: 144 Ω lit, about 9.5 Ω cold, "about 1/15" (encyclopedia, looked up).
        low, high = audio.lamp(D(120), D(100)).cold_ohm
        assert float(low) == pytest.approx(9.5, rel=0.02)
        assert float(high) == pytest.approx(14.4)
        # 120 V 60 W: 240 Ω lit, about 24 Ω cold (a web answer, looked up).
        assert float(audio.lamp(D(120), D(60)).cold_ohm[1]) == pytest.approx(24)

    @pytest.mark.parametrize(
        "kind, low, high",
        # Common practice, no source.
        [
            (SetKind.PREAMPLIFIER, 40, 60),
            (SetKind.RECEIVER, 60, 100),
            (SetKind.POWER_AMPLIFIER, 150, 200),
        ],
    )
    def test_the_wattage_by_kind_of_set(self, kind, low, high):
        assert audio.LAMP_WATTS[kind] == (low, high)

    def test_the_wattage_by_draw_lies_between_idle_and_half_the_rating(self):
        # "The set's idle to half its rated draw": common practice, no source.
        assert audio.lamp_watts_by_draw(D(40), D(200)) == (40, 100)
        assert audio.lamp_watts_by_draw(D(60), D(80)) == (40, 60)

    def test_what_the_glow_says(self):
        # Repairers' articles (looked up): bright then dim is good, staying bright is a short.
        assert "carry on" in audio.glow_says(Glow.FLASH_THEN_DIM)
        assert "switch off" in audio.glow_says(Glow.STAYS_BRIGHT)
        assert "fuse" in audio.glow_says(Glow.DARK)


class TestLine:
    def test_a_set_marked_117_volt_on_123(self):
        # Computed: 123/117 = +5.1 %; the square is +10.5 %.
        effect = audio.line_effect(D(123), D(117))
        assert like("0.1", effect.voltage_percent) == D("5.1")
        assert like("0.1", effect.power_percent) == D("10.5")
        assert effect.ordinary is True
        assert effect.sentence == (
            "123 V on a set marked 117 V: unregulated rails and heaters +5.1 %, heat in resistances +11 %."
        )

    @pytest.mark.parametrize(
        "volt, nominal, ordinary",
        [
            # ANSI C84.1 range A, 114 to 126 V (from memory); EN 50160, 230 V ± 10 % (from memory).
            ("114", "120", True),
            ("126", "120", True),
            ("113.9", "120", False),
            ("126.1", "120", False),
            ("207", "230", True),
            ("253", "230", True),
            ("206", "230", False),
            ("254", "230", False),
            # Electricity Business Act of Japan, rule 38, 101 ± 6 V (from memory).
            ("100", "100", True),
            ("95", "100", True),
            ("107", "100", True),
            ("94.9", "100", False),
            ("107.1", "100", False),
            ("117", "117", None),
        ],
    )
    def test_whether_the_line_itself_is_ordinary(self, volt, nominal, ordinary):
        effect = audio.line_effect(D(volt), D(volt), D(nominal))
        assert effect.ordinary is ordinary
        assert ("outside" in effect.sentence) is (ordinary is False)

    def test_a_low_line_and_an_exact_one(self):
        low = audio.line_effect(D(110), D(120))
        assert low.sentence == (
            "110 V on a set marked 120 V: unregulated rails and heaters -8.3 %, heat in resistances -16 %. "
            "The line itself is outside 114 to 126 V."
        )
        exact = audio.line_effect(D(120), D(120))
        assert exact.sentence == (
            "120 V on a set marked 120 V: unregulated rails and heaters as designed, heat in resistances as designed."
        )


class TestMotor:
    @pytest.mark.parametrize("ohm, ampere", [("5", "2.4"), ("12", "1.0"), ("20", "0.6")])
    def test_the_stall_current_at_twelve_volt(self, ohm, ampere):
        # Computed, V/R.
        assert audio.stall_current(D(12), D(ohm)) == D(ampere)

    @pytest.mark.parametrize(
        "ohm, winding",
        # Small DC motor, 5 to 20 Ω: common practice, no source.
        [
            ("4.9", Winding.LOW),
            ("0", Winding.LOW),
            ("5", Winding.USUAL),
            ("20", Winding.USUAL),
            ("21", Winding.HIGH),
            ("800", Winding.HIGH),
            (None, Winding.OPEN),
        ],
    )
    def test_how_a_winding_reads(self, ohm, winding):
        assert audio.judge_winding(None if ohm is None else D(ohm)) is winding

    def test_another_motor_has_another_usual_range(self):
        assert audio.judge_winding(D(40), (D(30), D(60))) is Winding.USUAL
        assert audio.judge_winding(D(20), (D(30), D(60))) is Winding.LOW


class TestPotentiometers:
    @pytest.mark.parametrize(
        "percent, taper",
        [
            # A 10 to 20 % (15 % typical), B 50 %, C 80 to 90 % at mid rotation (looked up; from memory for 15A).
            ("10", Taper.AUDIO),
            ("15", Taper.AUDIO),
            ("20", Taper.AUDIO),
            ("50", Taper.LINEAR),
            ("80", Taper.REVERSE),
            ("90", Taper.REVERSE),
            # Between the bands nothing is decided: common practice, no source.
            ("4.9", None),
            ("5", Taper.AUDIO),
            ("30", Taper.AUDIO),
            ("35", None),
            ("40", Taper.LINEAR),
            ("60", Taper.LINEAR),
            ("65", None),
            ("70", Taper.REVERSE),
            ("95", Taper.REVERSE),
            ("95.1", None),
        ],
    )
    def test_the_reading_at_mid_rotation_tells_the_law(self, percent, taper):
        assert audio.taper_at_mid_rotation(D(percent)) is taper

    def test_a_ten_percent_log_pot_of_ten_kilohm_reads_one_kilohm(self):
        # A maker's board notes (looked up): "a 10% log taper on a 10K … would yield 1K at the midpoint".
        percent = audio.mid_rotation_percent(D(1000), D(10000))
        assert percent == 10
        assert audio.taper_at_mid_rotation(percent) is Taper.AUDIO

    @pytest.mark.parametrize(
        "letter, origin, tapers",
        [
            # Modern letters (looked up; W and MN from memory).
            ("A", TaperOrigin.MODERN, (Taper.AUDIO,)),
            ("b", TaperOrigin.MODERN, (Taper.LINEAR,)),
            ("C", TaperOrigin.MODERN, (Taper.REVERSE,)),
            ("W", TaperOrigin.MODERN, (Taper.S_CURVE,)),
            (" mn ", TaperOrigin.MODERN, (Taper.BALANCE,)),
            # Older and European letters (looked up); two sources contradict each other about C.
            ("A", TaperOrigin.OLDER, (Taper.LINEAR,)),
            ("B", TaperOrigin.OLDER, (Taper.AUDIO,)),
            ("C", TaperOrigin.OLDER, (Taper.REVERSE, Taper.AUDIO)),
            ("F", TaperOrigin.OLDER, (Taper.REVERSE,)),
            # Without the origin every meaning is given.
            ("A", None, (Taper.AUDIO, Taper.LINEAR)),
            ("B", None, (Taper.LINEAR, Taper.AUDIO)),
            ("F", None, (Taper.REVERSE,)),
            ("Q", None, ()),
            ("F", TaperOrigin.MODERN, ()),
        ],
    )
    def test_a_letter_means_what_its_origin_says(self, letter, origin, tapers):
        assert audio.tapers_of_letter(letter, origin) == tapers

    def test_a_wiper_outside_its_track_is_refused(self):
        for ohm in (D(-1), D(10001)):
            with pytest.raises(AudioError, match="wiper can't read"):
                audio.mid_rotation_percent(ohm, D(10000))
        assert audio.mid_rotation_percent(D(0), D(10000)) == 0
        assert audio.mid_rotation_percent(D(10000), D(10000)) == 100


class TestRefusals:
    @pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity"])
    def test_what_is_no_number_is_refused(self, value):
        bad = D(value)
        for call in (
            lambda: audio.judge_offset(bad, D(8)),
            lambda: audio.idle_current(bad, D(1)),
            lambda: audio.power(bad, D(1)),
            lambda: audio.rms_of_peak_to_peak(bad),
            lambda: audio.watts_of_dbw(bad),
            lambda: audio.volts_of_dbv(bad),
            lambda: audio.volts_of_dbu(bad),
            lambda: audio.thermal_voltage(bad),
            lambda: audio.current_ratio(bad),
            lambda: audio.vbe_drift(bad),
            lambda: audio.read_junction(bad),
            lambda: audio.judge_winding(bad),
            lambda: audio.taper_at_mid_rotation(bad),
            lambda: audio.mid_rotation_percent(bad, D(1)),
        ):
            with pytest.raises(AudioError, match="must be a number"):
                call()

    @pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
    def test_what_must_be_positive_is_refused_otherwise(self, value):
        bad = D(value)
        for call in (
            lambda: audio.judge_offset(D(1), bad),
            lambda: audio.power(D(1), bad),
            lambda: audio.dbw(bad),
            lambda: audio.dbm(bad),
            lambda: audio.dbv(bad),
            lambda: audio.dbu(bad),
            lambda: audio.preconditioning_watt(bad),
            lambda: audio.delta_vbe(bad),
            lambda: audio.lamp(bad, D(1)),
            lambda: audio.lamp(D(1), bad),
            lambda: audio.lamp_watts_by_draw(bad, D(1)),
            lambda: audio.lamp_watts_by_draw(D(1), bad),
            lambda: audio.line_effect(bad, D(1)),
            lambda: audio.line_effect(D(1), bad),
            lambda: audio.line_effect(D(1), D(1), bad),
            lambda: audio.stall_current(bad, D(1)),
            lambda: audio.stall_current(D(1), bad),
            lambda: audio.mid_rotation_percent(D(0), bad),
            lambda: audio.standards_warning(bad),
            lambda: audio.ul_rating_near(bad),
        ):
            with pytest.raises(AudioError, match="must be a positive number"):
                call()


class TestOutsideOfWhatCanBe:
    # Physical ranges: two junctions in parallel 200 mV apart share in a ratio of 2,400 (Ebers-Moll); wider is no
    # mismatch but an open junction. Bounds: common practice, no source.
    @pytest.mark.parametrize("volt", ["65000", "5", "0.201", "-0.201", "1E12", "1E300"])
    def test_a_difference_of_v_be_that_no_two_junctions_have_is_refused(self, volt):
        with pytest.raises(AudioError, match=r"\.$"):
            audio.current_ratio(D(volt))

    def test_a_difference_of_v_be_up_to_the_bound_is_answered(self):
        assert 2_000 < audio.current_ratio(D("0.2")) < 3_000

    @pytest.mark.parametrize("volt", ["-44.6", "44.6", "2"])
    def test_a_rail_at_the_output_is_no_offset(self, volt):
        offset = audio.judge_offset(D(volt), D(8))
        assert offset.band is audio.OffsetBand.FAULT
        assert "no offset but a failed output stage" in offset.sentence
        assert "mV" not in offset.sentence

    @pytest.mark.parametrize("volt", ["65000", "-301", "1E12"])
    def test_more_than_any_rail_is_refused(self, volt):
        with pytest.raises(AudioError, match="must lie within -300 to 300 V"):
            audio.judge_offset(D(volt), D(8))

    @pytest.mark.parametrize("celsius", ["-101", "301", "1E6"])
    def test_a_junction_is_neither_frozen_nor_molten(self, celsius):
        with pytest.raises(AudioError, match="must lie within"):
            audio.thermal_voltage(D(celsius))

    @pytest.mark.parametrize("level", ["301", "-301", "1E9"])
    def test_a_level_beyond_all_hearing_is_refused(self, level):
        for call in (audio.watts_of_dbw, audio.volts_of_dbv, audio.volts_of_dbu):
            with pytest.raises(AudioError, match="must lie within"):
                call(D(level))


class TestLinesByCountry:
    # Sources stand with each row of LINES, all from memory; the limits computed from the percentages.
    @pytest.mark.parametrize(
        "country, nominal, low, high",
        [
            ("US", 120, "114", "126"),
            ("JP", 100, "95", "107"),
            ("GB", 230, "216.2", "253"),
            ("AU", 230, "216.2", "253"),
            ("DE", 230, "207", "253"),
            ("FR", 230, "207", "253"),
        ],
    )
    def test_each_country_has_its_own_range(self, country, nominal, low, high):
        line = audio.line_of(country, D(nominal))
        assert (line.low_volt, line.high_volt) == (D(low), D(high))
        assert line.source
        assert audio.line_effect(D(low), D(nominal), D(nominal), country).ordinary is True
        assert audio.line_effect(D(high) + D("0.1"), D(nominal), D(nominal), country).ordinary is False

    def test_a_shop_on_another_countrys_voltage_is_held_to_that_voltage(self):
        assert audio.line_of("US", D(230)) == audio.line_of("DE", D(230))
        assert audio.line_of("JP", D(117)) is None

    @pytest.mark.parametrize(
        "line, marked", [("120", "100"), ("230", "120"), ("240", "110"), ("120", "230"), ("100", "117")]
    )
    def test_a_set_made_for_another_line_is_never_ordinary(self, line, marked):
        for nominal in ("100", "120", "230", "110"):
            effect = audio.line_effect(D(line), D(marked), D(nominal))
            assert effect.ordinary is False
            assert "voltage selector" in effect.sentence
