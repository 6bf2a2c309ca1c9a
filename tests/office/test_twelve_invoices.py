"""Twelve invoices in four countries, reckoned by hand, compared in the database, on the paper, and in the e-invoice.

Sources: the sums beside each case are worked by hand, tax once per rate and half up (EN 16931 BR-CO-17). XML: the XSD and the
EN 16931 Schematron of Factur-X 1.0 and UBL 2.1 (see test_einvoice). QR code: European Payments Council, EPC069-12 version
002, field by field, read back with zxing-cpp. Rates are invented or of 2026, from memory.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

import pypdfium2
import pytest
import zxingcpp
from lxml import etree

from shop.counter.models import Customer, Job
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook.money import Money
from shop.keeping.papers import stored_bytes
from shop.office import actions, queries
from shop.office.models import EInvoice, Invoice
from shop.office.paying import reference_of
from shop.office.pricing import PricedItem, as_items
from tests.factories.counter import booked_in
from tests.factories.office import agreed, european_shop, item, off, rules, sales_tax, tax
from tests.factories.premises import ShopProfileFactory
from tests.office.reading import words
from tests.office.test_einvoice import broken_rules

pytestmark = pytest.mark.django_db
IBAN = "DE02120300000000202051"  # a published example of the format
CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"
CAC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2}"

Line = tuple[str, str, int]
"""Kind, price of one, quantity in thousandths; a discount in percent has no quantity."""


@dataclass(frozen=True)
class Case:
    country: str
    lines: Sequence[Line]
    net: str
    taxes: Sequence[tuple[str, str, str]]
    """Rate, base and tax."""
    total: str
    printed: Sequence[str]
    rate_of: Sequence[str] = ()
    inclusive: bool = False
    buyer: tuple[tuple[str, str], ...] = ()
    deposit: str = "0"
    cash: str = ""


CASES = {
    # 1.5 × 85.00 = 127.50; 2 × 12.50 = 25.00; 14.90; 25.00 × 8.25 % = 2.0625
    "US parts taxed, labor and parcel not": Case(
        "US", [("labour", "85.00", 1500), ("part", "12.50", 2000), ("shipping", "14.90", 1000)],
        "167.40", [("8.25", "25.00", "2.06"), ("0", "142.40", "0.00")], "169.46",
        ["Labor", "Sales tax 8.25 % on $25.00", "$2.06", "$169.46"],
    ),
    # 0.7 × 95.00 = 66.50; 7 × 0.455 = 3.185 → 3.19; 3.19 × 8.25 % = 0.263175
    "US a part with four decimals": Case(
        "US", [("labour", "95.00", 700), ("part", "0.4550", 7000)],
        "69.69", [("8.25", "3.19", "0.26"), ("0", "66.50", "0.00")], "69.95", ["3.19", "$69.95"],
    ),
    # 80 and 120 less 10 %: 8.00 and 12.00; (120.00 − 12.00) × 8.25 % = 8.91
    "US a discount in percent on both": Case(
        "US", [("labour", "80.00", 1000), ("part", "120.00", 1000), ("discount", "10", 0)],
        "180.00", [("8.25", "108.00", "8.91"), ("0", "72.00", "0.00")], "188.91",
        ["Discount", "10 %", "-8.00", "-12.00", "$188.91"],
    ),
    # 2.25 × 92.00 = 207.00; 3 × 4.99 = 14.97; 16.50; 238.47 × 19 % = 45.3093
    "DE one rate": Case(
        "DE", [("labour", "92.00", 2250), ("part", "4.99", 3000), ("shipping", "16.50", 1000)],
        "238.47", [("19", "238.47", "45.31")], "283.78", ["Labour", "VAT 19 % on €238.47", "€283.78"],
    ),
    # 100.00 × 19 % = 19.00; 29.95 × 7 % = 2.0965
    "DE two rates": Case(
        "DE", [("labour", "100.00", 1000), ("part", "29.95", 1000)],
        "129.95", [("19", "100.00", "19.00"), ("7", "29.95", "2.10")], "151.05",
        ["Reduced VAT 7 % on €29.95", "€151.05"], rate_of=("standard", "reduced"),
    ),
    # 119.00 + 35.70 = 154.70; 154.70 × 19 / 119 = 24.70
    "DE prices with tax inside": Case(
        "DE", [("labour", "119.00", 1000), ("part", "35.70", 1000)],
        "130.00", [("19", "130.00", "24.70")], "154.70",
        ["The prices of the lines contain the tax.", "€154.70"], inclusive=True,
    ),
    # nothing is owed here: the customer owes it
    "DE reverse charge": Case(
        "DE", [("labour", "100.00", 4000)], "400.00", [("0", "400.00", "0.00")], "400.00",
        ["Reverse charge", "ATU13585627", "€400.00"],
        buyer=(("organisation", "Lantern Room Studio"), ("tax_standing", "reverse_charge"),
               ("tax_number", "U13585627"), ("country", "AT")),
    ),
    # 1.1 × 60.00 = 66.00; 18.45; 84.45 × 20 % = 16.89
    "GB one rate": Case(
        "GB", [("labour", "60.00", 1100), ("part", "18.45", 1000)],
        "84.45", [("20", "84.45", "16.89")], "101.34", ["Labour", "VAT 20 % on £84.45", "£101.34"],
    ),
    # 10.00 on 66.00 and 22.00: 7.50 and 2.50; 58.50 × 20 % = 11.70
    "GB a discount on what is zero-rated too": Case(
        "GB", [("labour", "66.00", 1000), ("part", "22.00", 1000), ("discount", "10.00", 1000)],
        "78.00", [("20", "58.50", "11.70"), ("0", "19.50", "0.00")], "89.70",
        ["-7.50", "-2.50", "Zero-rated 0 % on £19.50", "£89.70"], rate_of=("standard", "zero", "standard"),
    ),
    # 180.00 + 14.70 + 12.00 = 206.70; × 8.1 % = 16.7427; in coins 223.45
    "CH paid in cash": Case(
        "CH", [("labour", "120.00", 1500), ("part", "7.35", 2000), ("shipping", "12.00", 1000)],
        "206.70", [("8.1", "206.70", "16.74")], "223.44", ["MWST 8.1 % on CHF 206.70", "CHF 223.44"],
        cash="223.45",
    ),
    # 85.00 × 8.1 % = 6.885 → 6.89; in coins 91.90
    "CH half a centime": Case(
        "CH", [("labour", "85.00", 1000)], "85.00", [("8.1", "85.00", "6.89")], "91.89", ["CHF 91.89"],
        cash="91.90",
    ),
    # 100.00 + 8.10, less 50.00
    "CH after a deposit": Case(
        "CH", [("labour", "100.00", 1000)], "100.00", [("8.1", "100.00", "8.10")], "108.10",
        ["Deposit of", "CHF 58.10"], deposit="50.00",
    ),
}  # fmt: skip
ABROAD: dict[str, dict[str, Any]] = {
    "DE": {},
    "GB": {"country": "GB", "currency": "GBP", "law_profile": "uk", "tax_number": "GB000000000"},
    "CH": {
        "country": "CH", "currency": "CHF", "law_profile": "general", "tax_number": "CHE-000.000.000 MWST",
        "language": "en-CH",
    },
}  # fmt: skip


def opened(case: Case) -> None:
    """The shop of the case's country with its rules."""
    rules(einvoice=True, prices_include_tax=case.inclusive, iban=IBAN if case.country == "DE" else "")
    if case.country == "US":
        ShopProfileFactory()
        ShopProfile.objects.update(tax_number="00-000000")
        sales_tax()
        return
    european_shop(**ABROAD[case.country])
    tax({"DE": "19", "GB": "20", "CH": "8.1"}[case.country], name="MWST" if case.country == "CH" else "VAT")
    tax("7", "part", rate="reduced", name="Reduced VAT")
    tax("0", "part", rate="zero", category="Z", name="Zero-rated")


