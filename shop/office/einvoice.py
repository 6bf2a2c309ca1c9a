"""An issued invoice as data: EN 16931, as Factur-X inside a PDF/A-3 and as UBL. Needs the optional extra `einvoice`.

Terms (BT-…, BG-…) are those of EN 16931-1; the rules named (BR-…) those of ConnectingEurope/eInvoicing-EN16931. What an
e-invoice says comes from the invoice's frozen rows and facts alone.
"""

from __future__ import annotations

import datetime as dt
import logging
import re
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from shop.frame.profile import the_profile
from shop.frame.refusal import Refusal
from shop.handbook import paying as paying_rules
from shop.handbook.addresses import COUNTRIES
from shop.handbook.money import Money, currency_named
from shop.office import paying
from shop.office.models import Invoice, InvoiceLine, InvoiceTax
from shop.office.tax_numbers import folded, vat_number
from shop.press.drawing import render_pdf
from shop.press.issuing import PaperWanted
from shop.press.machine import ARCHIVED
from shop.stockroom.models import PartState

LEVEL = "en16931"
TYPE_CODES = {Invoice.Kind.INVOICE: "380", Invoice.Kind.CREDIT_NOTE: "381"}
UNIT_CODES = {"h": "HUR", "pc": "H87", "m": "MTR", "kg": "KGM"}
"""UN/ECE Recommendation 20 and 21, BT-130."""
DISCOUNT = "95"
"""UNTDID 5189, BT-98."""
SEPA_TRANSFER, TRANSFER = "58", "30"
"""UNTDID 4461, BT-81."""
UNPRINTABLE = re.compile("[^\\t\\n\\r\\x20-\\ud7ff\\ue000-\\ufffd\\U00010000-\\U0010ffff]")
"""What XML 1.0 can't carry (section 2.2, Char)."""
PRICE_DIGITS = Decimal("0.0001")
OUTSIDE, EXEMPT, REVERSE, STANDARD = "O", "E", "AE", "S"


def is_installed() -> bool:
    """Whether the extra is there."""
    try:
        import facturx  # noqa: F401, PLC0415  only where it is asked for
    except ImportError:
        return False
    return True


def terms_of(invoice: Invoice) -> dict[str, Any]:
    """The business terms of an issued invoice or credit note. A credit note's sums are positive under its own type code.

    Refuses what EN 16931 can't say: more than two decimals of a currency, a shop without any number of its own.
    """
    if currency_named(invoice.currency).digits > 2:
        raise Refusal(
            f"EN 16931 allows two decimals (BR-DEC): no e-invoice can be made in {invoice.currency}."
        )
    facts, sign = invoice.facts, -1 if invoice.kind == Invoice.Kind.CREDIT_NOTE else 1
    lines, taxes = list(invoice.lines.all()), list(invoice.taxes.all())
    sold = [line for line in lines if not line.takes_off] or lines  # BR-16: one line at least
    off = [line for line in lines if line not in sold]
    mixed = len({tax.category for tax in taxes}) > 1
    outside_only = {tax.category for tax in taxes} == {OUTSIDE}

    def sum_of(minor: int) -> str:
        return Money(sign * minor, invoice.currency).plain

    owed = invoice.total_minor - invoice.prepaid_minor
    terms: dict[str, Any] = {
        "BT-1": invoice.number,
        "BT-2": invoice.issue_date,
        "BT-3": TYPE_CODES[Invoice.Kind(invoice.kind)],
        "BT-5": invoice.currency,
        "BT-72": dt.date.fromisoformat(facts["supplied_on"]),
        "BG-1": [{"BT-22": note} for note in _notes(invoice)],
        "BG-4": _seller(facts["shop"], outside_only=outside_only),
        "BG-7": _buyer(facts, with_number=not outside_only),
        "BG-23": _breakdown(taxes, sum_of, mixed=mixed),
        "BG-25": [_line(line, at, sign, mixed=mixed) for at, line in enumerate(sold, 1)],
        "BT-106": sum_of(sum(line.net_minor for line in sold)),
        "BT-109": sum_of(invoice.net_minor),
        "BT-110": sum_of(invoice.tax_minor),
        "BT-112": sum_of(invoice.total_minor),
        "BT-115": sum_of(owed),
    }
    if off:
        terms["BG-20"] = [_allowance(line, sign, mixed=mixed) for line in off]
        terms["BT-107"] = sum_of(-sum(line.net_minor for line in off))
    if invoice.prepaid_minor:
        terms["BT-113"] = sum_of(invoice.prepaid_minor)
    if sign * owed > 0:
        terms["BT-9"] = invoice.due_date
    if facts.get("iban") and sign * owed > 0:
        euros = paying_rules.is_sepa(facts["iban"], Money(owed, invoice.currency))
        terms |= {
            "BT-81": SEPA_TRANSFER if euros else TRANSFER,
            "BT-83": paying.reference_of(invoice),
            "BT-84": facts["iban"],
            "BT-85": facts["account_holder"] or facts["shop"]["name"],
        }
    if facts["how_to_pay"]:
        terms["BT-20"] = facts["how_to_pay"]
    if facts["corrects"]:
        terms["BG-3"] = [{"BT-25": facts["corrects"], "BT-26": dt.date.fromisoformat(facts["corrects_date"])}]
    return terms


