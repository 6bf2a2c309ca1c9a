"""What the readings of one job suggest. Every rule is common practice, no source; the cases are a bench's own."""

from __future__ import annotations

from itertools import count

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.isolation import RULES, Fact, Hint, Role, Rule, Suggestion, Target, suggest
from shop.handbook.isolation.rule import PRACTICE
from shop.handbook.quantities import Kind, parse
from shop.handbook.readings import expect, judge

VOLTS, OHMS = Kind.VOLTAGE_DC, Kind.RESISTANCE
_ids = count(1)


def fact(where: str, role: Role, text: str, expected: str = "", kind: Kind = VOLTS, *, channel: str = "",
         condition: str = "", name: int | str | None = None) -> Fact:  # fmt: skip
    reading = parse(text, kind)
    judgement = judge(reading, expect(expected, kind)) if expected else None
    return Fact(
        next(_ids) if name is None else name, where, reading, kind, judgement, role, channel, condition
    )


def drive(text: str, expected: str = "12 V ± 10 %", where: str = "capstan motor: connector", **more) -> Fact:
    return fact(where, Role.DRIVE, text, expected, **more)


def winding(text: str, **more) -> Fact:
    return fact("Capstan  motor: winding", Role.LOAD, text, "5 to 20 ohm", OHMS, **more)


def rail(text: str, expected: str = "30 V ± 10 %", where: str = "+30 V rail", **more) -> Fact:
    return fact(where, Role.RAIL, text, expected, **more)


def output(text: str, expected: str = "at most 50 mV", **more) -> Fact:
    return fact("speaker terminals", Role.OUTPUT, text, expected, **more)


def said(*facts: Fact) -> dict[str, Suggestion]:
    """The suggestions by rule; each rule here has spoken once at most."""
    found = suggest(facts)
    assert len({one.rule for one in found}) == len(found)
    return {one.rule: one for one in found}


# --- a driver and its load ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("reading", ["12.1 V", "14 V", "OL"])
@pytest.mark.parametrize("ohms", ["OL", "40k"])
def test_drive_present_and_load_open_points_at_the_load(reading, ohms):
    there, broken = drive(reading), winding(ohms)
    found = said(there, broken)
    assert set(found) == {"load-open"}
    assert found["load-open"].target is Target.LOAD
    assert found["load-open"].cites == (there.id, broken.id)


def test_an_open_load_without_a_drive_beside_it_says_nothing_of_the_drive():
    assert said(winding("OL")) == {}
    assert said(winding("OL"), drive("12 V", where="reel motor: connector")) == {}
    assert set(said(winding("OL", channel="A"), drive("12 V", channel="B"))) == set()


def test_a_drive_at_half_is_neither_there_nor_gone():
    assert said(drive("6 V"), winding("OL")) == {}


def test_no_drive_points_upstream():
    gone, sound = drive("0.1 V"), winding("12")
    found = said(gone, sound)
    assert set(found) == {"drive-absent"}
    assert found["drive-absent"].target is Target.UPSTREAM
    assert found["drive-absent"].cites == (gone.id, sound.id)
    assert "the load is sound" in found["drive-absent"].says
    assert "the load is sound" not in said(gone)["drive-absent"].says


def test_one_drive_of_two_keeps_the_search_from_going_upstream():
    found = said(drive("0 V", condition="play"), drive("12 V", condition="rewind"))
    assert "drive-absent" not in found


def test_a_short_load_comes_before_its_missing_drive():
    gone, short = drive("0 V"), fact("capstan motor: winding", Role.LOAD, "0.2", "10 to 20 ohm", OHMS)
    found = said(gone, short)
    assert set(found) == {"load-short"}
    assert found["load-short"].cites == (gone.id, short.id)
    assert found["load-short"].target is Target.LOAD


