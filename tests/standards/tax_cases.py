"""Lines, customers and rules that the checks of tax share; what is invented says so."""

from __future__ import annotations

from datetime import date

from hypothesis import strategies as st

from shop.handbook.money import Money
from shop.handbook.tax import (
    Buyer,
    Line,
    LineKind,
    Percent,
    TaxRules,
    Totals,
    california,
    compute,
    value_added_tax,
)

SOURCE = "invented for the test"
DAY = date(2026, 11, 25)
START = date(2020, 1, 1)


def vat21() -> TaxRules:
    return value_added_tax(Percent.parse("21"), START, SOURCE)


def california_rules() -> TaxRules:
    return california(Percent.parse("9.5"), START, SOURCE)


def usd(text: str) -> Money:
    return Money.parse(text, "USD")


def eur(text: str) -> Money:
    return Money.parse(text, "EUR")


def labour(amount: Money) -> Line:
    return Line(LineKind.LABOUR, amount)


def part(amount: Money) -> Line:
    return Line(LineKind.PART, amount)


def california_totals(*lines: Line, priced: bool, buyer: Buyer | None = None) -> Totals:
    return compute(lines, currency="USD", rules=california_rules(), on=DAY, parts_priced=priced, buyer=buyer)


kinds = st.sampled_from(list(LineKind))
