"""Part for part: rules with their reasons, and numbers against numpy, ngspice and data sheets; the source beside each."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from shop.handbook.refusal import Refused
from shop.handbook.replacing import capacitors, devices
from shop.handbook.replacing.capacitors import Capacitor, Function, Sort, judge_capacitor
from shop.handbook.replacing.saying import verdict
from tests.standards.spice import needs_ngspice, simulated

D = Decimal


def cap(farad: str, volt: int, sort: Sort, celsius: int | None = None) -> Capacitor:
    return Capacitor(farad=D(farad), volt=D(volt), sort=sort, celsius=None if celsius is None else D(celsius))


FILM, LYTIC, PAPER = Sort.FILM, Sort.ELECTROLYTIC, Sort.PAPER


# Rules: IEC 60384-14 for X and Y (from memory), the tube's data for the first capacitor, else common practice, no source
@pytest.mark.parametrize("function,old,new,says", [
    (Function.Y, cap("4.7E-9", 250, Sort.SAFETY_Y2), cap("4.7E-9", 310, Sort.SAFETY_X2), "never an X"),
    (Function.Y, cap("2.2E-9", 250, Sort.SAFETY_Y2), cap("4.7E-9", 250, Sort.SAFETY_Y1), "more current through whoever"),
    (Function.Y, cap("2.2E-9", 250, Sort.SAFETY_Y1), cap("2.2E-9", 250, Sort.SAFETY_Y2), "lesser class"),
    (Function.X, cap("1E-7", 250, PAPER), cap("1E-7", 630, FILM), "only a part marked X or Y"),
    (Function.X, cap("1E-7", 250, Sort.SAFETY_X1), cap("1E-7", 310, Sort.SAFETY_X2), "lesser class"),
    (Function.SUPPLY, cap("47E-6", 35, LYTIC), cap("47E-6", 25, LYTIC), "25 V are less than the original’s 35 V"),
    (Function.TIMING, cap("1E-8", 63, FILM), cap("1.2E-8", 63, FILM), "sets a frequency"),
    (Function.COUPLING, cap("1E-6", 50, FILM), cap("1E-6", 50, LYTIC), "no polarity"),
    (Function.COUPLING, cap("1E-6", 50, FILM), cap("1E-6", 50, Sort.CERAMIC_2), "class 2 loses"),
    (Function.COUPLING, cap("1E-6", 50, FILM), cap("1E-6", 50, Sort.BIPOLAR), "leaks and drifts"),
    (Function.FIRST, cap("4E-5", 450, LYTIC), cap("1E-4", 450, LYTIC), "takes the rectifier’s cathode apart"),
    (Function.SNUBBER, cap("4.7E-8", 100, FILM), cap("4.7E-8", 100, Sort.CERAMIC_2), "A snubber takes film"),
    (Function.SUPPLY, cap("47E-6", 35, LYTIC, 105), cap("47E-6", 50, LYTIC, 85), "the original for 105 °C"),
    (Function.COUPLING, cap("1E-5", 50, Sort.BIPOLAR), cap("1E-5", 50, Sort.TANTALUM), "no polarity"),
])  # fmt: skip
def test_what_may_never_stand_in_is_refused_with_its_reason(function, old, new, says) -> None:
    remarks = judge_capacitor(old, new, function)
    assert verdict(remarks) == "may not stand in"
    assert any(says in one.sentence for one in remarks)


@pytest.mark.parametrize("function,old,new,told", [
    (Function.COUPLING, cap("1E-5", 25, LYTIC), cap("1E-5", 63, FILM), "may stand in by these numbers"),
    (Function.X, cap("1E-7", 250, PAPER), cap("1E-7", 310, Sort.SAFETY_X2), "may stand in, with conditions"),
    (Function.X, cap("1E-7", 250, Sort.SAFETY_X2), cap("1E-7", 300, Sort.SAFETY_Y2), "may stand in by these numbers"),
    (Function.SUPPLY, cap("47E-6", 35, LYTIC), cap("47E-6", 50, LYTIC, 105), "may stand in, with conditions"),
    (Function.SUPPLY, cap("1E-6", 35, LYTIC), cap("1E-6", 63, FILM), "may stand in, with conditions"),
    (Function.FIRST, cap("4E-5", 450, LYTIC), cap("4E-5", 450, LYTIC), "can’t be said before the rest is known"),
    (Function.TIMING, cap("1E-8", 63, PAPER), cap("1E-8", 100, FILM), "may stand in by these numbers"),
])  # fmt: skip
def test_what_may_stand_in_is_never_more_than_the_numbers_say(function, old, new, told) -> None:
    assert verdict(judge_capacitor(old, new, function)) == told


def test_a_tube_rectifiers_limit_stands_over_the_original() -> None:
    old, new = cap("1E-4", 450, LYTIC), cap("1E-4", 450, LYTIC)
    remarks = judge_capacitor(old, new, Function.FIRST, largest_first_farad=D("6E-5"))
    assert any("allows 60 µF at most" in one.sentence for one in remarks)


@needs_ngspice
def test_the_cold_start_voltage_is_the_unloaded_peak_of_a_high_line() -> None:
    # 35 V RMS a tenth high into a capacitor without load: own netlist
    said = simulated(
        "V1 i 0 sin(0 54.447 60)\nD1 i o d\nC1 o 0 1m\nR1 o 0 10meg\n.model d d(n=0.005)",
        "tran 50u 0.2 0 50u\nmeas tran top max v(o)",
    )
    assert float(capacitors.cold_start_volt(D(35))) == pytest.approx(said["top"], rel=0.002)
    remarks = judge_capacitor(
        cap("1E-2", 50, LYTIC), cap("1E-2", 50, LYTIC), Function.SUPPLY, winding_rms=D(35)
    )
    assert (
        verdict(remarks) == "may stand in, with conditions"
        if D(50) >= capacitors.cold_start_volt(D(35))
        else "may not stand in"
    )


def test_esr_from_the_loss_factor() -> None:
    # tan δ = ωRC: 0.16 at 120 Hz and 470 µF is 0.45 Ω (data sheets' own formula, by hand)
    assert float(capacitors.esr_at_120_hz(D("470E-6"), D("0.16"))) == pytest.approx(
        0.16 / (2 * math.pi * 120 * 470e-6)
    )
    assert capacitors.tan_delta(D("470E-6"), D(25)) == D("0.16")
    assert capacitors.tan_delta(D("3300E-6"), D(25)) == D("0.20")  # 0.02 more for each 1000 µF over the first
    general = capacitors.suspicious_from(D("470E-6"), D(25), capacitors.Esr.GENERAL)
    assert float(general) == pytest.approx(0.4515, abs=1e-3)
    # a small part's loss factor says nothing at 100 kHz: 100 Ω in 1 µF is far too much, whatever tan δ gives
    assert capacitors.suspicious_from(D("1E-6"), D(50), capacitors.Esr.GENERAL) == 15
    with pytest.raises(Refused, match="reactance"):
        capacitors.suspicious_from(D("1E-7"), D(50), capacitors.Esr.GENERAL)
    assert capacitors.suspicious_from(D("470E-6"), D(25), capacitors.Esr.LOW) < general
    assert capacitors.suspicious_from(D("0.1"), D(25), capacitors.Esr.LOW) >= capacitors.LEADS_OHM


# typical impedances at 100 kHz of sound parts, data sheets from memory: none of them may be called suspicious
@pytest.mark.parametrize(
    "farad,volt,ohm",
    [
        ("1E-5", 50, "2.0"),
        ("47E-6", 25, "0.8"),
        ("100E-6", 25, "0.45"),
        ("470E-6", 25, "0.16"),
        ("1E-3", 16, "0.11"),
        ("4.7E-6", 50, "4.0"),
        ("22E-6", 450, "2.5"),
    ],
)
def test_no_sound_general_purpose_part_is_suspicious(farad, volt, ohm) -> None:
    assert D(ohm) < capacitors.suspicious_from(D(farad), D(volt), capacitors.Esr.GENERAL)


@pytest.mark.parametrize(
    "farad,volt", [("0", 35), ("5", 35), ("1E-6", 0), ("1E-6", -35), ("NaN", 35), ("1E-6", 90_000)]
)
def test_no_such_capacitor_is_judged(farad, volt) -> None:
    with pytest.raises(Refused):
        cap(farad, volt, LYTIC)


def device(volt: int, ampere: str, watt: str, **more: object) -> devices.Device:
    facts: dict[str, object] = {"sort": devices.Sort.NPN, "hfe_low": D(100), "leads": "ECB"} | more
    return devices.Device(volt=D(volt), ampere=D(ampere), watt=D(watt), **facts)  # type: ignore[arg-type]  # facts by name


@pytest.mark.parametrize("new,says,told", [
    (device(40, "0.2", "0.4"), "voltage rating of 40 V is less than 50 V", "may not stand in"),
    (device(60, "0.1", "0.4"), "current rating of 100 mA", "may not stand in"),
    (device(60, "0.2", "0.3"), "power rating of 300 mW", "may not stand in"),
    (device(60, "0.2", "0.4", sort=devices.Sort.PNP), "another polarity", "may not stand in"),
    (device(60, "0.2", "0.4", leads="EBC"), "Leads EBC where they were ECB", "may stand in, with conditions"),
    (device(60, "0.2", "0.4", leads=""), "leads isn’t told", "can’t be said before the rest is known"),
    (device(60, "0.2", "0.4", hertz=D("1E9")), "Far faster", "may stand in, with conditions"),
    (device(60, "0.2", "0.4", hertz=D("1E7")), "Slower", "may stand in, with conditions"),
    (device(60, "0.2", "0.4", farad=D("9E-12")), "C_ob 9 pF", "may stand in, with conditions"),
    (device(60, "0.2", "0.4", hfe_low=D(40)), "hFE from 40", "may stand in, with conditions"),
    (device(60, "0.2", "0.4", insulated=False), "mica or pad", "may stand in, with conditions"),
])  # fmt: skip
def test_a_device_stands_in_only_under_its_conditions(new, says, told) -> None:
    old = device(50, "0.15", "0.4", hertz=D("8E7"), farad=D("3E-12"), insulated=True)
    remarks = devices.judge_device(old, new)
    assert any(says in one.sentence for one in remarks)
    assert verdict(remarks) == told


def test_a_better_one_stands_in_by_its_numbers_and_a_hot_case_is_counted() -> None:
    old, new = device(50, "0.15", "0.4", hertz=D("8E7")), device(60, "0.2", "0.5", hertz=D("1E8"))
    assert devices.judge_device(old, new) == ()
    untold = devices.judge_device(device(50, "0.15", "0.4"), new)
    assert any("f_T isn’t told" in one.sentence for one in untold)
    hot = devices.judge_device(old, new, case_celsius=D(155))
    assert any("nothing at all" in one.sentence for one in hot)


# pairs as data sheets name them, from memory
@pytest.mark.parametrize(
    "one,other",
    [
        ("2N3055", "MJ2955"),
        ("2SC5200-O", "2SA1943"),
        ("BC547B", "BC557"),
        ("2SJ162", "2SK1058"),
        ("2SA1015-GR", "2SC1815"),
        ("TIP32C", "TIP31C"),
        ("AC188", "AC187"),
    ],
)
def test_complementary_partners(one, other) -> None:
    assert devices.partner(one) == other


@pytest.mark.parametrize("marking", ["2N9999", "D965"])
def test_no_partner_is_guessed(marking) -> None:
    assert devices.partner(marking) is None


def test_original_equivalent_and_house_number_are_kept_apart() -> None:
    assert devices.kinship("2SC1815-GR", "2SC1815Y") is devices.Kinship.ORIGINAL
    assert devices.kinship("2SC1815", "2SC945") is devices.Kinship.OTHER
    assert devices.kinship("2SC1815", "ZQ8812") is devices.Kinship.HOUSE


# JIS C 7012: 2SA and 2SB are PNP, 2SC and 2SD are NPN, 2SJ and 2SK the two channels (from memory)
@pytest.mark.parametrize("marking,sort,wrong", [
    ("2SA1015", devices.Sort.NPN, True), ("2SC1815-GR", devices.Sort.PNP, True), ("2SK170", devices.Sort.P_JFET, True),
    ("2SJ74", devices.Sort.NPN, True), ("2SC1815", devices.Sort.NPN, False), ("2SJ162", devices.Sort.P_MOSFET, False),
    ("2SD424", devices.Sort.NPN_DARLINGTON, False), ("2N3055", devices.Sort.PNP, False),
    ("A1015", devices.Sort.NPN, False), ("TIP31", devices.Sort.PNP, False),
])  # fmt: skip
def test_a_sort_that_the_marking_contradicts_is_said(marking, sort, wrong) -> None:
    assert bool(devices.contradicted(marking, sort)) is wrong


def test_more_than_the_original_is_a_condition_where_the_tubes_data_allow_it() -> None:
    # the data sheet's largest first capacitor is the limit; 40 µF parts are sold as 47 µF today (common practice)
    old, new = cap("4E-5", 450, LYTIC), cap("4.7E-5", 450, LYTIC)
    assert "may stand in, with conditions" in verdict(
        judge_capacitor(old, new, Function.FIRST, largest_first_farad=D("6E-5"))
    )
    assert "may not" in verdict(judge_capacitor(old, new, Function.FIRST, largest_first_farad=D("4E-5")))
    assert "may not" in verdict(judge_capacitor(old, new, Function.FIRST))
