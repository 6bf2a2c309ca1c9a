"""Tax rules with dates, and the ready-made sets with their sources."""

from __future__ import annotations

from datetime import date

import pytest

from shop.handbook.tax import (
    Category,
    Line,
    LineKind,
    NoTaxRule,
    Percent,
    TaxError,
    TaxRule,
    TaxRules,
    california,
    compute,
    no_tax,
    sales_tax,
    value_added_tax,
)
from tests.standards.tax_cases import DAY, SOURCE, START, eur, vat21

# Rules with dates


def two_rates() -> TaxRules:
    kinds = frozenset(LineKind)
    old = TaxRule("VAT", kinds, Percent.parse("19"), START, "old law", ends=date(2026, 6, 30))
    new = TaxRule("VAT", kinds, Percent.parse("21"), date(2026, 7, 1), "new law", ends=date(2026, 12, 31))
    return TaxRules("VAT", (old, new))


@pytest.mark.parametrize(
    "on, rate",
    [(START, "19"), (date(2026, 6, 30), "19"), (date(2026, 7, 1), "21"), (date(2026, 12, 31), "21")],
)
def test_the_rate_of_the_day_holds(on: date, rate: str) -> None:
    assert two_rates().rule_for(LineKind.LABOUR, "standard", on).percent == Percent.parse(rate)


@pytest.mark.parametrize("on", [date(2019, 12, 31), date(2027, 1, 1)])
def test_a_day_without_a_rule_is_refused_and_not_untaxed(on: date) -> None:
    with pytest.raises(NoTaxRule, match=f"no standard tax rule for bench fee on {on}") as refusal:
        compute([Line(LineKind.BENCH_FEE, eur("1"))], currency="EUR", rules=two_rates(), on=on)
    assert (refusal.value.kind, refusal.value.rate, refusal.value.on) == (LineKind.BENCH_FEE, "standard", on)


def test_a_rate_that_nobody_set_is_refused() -> None:
    with pytest.raises(NoTaxRule, match="no reduced tax rule for labour"):
        compute([Line(LineKind.LABOUR, eur("1"), rate="reduced")], currency="EUR", rules=vat21(), on=DAY)


def rule(**changes: object) -> TaxRule:
    facts: dict[str, object] = {
        "name": "VAT",
        "kinds": frozenset({LineKind.LABOUR}),
        "percent": Percent.parse("20"),
        "starts": START,
        "source": SOURCE,
    }
    return TaxRule(**(facts | changes))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "first, second",
    [
        ({}, {}),
        ({"ends": DAY}, {"starts": DAY}),
        ({"starts": DAY}, {"ends": DAY}),
        ({"kinds": frozenset(LineKind)}, {}),
    ],
)
def test_two_rules_for_the_same_line_on_the_same_day_are_refused(
    first: dict[str, object], second: dict[str, object]
) -> None:
    with pytest.raises(TaxError, match=r"“one” and “two” hold for the same line on the same day"):
        TaxRules("both", (rule(name="one", **first), rule(name="two", **second)))


@pytest.mark.parametrize(
    "first, second",
    [
        ({"ends": date(2026, 6, 30)}, {"starts": date(2026, 7, 1)}),
        ({"starts": date(2026, 7, 1)}, {"ends": date(2026, 6, 30)}),
        ({}, {"rate": "reduced"}),
        ({}, {"kinds": frozenset({LineKind.PART})}),
    ],
)
def test_rules_that_never_meet_stand_side_by_side(
    first: dict[str, object], second: dict[str, object]
) -> None:
    assert len(TaxRules("both", (rule(**first), rule(**second))).rules) == 2


@pytest.mark.parametrize(
    "changes, sentence",
    [
        ({"source": " "}, "needs its source"),
        ({"ends": date(2019, 12, 31)}, "ends before it starts"),
        ({"percent": Percent(0)}, "only category S has a rate above zero"),
        ({"category": Category.ZERO}, "only category S has a rate above zero"),
        ({"category": Category.EXEMPT, "percent": Percent(0), "reason": " "}, "needs the reason"),
        ({"category": Category.OUTSIDE, "percent": Percent(0)}, "needs the reason"),
    ],
)
def test_a_rule_that_is_not_whole_is_refused(changes: dict[str, object], sentence: str) -> None:
    # EN 16931 BR-S-05, BR-Z-05, BR-E-05, BR-E-10, BR-O-10.
    with pytest.raises(TaxError, match=sentence):
        rule(**changes)


