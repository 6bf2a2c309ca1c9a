"""California's ten percent rule: is the repairer the retailer of the parts, or their consumer?

Sources
    California Code of Regulations, title 18, section 1546(b) "Repairmen" (Sales and Use Tax Regulations, Business Taxes
    Law Guide, revision 2024): retailer when the retail value of the parts is more than 10 per cent of the total charge,
    or when a separate charge is made for them; above 10 per cent they must be shown separately. The total charge is the
    retail value of parts and materials with all charges for labour, installation and handling, without pick-up and
    delivery. Otherwise the repairer is the consumer and there is no tax line. Radios and musical instruments are among
    its examples.
    An aid: the shop checks its own case with its tax authority.
"""

from __future__ import annotations

from dataclasses import dataclass

from shop.handbook.money import Money
from shop.handbook.tax.rates import TaxError

SOURCE = "18 CCR 1546(b)"


@dataclass(frozen=True, slots=True)
class PartsVerdict:
    """Who sells the parts. ``must_show`` says that their price has to stand on the invoice by itself."""

    retailer: bool
    must_show: bool
    parts: Money
    total_charge: Money
    sentence: str
    source: str = SOURCE


def parts_rule(parts: Money, other_work: Money, *, priced_separately: bool) -> PartsVerdict:
    """Apply the rule to the retail value of the parts and all other charges for the work (no pick-up or delivery).

    Both amounts are before tax. On a credit note both are negative; parts against a total of the other sign raise
    TaxError.
    """
    total = parts + other_work
    if parts.minor * total.minor < 0:
        raise TaxError("The ten percent rule needs parts and labor of the same sign.")
    above = abs(parts.minor) * 10 > abs(total.minor)
    if above:
        sentence = (
            "Parts are more than 10 % of the total charge: taxed at their retail price and shown separately."
        )
    elif priced_separately and parts:
        sentence = "Parts have a price of their own on the invoice: taxed at their retail price."
    elif parts:
        sentence = (
            "Parts are not more than 10 % of a lump sum: the shop is their consumer, no tax is charged."
        )
    else:
        sentence = "No parts were supplied."
    retailer = above or (priced_separately and bool(parts))
    return PartsVerdict(retailer, above, parts, total, sentence)