def test_both_polarities_clear_the_driver():
    forward, back = drive("12 V", condition="play"), drive("-12 V", "-12 V ± 10 %", condition="reverse")
    found = said(forward, back)
    assert set(found) == {"both-polarities"}
    assert found["both-polarities"].target is Target.BEYOND
    assert found["both-polarities"].cites == (forward.id, back.id)
    assert "12 V and −12 V" in found["both-polarities"].says


def test_both_polarities_need_no_expectation():
    assert set(said(drive("3 V", "", condition="play"), drive("-3 V", "", condition="back"))) == {
        "both-polarities"
    }
    assert said(drive("0.5 V", "", condition="play"), drive("-0.5 V", "", condition="back")) == {}


def test_one_polarity_only_points_at_half_of_the_driver():
    there, gone = drive("12 V", condition="play"), drive("0 V", "-12 V ± 10 %", condition="reverse")
    found = said(there, gone)
    assert set(found) == {"one-polarity"}
    assert found["one-polarity"].target is Target.DRIVER
    assert found["one-polarity"].cites == (there.id, gone.id)
    assert "12 V, play" in found["one-polarity"].says
    assert "0 V, reverse" in found["one-polarity"].says


def test_an_alternating_drive_has_no_polarity():
    assert (
        said(
            drive("12 V", kind=Kind.VOLTAGE_AC, condition="play"),
            drive("0 V", kind=Kind.VOLTAGE_AC, condition="stop"),
        )
        == {}
    )


@pytest.mark.parametrize("text,there", [("1 V", True), ("0.99 V", False), ("-1 V", True), ("0 V", False)])
def test_without_an_expectation_a_volt_is_there_and_nothing_is_called_missing(text, there):
    bare = drive(text, "")
    assert (bare.present, bare.absent, bare.outside) == (there, False, False)


@pytest.mark.parametrize("text,there,gone", [("12 V", True, False), ("20 V", True, False), ("1.08 V", False, True),
    ("1.09 V", False, False), ("-12 V", False, False),
    ("0 V", False, True)])  # fmt: skip
def test_a_tenth_of_the_least_expected_is_as_good_as_nothing(text, there, gone):
    """12 V ± 10 %: the least is 10.8 V, a tenth of it 1.08 V."""
    assert (drive(text).present, drive(text).absent) == (there, gone)


# --- channel against channel --------------------------------------------------------------------------------------


def test_the_channel_that_is_off_is_compared_with_the_one_that_is_right():
    off, right = output("2 V", channel="L"), output("5 mV", channel="R")
    found = said(off, right)
    assert set(found) == {"channels-differ", "dc-at-output"}
    assert found["channels-differ"].target is Target.CHANNEL
    assert found["channels-differ"].cites == (off.id, right.id)
    assert "stay in channel L" in found["channels-differ"].says


def test_channels_of_different_points_or_conditions_are_not_compared():
    assert "channels-differ" not in said(
        output("2 V", channel="L"), output("5 mV", channel="R", condition="no load")
    )
    assert "channels-differ" not in said(
        output("2 V", channel="L"), output("5 mV", channel="L", condition="warm")
    )
    assert "channels-differ" not in said(output("2 V"), output("5 mV", channel="R"))
    assert "channels-differ" not in said(
        output("60 mV", channel="L"),
        fact("speaker terminals", Role.SIGNAL, "5 mV", "at most 50 mV", channel="R"),
    )


def test_channels_off_alike_point_at_what_they_share():
    left, right = (
        rail("5 V", where="driver supply", channel="L"),
        rail("6 V", where="driver supply", channel="R"),
    )
    found = suggest([left, right])
    alike = [one for one in found if one.rule == "channels-alike"]
    assert [(one.target, one.cites) for one in alike] == [(Target.COMMON, (left.id, right.id))]
    assert "all channels are low alike" in alike[0].says


def test_channels_off_in_different_ways_share_nothing():
    found = suggest([rail("5 V", where="supply", channel="L"), rail("40 V", where="supply", channel="R")])
    assert [one.rule for one in found] == ["rail-high", "rail-low"]