def test_a_rule_may_last_one_day_and_a_zero_rate_needs_no_reason() -> None:
    assert rule(ends=START).ends == START
    assert rule(category=Category.ZERO, percent=Percent(0)).reason == ""


def ready_made(ends: date | None = None) -> dict[str, TaxRules]:
    eight = Percent.parse("8")
    return {
        "california": california(eight, START, SOURCE, ends),
        "vat": value_added_tax(eight, START, SOURCE, ends),
        "vat inside": value_added_tax(eight, START, SOURCE, ends, inclusive=True),
        "nothing": sales_tax(eight, frozenset(), START, SOURCE, ends),
        "parts": sales_tax(eight, frozenset({LineKind.PART}), START, SOURCE, ends),
        "everything": sales_tax(eight, frozenset(LineKind), START, SOURCE, ends),
        "none": no_tax("Below the threshold", "the tax office", START, ends),
    }


@pytest.mark.parametrize("name", ready_made())
def test_every_ready_made_set_speaks_for_every_kind_of_line_with_a_source(name: str) -> None:
    rules = ready_made()[name]
    for kind in LineKind:
        found = rules.rule_for(kind, "standard", DAY)
        assert found.source
        assert (found.starts, found.ends) == (START, None)
    assert all(each.reason for each in rules.rules if each.percent == Percent(0))
    assert all(each.kinds for each in rules.rules)
    assert {each.ends for each in ready_made(DAY)[name].rules} == {DAY}


def described(rules: TaxRules) -> set[tuple[str, str, str, str, str]]:
    return {
        (kind.value, each.name, each.percent.plain, each.reason, each.source)
        for each in rules.rules
        for kind in each.kinds
    }


def test_californias_set_says_what_is_taxed_and_where_that_is_written() -> None:
    # 18 CCR 1546(b); 18 CCR 1628 from memory.
    labour_rule = ("Repair labor", "0", "Repair labor is not taxed.", "18 CCR 1546(b)")
    delivery = (
        "Delivery",
        "0",
        "Delivery stated separately is not taxed.",
        "18 CCR 1628, read the paragraph before you rely on it",
    )
    rules = ready_made()["california"]
    assert rules.name == "California sales tax"
    assert rules.parts_rule
    assert not rules.inclusive
    assert described(rules) == {
        ("part", "Sales tax", "8", "", SOURCE),
        ("labour", *labour_rule),
        ("bench_fee", *labour_rule),
        ("other", *labour_rule),
        ("shipping", *delivery),
    }


def test_the_other_sets_say_what_is_taxed() -> None:
    made = ready_made()
    assert {(each.name, each.parts_rule) for each in made.values() if "California" not in each.name} == {
        ("VAT", False),
        ("Sales tax", False),
        ("No tax", False),
    }
    assert [made[name].inclusive for name in ("vat", "vat inside", "parts", "none")] == [
        False,
        True,
        False,
        False,
    ]
    assert described(made["vat"]) == {(kind.value, "VAT", "8", "", SOURCE) for kind in LineKind}
    untaxed = {(kind.value, "Not taxed", "0", "Not taxed here.", SOURCE) for kind in LineKind}
    assert described(made["nothing"]) == untaxed
    assert described(made["everything"]) == {(kind.value, "Sales tax", "8", "", SOURCE) for kind in LineKind}
    parts = {("part", "Sales tax", "8", "", SOURCE)}
    assert described(made["parts"]) == parts | {each for each in untaxed if each[0] != "part"}
    reason = "Below the threshold"
    assert described(made["none"]) == {
        (kind.value, "No tax", "0", reason, "the tax office") for kind in LineKind
    }
    assert {each.category for each in made["none"].rules} == {Category.EXEMPT}


def test_what_a_state_taxes_is_the_shops_to_say() -> None:
    rules = sales_tax(Percent.parse("7"), frozenset({LineKind.PART, LineKind.LABOUR}), START, SOURCE)
    taxed = {kind for kind in LineKind if rules.rule_for(kind, "standard", DAY).percent > Percent(0)}
    assert taxed == {LineKind.PART, LineKind.LABOUR}
    assert not rules.inclusive
    assert not rules.parts_rule
