"""Ready-made sets of tax rules to start from. The rate is always the shop's own entry: rates change and differ by place.

Sources
    California: 18 CCR 1546 (repair labour is not taxed, parts by the ten percent rule); 18 CCR 1628 (delivery stated
    separately and made by carrier is not taxed: from memory, not confirmed).
    Other states of the United States tax parts, and some tax repair labour (from memory): the shop says which.
    European Union and United Kingdom: one rule for all kinds of line at the shop's rate; delivery follows the repair
    (Directive 2006/112/EC Article 78, from memory).
"""

from __future__ import annotations

from datetime import date

from shop.handbook.tax.rates import NOTHING, Percent
from shop.handbook.tax.rules import Category, LineKind, TaxRule, TaxRules

EVERY_KIND = frozenset(LineKind)


def california(percent: Percent, starts: date, rate_source: str, ends: date | None = None) -> TaxRules:
    """Parts taxed by the ten percent rule at the combined rate of the shop's place, services and delivery not.

    A thing sold along with the repair, such as a cord, is a line of the kind "part"; "other" is a further service.
    """
    return TaxRules(
        "California sales tax",
        (
            _taxed("Sales tax", frozenset({LineKind.PART}), percent, starts, ends, rate_source),
            _untaxed(
                "Repair labor",
                frozenset({LineKind.LABOUR, LineKind.BENCH_FEE, LineKind.OTHER}),
                starts,
                ends,
                "18 CCR 1546(b)",
                "Repair labor is not taxed.",
            ),
            _untaxed(
                "Delivery",
                frozenset({LineKind.SHIPPING}),
                starts,
                ends,
                "18 CCR 1628, read the paragraph before you rely on it",
                "Delivery stated separately is not taxed.",
            ),
        ),
        parts_rule=True,
    )


def sales_tax(
    percent: Percent, taxed: frozenset[LineKind], starts: date, rate_source: str, ends: date | None = None
) -> TaxRules:
    """A sales tax on the kinds of line that the shop names; the others carry none."""
    rules = [_taxed("Sales tax", taxed, percent, starts, ends, rate_source)] if taxed else []
    if EVERY_KIND - taxed:
        rules.append(_untaxed("Not taxed", EVERY_KIND - taxed, starts, ends, rate_source, "Not taxed here."))
    return TaxRules("Sales tax", tuple(rules))


def value_added_tax(
    percent: Percent, starts: date, rate_source: str, ends: date | None = None, *, inclusive: bool = False
) -> TaxRules:
    """One rate of VAT on every kind of line, in prices with or without it."""
    return TaxRules(
        "VAT", (_taxed("VAT", EVERY_KIND, percent, starts, ends, rate_source),), inclusive=inclusive
    )


def no_tax(reason: str, source: str, starts: date, ends: date | None = None) -> TaxRules:
    """A shop that charges no tax at all, such as one below the threshold; the reason stands on the invoice."""
    return TaxRules("No tax", (_untaxed("No tax", EVERY_KIND, starts, ends, source, reason),))


def _taxed(
    name: str, kinds: frozenset[LineKind], percent: Percent, starts: date, ends: date | None, source: str
) -> TaxRule:
    return TaxRule(name, kinds, percent, starts, source, ends)


def _untaxed(
    name: str, kinds: frozenset[LineKind], starts: date, ends: date | None, source: str, reason: str
) -> TaxRule:
    return TaxRule(name, kinds, NOTHING, starts, source, ends, Category.EXEMPT, reason=reason)
