"""A book in which everything that is sealed was written at least once, by the acts that write it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, default_storage

from shop.counter.models import Customer, Job
from shop.frame.models import Staff
from shop.office import actions as office
from shop.office.models import Authorisation, Invoice
from shop.press.machine import ACCESSIBLE, Machine
from shop.press.sheets import Sheet
from shop.stockroom import actions as stock
from tests.factories import stockroom
from tests.factories.counter import CustomerFactory, UnitFactory
from tests.factories.office import drafted, european_shop, issued, item, on_the_bench, rates, rules, tax
from tests.factories.premises import StaffFactory

NAME = "Ottilie Quarrington"
"""The customer of the book, whose name is nowhere else in it."""


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for papers and files, so that they can be tampered with."""
    folder = tmp_path / "kept"
    monkeypatch.setattr(default_storage, "_wrapped", FileSystemStorage(location=folder))
    return folder


@pytest.fixture(scope="module")
def _drawn() -> dict[object, bytes]:
    """The papers of the book below as they were first drawn: each test writes the same ones again."""
    return {}


@pytest.fixture
def sealed_book(
    kept: Path, settings: object, _drawn: dict[object, bytes], monkeypatch: pytest.MonkeyPatch
) -> Staff:
    """An estimate with its answers, invoices paid, credited and free, deposits, a refund, and parts that came and went."""
    settings.MEDIA_ROOT = kept  # type: ignore[attr-defined]
    draw = Machine.print

    def draw_once(machine: Machine, html: str, sheet: Sheet, *, variant: str = ACCESSIBLE) -> bytes:
        key = (html, sheet, variant)
        if key not in _drawn:
            _drawn[key] = draw(machine, html, sheet, variant=variant)
        return _drawn[key]

    monkeypatch.setattr(Machine, "print", draw_once)
    counted: tuple[Any, ...] = (StaffFactory, CustomerFactory, UnitFactory)
    for factory in counted:
        factory.reset_sequence(0, force=True)
    owner = StaffFactory()
    european_shop()
    rules(einvoice=True, how_to_pay="By transfer to the account on our counter.")
    rates()
    tax("19")
    job = on_the_bench(by=owner)
    Customer.objects.filter(pk=job.customer_id).update(
        name=NAME, country="DE", address="Ahornallee 3\n00000 Lindenau"
    )
    job = Job.objects.select_related("customer").get(pk=job.pk)
    _priced(job, owner)
    _paid(job, owner)
    return owner


def _priced(job: Job, owner: Staff) -> None:
    items = [item(price="85.00", currency="EUR"), item(price="12.50", currency="EUR")]
    draft = office.draft_estimate(job=job, by=owner, items=items, note=f"As said to {NAME}")
    given = office.put_estimate(estimate=draft, by=owner)
    office.record_answer(
        job=job,
        estimate=given,
        answer=Authorisation.Answer.YES,
        how=Authorisation.How.PHONE,
        phone_called="+49 555 0177",
        given_by=NAME,
        conditions="Not before Friday",
        message=ContentFile(f"Yes, please. {NAME}".encode(), name="yes.txt"),
        by=owner,
    )
    office.give_repair_form(
        job=job,
        defect="Hums",
        repair_kind="Capacitors",
        price_minor=9750,
        days_needed=10,
        handover_place=f"At the counter, to {NAME}",
        by=owner,
    )


def _paid(job: Job, owner: Staff) -> Invoice:
    customer = job.customer
    office.take_payment(customer=customer, amount_minor=2000, how="cash", job=job, by=owner)
    wrong = issued(job, [item(price="90.00", currency="EUR")], by=owner)
    office.take_payment(
        customer=customer,
        amount_minor=3000,
        how="card",
        invoice=wrong,
        reference=NAME,
        note="by hand",
        by=owner,
    )
    office.credit(invoice=wrong, note="The wrong price", by=owner)
    office.refund(customer=customer, amount_minor=1000, how="cash", job=job, note=f"to {NAME}", by=owner)
    part = stockroom.a_part(owner, there=3)
    stock.fit_part(job=job, part=part, unit_price_ten_thousandths=80_000, by=owner)
    right = office.issue_invoice(invoice=drafted(job, None, by=owner), by=owner)
    office.release_unpaid(job=job, reason="Pays on Monday", by=owner)
    return right
