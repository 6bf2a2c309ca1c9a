"""Tax on deposits, where the country wants it when the money comes in and not when the invoice is issued. An aid.

Sources
    Directive 2006/112/EC Article 65: a payment on account makes the tax chargeable on receipt, on the amount received.
    United Kingdom: Value Added Tax Act 1994 section 6(4). Switzerland: MWSTG Article 40(1)(c). All from memory.
    The rate of the repair's labor, inside the sum: a deposit is on the repair as a whole (common practice, no source).
"""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from shop.counter.models import Customer, TaxStanding
from shop.frame.profile import the_profile
from shop.handbook import law, tax
from shop.handbook.money import Money, round_half_up
from shop.office import taxing
from shop.office.models import Allocation, Payment
from shop.office.pricing import rules_on

WANTED_BY = {
    law.EUROPEAN_UNION.key: "Directive 2006/112/EC Art. 65",
    law.UNITED_KINGDOM.key: "VATA 1994 s. 6(4)",
}
COUNTRIES = {"CH": "MWSTG Art. 40(1)(c)", "LI": "MWSTG Art. 40(1)(c)"}


def wanted_by() -> str:
    """The paragraph by which the shop's country taxes deposits on receipt; empty where none is known, or without VAT."""
    shop = the_profile()
    if not shop.tax_number:
        return ""
    return WANTED_BY.get(shop.law_profile, "") or COUNTRIES.get(shop.country, "")


def tax_inside(amount: Money, customer: Customer, *, on: dt.date) -> tuple[Decimal | None, Money]:
    """Rate and tax inside a deposit (or, negative, one that is paid back); no rate where it isn't taxed on receipt."""
    nothing = None, Money.zero(amount.currency)
    if not wanted_by() or not rules_on(on).deposits_taxed or customer.tax_standing != TaxStanding.ORDINARY:
        return nothing
    try:
        rule = taxing.tax_rules(on).rule_for(tax.LineKind.LABOUR, taxing.STANDARD, on)
    except tax.TaxError:  # no rule yet: the invoice will be refused until there is one
        return nothing
    return (rule.percent.decimal, rule.percent.inside(amount)) if rule.percent > tax.Percent(0) else nothing


def share_of(payment: Payment, minor: int) -> int:
    """The tax that a part of a deposit carries with it, in minor units."""
    return round_half_up(payment.tax_minor * minor, payment.amount_minor) if payment.tax_minor else 0


def tax_with(allocations: list[Allocation]) -> int:
    """The tax that deposits took with them to invoices, in minor units."""
    return sum(share_of(one.payment, one.amount_minor) for one in allocations)
