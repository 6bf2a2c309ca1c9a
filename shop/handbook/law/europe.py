"""The European Union: the VAT invoice and the repair information form. Member states add their own rules.

Sources
    Directive 2006/112/EC Article 226: points 1 to 7 as on service.betterregulation.com (document 245496); points 7a to
    15 from memory. Article 226b, simplified invoice, as on datenbank.nwb.de.
    Directive (EU) 2024/1799: applied from 31 July 2026, 30 calendar days, twelve more months of legal guarantee after a
    repair (legalregister.co.uk, eur-lex OJ L 2024/1799); form voluntary, Article 4(1), and free, Article 4(2) (gvw.com);
    that the list begins with the identity of the repairer (eurlexa.com); the rest of Annex I and Article 4(3) to (6)
    from memory, in our words.
    Retention differs by member state (Directive 2006/112/EC Article 247, from memory). Germany: eight years for
    vouchers and invoices since 2025, in force for those that were still kept (akanthus-wpg.de on § 147(3) AO, § 14b(1)
    and § 27(40) UStG); six for letters and other papers (taxation-gmbh.de on § 147(1) nos. 2, 3, 5 AO).
"""

from __future__ import annotations

from datetime import date

from shop.handbook.law.terms import (
    EVERYWHERE,
    INVOICES,
    Condition,
    Duty,
    Fact,
    LawProfile,
    Paper,
    Requirement,
    Retention,
    kept_alike,
    kept_from_memory,
)

FORM_STARTS = date(2026, 7, 31)


def _article_226(
    key: str,
    point: str,
    what: str,
    needs: tuple[Fact, ...],
    condition: Condition = Condition.ALWAYS,
    *,
    confirmed: bool = False,
) -> Requirement:
    paragraph = f"Directive 2006/112/EC Art. 226({point})"
    return Requirement(key, Paper.INVOICE, paragraph, what, needs, confirmed, condition)


INVOICE = (
    _article_226("date", "1", "date of issue", (Fact.ISSUED_ON,), confirmed=True),
    _article_226(
        "number", "2", "sequential number, in one or more series, unique", (Fact.NUMBER,), confirmed=True
    ),
    _article_226(
        "shop_vat",
        "3",
        "the shop's VAT number",
        (Fact.SHOP_TAX_NUMBER,),
        Condition.VAT_REGISTERED,
        confirmed=True,
    ),
    _article_226(
        "customer_vat",
        "4",
        "the customer's VAT number where the customer owes the tax",
        (Fact.CUSTOMER_TAX_NUMBER,),
        Condition.REVERSE_CHARGE,
        confirmed=True,
    ),
    _article_226(
        "parties",
        "5",
        "full name and address of the shop and of the customer",
        (Fact.SHOP_NAME, Fact.SHOP_ADDRESS, Fact.CUSTOMER_NAME, Fact.CUSTOMER_ADDRESS),
        confirmed=True,
    ),
    _article_226(
        "supply",
        "6",
        "quantity and nature of goods, extent and nature of services",
        (Fact.PARTS, Fact.LABOUR),
        confirmed=True,
    ),
    _article_226(
        "supply_date",
        "7",
        "day of the supply or of a payment on account, where it is another day",
        (Fact.SUPPLIED_ON,),
        Condition.SUPPLY_ON_ANOTHER_DAY,
        confirmed=True,
    ),
    _article_226("cash", "7a", "wording for cash accounting", (Fact.TAX_WORDING,), Condition.CASH_ACCOUNTING),
    _article_226(
        "bases",
        "8",
        "taxable amount per rate or exemption, unit price without tax, discounts not in it",
        (Fact.TAXABLE_AMOUNTS, Fact.UNIT_PRICES),
        Condition.VAT_REGISTERED,
    ),
    _article_226("rates", "9", "rate of tax", (Fact.TAX_RATES,), Condition.VAT_REGISTERED),
    _article_226("tax", "10", "amount of tax", (Fact.TAX_AMOUNT,), Condition.VAT_REGISTERED),
    _article_226("self", "10a", "wording for self-billing", (Fact.TAX_WORDING,), Condition.SELF_BILLING),
    _article_226("exemption", "11", "reference for an exemption", (Fact.TAX_WORDING,), Condition.EXEMPT),
    _article_226(
        "reverse", "11a", "wording for reverse charge", (Fact.TAX_WORDING,), Condition.REVERSE_CHARGE
    ),
    _article_226(
        "margin", "14", "wording for the margin scheme", (Fact.TAX_WORDING,), Condition.MARGIN_SCHEME
    ),
)

SIMPLIFIED = tuple(
    Requirement(key, Paper.SIMPLIFIED_INVOICE, "Directive 2006/112/EC Art. 226b", what, needs, condition=when)
    for key, what, needs, when in (
        ("date", "date of issue", (Fact.ISSUED_ON,), Condition.ALWAYS),
        ("shop", "who supplies", (Fact.SHOP_NAME,), Condition.ALWAYS),
        ("kind", "kind of goods or services", (Fact.UNIT_DESCRIPTION,), Condition.ALWAYS),
        ("tax", "tax payable, or what it is calculated from", (Fact.TAX_AMOUNT,), Condition.ALWAYS),
        (
            "corrects",
            "which invoice is amended and what in it",
            (Fact.CORRECTED_INVOICE,),
            Condition.CORRECTION,
        ),
    )
)


def _annex(
    key: str, part: str, what: str, needs: tuple[Fact, ...], *, confirmed: bool = False
) -> Requirement:
    paragraph = f"Directive (EU) 2024/1799 Annex I, {part}"
    return Requirement(key, Paper.REPAIR_FORM, paragraph, what, needs, confirmed, starts=FORM_STARTS)


