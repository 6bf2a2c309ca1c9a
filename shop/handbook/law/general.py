"""A general profile for shops whose country has none of its own here, and the United States aside: VAT, GST or none.

It names no paragraph of any country: it asks of an invoice what invoices with a value added or goods and services tax
usually show (common practice, no source), and says that it is general.

Sources
    How long invoices are kept, counted from the end of the year: Switzerland, OR Art. 958f and MWSTG Art. 70(2), ten
    years; Liechtenstein likewise; Japan, Income Tax Act and Consumption Tax Act, seven; Norway, bokføringsloven § 13,
    five; Iceland seven; Canada, Income Tax Act s. 230(4), six from the end of the year; Australia, ITAA 1936 s. 262A,
    five; New Zealand, Tax Administration Act 1994 s. 22, seven; Singapore, five; all from memory, not confirmed.
"""

from __future__ import annotations

from datetime import date

from shop.handbook.law.terms import CHECK_LOCALLY, Condition, Duty, Fact, LawProfile, Paper, Requirement
from shop.handbook.law.terms import kept_from_memory as kept

USUAL = "usual on invoices (common practice, no source)"


def _usual(
    key: str, what: str, needs: tuple[Fact, ...], condition: Condition = Condition.ALWAYS
) -> Requirement:
    return Requirement(key, Paper.INVOICE, USUAL, what, needs, confirmed=False, condition=condition)


INVOICE = (
    _usual("number", "date and number", (Fact.NUMBER, Fact.ISSUED_ON)),
    _usual("shop", "name and address of the shop", (Fact.SHOP_NAME, Fact.SHOP_ADDRESS)),
    _usual("tax_number", "the shop's tax number", (Fact.SHOP_TAX_NUMBER,), Condition.VAT_REGISTERED),
    _usual("customer", "name of the customer", (Fact.CUSTOMER_NAME,)),
    _usual("description", "what was done and supplied", (Fact.PARTS, Fact.LABOUR)),
    _usual(
        "amounts",
        "rate and amount of tax, and what it is calculated on",
        (Fact.TAX_RATES, Fact.TAXABLE_AMOUNTS, Fact.TAX_AMOUNT),
        Condition.VAT_REGISTERED,
    ),
)

GENERAL = LawProfile(
    "general",
    "General, of no country in particular",
    date(2026, 11, 29),
    INVOICE,
    (
        Duty(
            "own_law",
            "the law of the shop's country",
            "Nothing of the country's own law was looked up: estimates, consent, consumers' rights, tax, units left behind "
            "and how long papers are kept are for the shop to find out.",
            confirmed=False,
        ),
    ),
    kept(10, "no law looked up; ten years as the careful choice"),
    warranty="Not looked up: the shop's own warranty is printed.",
    replaced_parts="Not looked up.",
    value_added_tax=True,
    national=(
        ("CH", kept(10, "OR Art. 958f, MWSTG Art. 70(2)")),
        ("LI", kept(10, "PGR Art. 1059")),
        ("JP", kept(7, "Income Tax Act, Consumption Tax Act")),
        ("NO", kept(5, "bokføringsloven § 13")),
        ("IS", kept(7, "lög um bókhald 145/1994")),
        ("CA", kept(6, "Income Tax Act s. 230(4)")),
        ("AU", kept(5, "ITAA 1936 s. 262A")),
        ("NZ", kept(7, "Tax Administration Act 1994 s. 22")),
        ("SG", kept(5, "Income Tax Act 1947 s. 67")),
    ),
    deposit_tax=(("CH", "MWSTG Art. 40(1)(c)"), ("LI", "MWSTG Art. 40(1)(c)")),  # from memory
    supply_dated=(("JP", "Consumption Tax Act Art. 57-4(1)"),),  # from memory
    check_locally=f"A general profile: it knows no law of the shop’s own country. {CHECK_LOCALLY}",
)
