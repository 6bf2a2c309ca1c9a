"""Tape and disc against scipy, ngspice, pint and worked values; the source stands beside each."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, signal

from shop.handbook.playback import azimuth, cartridge, flux, speed
from shop.handbook.playback.equalization import Curve, corner_hz, gain_db
from shop.handbook.refusal import Refused
from tests.standards.spice import needs_ngspice, simulated

D = Decimal
TWENTY = [
    20,
    30,
    40,
    50,
    70,
    100,
    150,
    200,
    300,
    500,
    700,
    1000,
    1500,
    2000,
    3000,
    5000,
    7000,
    10000,
    15000,
    20000,
]
MICRO = 1e-6


def by_scipy(zeros: list[float], poles: list[float], hertz: float, rises: int = 0) -> float:
    """The level in dB of a transfer function by its time constants in µs, as scipy.signal works it out."""
    top, bottom = np.poly1d([1.0]), np.poly1d([1.0])
    for each in zeros:
        top *= np.poly1d([each * MICRO, 1])
    for each in poles:
        bottom *= np.poly1d([each * MICRO, 1])
    if rises > 0:
        top *= np.poly1d([1, 0])
    if rises < 0:
        bottom *= np.poly1d([1, 0])
    _, response = signal.freqs(top.coeffs, bottom.coeffs, [2 * math.pi * hertz])
    return float(20 * math.log10(abs(response[0])))


class TestEqualization:
    """Each curve against scipy, a netlist, and the printed table."""

    @pytest.mark.parametrize("hertz", TWENTY)
    def test_riaa_follows_the_closed_form_within_a_hundredth(self, hertz):
        # IEC 60098: 10 log(1 + (ωτ2)²) − 10 log(1 + (ωτ1)²) − 10 log(1 + (ωτ3)²), less the same at 1 kHz
        def closed(f: float) -> float:
            one, two, three = ((2 * math.pi * f * tau) ** 2 for tau in (3180e-6, 318e-6, 75e-6))
            return 10 * math.log10((1 + two) / ((1 + one) * (1 + three)))

        ours = float(gain_db(Curve.RIAA, D(hertz)))
        assert ours == pytest.approx(closed(hertz) - closed(1000), abs=0.01)
        assert ours == pytest.approx(
            by_scipy([318], [3180, 75], hertz) - by_scipy([318], [3180, 75], 1000), abs=1e-6
        )

    # the table that every designer's handbook prints (from memory), to its own last digit
    @pytest.mark.parametrize("hertz,level", [
        (20, 19.274), (50, 16.946), (100, 13.088), (200, 8.219), (500, 2.648), (1000, 0), (2000, -2.589),
        (5000, -8.210), (10000, -13.734), (20000, -19.620),
    ])  # fmt: skip
    def test_riaa_agrees_with_the_printed_table(self, hertz, level):
        assert float(gain_db(Curve.RIAA, D(hertz))) == pytest.approx(level, abs=0.001)

    # IEC 60098, amendment of 1976: 20.02 Hz is its corner, so 3.01 dB less at 20 Hz than RIAA's 19.27 (worked by hand)
    @pytest.mark.parametrize("hertz", TWENTY)
    def test_the_amendment_takes_off_the_deepest_bass_only(self, hertz):
        ours = float(gain_db(Curve.RIAA_IEC, D(hertz)))
        other = by_scipy([318], [3180, 75, 7950], hertz, rises=1) - by_scipy(
            [318], [3180, 75, 7950], 1000, rises=1
        )
        assert ours == pytest.approx(other, abs=1e-6)
        assert float(gain_db(Curve.RIAA_IEC, D(20))) == pytest.approx(16.26, abs=0.01)

    @pytest.mark.parametrize("curve,zeros,poles,rises", [
        (Curve.CASSETTE_120, [120], [3180], 0), (Curve.CASSETTE_70, [70], [3180], 0), (Curve.NAB_FAST, [50], [3180], 0),
        (Curve.NAB_SLOW, [90], [3180], 0), (Curve.IEC_70, [70], [], -1), (Curve.IEC_35, [35], [], -1),
        (Curve.AES_30, [17.5], [], -1), (Curve.FM_75, [], [75], 0), (Curve.FM_50, [], [50], 0),
    ])  # fmt: skip
    def test_tape_and_fm_agree_with_scipy(self, curve, zeros, poles, rises):
        for hertz in TWENTY:
            other = by_scipy(zeros, poles, hertz, rises) - by_scipy(zeros, poles, 1000, rises)
            assert float(gain_db(curve, D(hertz))) == pytest.approx(other, abs=1e-6)

    def test_known_corners_and_differences(self):
        # 3180, 318 and 75 µs are 50.05, 500.5 and 2122 Hz (every handbook); 120 against 70 µs is 4.5 dB at 10 kHz, and
        # 75 µs takes 13.66 dB off at 10 kHz from its low frequencies (worked by hand: 10 log(1 + 4.712²))
        assert [round(corner_hz(D(one))) for one in (3180, 318, 75)] == [50, 500, 2122]
        difference = gain_db(Curve.CASSETTE_120, D(10_000)) - gain_db(Curve.CASSETTE_70, D(10_000))
        flat = gain_db(Curve.CASSETTE_120, D(1)) - gain_db(Curve.CASSETTE_70, D(1))
        assert float(difference - flat) == pytest.approx(4.54, abs=0.005)
        assert float(gain_db(Curve.FM_75, D(10_000)) - gain_db(Curve.FM_75, D(1))) == pytest.approx(
            -13.66, abs=0.01
        )

    @needs_ngspice
    def test_a_network_of_our_own_shows_the_same_curve(self):
        # poles by RC behind buffers, the zero by a divider: 31.8k/3.533k with 0.1 µF gives 3180+318... each stage alone
        netlist = """
