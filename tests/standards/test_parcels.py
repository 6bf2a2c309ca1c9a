"""Parcels against the carriers' own figures and pint: sizes, dimensional weight, limits."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.handbook.parcels import (
    DIM_RULES,
    GROUPS,
    SIZE_RULES,
    DimRule,
    ParcelError,
    Size,
    Weight,
    billable,
    dim_rule,
    parse_size,
    parse_weight,
    rules_met,
)
from shop.handbook.parcels.measures import CM_PER_INCH, KG_PER_POUND
from tests.standards.parcel_cases import UNITS, inches, pounds

TODAY = date(2026, 11, 25)
SIDES = st.decimals("0.1", "150", places=1)
POUNDS = st.decimals("0.1", "150", places=1)


def inch_rule(divisor: int, sides: str) -> DimRule:
    return DimRule("own", None, Decimal(divisor), "in", "lb", sides, Decimal(1), "the shop's tariff")


# Measures


def test_an_inch_and_a_pound_are_those_of_pint():
    # pint's registry: the international yard and pound of 1959
    assert UNITS.Quantity(Decimal(1), "inch").to("cm").magnitude == CM_PER_INCH
    assert UNITS.Quantity(Decimal(1), "lb").to("kg").magnitude == KG_PER_POUND


@given(SIDES, SIDES, SIDES)
def test_a_box_keeps_its_size_through_the_other_unit(length, width, height):
    box = Size(length, width, height, "cm")
    back = box.to("in").to("cm")
    assert [float(side) for side in back.sides] == pytest.approx(
        [float(side) for side in box.sides], rel=1e-20
    )
    assert Size(length, width, height, "in").to("cm").to("in").sides == Size(length, width, height).sides


@pytest.mark.parametrize(
    "text, size",
    [
        ("24 x 20 x 12", Size(Decimal(24), Decimal(20), Decimal(12), "in")),
        ('24x20x12"', Size(Decimal(24), Decimal(20), Decimal(12), "in")),
        ("60×50×40 cm", Size(Decimal(60), Decimal(50), Decimal(40), "cm")),
        ("60,5 X 50 * 40 CM", Size(Decimal("60.5"), Decimal(50), Decimal(40), "cm")),
        ("600x500x400 mm", Size(Decimal(60), Decimal(50), Decimal(40), "cm")),
    ],
)
def test_a_size_is_read_as_it_is_typed(text, size):
    assert parse_size(text, "in") == size


@pytest.mark.parametrize(
    "text, weight",
    [
        ("12.5", Weight(Decimal("12.5"), "lb")),
        ("12 lb 8 oz", Weight(Decimal("12.5"), "lb")),
        ("5,7 kg", Weight(Decimal("5.7"), "kg")),
        ("850 g", Weight(Decimal("0.85"), "kg")),
        ("30#", Weight(Decimal(30), "lb")),
    ],
)
def test_a_weight_is_read_as_it_is_typed(text, weight):
    assert parse_weight(text, "lb") == weight


@pytest.mark.parametrize(
    "text", ["", "24 x 20", "a x b x c", "0 x 1 x 1", "1 x 1 x 1 x 1", "9" * 300, "1e5 x 1 x 1"]
)
def test_a_size_that_cant_be_read_is_refused_with_a_sentence(text):
    with pytest.raises(ParcelError, match=r"\.$"):
        parse_size(text, "in")


@pytest.mark.parametrize("text", ["", "heavy", "-3", "0", "1 st", "9" * 300, "NaN"])
def test_a_weight_that_cant_be_read_is_refused_with_a_sentence(text):
    with pytest.raises(ParcelError, match=r"\.$"):
        parse_weight(text, "kg")


@given(st.text())
def test_any_text_is_a_size_and_a_weight_or_refused(text):
    for read in (lambda: parse_size(text, "in"), lambda: parse_weight(text, "kg")):
        try:
            read()
        except ParcelError:
            continue


@pytest.mark.parametrize("side", ["NaN", "Infinity", "-1", "0", "1e19"])
def test_a_box_without_a_real_size_is_refused(side):
    with pytest.raises(ParcelError):
        Size(Decimal(side), Decimal(1), Decimal(1))
    with pytest.raises(ParcelError):
        Weight(Decimal(side))


# Dimensional weight: plain arithmetic from the tariffs' own rule, ceil(L' x W' x H' / divisor)


@pytest.mark.parametrize(
    "box, divisor, sides, volume, charged",
    [
        ("11.1 x 8.5 x 6.2", 139, "up", 756, 6),
        ("11.1 x 8.5 x 6.2", 139, "nearest", 594, 5),
        ("11.1 x 8.5 x 6.2", 166, "up", 756, 5),
        ("11.1 x 8.5 x 6.2", 166, "nearest", 594, 4),
        ("11.1 x 8.1 x 4.1", 139, "up", 540, 4),
        ("11.1 x 8.1 x 4.1", 139, "nearest", 352, 3),
        ("11.1 x 8.1 x 4.1", 166, "up", 540, 4),
        ("11.1 x 8.1 x 4.1", 166, "nearest", 352, 3),
        ("22.5 x 19.2 x 10.4", 139, "up", 5060, 37),
        ("22.5 x 19.2 x 10.4", 139, "nearest", 4370, 32),
        ("22.5 x 19.2 x 10.4", 166, "up", 5060, 31),
        ("22.5 x 19.2 x 10.4", 166, "nearest", 4370, 27),
        ("24 x 20 x 12", 139, "up", 5760, 42),
        ("24 x 20 x 12", 139, "nearest", 5760, 42),
        ("24 x 20 x 12", 166, "up", 5760, 35),
        ("24 x 20 x 12", 166, "nearest", 5760, 35),
        ("12 x 12 x 12", 139, "up", 1728, 13),
        ("12 x 12 x 12", 166, "up", 1728, 11),
    ],
)
def test_the_size_of_a_box_makes_its_weight(box, divisor, sides, volume, charged):
    charge = billable(inches(box), pounds("1"), inch_rule(divisor, sides))
    assert charge.volume == volume
    assert charge.dimensional == charge.billed == Weight(Decimal(charged), "lb")


def test_a_weight_is_never_a_fraction_of_a_pound_where_the_rule_rounds_up():
    # an article bills 4.20 lb under a rule that rounds up to the next pound: 584 / 139 = 4.20 is 5
    charge = billable(inches("12 x 8 x 6.08"), pounds("1"), inch_rule(139, "none"))
    assert charge.volume / 139 == pytest.approx(Decimal("4.20"), abs=Decimal("0.01"))
    assert charge.billed.value == 5


@pytest.mark.parametrize(
    "box, express, air",
    [
        ("60 x 50 x 40 cm", "24.0", "20.0"),
        ("45 x 40 x 20 cm", "7.2", "6.0"),
        ("61 x 51 x 31 cm", "19.2882", "16.0735"),
    ],
)
def test_metric_carriers_divide_by_five_or_six_thousand(box, express, air):
    for group, expected in (("metric-express", express), ("air-cargo", air)):
        charge = billable(inches(box), parse_weight("1 kg", "kg"), dim_rule(group, TODAY))
        assert charge.dimensional is not None
        assert charge.dimensional.value == Decimal(expected)
        assert charge.dimensional.unit == "kg"


@pytest.mark.parametrize("metric, imperial", [(6000, "166.08"), (5000, "138.40")])
def test_metric_divisors_are_nearly_those_in_inches(metric, imperial):
    # cm³/kg to in³/lb by pint
    converted = UNITS.Quantity(Decimal(metric), "cm**3/kg").to("inch**3/lb").magnitude
    assert round(converted, 2) == Decimal(imperial)


def test_139_cubic_inches_to_the_pound_are_5021_7_cubic_centimetres_to_the_kilogram():
    assert round(UNITS.Quantity(Decimal(139), "inch**3/lb").to("cm**3/kg").magnitude, 1) == Decimal("5021.7")


@pytest.mark.parametrize(
    "group, on, divisor, sides",
    [
        ("us-private", date(2025, 8, 17), 139, "nearest"),  # sources: see the table of rules
        ("us-private", date(2025, 8, 18), 139, "up"),
        ("us-private-counter", TODAY, 166, "up"),
        ("us-post", date(2019, 6, 23), 166, "nearest"),
        ("us-post", date(2026, 7, 11), 166, "nearest"),
        ("us-post", date(2026, 7, 12), 139, "up"),
        ("metric-express", date(1999, 1, 1), 5000, "none"),
    ],
)
def test_the_rule_that_counts_is_the_one_in_force_on_the_day(group, on, divisor, sides):
    rule = dim_rule(group, on)
    assert (rule.divisor, rule.sides) == (divisor, sides)


def test_the_post_counts_size_only_over_one_cubic_foot():
    rule = dim_rule("us-post", TODAY)
    small = billable(inches("12 x 12 x 12"), pounds("4.2"), rule)
    assert small.dimensional is None
    assert small.billed == Weight(Decimal(5), "lb")
    assert "not over" in small.why
    large = billable(inches("12 x 12 x 12.1"), pounds("4.2"), rule)
    assert large.billed == Weight(Decimal(14), "lb")  # 12 x 12 x 13 / 139 = 13.47


def test_a_published_example_of_the_post():
    # postaladvocate.com on the rule of 23 June 2019: 15 x 15 x 22 = 4,950 / 166, which is 30 when rounded up
    charge = billable(inches("15 x 15 x 22"), pounds("10"), dim_rule("us-post", date(2019, 6, 23)))
    assert (charge.volume, charge.billed.value) == (4950, 30)


def test_a_heavy_small_parcel_is_charged_by_the_scale():
    charge = billable(inches("12 x 10 x 6"), pounds("41.3"), dim_rule("us-private", TODAY))
    assert charge.billed == Weight(Decimal(42), "lb")
    assert charge.why.startswith("Charged by actual weight")


def test_the_reason_names_size_divisor_and_both_weights():
    charge = billable(inches("22.5 x 19.2 x 10.4"), pounds("30"), dim_rule("us-private", TODAY))
    assert charge.why == (
        "Charged by size: 23 × 20 × 11 in is 5060 in³, divided by 139 makes 37 lb, against 30 lb on the scale."
    )


def test_centimetres_are_turned_into_inches_without_a_stray_inch():
    # 60.96 x 50.8 x 30.48 cm are exactly 24 x 20 x 12 in
    charge = billable(
        parse_size("60.96 x 50.8 x 30.48 cm", "cm"), Weight(Decimal(5), "kg"), dim_rule("us-private", TODAY)
    )
    assert charge.volume == 5760
    assert charge.actual == Weight(Decimal(12), "lb")  # 11.02 lb


def test_the_shop_can_hand_in_its_own_rules():
    own = (
        *DIM_RULES,
        DimRule("us-private", date(2026, 10, 1), Decimal(150), "in", "lb", "up", Decimal(1), "contract"),
    )
    assert dim_rule("us-private", TODAY, own).divisor == 150
    assert dim_rule("us-private", date(2026, 9, 30), own).divisor == 139


def test_a_carrier_without_a_rule_on_the_day_is_refused():
    for group, on in (("unknown", TODAY), ("us-post", date(2019, 6, 22))):
        with pytest.raises(ParcelError, match="no rule"):
            dim_rule(group, on)


def test_every_rule_names_its_group_and_its_source():
    rules: list[Any] = [*DIM_RULES, *SIZE_RULES]
    for rule in rules:
        assert rule.group in GROUPS
        assert rule.source
        assert rule.from_memory == (rule.source == "check the tariff")


@given(SIDES, SIDES, SIDES, POUNDS, st.sampled_from(DIM_RULES))
def test_what_is_charged_is_never_below_scale_or_size(length, width, height, scale, rule):
    size, weight = Size(length, width, height), Weight(scale)
    charge = billable(size, weight, rule)
    assert charge.billed.value >= weight.to(rule.weight_unit).value
    if charge.dimensional:
        assert charge.billed.value == max(charge.dimensional.value, charge.actual.value)
        assert charge.dimensional.value * rule.divisor >= charge.volume - Decimal("1e-20")
    if rule.sides == "up":
        assert charge.volume >= size.to(rule.size_unit).volume


# Limits


@pytest.mark.parametrize(
    "box, expected",
    [("24x20x12", 88), ("30x24x18", 114), ("48x20x15", 118), ("36x20x16", 108), ("12x20x24", 88)],
)
def test_length_plus_girth(box, expected):
    # L + 2 (W + H), L the longest: the tariffs' own definition
    assert inches(box).length_plus_girth == expected


def test_the_girth_goes_around_the_two_shorter_sides():
    assert inches("30x24x18").girth == 84


@pytest.mark.parametrize(
    "box, weight, group, met",
    [
        ("36x20x16", "30", "us-post", {("longest side", 22), ("volume", 1728)}),  # 108 in is within 108
        ("30x24x18", "30", "us-post", {("length plus girth", 108), ("longest side", 22), ("volume", 1728)}),
        ("12x12x12", "70", "us-post", set()),
        ("12x12x12", "70.1", "us-post", {("weight", 70)}),
        ("48x20x9", "20", "us-private", set()),  # 48 in and 8,640 in³ are within
        ("49x20x9", "20", "us-private", {("longest side", 48), ("volume", 8640)}),
        ("35x31x5", "20", "us-private", {("second side", 30)}),
        ("35x31x5", "20", "us-private-counter", {("second side", 30)}),
        (
            "30x30x20",
            "151",
            "us-private",
            {("weight", 150), ("volume", 8640), ("volume", 10_368), ("volume", 17_280)},
        ),
    ],
)
def test_a_parcel_beyond_a_limit_is_told(box, weight, group, met):
    # limits and their sources: the table of rules; a measure at its limit is within it
    rules = rules_met(inches(box), pounds(weight), group, TODAY)
    assert {(rule.measure, rule.limit) for rule in rules} == met


def test_surcharges_by_volume_began_in_august_2025():
    def volumes(on):
        rules = rules_met(inches("40x30x20"), pounds("20"), "us-private", on)
        return [rule.limit for rule in rules if rule.measure == "volume"]

    assert volumes(date(2025, 8, 16)) == []
    assert volumes(date(2025, 8, 17)) == [8640, 10_368, 17_280]
