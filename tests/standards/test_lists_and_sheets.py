"""Lists of parts, columns of a sheet, and the quantities of a workshop's gauges."""

from __future__ import annotations

from decimal import Decimal

import pytest

from shop.handbook.checklists import CHECKLISTS, checklists_for
from shop.handbook.parts_list import ListError, read_list
from shop.handbook.quantities import Kind, Unreadable, parse
from shop.handbook.readings import expect, judge
from shop.handbook.sheet import (
    COLUMN_SETS,
    TEMPLATES,
    ColumnsError,
    RowOf,
    RowTemplate,
    columns_of,
    templates_for,
)

# Common practice, no source: how such a list is jotted down on paper.
LISTS = {
    "C12 47u63, C13 100u25, R5 4k7": [("C12", "47u63"), ("C13", "100u25"), ("R5", "4k7")],
    "C709 C711 47u50; Q707 KSC3503": [("C709", "47u50"), ("C711", "47u50"), ("Q707", "KSC3503")],
    "C1-C3 100u25": [("C1", "100u25"), ("C2", "100u25"), ("C3", "100u25")],
    "C01–C02 1u": [("C01", "1u"), ("C02", "1u")],
    "left lead: RCA plug\nBT1 CR2032 holder": [("left lead", "RCA plug"), ("BT1", "CR2032 holder")],
    "C1 4,7u 63V,C2 10u": [("C1", "4,7u 63V"), ("C2", "10u")],
    "C9": [("C9", "")],
    "belt": [("", "belt")],
}


@pytest.mark.parametrize("typed", LISTS)
def test_a_list_is_read_as_it_is_jotted_down(typed: str) -> None:
    assert [(one.position, one.what) for one in read_list(typed)] == LISTS[typed]


def test_counts_and_prices_stand_behind_what_they_are_of() -> None:
    fuse, tubes, _ = read_list("F1 T2A 3x, V5 V6 6CA7 matched @38")
    assert (fuse.what, fuse.quantity) == ("T2A", 3)
    assert (tubes.what, tubes.price) == ("6CA7 matched", "38")


@pytest.mark.parametrize("typed", ["", " , ", "C1 10u, C1 22u", "C9-C3 10u", "C1-C900 1u", "x" * 5000])
def test_a_list_that_means_nothing_or_too_much_is_refused(typed: str) -> None:
    with pytest.raises(ListError):
        read_list(typed)


def test_recapped_tells_no_value_and_opens_a_list() -> None:
    found = read_list("C1–C12 recapped")
    assert len(found) == 12
    assert {(one.what, one.opens) for one in found} == {("", True)}


def test_columns_are_pins_voices_channels_or_names() -> None:
    assert columns_of("") == ("",)
    assert columns_of("L R") == ("L", "R")
    # IEC 60067: the noval base has nine pins (from memory)
    assert columns_of("pin 1-9")[-1] == "pin 9"
    assert columns_of("V5-V8") == ("V5", "V6", "V7", "V8")
    assert all(columns_of(typed) for typed, _ in COLUMN_SETS)
    for wrong in ("9-1", "1-200", "L L", "x" * 30):
        with pytest.raises(ColumnsError):
            columns_of(wrong)


def test_every_row_of_every_template_can_be_measured() -> None:
    for template in TEMPLATES:
        for row in template.rows:
            columns_of(row.columns)
            kind = Kind(row.quantity)
            if row.expected:
                expect(row.expected, kind)
            if row.unit:
                parse(f"1 {row.unit}", kind)
            assert not row.unit or row.unit in kind.keypad, row


def test_the_shops_own_rows_stand_in_place_of_the_handbooks() -> None:
    own = RowTemplate("own-1", "Rails", (RowOf("B+", "voltage_dc"),))
    assert [one for one in templates_for("turntable", [own]) if one.name == "Rails"] == [own]
    assert templates_for("turntable")[0].slug == "turntable"


def test_checklists_fit_the_kind_of_unit() -> None:
    assert checklists_for("synthesizer")[0].steps[0] == "Patches saved to a file"
    assert all(len(set(one.steps)) == len(one.steps) for one in CHECKLISTS)


# 1 gf = 9.80665 mN by the standard acceleration of gravity (CGPM 1901); 1 mho = 1 S (SI brochure). From memory.
WEIGHED = [
    ("1 g", Kind.FORCE, "0.00980665"),
    ("18 mN", Kind.FORCE, "0.018"),
    ("1 g·cm", Kind.TORQUE, "0.0000980665"),
    ("1 kg·cm", Kind.TORQUE, "0.0980665"),
    ("5 mN·m", Kind.TORQUE, "0.005"),
    ("11.2 mA/V", Kind.TRANSCONDUCTANCE, "0.0112"),
    ("2000 µmho", Kind.TRANSCONDUCTANCE, "0.002"),
    ("-8", Kind.PHASE, "-8"),
]


@pytest.mark.parametrize("typed, kind, value", WEIGHED)
def test_gauges_and_testers_are_read_in_their_own_units(typed: str, kind: Kind, value: str) -> None:
    assert abs(parse(typed, kind).value - Decimal(value)) <= abs(Decimal(value)) / 10_000


def test_a_torque_is_held_against_limits_in_another_unit() -> None:
    # 35 g·cm is 3.43 mN·m
    assert judge(parse("3.4 mN·m", Kind.TORQUE), expect("35 to 65 g·cm", Kind.TORQUE)).verdict == "low"
    with pytest.raises(Unreadable):
        parse("12", Kind.TORQUE)