V1 in 0 ac 1
R1 in a 286.2k
R2 a b 31.8k
C1 b 0 10n
E1 c 0 a 0 1
R3 c d 7.5k
C2 d 0 10n
"""
        said = simulated(netlist, "ac lin 1 1000 1000\nlet ref=vdb(d)\n" + "\n".join(
            f"ac lin 1 {f} {f}\nlet g{f}=vdb(d)\nprint g{f}" for f in TWENTY))  # fmt: skip
        for hertz in TWENTY:
            ours = float(gain_db(Curve.RIAA, D(hertz)))
            assert ours == pytest.approx(said[f"g{hertz}"] - said["g1000"], abs=0.01)

    @pytest.mark.parametrize("hertz", ["0", "-5", "0.5", "200001", "NaN", "Infinity"])
    def test_no_curve_is_told_where_none_is(self, hertz):
        with pytest.raises(Refused, match="frequency must lie within 1 to 200000 Hz"):
            gain_db(Curve.RIAA, D(hertz))


class TestSpeed:
    """Tones, strobes and tape."""

    # percent: arithmetic; cents: 1200 log2 of the ratio by numpy
    @pytest.mark.parametrize(
        "measured,tape", [(3150, 3150), (3123, 3150), (3000, 3150), (3175, 3150), (2970, 3000), (333, 315)]
    )
    def test_the_error_is_the_tones_ratio(self, measured, tape):
        found = speed.by_tone(D(measured), D(tape))
        assert float(found.percent) == pytest.approx((measured / tape - 1) * 100)
        assert float(found.cents) == pytest.approx(1200 * np.log2(measured / tape), abs=1e-9)

    def test_a_reading_that_fits_the_other_test_tape_is_told(self):
        assert speed.by_tone(D(3005), D(3150)).other_tone == 3000
        assert speed.by_tone(D(3140), D(3000)).other_tone == 3150
        assert speed.by_tone(D(3100), D(3150)).other_tone is None

    @pytest.mark.parametrize("measured", ["6300", "1575", "0", "-3150", "NaN"])
    def test_another_speed_is_no_speed_error(self, measured):
        with pytest.raises(Refused):
            speed.by_tone(D(measured), D(3150))

    # 45 rpm at 50 Hz has 133.3 bars; 133 stand still at +0.25 % (arithmetic). 33 1/3: 180 bars at 50 Hz, 216 at 60 Hz,
    # as every strobe disc has them; 78.26 rpm has 92 bars at 60 Hz and 77 at 50 Hz (77.92 rpm) (from memory)
    @pytest.mark.parametrize("rpm,line,bars,stands,percent", [
        ("45", 50, 133, 45.1128, 0.2506), ("45", 60, 160, 45, 0), ("33.333333333333333333", 50, 180, 33.33333, 0),
        ("33.333333333333333333", 60, 216, 33.33333, 0), ("78.26", 60, 92, 78.2609, 0.0011), ("78.26", 50, 77, 77.9221, -0.4318),
    ])  # fmt: skip
    def test_strobe_discs_have_the_bars_that_they_have(self, rpm, line, bars, stands, percent):
        ring = speed.strobe(D(rpm), D(line))
        assert ring.bars == bars
        assert float(ring.stands_at_rpm) == pytest.approx(stands, abs=1e-4)
        assert float(ring.percent) == pytest.approx(percent, abs=1e-3)

    @given(bars=st.integers(60, 300), line=st.sampled_from([50, 60]), off=st.floats(-0.05, 0.05))
    def test_wandering_bars_tell_the_speed(self, bars, line, off):
        # the platter's speed by counting: bars a second past a point, less the lamp's flashes, is what wanders
        standing = 120 * line / bars
        if not 10 <= standing <= 100:
            return
        turning = standing * (1 + off)
        wandering = (bars * turning / 60 - 2 * line) * 60
        if abs(wandering) > 2000:
            return
        found = speed.drift_percent(D(repr(wandering)), bars, D(repr(standing)))
        assert float(found) == pytest.approx(off * 100, abs=1e-6)

    @pytest.mark.parametrize("name,inches", [("7 1/2 in/s", 7.5), ("15 in/s", 15), ("1 7/8 in/s", 1.875), ("30 in/s", 30),
                                             ("3 3/4 in/s", 3.75), ("15/16 in/s", 0.9375)])  # fmt: skip
    def test_nominal_speeds_are_the_same_by_pint(self, name, inches):
        units = pint.UnitRegistry()
        assert float(speed.TAPE_SPEEDS[name]) == pytest.approx(
            (inches * units("inch/second")).to("cm/s").magnitude
        )
        assert speed.tape_speed(speed.TAPE_SPEEDS[name]).nominal == name

    def test_a_length_and_a_stopwatch_tell_the_speed(self):
        found = speed.speed_by_length(D(10), D("52.4"))  # 1000 cm in 52.4 s: 19.084 cm/s
        assert (found.nominal, round(found.cm_s, 3), round(found.percent, 2)) == (
            "7 1/2 in/s",
            D("19.084"),
            D("0.18"),
        )
        assert round(speed.wavelength_um(D("4.7625"), D(10_000)), 4) == D("4.7625")

    def test_din_allows_what_it_allowed(self):
        assert speed.tolerated(D("1.5"), "cassette")
        assert not speed.tolerated(D("-1.51"), "cassette")
        assert not speed.tolerated(D("-1.2"), "record")


class TestFlux:
    """nWb/m by both methods."""

    def test_the_dolby_level_reads_218_by_iec(self):
        # 200 nWb/m by ANSI is 218 nWb/m by IEC: what makers of calibration tapes print (from memory)
        assert round(flux.converted(D(200), flux.Method.ANSI, flux.Method.IEC)) == 218
        assert flux.apart_db(D(200), flux.Method.ANSI, D(218), flux.Method.IEC) == pytest.approx(
            D(0), abs=D("0.01")
        )

    def test_levels_lie_apart_by_their_ratio(self):
        # 370 over 185 nWb/m is 6.02 dB, 250 over 185 is 2.62 dB (20 log, by numpy)
        for over in (370, 250, 320):
            ours = flux.apart_db(D(over), flux.Method.ANSI, D(185), flux.Method.ANSI)
            assert float(ours) == pytest.approx(20 * np.log10(over / 185))

    @given(st.decimals(1, 3000, places=2), st.sampled_from(flux.Method), st.sampled_from(flux.Method))
    def test_there_and_back_is_the_same_flux(self, nwb, one, other):
        there = flux.converted(nwb, one, other)
        if 1 <= there <= 3000:
            assert flux.converted(there, other, one) == pytest.approx(nwb, abs=D("1E-20"))


class TestAzimuth:
    """Geometry."""

    def test_one_minute_on_a_cassette(self):
        # 0.9 mm · tan 1′ / 47.625 mm/s is 5.5 µs, 20° at 10 kHz (worked by hand)
        found = azimuth.by_angle(D(1), D(10_000), D("4.7625"), D("0.9"))
        assert float(found.delay_s) == pytest.approx(5.5e-6, rel=0.002)
        assert float(found.phase_degree) == pytest.approx(20, abs=0.25)

    @given(st.floats(-4, 4), st.sampled_from([(1000, 4.7625, 0.9), (400, 19.05, 3.4), (1000, 38.1, 4)]))
    def test_phase_and_tilt_are_each_others_answer(self, minute, machine):
        given_ = [D(repr(one)) for one in machine]
        there = azimuth.by_angle(D(repr(minute)), *given_)
        assert float(azimuth.by_phase(there.phase_degree, *given_).minute) == pytest.approx(minute, abs=1e-6)

    @pytest.mark.parametrize("minute,hertz", [(5, 10_000), (10, 12_500), (2, 16_000), (20, 8000)])
    def test_a_tilted_track_averages_the_wave_across_its_width(self, minute, hertz):
        # the mean of the wave over the track, added up by numpy in 20,001 strips
        across = np.linspace(-0.3, 0.3, 20_001)
        phases = 2 * np.pi * across * math.tan(math.radians(minute / 60)) / (47.625 / hertz)
        mean = abs(np.trapezoid(np.exp(1j * phases), across)) / 0.6
        ours = azimuth.loss_db(D(minute), D(hertz), D("4.7625"), D("0.6"))
        assert float(ours or 0) == pytest.approx(20 * math.log10(mean), abs=1e-4)

    def test_tracks_in_opposition_leave_nothing(self):
        assert azimuth.by_phase(D(180), D(1000), D("4.7625"), D("0.9")).sum_db is None

    @pytest.mark.parametrize("degree", ["181", "-400", "NaN", "Infinity"])
    def test_a_phase_over_half_a_turn_is_none(self, degree):
        with pytest.raises(Refused):
            azimuth.by_phase(D(degree), D(1000), D("4.7625"), D("0.9"))


CARTRIDGES = [("0.5", "1000", "300E-12", "47000"), ("0.75", "800", "450E-12", "47000"), ("0.4", "500", "150E-12", "100000"),
              ("0.27", "610", "200E-12", "33000"), ("0.93", "1300", "275E-12", "47000")]  # fmt: skip


def _four(values: tuple[str, str, str, str]) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    coil, resistance, capacitance, loading = map(D, values)
    return coil, resistance, capacitance, loading


class TestCartridge:
    """The low pass of coil and cable; the arm on its spring."""

    @pytest.mark.parametrize("values", CARTRIDGES)
    def test_peak_and_end_agree_with_scipy(self, values):
        coil, resistance, capacitance, loading = (float(one) for one in values)

        def level(hertz: float) -> float:
            s = 2j * math.pi * hertz
            parallel = 1 / (1 / loading + s * capacitance)
            return float(20 * math.log10(abs(parallel / (parallel + resistance + s * coil))))

        low, found = level(0.01), cartridge.load(*(D(one) for one in values))
        corner = optimize.brentq(lambda f: level(f) - low + 20 * math.log10(math.sqrt(2)), 1000, 200_000)
        assert float(found.corner_hz) == pytest.approx(float(corner), rel=1e-6)
        best = optimize.minimize_scalar(
            lambda f: -level(f), bounds=(10, 100_000), method="bounded", options={"xatol": 1e-3}
        )
        assert float(found.peak_db) == pytest.approx(max(-best.fun - low, 0), abs=1e-4)
        for hertz in (1000, 8000, 15_000, 20_000):
            ours = cartridge.load_db(*_four(values), D(hertz))
            assert float(ours) == pytest.approx(level(hertz) - low, abs=1e-5)

    @needs_ngspice
    @pytest.mark.parametrize("values", CARTRIDGES)
    def test_a_netlist_shows_the_same_treble(self, values):
        coil, resistance, capacitance, loading = values
        netlist = (
            f"V1 in 0 ac 1\nL1 in a {coil}\nR1 a out {resistance}\nC1 out 0 {capacitance}\nR2 out 0 {loading}"
        )
        said = simulated(
            netlist,
            "ac lin 1 0.01 0.01\nlet low=vdb(out)\nprint low\nac lin 1 15000 15000\nlet high=vdb(out)\nprint high",
        )
        ours = cartridge.load_db(*_four(values), D(15_000))
        assert float(ours) == pytest.approx(said["high"] - said["low"], abs=0.01)

    def test_arms_resonate_where_the_charts_say(self):
        # 159 / √(m · c): 20 g on 20 µm/mN is 7.96 Hz, 16 g on 16 µm/mN 9.95 Hz (worked by hand, as makers' charts have it)
        assert round(cartridge.arm_resonance(D(20), D(20)), 2) == D("7.96")
        assert round(cartridge.arm_resonance(D(16), D(16)), 2) == D("9.95")

    def test_a_spring_and_a_mass_swing_so_by_scipy(self):
        mass, compliance = 18.5e-3, 12e-3  # kg, m/N
        swings = signal.lti([1], [mass, 0, 1 / compliance]).poles
        assert float(cartridge.arm_resonance(D("18.5"), D(12))) == pytest.approx(
            max(swings.imag) / (2 * math.pi)
        )

    def test_a_compliance_at_100_hz_gives_a_lower_resonance(self):
        low, high = cartridge.arm_resonance_from_100_hz(D(18), D(10))
        assert low == cartridge.arm_resonance(D(18), D(20))
        assert high == cartridge.arm_resonance(D(18), D(15))

    def test_grams_are_millinewtons_by_pint(self):
        units = pint.UnitRegistry()
        other = (1.75 * units("gram * standard_gravity")).to("mN").magnitude
        assert float(cartridge.millinewton(D("1.75"))) == pytest.approx(other)
        assert [cartridge.within_maker(D(one), D("1.5"), D(2)) for one in ("1.4", "1.5", "2", "2.1")] == [
            -1,
            0,
            0,
            1,
        ]
