"""The United Kingdom: the VAT invoice, the consumer's rights in a service, uncollected goods.

Sources
    VAT invoice: number, business name, address and VAT number, date and tax point, customer, description
    (wexleyassociates.com, June 2025); rates and amounts from memory. No VAT invoice is needed for the general public,
    and a simplified one will do up to £250 (same source).
    VAT records six years: Notice 700/21 as on gov.uk and charltonbaker.co.uk (2024); HMRC's CH15300. A sole trader's
    five years from the 31 January after the tax year's end, so 31 January of the sixth year after it: acowtancy.com;
    the act's section from memory.
    Consumer Rights Act 2015: sections 49, 51, 52, 55 and 56 in substance (lexisnexis.co.uk, 2015); sections 50 and 57 and
    the 14 days for a refund from memory.
    Torts (Interference with Goods) Act 1977: see ``unclaimed``.
"""

from __future__ import annotations

from datetime import date

from shop.handbook.law.terms import (
    EVERYWHERE,
    Condition,
    Counted,
    Duty,
    Fact,
    LawProfile,
    Paper,
    Requirement,
    Retention,
)

TORTS_ACT = "Torts (Interference with Goods) Act 1977, Sch. 1"


def _vat(key: str, what: str, needs: tuple[Fact, ...], *, confirmed: bool = True) -> Requirement:
    return Requirement(
        key, Paper.INVOICE, "VAT Notice 700/21", what, needs, confirmed, Condition.VAT_REGISTERED
    )


INVOICE = (
    _vat("number", "unique invoice number", (Fact.NUMBER,)),
    _vat(
        "shop",
        "business name, address and VAT number",
        (Fact.SHOP_NAME, Fact.SHOP_ADDRESS, Fact.SHOP_TAX_NUMBER),
    ),
    _vat("dates", "invoice date and tax point", (Fact.ISSUED_ON, Fact.SUPPLIED_ON)),
    _vat("customer", "name and address of the customer", (Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS)),
    _vat("description", "description of goods and services", (Fact.PARTS, Fact.LABOUR)),
    _vat(
        "amounts",
        "rate, amount without VAT and total VAT",
        (Fact.TAX_RATES, Fact.TAXABLE_AMOUNTS, Fact.TAX_AMOUNT),
        confirmed=False,
    ),
)

_NOTICE_FACTS = (
    Fact.SHOP_NAME,
    Fact.SHOP_ADDRESS,
    Fact.UNIT_DESCRIPTION,
    Fact.HELD_AT,
    Fact.READY,
)

LETTERS = (
    Requirement(
        "notice_a",
        Paper.COLLECT_LETTER,
        f"{TORTS_ACT} Part I",
        "notice to collect: name and address of the shop, particulars of the goods, where they are held, that they are "
        "ready",
        _NOTICE_FACTS,
    ),
    Requirement(
        "notice_a_owed",
        Paper.COLLECT_LETTER,
        f"{TORTS_ACT} Part I",
        "the amount owing for the goods",
        (Fact.AMOUNT_OWED,),
        condition=Condition.MONEY_OWED,
    ),
    Requirement(
        "notice_b",
        Paper.SALE_LETTER,
        f"{TORTS_ACT} Part II",
        "notice of intention to sell: as the notice to collect, with the day on or after which the goods are to be sold",
        (*_NOTICE_FACTS, Fact.SALE_DAY),
    ),
    Requirement(
        "notice_b_owed",
        Paper.SALE_LETTER,
        f"{TORTS_ACT} Part II",
        "the amount owing for the goods that fell due before the notice",
        (Fact.AMOUNT_OWED,),
        condition=Condition.MONEY_OWED,
    ),
)

DUTIES = (
    Duty("care", "Consumer Rights Act 2015 s.49", "The work is done with reasonable care and skill."),
    Duty(
        "said",
        "Consumer Rights Act 2015 s.50",
        "What the shop said about the work is binding.",
        confirmed=False,
    ),
    Duty("price", "Consumer Rights Act 2015 s.51", "A reasonable price, where none was fixed."),
    Duty("time", "Consumer Rights Act 2015 s.52", "A reasonable time, where none was fixed."),
    Duty("again", "Consumer Rights Act 2015 s.55", "Work that was not right is done again."),
    Duty("less", "Consumer Rights Act 2015 s.56", "Where that can't be done, the price is reduced."),
    Duty("refund", "Consumer Rights Act 2015 s.56", "A refund is paid within 14 days.", confirmed=False),
    Duty("stands", "Consumer Rights Act 2015 s.57", "Terms can't take these rights away.", confirmed=False),
    Duty(
        "post", f"{TORTS_ACT} Part II", "The notice of intention to sell goes by registered or recorded post."
    ),
)

RETENTION = (
    Retention(
        frozenset(Paper),
        6,
        "VAT Notice 700/21: VAT records, six years",
        counted=Counted.DAY,
        condition=Condition.VAT_REGISTERED,
    ),
    Retention(
        frozenset(Paper),
        6,
        "Taxes Management Act 1970 s.12B: a sole trader, five years from the 31 January after the tax year",
        confirmed=False,
        counted=Counted.TAX_YEAR,
    ),
)
"""The longer of both. Order forms and letters are business records as invoices are (mytipsandadvice.co.uk, 2024)."""

UNITED_KINGDOM = LawProfile(
    "uk",
    "United Kingdom",
    date(2026, 11, 25),
    (*INVOICE, *LETTERS),
    DUTIES,
    RETENTION,
    warranty=(
        "No fixed length: work not done with reasonable care and skill is done again (Consumer Rights Act 2015 s.49, "
        "s.55). The shop's own warranty comes on top."
    ),
    replaced_parts="No rule was found.",
    unclaimed=("uk_torts",),
    countries=frozenset({"GB"}),
    value_added_tax=True,
    deposit_tax=((EVERYWHERE, "VATA 1994 s. 6(4)"),),  # from memory
    supply_dated=((EVERYWHERE, "VAT Notice 700/21"),),
)
