"""The shop's tax rules as the handbook reckons with them. An aid: the shop enters its own rates and their source."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal

from shop.counter.models import Customer, TaxStanding
from shop.handbook import tax
from shop.handbook.money import Money
from shop.office.models import TaxRule
from shop.office.pricing import PricedItem, rules_on
from shop.premises.refusal import Refusal

Group = tuple[str, Decimal, str, dt.date, dt.date | None, str]


def tax_rules(on: dt.date) -> tax.TaxRules:
    """All rules as one set; a kind of line without a rule of the shop is not taxed, and says so."""
    groups: dict[Group, set[tax.LineKind]] = defaultdict(set)
    for row in TaxRule.objects.all():
        group = (row.name, row.rate_percent, row.category, row.from_date, row.to_date, row.source)
        groups[group].add(tax.LineKind(row.line_kind))
    office = rules_on(on)
    rules = [
        tax.TaxRule(
            name=name,
            kinds=frozenset(kinds),
            percent=tax.Percent.parse(str(percent)),
            starts=starts,
            ends=ends,
            source=source or "entered by the shop",
            category=tax.Category(category),
            reason="" if category in {"S", "Z"} else name,
        )
        for (name, percent, category, starts, ends, source), kinds in groups.items()
    ]
    covered = {kind for rule in rules for kind in rule.kinds if rule.holds(kind, "standard", on)}
    if rest := frozenset(set(tax.LineKind) - covered):
        rules.append(
            tax.TaxRule(
                name="not taxed",
                kinds=rest,
                percent=tax.Percent.parse("0"),
                starts=on,
                ends=on,
                source="the shop has no rule for it",
                category=tax.Category.OUTSIDE,
                reason="not taxed",
            )
        )
    return tax.TaxRules(
        name="the shop’s rules",
        rules=tuple(rules),
        inclusive=office.prices_include_tax,
        parts_rule=office.parts_rule_1546,
    )


def buyer_of(customer: Customer) -> tax.Buyer:
    """How tax applies to a customer."""
    standing = {
        TaxStanding.ORDINARY: tax.Standing.ORDINARY,
        TaxStanding.EXEMPT: tax.Standing.EXEMPT,
        TaxStanding.REVERSE_CHARGE: tax.Standing.REVERSE_CHARGE,
    }[TaxStanding(customer.tax_standing)]
    return tax.Buyer(standing, customer.tax_number)


def totals(
    items: Sequence[PricedItem],
    *,
    customer: Customer,
    currency: str,
    on: dt.date,
    prepaid: Money | None = None,
) -> tax.Totals:
    """Net, tax by category and gross of priced lines; a missing certificate or number is refused in a sentence."""
    lines = [tax.Line(tax.LineKind(item.kind), item.amount) for item in items]
    try:
        return tax.compute(
            lines, currency=currency, rules=tax_rules(on), on=on, buyer=buyer_of(customer), prepaid=prepaid
        )
    except tax.TaxError as error:
        raise Refusal(str(error)) from error
