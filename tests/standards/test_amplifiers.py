"""Amplifiers and tubes against numpy, scipy and own netlists in ngspice; the source stands beside each."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest
from scipy import signal

from shop.handbook.amplifiers import distortion, heat, response, tubes
from shop.handbook.refusal import Refused
from tests.standards.spice import needs_ngspice, simulated

D = Decimal


class TestDistortion:
    """Harmonics."""

    @pytest.mark.parametrize("harmonics", [[0.03, 0.004, 0.001], [0.1], [0.0002, 0.0005], [0.2, 0.2, 0.1]])
    def test_thd_is_what_a_fourier_transform_shows(self, harmonics):
        times = np.arange(4096) / 4096
        wave = np.sin(2 * np.pi * times) + sum(
            a * np.sin(2 * np.pi * (n + 2) * times) for n, a in enumerate(harmonics)
        )
        bins = abs(np.fft.rfft(wave))
        rest = math.sqrt(sum(bins[2:20] ** 2))
        found = distortion.thd(D(1), [D(repr(one)) for one in harmonics])
        assert float(found.of_fundamental) == pytest.approx(100 * rest / bins[1], rel=1e-6)
        assert float(found.of_whole) == pytest.approx(100 * rest / math.hypot(rest, bins[1]), rel=1e-6)

    @needs_ngspice
    def test_a_netlists_own_fourier_analysis_agrees(self):
        # y = x + 0.05 x² + 0.02 x³ makes 2nd and 3rd harmonics; ngspice's .fourier prints its THD in percent
        netlist = "V1 i 0 sin(0 1 1k)\nB1 o 0 V=v(i)+0.05*v(i)*v(i)+0.02*v(i)*v(i)*v(i)"
        said = simulated(netlist, "tran 0.1u 10m 0 0.1u\nfourier 1k o\nlet second=fourier11[1][2]\nlet third=fourier11[1][3]\n"
                                  "let first=fourier11[1][1]\nprint first\nprint second\nprint third")  # fmt: skip
        found = distortion.thd(D(repr(said["first"])), [D(repr(said["second"])), D(repr(said["third"]))])
        assert float(found.of_fundamental) == pytest.approx(100 * math.hypot(0.025, 0.005) / 1.015, rel=0.002)

    def test_levels_in_decibel_are_ratios(self):
        # −60 dB alone is 0.1 %; two of −60 are 0.1414 % (by hand)
        assert float(distortion.thd_of_levels([D(-60)]).of_fundamental) == pytest.approx(0.1)
        assert float(distortion.thd_of_levels([D(-60), D(-60)]).of_fundamental) == pytest.approx(
            0.141421, rel=1e-5
        )
        with pytest.raises(Refused):
            distortion.thd_of_levels([D(60)])

    def test_noise_and_sinad(self):
        assert float(distortion.sinad_db(D("0.1"))) == pytest.approx(60)
        assert float(distortion.sinad_db(D(25))) == pytest.approx(
            12.0412, abs=1e-4
        )  # the radio's 12 dB SINAD is 25 %
        assert float(distortion.signal_to_noise_db(D("2.83"), D("0.0004"))) == pytest.approx(
            20 * math.log10(2.83 / 0.0004)
        )
        assert (
            distortion.named(D("76.99"), "1 W", "shorted", "A-weighted")
            == "77.0 dB, re 1 W, input shorted, A-weighted"
        )
        assert "reference and weighting not noted" in distortion.named(D(77), "", "shorted", "")


class TestResponse:
    """Response and load."""

    @pytest.mark.parametrize("own,light,heavy", [(0.05, 100.0, 8.0), (2.2, 16.0, 4.0), (0.4, None, 8.0)])
    def test_two_loads_tell_the_resistance_behind_them(self, own, light, heavy):
        source = 5.0
        at_light = source if light is None else source * light / (light + own)
        at_heavy = source * heavy / (heavy + own)
        found = response.damping(
            D(repr(at_light)), None if light is None else D(light), D(repr(at_heavy)), D(heavy), D(8)
        )
        assert float(found.output_ohm) == pytest.approx(own, rel=1e-9)
        assert float(found.factor or 0) == pytest.approx(8 / own, rel=1e-9)

    def test_exchanged_voltages_are_no_negative_resistance(self):
        with pytest.raises(Refused, match="exchanged"):
            response.damping(D("2.79"), None, D("2.85"), D(8), D(8))
        assert response.damping(D("2.8"), None, D("2.8"), D(8), D(8)).factor is None

    @pytest.mark.parametrize("hertz", [20e3, 80e3, 1.5e6])
    def test_a_poles_edge_by_scipy(self, hertz):
        tau = 1 / (2 * math.pi * hertz)
        times, edge = signal.step(signal.lti([1], [tau, 1]), T=np.linspace(0, 6 * tau, 200_001))
        rise = np.interp(0.9, edge, times) - np.interp(0.1, edge, times)
        assert float(response.rise_time(D(repr(hertz)))) == pytest.approx(rise, rel=1e-5)
        assert float(response.bandwidth(D(repr(float(rise))))) == pytest.approx(hertz, rel=1e-5)

    @needs_ngspice
    @pytest.mark.parametrize(
        "volt,ohm,farad,hertz",
        [(20, 10, "100E-9", 20_000), (28, "4.7", "47E-9", 100_000), (12, 10, "100E-9", 1_000_000)],
    )
    def test_a_zobels_heat_is_that_of_a_netlist(self, volt, ohm, farad, hertz):
        netlist = f"V1 i 0 ac {volt}\nR1 i a {ohm}\nC1 a 0 {farad}"
        said = simulated(netlist, f"ac lin 1 {hertz} {hertz}\nlet heat=mag(v(i)-v(a))^2/{ohm}\nprint heat")
        assert float(response.zobel(D(volt), D(ohm), D(farad), D(hertz)).watt) == pytest.approx(
            said["heat"], rel=0.001
        )

    @needs_ngspice
    @pytest.mark.parametrize("kind,down", [("first", -3.0103), ("second", -3.0103), ("lr2", -6.0206)])
    def test_crossovers_meet_where_they_should_in_a_netlist(self, kind, down):
        farad, henry = response.crossover(response.Crossover(kind), D(2500), D(8))
        low = f"L1 i a {henry}\nR1 a 0 8" + ("" if kind == "first" else f"\nC1 a 0 {farad}")
        high = f"C2 i b {farad}\nR2 b 0 8" + ("" if kind == "first" else f"\nL2 b 0 {henry}")
        said = simulated(
            f"V1 i 0 ac 1\n{low}\n{high}",
            "ac lin 1 2500 2500\nlet woofer=vdb(a)\nlet tweeter=vdb(b)\nprint woofer\nprint tweeter",
        )
        assert said["woofer"] == pytest.approx(down, abs=0.01)
        assert said["tweeter"] == pytest.approx(down, abs=0.01)

    def test_loudspeakers_share_by_their_conductance(self):
        # 8 ∥ 4 Ω is 2.667 Ω, and the 4 Ω takes two thirds (by hand)
        found = response.speakers([D(8), D(4)])
        assert float(found.ohm) == pytest.approx(8 / 3)
        assert [round(float(one), 3) for one in found.shares] == [33.333, 66.667]
        assert response.speakers([D(8), D(4)], in_series=True).ohm == 12


class TestHeat:
    """Junctions."""

    @needs_ngspice
    def test_a_chain_of_resistances_is_a_circuit(self):
        # heat is current, temperature voltage: the usual analogy, solved by ngspice
        said = simulated(
            "I1 0 j 25\nR1 j c 1.17\nR2 c s 0.5\nR3 s a 1.2\nV1 a 0 40",
            "op\nlet j1=v(j)\nlet c1=v(c)\nlet s1=v(s)\nprint j1\nprint c1\nprint s1",
        )
        found = heat.chain(D(25), D(40), D("1.17"), D("0.5"), D("1.2"))
        assert [float(one) for one in (found.junction, found.case, found.sink)] == pytest.approx(
            [said["j1"], said["c1"], said["s1"]]
        )

    def test_derating_is_a_straight_line(self):
        # a 115 W metal can, 200 °C: 0.657 W/K (data sheets of the 2N3055, from memory) leaves 65.7 W at 100 °C
        assert float(heat.derated_watt(D(115), D(100), D(200))) == pytest.approx(115 - 75 * 0.657, abs=0.1)
        assert heat.derated_watt(D(115), D(250), D(200)) == 0
        assert heat.derated_watt(D(115), D(-20), D(200)) == 115

    def test_the_most_heat_of_class_b_by_searching(self):
        swings = np.linspace(0, 42, 100_001)
        lost = 2 * 42 * swings / (math.pi * 8) - swings**2 / 16
        assert float(heat.class_b_heat(D(42), D(8))) == pytest.approx(lost.max(), rel=1e-6)


class TestTubes:
    """Bias and transformer."""

    @needs_ngspice
    def test_a_tube_with_its_screen_deducted_is_that_of_a_netlist(self):
        # plate 40 mA and screen 2.5 mA into 1 Ω of cathode resistor, 430 V: own netlist
        said = simulated(
            "V1 p 0 430\nV2 g 0 425\nI1 p k 40m\nI2 g k 2.5m\nR1 k 0 1",
            "op\nlet kv=v(k)\nlet heat=(v(p)-v(k))*0.04\nprint kv\nprint heat",
        )
        found = tubes.idle(D(repr(said["kv"])), D(1), D(430), D(25), screen_ampere=D("0.0025"))
        assert float(found.plate_watt) == pytest.approx(said["heat"], rel=1e-4)
        assert float(found.percent) == pytest.approx(said["heat"] / 25 * 100, rel=1e-4)

    def test_a_shared_cathode_resistor_and_a_guessed_screen(self):
        # two tubes, 12.6 V over 130 Ω: 48.46 mA each; without a screen's number 1/21 of it is taken off (by hand)
        found = tubes.idle(D("12.6"), D(130), D(320), D(12), tubes=2)
        assert float(found.cathode_ampere) == pytest.approx(0.0484615, rel=1e-5)
        assert float(found.plate_ampere) == pytest.approx(0.0461538, rel=1e-5)
        assert found.screen_guessed
        triode = tubes.idle(D("12.6"), D(130), D(320), D(12), tubes=2, has_screen=False)
        assert triode.plate_ampere == triode.cathode_ampere
        assert not triode.screen_guessed

    @pytest.mark.parametrize(
        "volt,ohm,plate",
        [
            ("38", "1", "430"),
            ("0.04", "1", "5"),
            ("-1", "1", "430"),
            ("NaN", "1", "430"),
            ("12", "270", "9000"),
        ],
    )
    def test_no_tube_idles_so(self, volt, ohm, plate):
        with pytest.raises(Refused):
            tubes.idle(D(volt), D(ohm), D(plate), D(25))

    def test_ceilings_differ_by_bias(self):
        assert (tubes.Bias.FIXED_AB.ceiling, tubes.Bias.CATHODE_A.ceiling) == (70, 100)
        assert float(tubes.current_for(D(70), D(430), D(25))) == pytest.approx(0.0407, abs=1e-4)

    @needs_ngspice
    def test_a_ratio_transforms_the_load_in_a_netlist(self):
        found = tubes.transformer(D(20), D("0.8"), D(8))
        assert (found.turns, found.primary_ohm) == (25, 5000)
        # a nearly ideal transformer of that ratio: 2500 H to 4 H, coupled
        said = simulated(
            "V1 p 0 ac 1\nL1 p 0 2500\nL2 s 0 4\nK1 L1 L2 0.9999999\nR1 s 0 8",
            "ac lin 1 1000 1000\nlet z=1/mag(i(v1))\nprint z",
        )
        assert said["z"] == pytest.approx(5000, rel=0.01)
