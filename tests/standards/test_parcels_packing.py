"""Boxes against the freight rules' table, drops against ISTA's heights; cushions, cautions and lithium cells."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.handbook.parcels import (
    COUNTER_ADVICE,
    GRADES,
    SEQUENCE,
    Drop,
    LithiumInside,
    ParcelError,
    Size,
    Trait,
    Weight,
    advised_edge_crush,
    box_grade,
    box_plan,
    drop_height,
    lithium_rule,
    packing_cautions,
    parcel_kind,
    parse_size,
    parse_weight,
    rough_drops,
    watt_hours,
)
from tests.standards.parcel_cases import UNITS, inches, pounds

# Box strength: Rule 41 / Item 222. Weight, united inches and burst: ipack.com; with edge crush: psimd.com


@pytest.mark.parametrize(
    "wall, most_pounds, united, burst, crush",
    [
        ("single", 20, 40, 125, 23),
        ("single", 35, 50, 150, 26),
        ("single", 50, 60, 175, 29),
        ("single", 65, 75, 200, 32),
        ("single", 80, 85, 250, 40),
        ("single", 95, 95, 275, 44),
        ("single", 120, 105, 350, 55),
        ("double", 80, 85, 200, 42),
        ("double", 100, 95, 275, 48),
        ("double", 120, 105, 350, 51),
        ("double", 140, 110, 400, 61),
        ("double", 160, 115, 500, 71),
        ("double", 180, 120, 600, 82),
    ],
)
def test_each_grade_of_board_holds_up_to_its_limits_and_no_more(wall, most_pounds, united, burst, crush):
    third = Decimal(united) / 3
    at_limit = Size(third - 1, third, Decimal(united) - 2 * third + 1)
    grade = box_grade(Weight(Decimal(most_pounds)), at_limit, wall)
    assert grade is not None
    assert (grade.most_pounds, grade.most_united, grade.burst, grade.edge_crush) == (
        most_pounds,
        united,
        burst,
        crush,
    )
    heavier = box_grade(Weight(Decimal(most_pounds) + Decimal("0.1")), at_limit, wall)
    larger = box_grade(Weight(Decimal(most_pounds)), at_limit.grown(Decimal("0.1")), wall)
    for other in (heavier, larger):
        assert other is None or (other.most_pounds > most_pounds and other.most_united > united)


@pytest.mark.parametrize(
    "weight, box, burst, crush",
    [
        ("45", "24x20x12", 175, 29),  # united 56
        ("45", "30x24x18", 200, 32),  # united 72: the size decides
        ("60", "30x24x30", 250, 40),  # united 84
    ],
)
def test_a_box_must_meet_both_weight_and_size(weight, box, burst, crush):
    grade = box_grade(pounds(weight), inches(box))
    assert grade is not None
    assert (grade.burst, grade.edge_crush) == (burst, crush)


def test_a_weight_in_kilograms_and_a_size_in_centimetres_ask_the_same_table():
    assert (
        box_grade(parse_weight("20 kg", "kg"), parse_size("60 x 50 x 30 cm", "cm")) == GRADES[2]
    )  # 44.1 lb, 55.1 in


def test_beyond_the_table_no_board_is_named():
    assert box_grade(pounds("121"), inches("20x20x20")) is None
    assert box_grade(pounds("181"), inches("20x20x20"), "double") is None
    assert box_grade(pounds("10"), inches("50x50x30"), "double") is None


@pytest.mark.parametrize(
    "weight, crush", [("30", 32), ("30.5", 40), ("40", 40), ("50", 44), ("65", 55), ("66", None)]
)
def test_the_counters_advice_is_more_careful(weight, crush):
    # a2globalshipping.com: 32 to 30 lb, 40 to 40, 44 to 50, 55 to 65
    assert advised_edge_crush(pounds(weight)) == crush
    assert COUNTER_ADVICE[0] == (32, 30)


# Cushion: common practice, no source


def test_a_light_unit_goes_into_one_box_with_two_inches_around():
    plan = box_plan(inches("12 x 8 x 4.2"), pounds("6"))
    assert not plan.is_double
    assert plan.outer == inches("16 x 12 x 9")


def test_a_heavy_or_fragile_unit_goes_into_a_box_in_a_box():
    heavy = box_plan(inches("17 x 14 x 6"), pounds("38"))
    assert heavy.is_double
    assert heavy.inner == inches("21 x 18 x 10")
    assert heavy.outer == inches("27 x 24 x 16")
    assert "heavy" in heavy.why
    assert "fragile" in box_plan(inches("17 x 14 x 6"), pounds("5"), fragile=True).why


def test_the_cushion_is_five_centimetres_in_a_metric_shop():
    plan = box_plan(parse_size("40 x 30 x 12 cm", "cm"), parse_weight("5 kg", "kg"))
    assert plan.outer == parse_size("51 x 41 x 23 cm", "cm")  # 40 + 2 x 5.08, rounded up


def test_the_shop_may_choose_more_cushion_but_not_less():
    assert box_plan(inches("10x10x10"), pounds("5"), cushion=Decimal(3)).outer == inches("16x16x16")
    for less in ("1.9", "NaN", "-3"):
        with pytest.raises(ParcelError, match="cushion"):
            box_plan(inches("10x10x10"), pounds("5"), cushion=Decimal(less))


# Drops: ISTA 1A and 2A, scribd.com 304153378


@pytest.mark.parametrize(
    "at_least, below, first, second",
    [
        ("0.1", "21", Drop(30, 760), Drop(38, 970)),
        ("21", "41", Drop(24, 610), Drop(32, 810)),
        ("41", "61", Drop(18, 460), Drop(26, 660)),
        ("61", "100", Drop(12, 310), Drop(20, 510)),
        ("100", "150", Drop(8, 200), Drop(12, 310)),
    ],
)
def test_the_heavier_the_parcel_the_lower_it_falls(at_least, below, first, second):
    just_below = Decimal(below) - Decimal("0.1")
    for weight in (Decimal(at_least), just_below):
        assert drop_height(Weight(weight)) == first
        assert drop_height(Weight(weight), "2A") == second


@pytest.mark.parametrize(
    "weight, expected",
    [("20.9 lb", 30), ("21 lb", 24), ("45 lb", 18), ("61 lb", 12), ("9.9 kg", 30), ("10 kg", 24)],
)
def test_a_worked_drop_height(weight, expected):
    assert drop_height(pounds(weight)).inches == expected


@pytest.mark.parametrize(
    "kilograms, millimetres", [("18.9", 610), ("19", 460), ("28", 310), ("45", 200), ("67.9", 200)]
)
def test_kilograms_have_steps_of_their_own(kilograms, millimetres):
    assert drop_height(Weight(Decimal(kilograms), "kg")).millimetres == millimetres


@pytest.mark.parametrize("weight", ["150 lb", "68 kg"])
def test_a_unit_too_heavy_to_be_thrown_is_no_parcel(weight):
    with pytest.raises(ParcelError, match="freight"):
        drop_height(pounds(weight))


def test_there_are_ten_drops_one_corner_three_edges_six_faces():
    assert len(SEQUENCE) == 10
    assert [sum(word in drop for drop in SEQUENCE) for word in ("edge", "face")] == [3, 6]


@pytest.mark.parametrize(
    "box, weight, kind",
    [
        # ISTA 3A as told by jjrlab.com: 800 in³, 14 in, 10 lb; 8 in and four times; 36 in and 20 %
        ("12 x 8 x 6", "9", "small"),
        ("14 x 7 x 8", "10", "small"),
        ("14.1 x 7 x 8", "10", "standard"),
        ("14 x 7 x 8", "10.1", "standard"),
        ("10 x 10 x 8", "9", "standard"),  # 800 in³ is not below 800
        ("24 x 20 x 5", "20", "flat"),
        ("24 x 19.9 x 5", "20", "standard"),
        ("40 x 33 x 8.1", "20", "standard"),
        ("36 x 7.2 x 5", "20", "elongated"),
        ("35.9 x 7 x 5", "20", "standard"),
        ("50 x 10 x 2", "20", "elongated"),  # flat as well: elongated counts
        ("90 x 18 x 10 cm", "5 kg", "elongated"),
        ("60 x 50 x 12 cm", "5 kg", "flat"),
        ("35 x 20 x 18 cm", "4.5 kg", "small"),
    ],
)
def test_the_kind_of_parcel_by_which_it_is_tested(box, weight, kind):
    assert parcel_kind(inches(box), pounds(weight)) == kind


@pytest.mark.parametrize(
    "box, weight, after, mostly, once",
    [
        # ISTA 3A: 9 drops and 8 (7 for small ones), smithers.com; heights 18 and 36 in, from 70 lb 12 and 24: from memory
        ("12 x 8 x 6", "9", 7, 18, 36),
        ("20 x 16 x 12", "69.9", 8, 18, 36),
        ("20 x 16 x 12", "70", 8, 12, 24),
        ("50 x 40 x 30 cm", "31.9 kg", 8, 18, 36),
        ("50 x 40 x 30 cm", "32 kg", 8, 12, 24),
    ],
)
def test_the_drops_of_a_parcel_carriers_sorting(box, weight, after, mostly, once):
    drops = rough_drops(inches(box), pounds(weight))
    assert (drops.before, drops.after, drops.mostly.inches, drops.once.inches) == (9, after, mostly, once)


def test_the_sorting_ends_at_150_pounds():
    assert rough_drops(inches("20 x 16 x 12"), pounds("150")).mostly.inches == 12
    with pytest.raises(ParcelError, match="freight"):
        rough_drops(inches("20 x 16 x 12"), pounds("150.1"))


# Cautions: common practice, no source


def test_a_heavy_unit_with_a_transformer_is_bolted_down_blocked_and_double_boxed():
    cautions = packing_cautions({Trait.TRANSFORMER, Trait.TUBES}, pounds("60"))
    told = " ".join(caution.text for caution in cautions)
    for word in (
        "two inches",
        "newspaper",
        "Two people",
        "box in a box",
        "bolted down",
        "Take the tubes out",
    ):
        assert word in told
    assert [caution.trait for caution in cautions] == [None] * 4 + [Trait.TRANSFORMER, Trait.TUBES]


def test_a_turntable_travels_without_stylus_and_with_its_transport_screws():
    told = " ".join(caution.text for caution in packing_cautions([Trait.TURNTABLE], pounds("12")))
    assert "stylus" in told
    assert "transport screws" in told
    assert "Two people" not in told


def test_two_people_lift_from_23_kilograms_on():
    # load constant of the NIOSH lifting equation, 23 kg or 51 lb: from memory
    def told(weight):
        return " ".join(caution.text for caution in packing_cautions([], pounds(weight)))

    assert "Two people" in told("23 kg")
    assert "Two people" in told("51 lb")
    assert "Two people" not in told("22.9 kg")


@pytest.mark.parametrize("trait", list(Trait))
def test_every_trait_has_its_caution(trait):
    assert trait in [caution.trait for caution in packing_cautions([trait], pounds("5"))]


def test_a_lithium_cell_is_marked_and_a_damaged_one_stays():
    told = " ".join(caution.text for caution in packing_cautions([Trait.LITHIUM], pounds("5")))
    assert "mark" in told
    assert "never by air" in told


# Lithium cells: 49 CFR 173.185(c), limits and exceptions from memory


@pytest.mark.parametrize(
    "volts, ampere_hours, expected",
    [
        ("3.7", "2.2", "8.14"),
        ("11.1", "5.2", "57.72"),
        ("14.8", "7", "103.6"),
        ("7.4", "1.1", "8.14"),  # the battery of PHMSA letter 14-0218
    ],
)
def test_watt_hours_are_volts_times_ampere_hours(volts, ampere_hours, expected):
    assert watt_hours(Decimal(volts), Decimal(ampere_hours)) == Decimal(expected)
    by_pint = UNITS.Quantity(Decimal(volts), "volt") * UNITS.Quantity(Decimal(ampere_hours), "ampere hour")
    assert by_pint.to("watt hour").magnitude == Decimal(expected)


@pytest.mark.parametrize("volts, ampere_hours", [("0", "1"), ("1", "-1"), ("NaN", "1"), ("1", "Infinity")])
def test_a_cell_without_voltage_or_capacity_is_refused(volts, ampere_hours):
    with pytest.raises(ParcelError):
        watt_hours(Decimal(volts), Decimal(ampere_hours))


@pytest.mark.parametrize(
    "chemistry, is_battery, content, is_small",
    [
        ("ion", False, "20", True),
        ("ion", False, "20.01", False),
        ("ion", True, "100", True),
        ("ion", True, "103.6", False),
        ("ion", True, "57.72", True),
        ("ion", True, "42", True),  # PHMSA letter 17-0116: a battery of 42 Wh
        ("metal", False, "1", True),
        ("metal", False, "1.1", False),
        ("metal", True, "2", True),
        ("metal", True, "2.1", False),
    ],
)
def test_the_limits_of_a_small_cell_and_battery(chemistry, is_battery, content, is_small):
    answer = lithium_rule(LithiumInside(chemistry, Decimal(content), is_battery=is_battery))
    assert answer.is_small == is_small
    assert answer.needs_mark == (not is_small)
    assert answer.un_number == ("UN 3481" if chemistry == "ion" else "UN 3091")
    assert answer.un_number in answer.why


@pytest.mark.parametrize(
    "count, is_battery, packages, needs_mark",
    [
        (4, False, 2, False),
        (5, False, 1, True),
        (2, True, 2, False),
        (3, True, 1, True),
        (1, True, 3, True),  # more than two packages: rule HM-215N, PHMSA letters 17-0023 and 17-0116
    ],
)
def test_few_cells_in_at_most_two_packages_need_no_mark(count, is_battery, packages, needs_mark):
    inside = LithiumInside("ion", Decimal(10), count=count, is_battery=is_battery)
    assert lithium_rule(inside, packages).needs_mark == needs_mark


def test_button_cells_in_equipment_need_no_mark():
    assert not lithium_rule(LithiumInside("metal", Decimal("0.1"), count=12, is_button=True), 10).needs_mark


def test_a_damaged_cell_never_flies():
    answer = lithium_rule(LithiumInside("ion", Decimal(5), is_damaged=True))
    assert not answer.by_air
    assert not answer.is_small
    assert "never goes by air" in answer.why


@pytest.mark.parametrize("content, count", [("0", 1), ("-1", 1), ("NaN", 1), ("1", 0)])
def test_a_cell_that_holds_nothing_is_refused(content, count):
    with pytest.raises(ParcelError):
        LithiumInside("ion", Decimal(content), count=count)


def test_no_package_at_all_is_refused():
    with pytest.raises(ParcelError):
        lithium_rule(LithiumInside("ion", Decimal(1)), 0)
