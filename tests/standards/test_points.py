"""Where a reading was taken, in whatever words: the words of the trade, common practice, no source."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.isolation.points import Role, joined, read_point
from shop.handbook.quantities import Kind

VOLTS, OHMS = Kind.VOLTAGE_DC, Kind.RESISTANCE


@pytest.mark.parametrize("words", [
    ("relay coil", "relay: coil", "coil of the relay", "Relay – coil", "coil, relay", "RELAY COIL", "relay's coil"),
    ("RL1 coil", "coil of relay RL1", "relay RL1: coil", "rl1 winding", "RL 1 coil", "coil RL1"),
    ("right output offset", "offset, right output", "output offset (right)", "DC offset R", "right channel offset"),
    ("−15 V rail", "-15V", "minus 15 V", "15 V rail, minus", "−15 volts supply", "the -15 V rail"),
    ("+35 V", "35 V rail", "plus 35 V", "35 V supply"),
    ("Q7 base", "base of Q7", "q7: base", "Q 7 base", "base, Q7"),
    ("Q7 base–emitter", "Q7 B-E", "q7 b/e", "base to emitter of Q7", "Q7 BE"),
    ("V3 grid", "grid of V3", "V3: grid"),
    ("B+", "b+ rail", "+B", "B plus"),
    ("B+ ripple", "ripple on B+", "ripple, B+", "B+: ripple"),
    ("speaker relay contacts", "contacts of the speaker relay", "contact, loudspeaker relay"),
    ("capstan motor winding", "winding of capstan motor", "capstan motor: winding"),
    ("relay coil, hot end", "hot end of the relay coil", "relay coil plus end"),
])  # fmt: skip
def test_the_same_place_in_other_words_is_the_same_place(words):
    keys = {read_point(one).key for one in words}
    assert len(keys) == 1, {one: read_point(one).key for one in words}


@pytest.mark.parametrize("one,other", [
    ("Q7 base", "Q8 base"), ("Q7 base", "Q7 collector"), ("+15 V", "−15 V"), ("left output offset", "right output offset"),
    ("relay coil", "relay contacts"), ("capstan motor", "reel motor"), ("+5 V", "+5.1 V"), ("V3 grid", "V3 screen"),
    ("hot end of the relay coil", "cold end of the relay coil"), ("B+", "B+ ripple"), ("pin 3 of U7", "pin 4 of U7"),
    ("upper emitter resistor", "lower emitter resistor"), ("5 V standby", "5 V"),
])  # fmt: skip
def test_different_places_stay_different(one, other):
    assert read_point(one).key != read_point(other).key


@pytest.mark.parametrize("text,kind,role", [
    ("relay coil", VOLTS, Role.DRIVE), ("relay coil", OHMS, Role.LOAD), ("relay supply", VOLTS, Role.SUPPLY),
    ("relay command", VOLTS, Role.COMMAND), ("base of relay driver", VOLTS, Role.COMMAND),
    ("speaker relay contacts", OHMS, Role.CONTACT),
    ("motor winding", OHMS, Role.LOAD), ("capstan motor", VOLTS, Role.DRIVE), ("right output offset", VOLTS, Role.OUTPUT),
    ("DC at speaker terminals", VOLTS, Role.OUTPUT), ("midpoint", VOLTS, Role.OUTPUT), ("−15 V rail", VOLTS, Role.RAIL),
    ("main supply", VOLTS, Role.RAIL), ("B+", VOLTS, Role.RAIL), ("V+ ripple", Kind.VOLTAGE_PP, Role.RAIL),
    ("line voltage", Kind.VOLTAGE_AC, Role.NONE),
    ("idle current", VOLTS, Role.BIAS), ("V6 cathode current", Kind.CURRENT_DC, Role.BIAS), ("Q7 base", VOLTS, Role.NONE),
    ("pin 14 of U7", VOLTS, Role.NONE), ("speed sensor", VOLTS, Role.SENSE), ("voice coil", OHMS, Role.LOAD),
])  # fmt: skip
def test_the_role_of_a_place_is_guessed_from_its_words_and_what_is_measured(text, kind, role):
    assert read_point(text, kind).role is role


@pytest.mark.parametrize("text,volt", [("−15 V rail", "-15"), ("+35 V", "35"), ("5V standby", "5"), ("3V3", "3.3"),
    ("minus 12 V", "-12"),
    ("±40 V", "40"), ("V3 grid", None), ("pin 5", None), ("0 V", None)])  # fmt: skip
def test_a_rail_promises_the_voltage_in_its_name(text, volt):
    assert read_point(text).volt == (None if volt is None else Decimal(volt))


@pytest.mark.parametrize("text,channel", [("right output", "R"), ("output L", "L"), ("L output", "L"), ("R101", ""),
    ("L3 coil", ""),
    ("left channel idle current", "L"), ("channel A out", "A"), ("pin l of u7 left", "L")])  # fmt: skip
def test_the_channel_is_read_from_the_words(text, channel):
    assert read_point(text).channel == channel
    assert read_point(text, None, "B").channel == "B"


@pytest.mark.parametrize("where,column,other", [("Q7", "B", "Q7 base"), ("Q7", "E", "emitter of Q7"),
    ("IC3", "pin 3", "pin 3 of IC3"),
    ("output", "L", "left output"), ("idle current", "before", "idle current"),
    ("cathode current", "V5", "V5 cathode current")])  # fmt: skip
def test_a_column_of_the_sheet_is_a_pin_a_lead_or_a_channel(where, column, other):
    assert read_point(where, None, column).key == read_point(other).key


def test_a_relay_is_the_one_relay_of_the_job_until_a_second_is_named():
    relay, first, second = (read_point(text).circuit for text in ("relay coil", "RL1 coil", "RL2 coil"))
    assert joined([relay, first])[relay] == first
    assert joined([relay, first, second])[relay] == relay
    motor, capstan, reel = (read_point(text).circuit for text in ("motor", "capstan motor", "reel motor"))
    assert joined([motor, capstan])[motor] == capstan
    assert joined([motor, capstan, reel])[motor] == motor


def test_a_chip_shows_circuit_part_and_channel():
    assert read_point("coil of relay RL1").label == "relay RL1 · coil"
    assert read_point("right output offset").label == "output · R"
    assert read_point("−15 V rail").label == "-15V"


@given(st.text(max_size=160))
def test_whatever_is_typed_is_a_place(text):
    point = read_point(text)
    assert point.role in Role
    assert read_point(text).key == point.key
