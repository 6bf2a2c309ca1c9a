"""Every limit of the safety check at, below and above it, and a verdict in a shop of every line voltage.

The limits and their sources: shop/handbook/safety/limits.py (service manuals, an appliance tester's manual, IEC 60065 as quoted
by service manuals). Nominal voltages: IEC 60038 and national practice (from memory).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from shop.handbook import audio, safety
from shop.handbook.safety import Limits, Measurements, ProtectionClass, SafetyTest, Verdict, Voltage
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
    verdict_on,
)

US_NETWORK = replace(US, profile=safety.Profile.NETWORK)
NETWORK = Measurements(visual=SOUND, cold=cold("2.2E6"))
CALM = Voltage(volt=D("0.1"))
PRINTED = Limits(cold_max_ohm=D("5.2E6"))


def both(volt: str, name: str, *, dc: bool = False):
    """The network's readings of both kinds, one of them at the volt that is tried."""
    tried = {"u1": CALM, "u2": None if dc else CALM} | {name: Voltage(volt=D(volt))}
    still = {"u1": CALM} if not dc else {"u1": CALM, "u2": CALM}
    return replace(NETWORK, network=network(dc=dc, **tried) + network(dc=not dc, **still))


MOST = [
    ("hot", SafetyTest.HOT, US, COMMON, "0.749 0.75 0.751", lambda at: replace(US_GOOD, hot=hot(at))),
    ("cold, printed", SafetyTest.COLD, US, PRINTED, "5.19E6 5.2E6 5.21E6", lambda at: replace(US_GOOD, cold=cold(at))),
    ("conductor", SafetyTest.CONDUCTOR, EU_I, COMMON, "0.299 0.3 0.301", lambda at: replace(EU_I_GOOD, conductor=conductor(at))),
    ("conductor current", SafetyTest.CONDUCTOR_CURRENT, EU_I, COMMON, "3.49E-3 3.5E-3 3.51E-3",
     lambda at: replace(EU_I_GOOD, conductor_current=current(at))),
    ("touch current", SafetyTest.TOUCH_CURRENT, EU_II, COMMON, "0.49E-3 0.5E-3 0.51E-3",
     lambda at: replace(EU_II_GOOD, touch_current=current(at))),
    ("U1", SafetyTest.NETWORK, US_NETWORK, COMMON, "34.9 35 35.1", lambda at: both(at, "u1")),
    ("U2", SafetyTest.NETWORK, US_NETWORK, COMMON, "0.349 0.35 0.351", lambda at: both(at, "u2")),
    ("U1, DC", SafetyTest.NETWORK, US_NETWORK, COMMON, "0.99 1.0 1.01", lambda at: both(at, "u1", dc=True)),
]  # fmt: skip
LEAST = [
    ("cold", SafetyTest.COLD, US, COMMON, "0.99E6 1.0E6 1.01E6", lambda at: replace(US_GOOD, cold=cold(at))),
    ("class I", SafetyTest.INSULATION, EU_I, COMMON, "0.99E6 1.0E6 1.01E6",
     lambda at: replace(EU_I_GOOD, insulation=insulation(at))),
    ("heating", SafetyTest.INSULATION, replace(EU_I, heating_watt=D(100)), COMMON, "0.29E6 0.3E6 0.31E6",
     lambda at: replace(EU_I_GOOD, insulation=insulation(at))),
    ("class II", SafetyTest.INSULATION, EU_II, COMMON, "1.99E6 2.0E6 2.01E6",
     lambda at: replace(EU_II_GOOD, insulation=insulation(at))),
    ("class III", SafetyTest.INSULATION, EU_III, COMMON, "0.249E6 0.25E6 0.251E6",
     lambda at: Measurements(visual=SOUND, insulation=insulation(at, "250"))),
    ("separation", SafetyTest.INSULATION, EU_II, COMMON, "1.99E6 2.0E6 2.01E6",
     lambda at: replace(EU_II_GOOD, insulation=insulation("20E6") + insulation(at, separation=True))),
]  # fmt: skip


@pytest.mark.parametrize("name, test, unit, limits, values, measured", MOST, ids=[row[0] for row in MOST])
def test_a_largest_value_holds_below_and_at_it_and_not_above(name, test, unit, limits, values, measured):
    found = [verdict_on(test, measured(at), unit, limits) for at in values.split()]
    assert found == [Verdict.PASSED, Verdict.PASSED, Verdict.FAILED]


@pytest.mark.parametrize("name, test, unit, limits, values, measured", LEAST, ids=[row[0] for row in LEAST])
def test_a_smallest_value_holds_at_and_above_it_and_not_below(name, test, unit, limits, values, measured):
    found = [verdict_on(test, measured(at), unit, limits) for at in values.split()]
    assert found == [Verdict.FAILED, Verdict.PASSED, Verdict.PASSED]


@pytest.mark.parametrize("line", ["100", "110", "120", "127", "220", "230", "240"])
@pytest.mark.parametrize("protection", [ProtectionClass.I, ProtectionClass.II])
def test_a_shop_of_every_line_voltage_gets_a_verdict(line, protection):
    american = D(line) < 200
    unit = replace(US if american else EU_II, line_volt=D(line), protection_class=protection)
    first = protection is ProtectionClass.I
    good = replace(
        EU_I_GOOD if first else EU_II_GOOD, cold=cold("2.2E6"), hot=hot("0.31", conductor_open=first)
    )
    good = replace(good, conductor_again=conductor("0.18") if first else ())
    assert safety.assess(good, COMMON, unit).outcome is safety.Outcome.PASSED
    bad = replace(good, hot=hot("3", conductor_open=first), touch_current=current("2E-3"))
    bad = replace(bad, conductor_current=current("9E-3") if first else ())
    assert safety.assess(bad, COMMON, unit).outcome is safety.Outcome.FAILED


@pytest.mark.parametrize("line", ["100", "110", "120", "127", "220", "230", "240"])
def test_a_line_is_ordinary_on_a_set_of_its_own_marking_and_on_no_other(line):
    """IEC 60065, 4.2 (check the current edition): a set is built for 0.9 to 1.1 times what it is marked."""
    for marked in ("100", "110", "120", "127", "220", "230", "240"):
        effect = audio.line_effect(D(line), D(marked), D(line))
        within = D("0.9") <= D(line) / D(marked) <= D("1.1")
        assert effect.ordinary is within, (line, marked)