@pytest.mark.parametrize("left,right,apart", [("100 mV", "125 mV", False), ("100 mV", "134 mV", True),
    ("134 mV", "100 mV", True), ("0 V", "2 mV", True), ("0.2 mV", "0.9 mV", False), ("0 V", "0 V", False),
    ("100 mV", "100 mV", False)])  # fmt: skip
def test_channels_without_expectation_are_apart_from_a_quarter_where_both_could_mean_something(
    left, right, apart
):
    """A quarter of the higher one, some 2.5 dB, and from 1 mV of signal: common practice, no source."""
    facts = [
        fact("volume wiper", Role.SIGNAL, left, kind=Kind.VOLTAGE_AC, channel="L"),
        fact("volume wiper", Role.SIGNAL, right, kind=Kind.VOLTAGE_AC, channel="R"),
    ]
    assert [one.rule for one in suggest(facts)] == (["channels-unlike"] if apart else [])


def wiper(text: str, channel: str, expected: str = "") -> Fact:
    return fact("wiper", Role.SIGNAL, text, expected, Kind.VOLTAGE_AC, channel=channel)


def test_channels_apart_say_by_how_much():
    low, high = wiper("100 mV", "R"), wiper("150 mV", "L")
    found = said(high, low)["channels-unlike"]
    assert "33 % apart" in found.says
    assert found.cites == (low.id, high.id)
    assert "3.0 times apart" in said(low, wiper("300 mV", "L"))["channels-unlike"].says
    assert "nothing on one side" in said(low, wiper("0 V", "L"))["channels-unlike"].says


def test_channels_over_range_or_judged_are_not_measured_against_each_other():
    bare = wiper("100 mV", "L")
    assert said(bare, wiper("OL", "R")) == {}
    assert said(bare, wiper("200 mV", "R", "at most 300 mV")) == {}


def test_offsets_of_a_few_millivolts_have_no_equal_on_the_other_side():
    assert said(output("3 mV", "", channel="L"), output("4 mV", "", channel="R")) == {}
    assert said(output("3 mV", "", channel="L"), output("90 mV", "", channel="R")) == {}


# --- supply, output, bias -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["0 V", "2.7 V"])
def test_a_missing_rail_points_at_its_supply(text):
    gone, other = rail(text), rail("-30 V", "-30 V ± 10 %", where="-30 V rail")
    found = said(gone, other)
    assert set(found) == {"rail-missing"}
    assert found["rail-missing"].target is Target.SUPPLY
    assert found["rail-missing"].cites == (gone.id, other.id)
    assert "The other rails are there" in found["rail-missing"].says
    assert "The other rails" not in said(gone)["rail-missing"].says
    assert "discharged" in found["rail-missing"].says  # a caution: common practice


def test_a_low_rail_is_not_a_missing_one():
    low = rail("20 V")
    found = said(low)
    assert set(found) == {"rail-low"}
    assert (found["rail-low"].target, found["rail-low"].cites) == (Target.SUPPLY, (low.id,))
    assert said(rail("30 V")) == {}
    assert set(said(rail("35 V"))) == {"rail-high"}


@pytest.mark.parametrize("offset", [output("2 V"), output("-2 V"), output("0.11 V", ""), output("OL")])
def test_dc_at_the_output_with_its_rails_there_points_at_the_output_stage(offset):
    plus, minus = rail("30 V"), rail("-30 V", "-30 V ± 10 %", where="-30 V rail")
    found = said(offset, plus, minus)
    assert set(found) == {"dc-at-output"}
    assert found["dc-at-output"].target is Target.OUTPUT_STAGE
    assert found["dc-at-output"].cites == (offset.id, plus.id, minus.id)
    assert "with its rails present" in found["dc-at-output"].says
    assert "Keep loudspeakers off." in found["dc-at-output"].says
    assert "with its rails" not in said(offset)["dc-at-output"].says


