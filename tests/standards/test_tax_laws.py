"""What holds for every invoice: the EN 16931 formulas over random lines, and credit notes that come to nothing."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from hypothesis import assume, given
from hypothesis import strategies as st

from shop.handbook.money import Money
from shop.handbook.tax import (
    Adjustment,
    Buyer,
    Line,
    LineKind,
    Percent,
    Standing,
    TaxRules,
    Totals,
    california,
    compute,
    sales_tax,
)
from tests.standards.tax_cases import DAY, SOURCE, START, kinds

# What holds for every invoice

amounts = st.integers(-(10**7), 10**8)
lines_of = st.lists(
    st.builds(lambda kind, minor: Line(kind, Money(minor, "USD")), kinds, amounts), min_size=1, max_size=12
)
positive_lines = st.lists(
    st.builds(lambda kind, minor: Line(kind, Money(minor, "USD")), kinds, st.integers(1, 10**8)),
    min_size=1,
    max_size=12,
)
taxed_kinds = st.frozensets(kinds)
percents = st.builds(Percent, st.integers(1, 400_000))


@st.composite
def regimes(draw: st.DrawFn) -> TaxRules:
    rules = sales_tax(draw(percents), draw(taxed_kinds), START, SOURCE)
    return replace(rules, inclusive=draw(st.booleans()))


def adjustment(minor: int, kind: LineKind | None) -> Adjustment:
    return Adjustment(Money(minor, "USD"), "reason", kind)


adjustments = st.lists(st.builds(adjustment, st.integers(0, 10**6), kinds), max_size=3)


def assert_the_formulas_hold(totals: Totals, *, inclusive: bool) -> None:
    def added(values: object) -> Money:
        return Money.sum(values, "USD")  # type: ignore[arg-type]

    assert totals.line_total == added(line.net for line in totals.lines)  # BR-CO-10
    assert totals.allowance_total == added(each.net for each in totals.allowances)  # BR-CO-11
    assert totals.charge_total == added(each.net for each in totals.charges)  # BR-CO-12
    assert totals.net == totals.line_total - totals.allowance_total + totals.charge_total  # BR-CO-13
    assert totals.tax == added(each.tax for each in totals.categories)  # BR-CO-14
    assert totals.gross == totals.net + totals.tax  # BR-CO-15
    assert totals.due == totals.gross - totals.prepaid + totals.rounding  # BR-CO-16
    assert totals.net == added(each.base for each in totals.categories)
    assert len({(each.category, each.percent) for each in totals.categories}) == len(totals.categories)
    for each in totals.categories:  # BR-CO-17, with the rounding rule
        exact = Fraction(each.base.minor * each.percent.ten_thousandths, 1_000_000)
        slack = 1 + Fraction(each.percent.ten_thousandths, 1_000_000) if inclusive else 1
        assert abs(each.tax.minor - exact) <= Fraction(1, 2) * slack


@given(lines_of, adjustments, adjustments, regimes(), amounts)
def test_the_parts_of_an_invoice_add_up_to_the_whole(
    lines: list[Line], off: list[Adjustment], added: list[Adjustment], rules: TaxRules, prepaid: int
) -> None:
    totals = compute(
        lines,
        currency="USD",
        rules=rules,
        on=DAY,
        allowances=off,
        charges=added,
        prepaid=Money(prepaid, "USD"),
    )
    assert_the_formulas_hold(totals, inclusive=rules.inclusive)
    if rules.inclusive:
        typed = Money.sum((line.amount for line in lines), "USD")
        typed = typed - Money.sum((each.amount for each in off), "USD")
        assert totals.gross == typed + Money.sum((each.amount for each in added), "USD")
        for entry in (*totals.lines, *totals.allowances, *totals.charges):
            bare = Fraction(
                entry.typed.minor * 1_000_000, 1_000_000 + entry.treatment.percent.ten_thousandths
            )
            assert abs(entry.net.minor - bare) <= 1


@given(positive_lines, st.integers(0, 10**6), regimes())
def test_an_allowance_is_spread_without_losing_a_cent(lines: list[Line], minor: int, rules: TaxRules) -> None:
    totals = compute(lines, currency="USD", rules=rules, on=DAY, allowances=[adjustment(minor, None)])
    assert_the_formulas_hold(totals, inclusive=rules.inclusive)
    assert Money.sum((each.typed for each in totals.allowances), "USD") == Money(minor, "USD")


def negated(totals: Totals) -> list[Money]:
    figures = [
        totals.line_total,
        totals.allowance_total,
        totals.charge_total,
        totals.net,
        totals.tax,
        totals.gross,
    ]
    figures += [
        totals.due,
        *(each.base for each in totals.categories),
        *(each.tax for each in totals.categories),
    ]
    return [-each for each in figures] + [-line.net for line in totals.lines]


def figures_of(totals: Totals) -> list[Money]:
    return [-each for each in negated(totals)]


@given(positive_lines, st.integers(0, 10**6), adjustments, regimes())
def test_an_invoice_and_its_credit_note_come_to_nothing(
    lines: list[Line], off: int, added: list[Adjustment], rules: TaxRules
) -> None:
    invoice = compute(
        lines, currency="USD", rules=rules, on=DAY, allowances=[adjustment(off, None)], charges=added
    )
    credit = compute(
        [replace(line, amount=-line.amount) for line in lines],
        currency="USD",
        rules=rules,
        on=DAY,
        allowances=[adjustment(-off, None)],
        charges=[replace(each, amount=-each.amount) for each in added],
    )
    assert figures_of(credit) == negated(invoice)


@given(positive_lines, percents, st.booleans())
def test_a_california_invoice_and_its_credit_note_come_to_nothing(
    lines: list[Line], percent: Percent, priced: bool
) -> None:
    rules = california(percent, START, SOURCE)
    invoice = compute(lines, currency="USD", rules=rules, on=DAY, parts_priced=priced)
    back = [replace(line, amount=-line.amount) for line in lines]
    credit = compute(back, currency="USD", rules=rules, on=DAY, parts_priced=priced)
    assert figures_of(credit) == negated(invoice)
    assert_the_formulas_hold(invoice, inclusive=False)


@given(lines_of, regimes(), st.sampled_from([Standing.EXEMPT, Standing.REVERSE_CHARGE]))
def test_who_owes_no_tax_pays_none(lines: list[Line], rules: TaxRules, standing: Standing) -> None:
    assume(lines)
    totals = compute(lines, currency="USD", rules=rules, on=DAY, buyer=Buyer(standing, "proof"))
    assert totals.tax == Money.zero("USD")
    assert_the_formulas_hold(totals, inclusive=rules.inclusive)