def made(case: Case, by: Staff) -> tuple[Job, Invoice]:
    """The case's invoice, issued."""
    opened(case)
    job = booked_in(by=by)
    buyer = {"country": case.country, "address": "Ahornallee 3\n00000 Lindenau", **dict(case.buyer)}
    Customer.objects.filter(pk=job.customer_id).update(**buyer)
    job.refresh_from_db()
    currency = job.currency
    rates = case.rate_of or ["standard"] * len(case.lines)
    items: list[PricedItem] = [
        item(kind, price, quantity, currency, rate=rate, description=f"Our {kind}")
        if quantity
        else off(price, currency)
        for (kind, price, quantity), rate in zip(case.lines, rates, strict=True)
    ]
    if minor := Money.parse(case.deposit, currency).minor:
        actions.take_payment(customer=job.customer, job=job, amount_minor=minor, how="card", by=by)
    agreed(job, 10**9, by=by)
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=by)
    return job, actions.issue_invoice(invoice=draft, by=by)


@pytest.mark.parametrize("case", CASES.values(), ids=CASES)
def test_an_invoice_says_the_same_in_the_book_on_paper_and_as_data(case: Case, owner: Staff) -> None:
    job, row = made(case, owner)
    found = (row.net_minor, row.tax_minor, row.total_minor)
    total_tax = sum(Decimal(one[2]) for one in case.taxes)
    assert [Decimal(one).scaleb(-2) for one in found] == [
        Decimal(case.net), total_tax, Decimal(case.total),
    ]  # fmt: skip
    by_rate = {
        (str(one.percent.normalize()), one.base_minor, one.tax_minor)
        for one in row.taxes.all()
    }  # fmt: skip
    assert by_rate == {
        (str(Decimal(percent).normalize()), int(Decimal(base) * 100), int(Decimal(due) * 100))
        for percent, base, due in case.taxes
    }
    said = words(stored_bytes(row.paper)).replace("\N{MINUS SIGN}", "-")  # type: ignore[arg-type]
    assert [one for one in case.printed if one not in said] == []
    _as_data(case, row)
    if case.cash:
        _paid_in_cash(case, job, row, owner)
    if case.country == "DE":
        _read_back(row)


