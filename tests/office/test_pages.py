"""The office in the browser's eyes: each page and each form, taken, refused, and sent twice."""

from __future__ import annotations

import uuid
from typing import Any

import pytest
from django.test import Client

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.office.models import Authorisation, Estimate, Invoice, Payment
from shop.premises.models import Staff
from tests.factories.office import on_the_bench, rates, rules, sales_tax
from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> Staff:
    return StaffFactory()


@pytest.fixture
def job(owner: Staff) -> Job:
    rules()
    rates()
    sales_tax()
    return on_the_bench(by=owner)


@pytest.fixture
def desk(owner: Staff) -> Client:
    client = Client()
    client.force_login(owner)
    return client


def sheet(*rows: dict[str, str], **more: str) -> dict[str, str]:
    """The fields of a sheet of lines as a browser sends them."""
    data = {"count": str(len(rows)), "once": str(uuid.uuid4()), **more}
    for at, row in enumerate(rows):
        data |= {f"l{at}-{name}": value for name, value in {"unit": "pc", **row}.items()}
    return data


LABOUR = {"kind": "labour", "description": "Repair", "quantity": "1.5", "unit": "h", "unit_price": "85"}
PART = {"kind": "part", "description": "Belt", "quantity": "1", "unit_price": "12.50", "part_state": "used"}


def post(desk: Client, job: Job, act: str, data: dict[str, Any] | None = None) -> Any:
    return desk.post(f"/office/jobs/{job.number}/{act}/", data or {"once": str(uuid.uuid4())})


def test_a_job_goes_from_its_estimate_to_the_paid_invoice_by_forms_alone(desk: Client, job: Job) -> None:
    assert desk.get("/office/").status_code == 200
    assert post(desk, job, "estimate").status_code == 302
    answer = post(desk, job, "estimate/lines", sheet(LABOUR, PART, days_needed="10"))
    assert answer.status_code == 302, answer.content.decode()
    assert desk.get(f"/office/jobs/{job.number}/estimate/preview/")["Content-Type"] == "application/pdf"
    assert post(desk, job, "estimate/put").status_code == 302
    estimate = Estimate.objects.get()
    assert (estimate.state, estimate.total_minor, estimate.tax_minor) == ("given", 140_00, 1_03)
    page = desk.get(f"/office/jobs/{job.number}/")
    assert b"Record the answer" in page.content
    given = {
        "answer": "yes",
        "how": "phone",
        "given_by": "Marguerite Osei",
        "phone_called": "555-0117",
        "once": str(uuid.uuid4()),
    }
    assert post(desk, job, "answer", given).status_code == 302
    job.refresh_from_db()
    assert job.stage == Stage.ON_THE_BENCH
    deposit = {"deposit-amount": "40", "deposit-how": "cash", "deposit-once": str(uuid.uuid4())}
    assert post(desk, job, "deposit", deposit).status_code == 302
    assert post(desk, job, "invoice").status_code == 302
    draft = Invoice.objects.get()
    assert desk.post(f"/office/invoices/{draft.pk}/lines/", sheet(LABOUR, PART)).status_code == 302
    assert desk.get(f"/office/invoices/{draft.pk}/preview/").content.startswith(b"%PDF")
    assert desk.post(f"/office/invoices/{draft.pk}/issue/", {"once": str(uuid.uuid4())}).status_code == 302
    draft.refresh_from_db()
    assert (draft.total_minor, draft.prepaid_minor) == (141_03, 40_00)
    paid = {"payment-amount": "101.03", "payment-how": "card", "payment-once": str(uuid.uuid4())}
    assert desk.post(f"/office/invoices/{draft.pk}/payment/", paid).status_code == 302
    assert Payment.objects.count() == 2
    assert Authorisation.objects.get().phone_called == "555-0117"
    assert b"Every invoice is paid" in desk.get("/office/").content