def faults_of(invoice: Invoice) -> list[str]:
    """What would make the e-invoice of a draft fail, a sentence each with the rule's name; asked before a number is taken.

    Rules named BR-… are those of EN 16931, which a file can break. Two are the directive's: a file passes without an address,
    or with a tax number that is no VAT number, and the invoice isn't right all the same. A price below nothing (BR-27) is
    refused by `UnitPrice` itself.
    """
    facts, shop = invoice.facts, invoice.facts["shop"]
    categories = {tax.category for tax in invoice.taxes.all()}
    lines = list(invoice.lines.all())
    number = shop["tax_number"].strip()
    seller = vat_number(number, shop["country"])
    reverse = REVERSE in categories
    faults = {
        "Directive 2006/112/EC Art. 226(5): the shop’s address is missing.": not shop["address"].strip(),
        "BR-AE-02, BR-AE-03: under reverse charge the customer’s VAT number is needed with its country, such as "
        "ATU12345678: put it in so, or say the customer’s country.": reverse and not facts["customer_vat"],
        "BR-AE-02, BR-AE-03: under reverse charge the shop’s own number is needed.": reverse and not number,
        "Directive 2006/112/EC Art. 226(3): under reverse charge the shop’s own VAT number is needed with its country, such as "
        "ATU12345678: put it so into the profile.": reverse and bool(number) and not seller,
        "BR-S-02, BR-S-03: tax is charged, and the shop’s profile has no tax number.": (
            STANDARD in categories and not number
        ),
        "BR-25: a line has no words that can be written.": any(
            not UNPRINTABLE.sub("", line.description).strip() for line in lines
        ),
    }
    return [sentence for sentence, holds in faults.items() if holds]


def factur_x_xml(terms: dict[str, Any]) -> bytes:
    """The terms as UN/CEFACT CII, checked against the schema of Factur-X."""
    return _written("generate_cii_xml", terms)


def ubl_xml(terms: dict[str, object]) -> bytes:
    """The terms as UBL 2.1, checked against its schema."""
    return _written("generate_ubl_xml", terms)


def factur_x_pdf(sheet: PaperWanted, xml: bytes) -> bytes:
    """The invoice as a PDF/A-3 with the XML inside."""
    facturx = _library()
    pdf = render_pdf(
        sheet.template,
        sheet.context,
        title=sheet.title,
        heading=sheet.heading,
        number=sheet.number,
        variant=ARCHIVED,
    )
    shop = the_profile()
    hybrid: bytes = facturx.generate_from_binary(
        pdf,
        xml,
        flavor="factur-x",
        level=LEVEL,
        check_xsd=False,
        check_schematron=False,
        pdf_metadata={
            "author": shop.name,
            "keywords": "Factur-X, EN 16931",
            "title": f"{sheet.title}, {shop.name}",
            "subject": sheet.title,
        },
        lang=shop.language,
        afrelationship="alternative",
    )
    return hybrid


def _written(generator: str, terms: dict[str, object]) -> bytes:
    xml: bytes = getattr(_library(), generator)(
        _copied(terms), level=LEVEL, check_xsd=True, check_schematron=False
    )
    return xml