REPAIR_FORM = (
    _annex("identity", "repairer", "identity of the repairer", (Fact.SHOP_NAME,), confirmed=True),
    _annex("address", "repairer", "geographical address", (Fact.SHOP_ADDRESS,)),
    _annex("phone", "repairer", "telephone number", (Fact.SHOP_PHONE,)),
    _annex("email", "repairer", "e-mail address", (Fact.SHOP_EMAIL,)),
    _annex("online", "repairer", "other means of communication online, where there are any", ()),
    _annex("goods", "repair", "the goods to be repaired", (Fact.UNIT_DESCRIPTION,)),
    _annex("defect", "repair", "nature of the defect", (Fact.DEFECT,)),
    _annex("repair", "repair", "type of repair suggested", (Fact.REPAIR_KIND,)),
    _annex("price", "repair", "price, or how it is calculated and the most it can be", (Fact.PRICE,)),
    _annex("time", "repair", "days needed to complete the repair", (Fact.DAYS_NEEDED,)),
    _annex("replacement", "repair", "temporary replacement and its cost", (Fact.REPLACEMENT,)),
    _annex("handover", "repair", "place where the goods are handed over", (Fact.HANDOVER_PLACE,)),
    _annex("services", "repair", "further services and the cost of each", (Fact.FURTHER_SERVICES,)),
    _annex("validity", "repair", "until when the conditions stand", (Fact.VALID_UNTIL,)),
    _annex("more", "repair", "additional information, if the repairer wishes", ()),
)

DUTIES = (
    Duty(
        "form_voluntary",
        "Directive (EU) 2024/1799 Art. 4(1)",
        "The repair information form is the shop's choice.",
    ),
    Duty("form_free", "Directive (EU) 2024/1799 Art. 4(2)", "The form costs the customer nothing."),
    Duty(
        "diagnosis_cost",
        "Directive (EU) 2024/1799 Art. 4(3)",
        "The necessary cost of an examination may be asked for when it was announced before.",
        confirmed=False,
    ),
    Duty(
        "form_binds",
        "Directive (EU) 2024/1799 Art. 4",
        "The conditions stand for 30 calendar days from the day the form is given, longer if agreed.",
    ),
    Duty(
        "form_becomes_contract",
        "Directive (EU) 2024/1799 Art. 4(6)",
        "Accepted in that time, they become part of the contract.",
        confirmed=False,
    ),
    Duty(
        "guarantee_longer",
        "Directive (EU) 2019/771 as amended by (EU) 2024/1799",
        "A seller's legal guarantee grows once by 12 months when the consumer chooses repair.",
    ),
    Duty("member_state", "national law", "Member states add their own rules.", confirmed=False),
)

MEMBER_STATES = frozenset(
    {
        "AT", "BE", "BG", "CY", "CZ", "DE", "DK", "EE", "ES", "FI", "FR", "GR", "HR", "HU", "IE", "IT", "LT", "LU",
        "LV", "MT", "NL", "PL", "PT", "RO", "SE", "SI", "SK",
    }
)  # fmt: skip

GERMANY = (
    Retention(
        INVOICES,
        8,
        "§ 147(3) AO, § 14b(1) UStG: vouchers, invoices among them, eight years from the end of the year",
    ),
    kept_alike(
        6, "§ 147(1) nos. 2, 3 and 5, (3) AO: letters and other papers, six years (read the current text)"
    ),
)

NATIONAL = (
    ("DE", GERMANY),
    ("AT", kept_from_memory(7, "§ 132 BAO, § 11(2) UStG 1994")),
    ("BE", kept_from_memory(10, "Code TVA art. 60")),
    ("CZ", kept_from_memory(10, "zákon o DPH § 35")),
    ("DK", kept_from_memory(5, "bogføringsloven § 12")),
    ("ES", kept_from_memory(6, "Código de Comercio art. 30")),
    ("FI", kept_from_memory(6, "kirjanpitolaki 2:10")),
    ("FR", kept_from_memory(10, "Code de commerce art. L123-22")),
    ("IE", kept_from_memory(6, "Taxes Consolidation Act 1997 s. 886, VAT Consolidation Act 2010 s. 84")),
    ("IT", kept_from_memory(10, "Codice civile art. 2220")),
    ("NL", kept_from_memory(7, "AWR art. 52(4)")),
    (
        "PL",
        kept_from_memory(
            6, "Ordynacja podatkowa art. 86: five years from the end of the year in which tax is paid"
        ),
    ),
    ("PT", kept_from_memory(10, "CIVA art. 52")),
    ("SE", kept_from_memory(7, "bokföringslagen 7 kap. 2 §")),
)
"""By member state, all counted from the end of the calendar year; the others go by the careful choice."""

EUROPEAN_UNION = LawProfile(
    "eu",
    "European Union",
    date(2026, 11, 25),
    (*INVOICE, *SIMPLIFIED, *REPAIR_FORM),
    DUTIES,
    (
        Retention(
            INVOICES,
            10,
            "Directive 2006/112/EC Art. 247: each member state sets it; ten years as the careful choice",
            confirmed=False,
        ),
        kept_alike(10),
    ),
    warranty="What a repairer owes for the work is national law (not confirmed): the shop's own warranty is printed.",
    replaced_parts="National law (not confirmed).",
    countries=MEMBER_STATES,
    value_added_tax=True,
    national=NATIONAL,
    deposit_tax=((EVERYWHERE, "Directive 2006/112/EC Art. 65"),),  # from memory
    supply_dated=(("DE", "§ 14(4) no. 6 UStG"), ("AT", "§ 11(1) no. 3(d) UStG 1994")),  # from memory
)
