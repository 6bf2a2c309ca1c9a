"""Tax on a repair: rules with dates, one rounding per category, and the totals of EN 16931.

An aid: rates and what is taxed differ from place to place and change, so the shop enters its own and says where they
come from. Start at ``compute``.

Sources
    Named in the modules ``rates``, ``rules``, ``parts_rule``, ``regimes`` and ``totals``.
"""

from __future__ import annotations

from shop.handbook.tax.parts_rule import PartsVerdict, parts_rule
from shop.handbook.tax.rates import Percent, TaxError, margin_tax
from shop.handbook.tax.regimes import california, no_tax, sales_tax, value_added_tax
from shop.handbook.tax.rules import Buyer, Category, LineKind, NoTaxRule, Standing, TaxRule, TaxRules
from shop.handbook.tax.totals import Adjustment, CategoryTotal, Line, LineTotal, TaxNote, Totals, compute

__all__ = [
    "Adjustment",
    "Buyer",
    "Category",
    "CategoryTotal",
    "Line",
    "LineKind",
    "LineTotal",
    "NoTaxRule",
    "PartsVerdict",
    "Percent",
    "Standing",
    "TaxError",
    "TaxNote",
    "TaxRule",
    "TaxRules",
    "Totals",
    "california",
    "compute",
    "margin_tax",
    "no_tax",
    "parts_rule",
    "sales_tax",
    "value_added_tax",
]