def _library() -> Any:
    try:
        import facturx  # noqa: PLC0415  only where an e-invoice is made
    except ImportError as error:
        raise Refusal(
            "E-invoices need the optional extra “einvoice” (the package factur-x): install it, or switch e-invoices off."
        ) from error
    logging.getLogger("factur-x").setLevel(logging.ERROR)
    return facturx


def _copied(terms: Any) -> Any:
    """The library writes into what it is handed. A sign that XML can't carry becomes a space."""
    if isinstance(terms, str):
        return UNPRINTABLE.sub(" ", terms)
    if isinstance(terms, dict):
        return {key: _copied(value) for key, value in terms.items()}
    return [_copied(value) for value in terms] if isinstance(terms, list) else terms


def _seller(shop: dict[str, str], *, outside_only: bool) -> dict[str, object]:
    """BG-4. Outside the scope of VAT no tax number may stand (BR-O-02); some number must (BR-CO-26)."""
    party: dict[str, Any] = {
        "name": shop["name"],
        **_address(shop["address"], shop["country"]),
        "contacts": [{"name": shop["name"], "phone": shop["phone"], "email": shop["email"]}],
    }
    if shop["registration_number"]:
        party["identifiers"] = {None: shop["registration_number"]}
    if shop["tax_number"] and not outside_only:
        number = vat_number(shop["tax_number"], shop["country"])
        party |= {"vat_identifier": number} if number else {"tax_identifier": folded(shop["tax_number"])}
    if not {"identifiers", "vat_identifier"} & party.keys():
        raise Refusal(
            "An e-invoice needs a number of the shop (EN 16931 BR-CO-26): put its VAT number or its registration "
            "number into the profile, or switch e-invoices off."
        )
    return party


def _buyer(facts: dict[str, Any], *, with_number: bool) -> dict[str, Any]:
    """BG-7, under the organisation's name where there is one."""
    party: dict[str, Any] = {
        "name": facts["customer_organisation"] or facts["customer_name"],
        **_address(facts["customer_address"], facts["customer_country"]),
    }
    if facts["customer_organisation"]:
        party["contacts"] = [{"name": facts["customer_name"]}]
    if with_number and facts["customer_vat"]:
        party["vat_identifier"] = facts["customer_vat"]
    return party


def _address(text: str, country: str) -> dict[str, str]:
    """An address as typed, one line a line; its town and postal code apart where they are found; the country by its code."""
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    town = _town(lines, country)
    if town:
        lines = [line for line in lines if line not in town["lines"]]
    keys = ("addr_l1", "addr_l2", "addr_l3")
    kept = [*lines[:2], ", ".join(lines[2:])] if len(lines) > 2 else lines
    found = {"city": town["city"], "postcode": town["postcode"]} if town else {}
    return {**dict(zip(keys, kept, strict=False)), **found, "country_code": country}


def _town(lines: Sequence[str], country: str) -> dict[str, Any] | None:
    """Town and postal code by the form that the country gives its codes; None where no line has one beside a town."""
    rule = COUNTRIES.get(country)
    if rule is None or not rule.postal_code:
        return None
    for place in range(len(lines) - 1, 0, -1):
        found = re.search(rf"(?<![0-9A-Z])({rule.postal_code})(?![0-9A-Z])", lines[place].upper())
        if found is None:
            continue
        rest = (lines[place][: found.start()] + lines[place][found.end() :]).strip(" ,")
        rest = re.sub(r"^[A-Z]{1,2}-\s*", "", rest)
        if rest:
            return {"city": rest, "postcode": found[1], "lines": [lines[place]]}
        if place > 1:  # the code on a line of its own, the town above it
            return {"city": lines[place - 1], "postcode": found[1], "lines": lines[place - 1 : place + 1]}
    return None


def _breakdown(taxes: Sequence[InvoiceTax], sum_of: object, *, mixed: bool) -> list[dict[str, object]]:
    """BG-23: one entry for each category and rate."""
    entries: dict[tuple[str, Decimal], dict[str, Any]] = {}
    for tax in taxes:
        category = _category(tax.category, mixed=mixed)
        entry = entries.setdefault((category, tax.percent), {"base": 0, "tax": 0, "reasons": []})
        entry["base"] += tax.base_minor
        entry["tax"] += tax.tax_minor
        entry["reasons"] += [tax.note or tax.name]
    return [_entry(key, entry, sum_of) for key, entry in entries.items()]


