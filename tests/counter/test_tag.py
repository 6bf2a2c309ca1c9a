"""The tag that is tied to a unit: one label, whatever is written on it."""

from __future__ import annotations

from io import BytesIO

import pytest
import zxingcpp
from pypdfium2 import PdfDocument

from shop.counter.models import Accessory
from shop.counter.papers import tag_pdf
from shop.handbook.jobnumber import JobNumber
from tests.factories.counter import UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

THINGS = (
    "power cord",
    "remote control",
    "dust cover",
    "owner's manual",
    "FM antenna wire",
    "rack ears",
    "key",
)


@pytest.mark.django_db
@pytest.mark.parametrize(
    "name, serial",
    [
        ("VX-318", "A40 118 207"),
        ("WWWWWWWW 1", "A40 118 207"),  # short, but of the widest letters
        ("Professional Studio Edition 7700 mark III", "20260001-4477-0001-0001-0002-0003"),
        ("Hochfrequenzdrehspannungsverstärkerkombination", "X" * 40),
    ],
)
def test_name_serial_and_accessories_however_long_leave_the_codes_on_the_same_label(
    name: str, serial: str
) -> None:
    ShopProfileFactory()
    job = booked_in(
        by=StaffFactory(), unit=UnitFactory(model=UnitModelFactory(name=name), serial=serial), shelf="B3"
    )
    Accessory.objects.bulk_create(Accessory(job=job, name=thing) for thing in THINGS)
    tag = PdfDocument(BytesIO(tag_pdf(job)))
    assert len(tag) == 1
    # ISO/IEC 15417 and 18004, read by a library of others
    read = {one.format.name: one.text for one in zxingcpp.read_barcodes(tag[0].render(scale=6).to_pil())}
    assert read["Code128"] == JobNumber.parse(job.number).compact
    assert read["QRCode"].endswith(job.number)
