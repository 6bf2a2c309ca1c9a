"""Tax on deposits, where the country wants it when the money comes in and not when the invoice is issued. An aid.

Which paragraph wants it stands with the law profiles. The rate is that of the repair's labor, inside the sum: a deposit is on
the repair as a whole (common practice, no source).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from decimal import Decimal

from shop.counter.models import Customer, TaxStanding
from shop.frame.profile import the_profile
from shop.handbook import tax
from shop.handbook.money import Money, round_half_up
from shop.office import taxing
from shop.office.models import Allocation, Payment
from shop.office.pricing import rules_on


def wanted_by() -> str:
    """The paragraph by which the shop's country taxes deposits on receipt; empty where none is known, or without VAT."""
    shop = the_profile()
    return shop.law.deposits_taxed_by(shop.country) if shop.tax_number else ""


def tax_inside(amount: Money, customer: Customer, *, on: dt.date) -> tuple[Decimal | None, Money]:
    """Rate and tax inside a deposit; no rate where it isn't taxed on receipt."""
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
    return round_half_up(payment.tax_minor * minor, payment.settles_minor) if payment.tax_minor else 0


def tax_going_back(lying: Sequence[tuple[Payment, int]], minor: int) -> tuple[Decimal | None, int]:
    """Rate and tax of a part of what lies on a job, in minor units, that is paid back: what its deposits took in.

    Whatever has become of the customer or the rules since: with all of the money all of its tax goes back.
    """
    percents = [payment.tax_percent for payment, _minor in lying if payment.tax_percent is not None]
    whole = sum(part for _payment, part in lying)
    if not percents or not whole:
        return None, 0
    return percents[0], round_half_up(sum(share_of(*one) for one in lying) * minor, whole)


def tax_with(allocations: list[Allocation]) -> int:
    """The tax that deposits took with them to invoices, in minor units."""
    return sum(share_of(one.payment, one.amount_minor) for one in allocations)