def _entry(key: tuple[str, Decimal], entry: dict[str, Any], sum_of: Any) -> dict[str, Any]:
    category, percent = key
    written: dict[str, Any] = {
        "BT-116": sum_of(entry["base"]),
        "BT-117": sum_of(entry["tax"]),
        "BT-118": category,
    }
    if category != OUTSIDE:
        written["BT-119"] = _plain(percent)
    if category in {OUTSIDE, EXEMPT, REVERSE}:
        written["BT-120"] = "; ".join(dict.fromkeys(entry["reasons"]))
    return written


def _line(line: InvoiceLine, at: int, sign: int, *, mixed: bool) -> dict[str, Any]:
    """BG-25. The price is without tax; a line under warranty costs nothing."""
    category = _category(line.tax_category, mixed=mixed)
    written: dict[str, Any] = {
        "BT-126": str(at),
        "BT-129": _plain(Decimal(sign * line.quantity_thousandths).scaleb(-3)),
        "BT-130": UNIT_CODES.get(line.unit, "H87"),
        "BT-131": Money(sign * line.net_minor, line.currency).plain,
        "BT-146": _net_price(line),
        "BT-151": category,
        "BT-153": line.description,
    }
    if category != OUTSIDE:
        written["BT-152"] = _plain(line.tax_percent or Decimal(0))
    if words := _marks(line):
        written["BT-154"] = words
    return written


def _allowance(line: InvoiceLine, sign: int, *, mixed: bool) -> dict[str, Any]:
    """BG-20, a discount with its tax. The percentage and its base are said where the line holds them without tax."""
    category = _category(line.tax_category, mixed=mixed)
    written: dict[str, Any] = {
        "amount": Money(-sign * line.net_minor, line.currency).plain,
        "vat_category_code": category,
        "reason": line.description,
        "reason_code": DISCOUNT,
    }
    if line.percent_off is not None and line.net_minor == line.amount_minor:
        written["base_amount"] = _plain(Decimal(-sign * line.quantity_thousandths).scaleb(-3))
        written["rate"] = _plain(line.percent_off)
    if category != OUTSIDE:
        written["vat_rate"] = _plain(line.tax_percent or Decimal(0))
    return written


def _net_price(line: InvoiceLine) -> str:
    """BT-146, up to four decimals: what was typed where that is without tax, else what is left of it without."""
    if not line.net_minor:
        return "0"
    if line.net_minor == line.amount_minor:
        return _plain(line.unit_price.decimal)
    net = Money(line.net_minor, line.currency).decimal * 1000 / Decimal(line.quantity_thousandths)
    return _plain(net.quantize(PRICE_DIGITS, ROUND_HALF_UP))


def _marks(line: InvoiceLine) -> str:
    marks = [line.get_kind_display()]
    if line.part_state and line.part_state != PartState.NEW:
        marks.append(f"{line.get_part_state_display().lower()} part")
    if line.under_warranty:
        marks.append("under warranty")
    return ", ".join(marks)


def _category(category: str, *, mixed: bool) -> str:
    """Beside other categories nothing may stand as outside the tax (BR-O-11): there it is exempt, with its reason."""
    return EXEMPT if mixed and category == OUTSIDE else category


def _notes(invoice: Invoice) -> list[str]:
    facts = invoice.facts
    units = [
        f"Job {job['number']}: {job['maker']} {job['model']} {job['serial']}".strip() for job in facts["jobs"]
    ]
    wordings = ["Cash accounting"] if facts["cash_accounting"] else []
    wordings += [
        f"Deposit of {one['date']}, receipt {one['receipt']}: {Money(one['amount_minor'], invoice.currency)}, "
        f"tax of {one['percent']} % in it {Money(one['tax_minor'], invoice.currency)}"
        for one in facts.get("deposits", [])
    ]
    return [*units, *wordings, *([invoice.note] if invoice.note else [])]


def _plain(value: Decimal) -> str:
    """Digits without an exponent and without trailing zeros."""
    return f"{value.normalize():f}"