def test_dc_at_the_output_with_a_rail_missing_points_at_the_rail_first():
    offset, gone, there = output("2 V"), rail("0 V"), rail("-30 V", "-30 V ± 10 %", where="-30 V rail")
    found = said(offset, gone, there)
    assert found["dc-at-output"].target is Target.SUPPLY
    assert found["dc-at-output"].cites == (offset.id, gone.id)
    assert "+30 V rail is missing: that first. Keep loudspeakers off." in found["dc-at-output"].says


@pytest.mark.parametrize("harmless", [output("20 mV"), output("0.1 V",
    ""), fact("speaker terminals", Role.OUTPUT, "2 V", "at most 1 V", Kind.VOLTAGE_AC),
    fact("line out", Role.SIGNAL, "2 V", "at most 50 mV")])  # fmt: skip
def test_no_dc_at_the_output_suggests_nothing(harmless):
    assert "dc-at-output" not in said(harmless)


def bias(text: str, expected: str = "", where: str = "idle current: upper", **more) -> Fact:
    return fact(where, Role.BIAS, text, expected, **more)


@pytest.mark.parametrize("little,expected", [("0 mV", ""), ("2.2 mV", ""), ("1 mV", "22 mV ± 20 %")])
def test_bias_on_one_side_only_points_at_the_side_without(little, expected):
    without, there = bias(little, expected), bias("22 mV", expected, "idle current: lower")
    found = said(there, without)
    assert set(found) == {"bias-one-side"}
    assert found["bias-one-side"].target is Target.SIDE
    assert found["bias-one-side"].cites == (without.id, there.id)
    assert found["bias-one-side"].says.startswith("idle current: upper: bias on one side only")


def test_bias_in_one_channel_only_is_found_too():
    assert set(said(bias("22 mV", channel="L", where="idle"), bias("0 mV", channel="R", where="idle"))) == {
        "bias-one-side"
    }


@pytest.mark.parametrize(
    "one,other", [("22 mV", "2.3 mV"), ("22 mV", "22 mV"), ("0 V", "0 V"), ("OL", "22 mV")]
)
def test_bias_on_both_sides_or_on_none_suggests_nothing(one, other):
    assert said(bias(one), bias(other, where="idle current: lower")) == {}


def test_bias_that_is_missing_on_both_sides_is_not_one_sided():
    assert said(bias("0.1 mV", "22 mV ± 20 %"), bias("1.5 mV", "22 mV ± 20 %", "idle current: lower")) == {}


def test_bias_readings_of_other_conditions_or_quantities_are_not_sides():
    assert said(bias("22 mV"), bias("0 mV", where="idle current: lower", condition="warm")) == {}
    assert said(bias("22 mV"), bias("0 mA", where="idle current: lower", kind=Kind.CURRENT_DC)) == {}
    assert said(bias("22 mV"), bias("0 mV", where="other stage: lower")) == {}


# --- swap test ----------------------------------------------------------------------------------------------------

BEFORE = (output("2 V", channel="L", name="bad"), output("5 mV", channel="R", name="good"))


def swapped(text: str, channel: str, where: str = "speaker terminals") -> Fact:
    return fact(
        where,
        Role.OUTPUT,
        text,
        "at most 50 mV",
        channel=channel,
        condition="boards swapped",
        name=f"swapped {channel}",
    )


def test_a_fault_that_goes_along_with_the_part_is_the_parts():
    found = said(*BEFORE, swapped("4 mV", "L"), swapped("2.1 V", "R"))
    assert found["swap-follows"].target is Target.PART
    assert found["swap-follows"].cites == ("bad", "good", "swapped L", "swapped R")
    assert "went along to channel R" in found["swap-follows"].says
    assert "swap-stays" not in found


def test_a_fault_that_stays_clears_the_part():
    found = said(*BEFORE, swapped("2 V", "L"), swapped("4 mV", "R"))
    assert found["swap-stays"].target is Target.AROUND
    assert found["swap-stays"].cites == ("bad", "good", "swapped L", "swapped R")
    assert "stayed in channel L" in found["swap-stays"].says
    assert "swap-follows" not in found


