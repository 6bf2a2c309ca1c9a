"""The cautions: that each danger has its own, that none is long, and that the wait in them is the computed one."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.cautions import CAUTIONS, Step, Trait, cautions_for
from shop.handbook.discharge import WORKING_VOLT, wait_for

D = Decimal


def keys(*traits: Trait, step: Step | None = None) -> list[str]:
    return [caution.key for caution in cautions_for(traits, step)]


@pytest.mark.parametrize("caution", CAUTIONS, ids=lambda caution: caution.key)
class TestEachCaution:
    def test_is_one_or_two_short_sentences(self, caution):
        # Read at arm's length with a screwdriver in hand: common practice, no source.
        assert caution.text.count(". ") <= 1
        assert len(caution.text) <= 130
        assert caution.text.endswith(".")
        assert len(caution.title) <= 40

    def test_defers_to_codes_manuals_or_trained_people(self, caution):
        words = ("code", "licence", "manual", "trained", "certified", "rules", "limits")
        assert any(word in caution.defers for word in words)
        assert caution.defers.endswith(".")

    def test_has_a_trait_a_step_and_a_source(self, caution):
        assert caution.traits
        assert caution.steps
        assert caution.source


def test_every_key_is_used_once():
    found = [caution.key for caution in CAUTIONS]
    assert len(found) == len(set(found))


@pytest.mark.parametrize("trait", list(Trait))
def test_every_danger_has_a_caution(trait):
    assert keys(trait)


@pytest.mark.parametrize("step", list(Step))
def test_every_step_of_the_work_has_a_caution(step):
    assert cautions_for(list(Trait), step)


def test_a_transistor_amplifier_on_the_mains():
    traits = (Trait.MAINS, Trait.HEAVY)
    assert keys(*traits, step=Step.OPENING) == ["mains-cover", "charged-capacitors"]
    assert keys(*traits, step=Step.LIFTING) == ["heavy-transformer"]
    assert keys(*traits, step=Step.POWERING_UP) == ["series-lamp"]
    assert keys(*traits, step=Step.SAFETY_CHECK) == ["hot-check-live"]


def test_a_tube_set_with_a_picture_tube_is_warned_of_both_high_voltages():
    found = keys(Trait.TUBE, Trait.CRT, step=Step.OPENING)
    assert found == ["charged-capacitors", "tube-high-voltage", "picture-tube"]


def test_a_cooled_cabinet_and_a_battery_radio():
    assert keys(Trait.REFRIGERANT) == ["sealed-cooling"]
    assert keys(Trait.LITHIUM, step=Step.PACKING) == ["lithium"]
    assert keys(Trait.LITHIUM, step=Step.LIFTING) == []


def test_opening_a_cooling_circuit_is_left_to_a_certified_technician():
    # 40 CFR 82 subpart F (section 608), looked up in study guides for the certificate.
    (caution,) = cautions_for([Trait.REFRIGERANT])
    assert "certified refrigerant technician" in caution.defers
    assert "flammable" in caution.text


def test_the_hot_check_is_done_without_an_isolation_transformer():
    # "Do not use an isolation transformer for this check" (service manuals).
    (caution,) = cautions_for([Trait.MAINS], Step.SAFETY_CHECK)
    assert "No isolation transformer for this one check" in caution.text


def test_nothing_dangerous_needs_no_caution():
    assert cautions_for([]) == ()


def test_the_wait_for_the_capacitors_is_the_computed_one():
    # 10 000 µF at 60 V through 1 kΩ to 10 V: 17.92 s as marked (worked example), 21.5 s with 20 % more, rounded up.
    wait = wait_for(D(60), D("10000E-6"), D(1000))
    found = {caution.key: caution for caution in cautions_for([Trait.MAINS], wait=wait)}
    assert found["charged-capacitors"].text == (
        "Wait at least 22 seconds after pulling the plug, then discharge through a resistor. "
        "The bleeder may be open, so measure: below 10 V before touching."
    )
    assert f"below {WORKING_VOLT} V" in found["charged-capacitors"].text
    without = {caution.key: caution for caution in cautions_for([Trait.MAINS])}
    assert "Wait" not in without["charged-capacitors"].text
    assert found["mains-cover"] == without["mains-cover"]


@given(
    st.frozensets(st.sampled_from(Trait)),
    st.frozensets(st.sampled_from(Trait)),
    st.none() | st.sampled_from(Step),
)
def test_another_danger_never_takes_a_caution_away(some, more, step):
    assert set(cautions_for(some, step)) <= set(cautions_for(some | more, step))


@given(st.frozensets(st.sampled_from(Trait)))
def test_all_steps_together_are_the_cautions_without_a_step(traits):
    by_step = {caution for step in Step for caution in cautions_for(traits, step)}
    assert by_step == set(cautions_for(traits))