def _as_data(case: Case, row: Invoice) -> None:
    """The discounts of the lines are allowances of the whole, BG-20."""
    made = EInvoice.objects.get(invoice=row)
    ubl = made.ubl.file.read()
    assert broken_rules(ubl, "ubl") == []
    root = etree.fromstring(ubl)
    totals = root.find(f"{CAC}LegalMonetaryTotal")
    prepaid = Decimal(case.deposit)
    assert [Decimal(totals.find(f"{CBC}{name}").text) for name in (
        "TaxExclusiveAmount", "TaxInclusiveAmount", "PayableAmount",
    )] == [Decimal(case.net), Decimal(case.total), Decimal(case.total) - prepaid]  # fmt: skip
    taken_off = [Decimal(one.find(f"{CBC}Amount").text) for one in root.findall(f"{CAC}AllowanceCharge")]
    lines = row.lines.filter(kind="discount")
    assert taken_off == [Decimal(-line.net_minor).scaleb(-2) for line in lines]
    taxed = root.findall(f"{CAC}TaxTotal/{CAC}TaxSubtotal")
    assert sorted(
        (Decimal(one.find(f"{CBC}TaxableAmount").text), Decimal(one.find(f"{CBC}TaxAmount").text))
        for one in taxed
    ) == sorted((Decimal(base), Decimal(due)) for _percent, base, due in case.taxes)


def _paid_in_cash(case: Case, job: Job, row: Invoice, by: Staff) -> None:
    """223.44 is paid by 223.45: the till holds what came in, the customer owes nothing, the centime is nobody's."""
    cash = int(Decimal(case.cash) * 100)
    paid = actions.take_payment(customer=job.customer, invoice=row, amount_minor=cash, how="cash", by=by)
    assert (paid.amount_minor, paid.rounding_minor) == (cash, cash - row.total_minor)
    row.refresh_from_db()
    assert row.settled_at is not None
    assert queries.money_of(job).deposits.minor == 0
    account = queries.account_of(job.customer, starts=row.issue_date, ends=row.issue_date, currency="CHF")  # type: ignore[arg-type]
    assert account.balance.minor == 0


def _read_back(row: Invoice) -> None:
    page = pypdfium2.PdfDocument(io.BytesIO(stored_bytes(row.paper)))[0].render(scale=5).to_pil()  # type: ignore[arg-type]
    (text,) = [one.text for one in zxingcpp.read_barcodes(page) if one.format.name == "QRCode"]
    fields = text.split("\n")
    assert dict(zip(
        ("service tag", "version", "character set", "identification", "BIC", "name", "IBAN", "amount",
         "purpose", "structured reference"), fields, strict=False,
    )) == {
        "service tag": "BCD",
        "version": "002",
        "character set": "1",
        "identification": "SCT",
        "BIC": "",
        "name": "Werkbank Halbton",
        "IBAN": IBAN,
        "amount": f"EUR{Decimal(row.total_minor).scaleb(-2)}",
        "purpose": "",
        "structured reference": reference_of(row),
    }  # fmt: skip
    assert fields[10:] in ([], [""], ["", ""])
    assert len(text.encode()) <= 331


def test_a_discount_beyond_its_lines_is_refused_and_a_credit_note_takes_it_back(owner: Staff) -> None:
    job, row = made(CASES["GB a discount on what is zero-rated too"], owner)
    back = actions.credit(invoice=row, note="wrong", by=owner)
    assert (back.net_minor, back.tax_minor, back.total_minor) == (-78_00, -11_70, -89_70)
    items = [item(price="10.00", currency="GBP"), item("discount", "10.01", currency="GBP")]
    with pytest.raises(Refusal, match="takes off more"):
        actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=owner)


def test_a_discount_stays_as_it_was_when_the_draft_is_kept_again(owner: Staff) -> None:
    opened(CASES["GB one rate"])
    job = booked_in(by=owner)
    items = [item(price="66.00", currency="GBP"), item("discount", "6.60", currency="GBP")]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job], items=items, by=owner)
    again = actions.set_invoice_lines(
        invoice=draft, items=as_items(list(draft.lines.all()), "GBP", job), by=owner
    )
    assert (again.net_minor, again.tax_minor) == (59_40, 11_88)  # 59.40 × 0.2
