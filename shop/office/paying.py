"""How an issued invoice is paid, from its frozen facts: the reference, the QR code for euros, the shop's own link."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote

from shop.frame.profile import the_profile
from shop.handbook import paying
from shop.handbook.money import Money
from shop.office.models import Invoice
from shop.office.queries.jobs import open_minor


@dataclass(frozen=True, slots=True)
class HowToPay:
    """What is still owed on an invoice, and everything a person or a banking app needs to pay it."""

    invoice: Invoice
    owed: Money
    reference: str
    iban: str
    holder: str
    words: str
    epc: str
    link: str


def how_to_pay(invoice: Invoice) -> HowToPay:
    """How an issued invoice can be paid now, what came in taken off."""
    facts, owed = invoice.facts, Money(open_minor(invoice), invoice.currency)
    return HowToPay(
        invoice,
        owed,
        reference=reference_of(invoice),
        iban=" ".join(re.findall(".{1,4}", facts.get("iban", ""))),
        holder=facts.get("account_holder") or facts["shop"]["name"],
        words=facts.get("how_to_pay", ""),
        epc=epc_text_of(invoice, owed),
        link=link_of(invoice, owed),
    )


def in_coins(amount: Money) -> Money | None:
    """The sum as it is paid in cash; None where coins come to it exactly."""
    nearest = paying.in_cash(amount, paying.cash_step(amount.currency, the_profile().country))
    return nearest if nearest != amount else None


def reference_of(invoice: Invoice) -> str:
    """What the customer writes on the payment: a creditor reference where there is an account, else the number."""
    return paying.creditor_reference(invoice.number) if invoice.facts.get("iban") else invoice.number


def epc_text_of(invoice: Invoice, owed: Money) -> str:
    """The text of the QR code for what is owed; empty where it is no euro sum to a SEPA account."""
    facts = invoice.facts
    iban = facts.get("iban", "")
    if not invoice.number or not iban or not paying.has_code(iban, owed, bic=facts["bic"]):
        return ""
    return paying.epc_text(
        name=facts["account_holder"] or facts["shop"]["name"],
        iban=iban,
        bic=facts["bic"],
        amount=owed,
        reference=reference_of(invoice),
    )


def link_of(invoice: Invoice, owed: Money) -> str:
    """The shop's link with reference, sum and currency put in; empty where the shop has none."""
    template: str = invoice.facts.get("pay_link", "")
    if not template or not invoice.number or owed.minor <= 0:
        return ""
    values = {"reference": reference_of(invoice), "amount": owed.plain, "currency": owed.currency}
    for name, value in values.items():
        template = template.replace(f"{{{name}}}", quote(value, safe=""))
    return template
