"""The supply against scipy and netlists of our own in ngspice; the source stands beside each."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest
from scipy import integrate

from shop.handbook.audio import objections, read_fuse
from shop.handbook.refusal import Refused
from shop.handbook.supply import line_side, networks, ripple
from tests.standards.spice import needs_ngspice, simulated

D = Decimal

RESERVOIRS = [
    (48, "1.5", "10E-3", 50, True),
    (48, "3", "4.7E-3", 60, True),
    (17, "0.5", "2.2E-3", 60, True),
    (400, "0.12", "47E-6", 60, True),
    (330, "0.06", "47E-6", 50, False),
    (12, "0.1", "1E-3", 60, False),
    (60, "2", "22E-3", 50, True),
    (25, "0.8", "1E-3", 60, True),
]


@needs_ngspice
@pytest.mark.parametrize("peak,ampere,farad,hertz,full", RESERVOIRS)
def test_ripple_and_voltages_are_those_of_a_netlist_within_two_percent(
    peak, ampere, farad, hertz, full
) -> None:
    wave = f"abs({peak}*sin(6.283185307*{hertz}*time))" if full else f"{peak}*sin(6.283185307*{hertz}*time)"
    netlist = f"B1 a 0 V={wave}\nD1 a out ideal\nC1 out 0 {farad} ic={peak}\nI1 out 0 dc {ampere}\n.model ideal d(n=0.005 rs=1u)"
    end, begin, step = 20 / hertz, 16 / hertz, 1 / hertz / 4000
    said = simulated(
        netlist,
        f"tran {step} {end} 0 {step} uic\n"
        + "\n".join(
            f"meas tran {name} {what} v(out) from={begin} to={end}"
            for name, what in (("hi", "max"), ("lo", "min"), ("av", "avg"))
        ),
    )
    ours = ripple.ripple(D(peak), D(ampere), D(farad), D(hertz), full_wave=full)
    assert float(ours.volt_pp) == pytest.approx(said["hi"] - said["lo"], rel=0.02)
    assert float(ours.lowest_volt) == pytest.approx(said["lo"], rel=0.01)
    assert float(ours.mean_volt) == pytest.approx(said["av"], rel=0.01)
    assert ours.rule_volt_pp >= ours.volt_pp


@pytest.mark.parametrize(
    "values",
    [
        ("48", "50", "1E-3", "50"),
        ("48", "NaN", "1E-3", "50"),
        ("48", "1", "1E-6", "60"),
        ("-48", "1", "1E-2", "60"),
        ("48", "1", "1E-2", "0"),
    ],
)
def test_a_reservoir_that_holds_nothing_is_refused(values) -> None:
    with pytest.raises(Refused):
        ripple.ripple(*(D(one) for one in values))


class TestNetworks:
    """Kirchhoff, by numpy and by ngspice."""

    @pytest.mark.parametrize(
        "volt,upper,lower,load", [(12, 10e3, 4.7e3, 100e3), (300, 220e3, 47e3, 1e6), (-15, 1e3, 1e3, 600)]
    )
    def test_a_divider_solves_its_nodes(self, volt, upper, lower, load):
        conductances = np.array([[1 / upper + 1 / lower + 1 / load]])
        node = np.linalg.solve(conductances, np.array([volt / upper]))[0]
        found = networks.divider(D(volt), D(upper), D(lower), D(load))
        assert float(found.volt) == pytest.approx(node)
        assert float(found.upper_watt) == pytest.approx((volt - node) ** 2 / upper)
        assert float(found.lower_watt) == pytest.approx(node**2 / lower)

    def test_parts_together_are_what_every_primer_says(self):
        # 10k ∥ 10k = 5k; 30 ∥ 60 ∥ 20 = 10 (worked by hand)
        assert networks.in_parallel([D(10_000), D(10_000)]) == 5000
        assert float(networks.in_parallel([D(30), D(60), D(20)])) == pytest.approx(10)
        assert networks.in_a_row([D("4.7"), D("0.33")]) == D("5.03")

    @needs_ngspice
    def test_corners_are_three_decibels_down_in_a_netlist(self):
        rc, rl = networks.rc_corner(D(10_000), D("22E-9")), networks.rl_corner(D(8), D("1.2E-3"))
        netlist = "V1 i 0 ac 1\nR1 i a 10k\nC1 a 0 22n\nL1 i b 1.2m\nR2 b 0 8"
        said = simulated(
            netlist,
            f"ac lin 1 {rc} {rc}\nlet one=vdb(a)\nprint one\nac lin 1 {rl} {rl}\nlet two=vdb(b)\nprint two",
        )
        assert said["one"] == pytest.approx(-3.0103, abs=1e-3)
        assert said["two"] == pytest.approx(-3.0103, abs=1e-3)

    def test_a_resonance_is_where_both_reactances_are_equal(self):
        hertz, wave = networks.lc_resonance(D("2E-3"), D("4.7E-6"))
        omega = 2 * math.pi * float(hertz)
        assert omega * 2e-3 == pytest.approx(1 / (omega * 4.7e-6)) == pytest.approx(float(wave))

    @needs_ngspice
    @pytest.mark.parametrize("supply,load", [(28, 0.02), (36, 0.0)])
    def test_a_zener_at_both_ends_is_that_of_a_netlist(self, supply, load):
        netlist = f"V1 i 0 dc {supply}\nR1 i z 520\nV2 d 0 dc 15\nD1 z d ideal\nI1 z 0 dc {load}\n.model ideal d(n=0.005 rs=1u)"
        said = simulated(netlist, "op\nlet zi=i(v2)\nprint zi\nlet ri=v(i)-v(z)\nprint ri")
        found = networks.zener(D(28), D(36), D(15), D(520), D("0.02"))
        ours = found.least_ampere if supply == 28 else found.most_ampere
        assert float(ours) == pytest.approx(said["zi"], rel=0.005)
        if supply == 36:
            assert float(found.zener_watt) == pytest.approx(15 * said["zi"], rel=0.005)
            assert float(found.resistor_watt) == pytest.approx(said["ri"] ** 2 / 520, rel=0.005)

    def test_the_largest_resistor_leaves_the_zener_just_its_least(self):
        ohm = networks.zener_resistor(D(28), D(15), D("0.02"))
        assert ohm == 520  # 13 V over 25 mA, worked by hand
        assert networks.zener(D(28), D(28), D(15), ohm, D("0.02")).least_ampere == D("0.005")

    def test_a_regulators_headroom(self):
        # 22 V mean, 1.5 V ripple, 15 V out, 2 V drop-out: 22 − 0.75 − 17 = 4.25; at 0.9 · 22 it is 2.05 (by hand)
        found = networks.headroom(D(22), D("1.5"), D(15), D("0.3"))
        assert (found.now_volt, found.low_line_volt) == (D("4.25"), D("2.05"))
        assert (found.now_watt, found.high_line_watt) == (D("2.1"), D("2.76"))
        with pytest.raises(Refused, match="at or above the rail"):
            networks.headroom(D(12), D(1), D(12), D("0.1"))

    @needs_ngspice
    def test_a_capacitor_drops_the_rest_in_a_netlist(self):
        found = networks.dropper(D(120), D(78), D("0.15"), D(60))
        assert float(found.ohm) == pytest.approx(280)  # 42 V over 150 mA
        netlist = f"V1 i 0 ac 120\nC1 i a {found.farad}\nR1 a 0 520"
        said = simulated(netlist, "ac lin 1 60 60\nlet rest=mag(v(a))\nprint rest")
        assert said["rest"] == pytest.approx(78, rel=1e-4)


class TestLineSide:
    """Selector, series winding, inrush, LED."""

    @pytest.mark.parametrize(
        "line,tap,suits",
        [("123", 117, True), ("103", 100, True), ("229", 220, True), ("236", 240, True), ("150", 117, False)],
    )
    def test_the_nearest_tap_by_ratio(self, line, tap, suits):
        found = line_side.best_tap(D(line), [D(100), D(117), D(220), D(240)])
        assert (found.volt, found.suits) == (tap, suits)
        assert float(found.percent) == pytest.approx((float(line) / tap - 1) * 100)

    def test_a_series_winding_bucks_or_boosts(self):
        # 123 V, 12.0 V secondary of a 120 V primary: 123 · (1 − 12/120) = 110.7; 6.3 V gives 116.54, nearest to 117 (by hand)
        found = line_side.buck_or_boost(D(123), D(117), D(120))
        assert (found.secondary_volt, found.bucks) == (D("6.3"), True)
        assert float(found.set_volt) == pytest.approx(116.5425)
        assert not line_side.buck_or_boost(D(100), D(117), D(100)).bucks
        with pytest.raises(Refused, match="too far for a series winding"):
            line_side.buck_or_boost(D(230), D(120), D(230))

    def test_inrush_is_the_peak_over_what_is_in_the_way(self):
        assert float(line_side.inrush_ampere(D(120), D("1.8"))) == pytest.approx(120 * math.sqrt(2) / 1.8)
        more = line_side.limiter_ohm(D(120), D("1.8"), D(30))
        assert float(line_side.inrush_ampere(D(120), D("1.8") + more)) == pytest.approx(30)

    @pytest.mark.parametrize(
        "rms,forward,ampere,bridge",
        [
            ("6.3", "1.8", "0.01", False),
            ("12", "3.2", "0.008", False),
            ("8", "3.2", "0.012", True),
            ("14", "6.3", "0.01", True),
        ],
    )
    def test_an_led_on_ac_by_integration(self, rms, forward, ampere, bridge):
        found = line_side.led_on_ac(D(rms), D(forward), D(ampere), bridge=bridge)
        peak, drop, ohm = float(rms) * math.sqrt(2), float(forward), float(found.ohm)

        def current(angle: float) -> float:
            wave = peak * math.sin(angle)
            return max((abs(wave) if bridge else wave) - drop, 0) / ohm

        edges = [math.asin(drop / peak), math.pi - math.asin(drop / peak)]
        points = edges + [one + math.pi for one in edges]
        mean = integrate.quad(current, 0, 2 * math.pi, points=points)[0] / (2 * math.pi)
        heat = integrate.quad(lambda a: current(a) ** 2 * ohm, 0, 2 * math.pi, points=points)[0] / (
            2 * math.pi
        )
        assert mean == pytest.approx(float(ampere), rel=1e-6)
        assert heat == pytest.approx(float(found.watt), rel=1e-6)

    def test_an_led_on_dc(self):
        found = line_side.led_on_dc(D(12), D("2.1"), D("0.01"))
        assert (found.ohm, found.watt) == (990, D("0.099"))
        with pytest.raises(Refused, match="fewer of them"):
            line_side.led_on_dc(D(3), D("3.2"), D("0.01"))


# series letters: fuse makers' catalogs, from memory
@pytest.mark.parametrize(
    "marking,ampere,volt,says",
    [
        ("MDL 2", 2, 250, "time-delay by UL"),
        ("AGC-15", 15, 32, "fast by UL"),
        ("agc 3", 3, 250, "1/4 × 1 1/4 in"),
        ("SFE 20", 20, 32, "longer for more ampere"),
        ("GMA 1A 125V", 1, 125, "5 × 20 mm"),
        ("AGC 1/2", D("0.5"), 250, "500 mA"),
        ("MDL 1-1/2", D("1.5"), 250, "1.5 A"),
    ],
)
def test_american_series_are_read_by_their_letters(marking, ampere, volt, says) -> None:
    fuse = read_fuse(marking)
    assert (fuse.ampere, fuse.volt) == (ampere, volt)
    assert says in str(fuse)


@pytest.mark.parametrize(
    "original,candidate,why",
    [
        ("MDL 2", "AGC 2", "speed must stay time-delay"),
        ("AGC 5", "SFE 5", "below the line"),
        ("AGC 15", "AGC 15", "below the line"),
        ("AGC 1", "GMA 1A 250V", "size must stay 1/4"),
        ("ABC 5", "AGC 5", "ceramic"),
        ("MDL 2", "T2AL250V", "UL and IEC ratings differ"),
        ("T2AL250V", "MDL 2", "two ways of counting"),
        ("MDL 2", "MDL 3", "must stay 2 A"),
    ],
)
def test_what_speaks_against_another_series_is_said(original, candidate, why) -> None:
    assert any(why in one for one in objections(read_fuse(original), read_fuse(candidate), D(120)))


def test_the_same_series_may_stand_in() -> None:
    assert objections(read_fuse("MDL 2"), read_fuse("MDL 2A"), D(120)) == ()