@pytest.mark.parametrize("after", [(), (swapped("2 V", "L"),), (swapped("2 V", "R"),), (swapped("2 V",
    "L"), swapped("2 V", "R")),
    (swapped("4 mV", "L"), swapped("4 mV", "R")), (swapped("2 V", "L", "elsewhere"), swapped("4 mV", "R",
    "elsewhere"))])  # fmt: skip
def test_a_swap_that_tells_nothing_suggests_nothing(after):
    assert not {"swap-follows", "swap-stays"} & set(said(*BEFORE, *after))


def test_a_swap_without_a_fault_before_it_tells_nothing():
    fine = (output("4 mV", channel="L"), output("5 mV", channel="R"))
    assert said(*fine, swapped("2 V", "L"), swapped("4 mV", "R")) == {}


# --- the set of rules ---------------------------------------------------------------------------------------------


def test_the_later_reading_of_a_point_counts():
    assert said(drive("0 V"), drive("12 V"), winding("OL"))["load-open"].cites
    assert "load-open" not in said(drive("12 V"), drive("0 V"), winding("OL"))
    assert "load-open" in said(drive("0 V", condition="stop"), drive("12 V", condition="play"), winding("OL"))


def test_an_overruled_rule_still_speaks_and_is_marked():
    facts = [drive("12 V"), winding("OL")]
    (heard,) = suggest(facts)
    (overruled,) = suggest(facts, overruled={"load-open"})
    assert not heard.overruled
    assert overruled.overruled
    assert (overruled.says, overruled.cites) == (heard.says, heard.cites)
    assert not suggest(facts, overruled={"rail-low"})[0].overruled


def test_another_rule_can_be_added():
    warm = Rule(
        "warm", "It is warm", lambda facts: [Hint("Let it cool.", tuple(facts), Target.UPSTREAM)], "Never."
    )
    only = fact("heat sink", Role.SIGNAL, "70 °C", kind=Kind.TEMPERATURE)
    assert suggest([only], rules=[*RULES, warm]) == (
        Suggestion("warm", "Let it cool.", (only.id,), Target.UPSTREAM, "", "Never.", PRACTICE),
    )


def test_every_rule_has_a_name_and_a_title_of_its_own():
    assert len({rule.name for rule in RULES}) == len(RULES) == len({rule.title for rule in RULES})
    assert all(len(rule.name) <= 60 for rule in RULES)
    assert RULES[0].name == "rail-missing"  # supply first


def test_every_role_is_offered_in_words():
    assert all(role.label for role in Role)
    assert len({role.label for role in Role}) == len(Role)


def test_nothing_measured_suggests_nothing():
    assert suggest([]) == ()


FACTS = st.builds(
    fact,
    st.sampled_from(["a: one", "a: two", "b"]),
    st.sampled_from(Role),
    st.sampled_from(["0", "0.01", "1", "12", "-12", "OL", "300"]),
    st.sampled_from(["", "12 ± 1", "at most 0.05", "at least 2"]),
    st.sampled_from([VOLTS, OHMS]),
    channel=st.sampled_from(["", "L", "R"]),
    condition=st.sampled_from(["", "warm"]),
)


@given(st.lists(FACTS, max_size=12))
def test_every_suggestion_cites_readings_of_the_job_and_says_a_sentence(facts):
    ids = {one.id for one in facts}
    for one in suggest(facts):
        assert one.cites
        assert set(one.cites) <= ids
        assert len(set(one.cites)) == len(one.cites)
        assert one.says.endswith((".", "?"))
        assert len(one.says) < 400
        assert one.then.endswith((".", "?"))


@given(st.lists(FACTS, max_size=8, unique_by=lambda one: (one.where, one.kind, one.channel)))
def test_the_order_of_readings_changes_nothing_that_is_suggested(facts):
    """Where no point was read twice: which rules speak, and where they point."""
    forth = sorted((one.rule, one.target) for one in suggest(facts))
    back = sorted((one.rule, one.target) for one in suggest(reversed(facts)))
    assert forth == back
