"""Finding parts: ten values written in forty ways and more, numbers of anybody's, words; and what must not be found."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

import pytest
import rkm_codes
from django.test.utils import CaptureQueriesContext
from quantiphy import Quantity as Quantiphy

from shop.frame.refusal import Refusal
from shop.stockroom import actions, queries
from shop.stockroom.marking import markings
from shop.stockroom.models import Part
from tests.factories.stockroom import a_part, a_supplier

# Ten parts as one writes them down. Their values in the base unit stand beside them, worked by hand.
TEN: dict[str, tuple[str, dict[str, str]]] = {
    "4700": ("Resistor", {"designation": "4k7 5%", "rating": "0.25 W"}),
    "0.1": ("Resistor", {"designation": "0R1", "rating": "3 W"}),
    "1000000": ("Resistor", {"designation": "1M", "rating": "0.5 W"}),
    "47": ("Resistor", {"designation": "47 ohm"}),
    "22000": ("Potentiometer, linear", {"designation": "22k lin"}),
    "0.0000047": ("Capacitor, electrolytic", {"designation": "4.7 µF 63 V"}),
    "0.0000001": ("Capacitor, film", {"designation": "100n", "rating": "250 V"}),
    "0.000000000047": ("Capacitor, ceramic", {"designation": "47p"}),
    "0.0022": ("Capacitor, electrolytic", {"designation": "2200uF", "rating": "35 V"}),
    "0.000022": ("Choke coil", {"designation": "22µH"}),
}

# The letters in the point's place and the three-digit codes: IEC 60062. The other spellings: common practice, no source.
FORTY: list[tuple[str, str]] = [
    *[("4700", typed) for typed in ("4k7", "4K7", "4.7k", "4,7k", "4.7 kΩ", "4700 ohm", "4k7 0.25W", "4k7 1/4W")],
    *[("4700", typed) for typed in ("4.7kohm", "yellow violet red gold", "resistor 4k7")],
    *[("0.1", typed) for typed in ("0R1", "R1", "0.1R", "100 mΩ", "0,1 ohm")],
    *[("1000000", typed) for typed in ("1M", "1M0", "1000k", "1 MΩ", "1 megohm")],
    *[("47", typed) for typed in ("47R", "47 Ω", "47 ohms", "47Ω")],
    *[("22000", typed) for typed in ("22k", "22 k", "22k lin", "22kΩ")],
    *[("0.0000047", typed) for typed in ("4µ7", "4u7", "4.7uF", "4,7 µF", "4.7 μF 63V", "4.7µF 50V", "4.7 mfd")],
    *[("0.0000001", typed) for typed in ("100n", "0.1uF", "100 nF", "100nF 250V", "0,1µF")],
    *[("0.000000000047", typed) for typed in ("47p", "47pF", "47 mmfd")],
    *[("0.0022", typed) for typed in ("2200µF", "2m2F", "2200 uF 25V", "2.2 mF")],
    *[("0.000022", typed) for typed in ("22uH", "22 µH", "0.022 mH")],
]  # fmt: skip


@pytest.fixture
def ten(by) -> dict[str, Part]:
    return {
        value: a_part(by, description=description, **facts) for value, (description, facts) in TEN.items()
    }


def found(typed: str) -> list[Part]:
    return list(queries.find_parts(typed).order_by("number"))


def test_there_are_forty_ways_and_ten_values() -> None:
    assert len(FORTY) >= 40
    assert len({typed for _, typed in FORTY}) == len(FORTY)
    assert {value for value, _ in FORTY} == set(TEN)


def test_forty_ways_of_writing_ten_values_find_the_right_ten_parts(ten) -> None:
    wrong = {
        typed: [part.designation for part in found(typed)]
        for value, typed in FORTY
        if found(typed) != [ten[value]]
    }
    assert wrong == {}


def test_each_part_keeps_the_value_that_was_worked_out_by_hand(ten) -> None:
    assert {value: part.value for value, part in ten.items()} == {value: Decimal(value) for value in TEN}


@pytest.mark.parametrize("code", ["4K7", "R47", "2M2", "47R", "1K", "68R", "3M3"])
def test_letter_codes_are_read_as_an_independent_library_reads_them(code) -> None:
    # rkm-codes: IEC 60062 letter codes, by other hands
    (marking,) = markings(code)
    assert float(marking.value) == pytest.approx(float(rkm_codes.from_rkm(code)))


@pytest.mark.parametrize("typed", ["4.7 kΩ", "22 µH", "100 nF", "4.7 µF", "1 MΩ"])
def test_values_with_prefixes_are_read_as_an_independent_library_reads_them(typed) -> None:
    (marking,) = markings(typed)
    assert float(marking.value) == pytest.approx(Quantiphy(typed).real)


def test_a_rating_that_is_typed_is_the_least_that_will_do(by) -> None:
    weak = a_part(by, designation="4k7", rating="0.1 W")
    just = a_part(by, designation="4k7", rating="0.25 W")
    strong = a_part(by, designation="4k7", rating="2 W")
    unknown = a_part(by, designation="4k7")
    assert found("4k7 0.25W") == [just, strong, unknown]
    assert found("4k7") == [weak, just, strong, unknown]


@pytest.mark.parametrize(
    "typed", ["4k7 1/4W", "1/4W 4k7", "4k7 carbon film 0.25 W", "¼W film 4k7", "film 4k7 250mW"]
)
def test_a_wattage_may_stand_anywhere_and_be_a_fraction_of_a_watt(by, typed) -> None:
    # 1/8, 1/4 and 1/2 W are how resistors are sold: common practice, no source
    a_part(by, description="Resistor, carbon film", designation="4k7", rating="1/8 W")
    just = a_part(by, description="Resistor, carbon film", designation="4k7", rating="1/4 W")
    strong = a_part(by, description="Resistor, carbon film", designation="4k7", rating="½W")
    a_part(by, description="Resistor, carbon film", designation="1R", rating="4 W")
    assert (just.rated_watts, strong.rated_watts) == (0.25, 0.5)
    assert found(typed) == [just, strong]


def test_a_tolerance_and_a_voltage_count_wherever_they_stand(by) -> None:
    low, high = (
        a_part(by, description="Capacitor, film", designation=f"100n 5% {volts}V") for volts in (63, 250)
    )
    assert found("160V film 100n 10%") == [high]
    assert found("5% film 100n") == [low, high]
    assert found("100n film 1%") == []


def test_a_wattage_alone_finds_what_stands_it_and_never_one_ohm_of_four_watts(by) -> None:
    one_ohm = a_part(by, designation="1R", rating="4 W")
    quarter = a_part(by, designation="4k7", rating="0.25 W")
    a_part(by, designation="10k", rating="1/8 W")
    assert found("1/4W") == [one_ohm, quarter]
    assert found("1R 4W") == [one_ohm]
    assert found("resistor 1W") == [one_ohm]


def test_a_working_voltage_that_is_typed_is_the_least_that_will_do(by) -> None:
    low, high = (a_part(by, description="Capacitor", designation=f"10µF {volts}V") for volts in (25, 63))
    assert found("10µF 50V") == [high]
    assert found("10uF 25V") == [low, high]


def test_a_tolerance_that_is_typed_is_the_widest_that_will_do(by) -> None:
    close, wide = a_part(by, designation="10k 1%"), a_part(by, designation="10k 10%")
    assert found("10k 5%") == [close]
    assert found("10k") == [close, wide]


def test_a_marking_that_means_two_values_is_asked_about_and_never_guessed(by) -> None:
    with pytest.raises(Refusal, match="“104” can be 100 kΩ or 100 nF") as refused:
        a_part(by, description="Film", designation="104")
    assert refused.value.field == "quantity_kind"
    assert a_part(by, description="Capacitor, film", designation="104").value == Decimal("1E-7")
    assert a_part(by, description="Film", designation="104", quantity_kind="resistance").value == 100_000
    assert a_part(by, description="Timer", designation="555", quantity_kind="none").value is None


def test_a_search_for_such_a_marking_finds_both(by) -> None:
    film = a_part(by, description="Capacitor, film", designation="100n")
    carbon = a_part(by, designation="100k")
    assert found("104") == [film, carbon]


@pytest.mark.parametrize("name", ["6L6", "2N3055", "NE555", "12AX7", "BC547B", "1N4148"])
def test_a_device_number_is_no_value(by, name) -> None:
    part = a_part(by, description="Device", designation=name)
    assert (part.value, part.quantity_kind) == (None, "")
    assert found(name.lower()) == [part]


@pytest.mark.parametrize(
    "typed", ["2SC1815", "2sc1815-gr", "C1815", "2SC 1815", "c1815gr", "transistor TO-92", "T4 1815"]
)
def test_a_device_is_found_by_its_number_however_it_is_written(by, typed) -> None:
    part = a_part(by, description="Transistor", designation="2SC1815-GR", package="TO-92", drawer="T4")
    a_part(by, description="Transistor", designation="2SA1015-GR", package="TO-220", drawer="T5")
    assert found(typed) == [part]


def test_a_part_is_found_by_what_its_maker_or_a_supplier_calls_it(by) -> None:
    part = a_part(by, description="Belt", designation="CB-71")
    actions.name_part(part=part, given=actions.NumberGiven(number="VX 318-B", supplier=a_supplier(by)), by=by)
    assert found("vx318b") == [part]
    actions.forget_number(number=part.numbers.get(), by=by)
    assert found("vx318b") == []


def test_a_part_that_is_kept_no_longer_is_found_only_among_those(by) -> None:
    part = a_part(by, designation="4k7")
    actions.retire_part(part=part, by=by)
    assert found("4k7") == []
    assert list(queries.find_parts("4k7", retired=True)) == [part]


@pytest.mark.postgres
@pytest.mark.parametrize(
    "typed", ["", "   ", "%", "_", "'; drop table", "AND OR", "\u0000", "ÅÄÖ" * 200, "4k7x", "-1k"]
)
def test_anything_may_be_typed(by, typed) -> None:
    a_part(by, designation="4k7")
    assert isinstance(list(queries.find_parts(typed)), list)


def test_a_search_asks_the_database_once_however_many_parts_there_are(by, django_assert_num_queries) -> None:
    for n in range(12):
        a_part(by, designation=f"{n + 1}k")
    ask: Callable[[], object] = lambda: [str(part.level) for part in queries.find_parts("k")]  # noqa: E731
    with django_assert_num_queries(1) as asked:
        ask()
    assert isinstance(asked, CaptureQueriesContext)


def test_parts_are_paged_by_number_there_and_back(by, monkeypatch) -> None:
    monkeypatch.setattr(queries.finding, "PAGE", 3)
    numbers = [a_part(by, designation=f"{n}k").number for n in range(1, 9)]
    seen, after = [], ""
    for _ in range(3):
        page = queries.parts_page(after=after)
        seen += [part.number for part in page.parts]
        after = page.after
    assert (seen, after) == (numbers, "")
    back = queries.parts_page(before=numbers[6])
    assert [part.number for part in back.parts] == numbers[3:6]
    assert (back.before, back.after) == (numbers[3], numbers[5])
