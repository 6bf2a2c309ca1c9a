"""Used and salvaged parts are called so from the drawer to the invoice, as the law asks.

16 CCR 2725(l) (California): an invoice says which parts supplied are used, rebuilt or reconditioned.
"""

from __future__ import annotations

import io

import pypdf
import pytest

from shop.keeping.papers import stored_bytes
from shop.office import actions as office
from shop.stockroom import actions
from shop.stockroom.models import PartState
from tests.factories.office import agreed, rates, sales_tax
from tests.factories.stockroom import a_part, on_the_bench


@pytest.mark.parametrize(
    "state, said", [("used", "used part"), ("salvaged", "salvaged part"), ("exchanged", "exchanged part")]
)
def test_a_part_that_is_not_new_is_called_so_on_the_invoice(by, state, said) -> None:
    rates()
    sales_tax()
    part, job = a_part(by, description="Capstan motor", designation="CM-4"), on_the_bench(by)
    actions.receive(
        part=part, quantity_thousandths=1_000, unit_cost_ten_thousandths=90_000, state=state, by=by
    )
    fitted = actions.fit_part(job=job, part=part, state=state, by=by)
    agreed(job, 50_000, by=by)
    invoice = office.draft_invoice(customer=job.customer, jobs=[job], by=by)
    office.issue_invoice(invoice=invoice, by=by)
    invoice.refresh_from_db()
    assert (fitted.state, invoice.lines.get(part_state=state).description) == (state, "Capstan motor CM-4")
    pages = pypdf.PdfReader(io.BytesIO(stored_bytes(invoice.paper))).pages
    assert said in " ".join(page.extract_text() for page in pages)


def test_a_new_part_is_not_called_anything_on_the_invoice(by) -> None:
    rates()
    sales_tax()
    part, job = a_part(by, description="Capstan motor", there=1, cost=90_000), on_the_bench(by)
    actions.fit_part(job=job, part=part, by=by)
    agreed(job, 50_000, by=by)
    invoice = office.draft_invoice(customer=job.customer, jobs=[job], by=by)
    office.issue_invoice(invoice=invoice, by=by)
    invoice.refresh_from_db()
    text = " ".join(
        page.extract_text() for page in pypdf.PdfReader(io.BytesIO(stored_bytes(invoice.paper))).pages
    )
    assert not any(f"{state.label.lower()} part" in text for state in PartState if state != PartState.NEW)
