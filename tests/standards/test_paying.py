"""Payment references and the QR code of the SEPA transfer, against python-stdnum, segno and zxing-cpp.

Sources: ISO 11649 (RF18 5390 0754 7034 is its example, from memory; python-stdnum checks the digits); EPC069-12 version 002
of the data (its lines from memory; segno.helpers writes them independently); the IBAN is the registry's German example.
"""

from __future__ import annotations

import pytest
import segno
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from segno import helpers
from stdnum import iso11649

from shop.handbook.money import Money
from shop.handbook.paying import creditor_reference, epc_text

IBAN = "DE89 3704 0044 0532 0130 00"


def read_back(code: segno.QRCode) -> str:
    """What zxing-cpp reads in the picture of a code."""
    picture = Image.new("1", code.symbol_size(scale=4))
    picture.putdata([0 if dark else 255 for row in code.matrix_iter(scale=4) for dark in row])
    (read,) = zxingcpp.read_barcodes(picture)
    return str(read.text)


def test_the_reference_of_the_standards_example_is_the_standards() -> None:
    assert creditor_reference("539007547034") == "RF18539007547034"


@given(st.from_regex(r"[A-Z0-9]{1,21}", fullmatch=True))
def test_every_reference_passes_an_independent_check(number: str) -> None:
    assert iso11649.is_valid(creditor_reference(number))


def test_the_code_read_back_says_each_field_of_the_guideline() -> None:
    text = epc_text(
        name="Werkbank Halbton",
        iban=IBAN,
        amount=Money.parse("101.15", "EUR"),
        reference=creditor_reference("2026-0001"),
    )
    code = segno.make_qr(text, error="m")
    assert code.version <= 13
    fields = (
        "service",
        "version",
        "characters",
        "identification",
        "bic",
        "name",
        "iban",
        "amount",
        "purpose",
        "reference",
    )
    assert dict(zip(fields, read_back(code).split("\n"), strict=True)) == {
        "service": "BCD",
        "version": "002",
        "characters": "1",
        "identification": "SCT",
        "bic": "",
        "name": "Werkbank Halbton",
        "iban": "DE89370400440532013000",
        "amount": "EUR101.15",
        "purpose": "",
        "reference": "RF3120260001",  # 98 - 20260001271500 mod 97, by hand
    }


def test_it_is_the_text_that_an_independent_writer_makes() -> None:
    theirs = helpers.make_epc_qr(
        name="Werkbank Halbton",
        iban=IBAN.replace(" ", ""),
        amount="12.34",
        reference="RF18539007547034",
        encoding=1,
    )
    ours = epc_text(
        name="Werkbank Halbton", iban=IBAN, amount=Money.parse("12.34", "EUR"), reference="RF18539007547034"
    )
    assert read_back(theirs).split("\n")[:10] == ours.split("\n")


@pytest.mark.parametrize(
    "iban, amount", [(IBAN, Money(100, "USD")), (IBAN, Money(0, "EUR")), ("US00", Money(1, "EUR"))]
)
def test_other_sums_and_accounts_have_no_such_code(iban: str, amount: Money) -> None:
    with pytest.raises(ValueError, match="single euro payments area"):
        epc_text(name="W", iban=iban, amount=amount, reference="RF18539007547034")


@pytest.mark.parametrize("iban", ["CH9300762011623852957", "GB29NWBK60161331926819"])
def test_an_account_outside_the_eea_has_a_code_only_with_its_bic(iban: str) -> None:
    """EPC069-12, field of the BIC: mandatory where a country outside the EEA has part (neodynamic.com); IBANs of the registry."""
    facts = {"name": "W", "iban": iban, "amount": Money.parse("1.00", "EUR"), "reference": "RF18539007547034"}
    with pytest.raises(ValueError, match="BIC"):
        epc_text(**facts)  # type: ignore[arg-type]
    assert epc_text(**facts, bic="BANKXXYY").split("\n")[4] == "BANKXXYY"  # type: ignore[arg-type]
