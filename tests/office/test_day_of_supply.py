"""The day of supply on an invoice: where a country wants it although it is the day of issue, and elsewhere if it is another.

Sources: VAT Notice 700/21 (invoice date and tax point); § 14(4) no. 6 UStG, § 11(1) no. 3(d) UStG 1994, Consumption Tax Act of
Japan Art. 57-4(1), MWSTG Art. 26(2)(c), all from memory; Directive 2006/112/EC Art. 226(7): where it is another day.
"""

from __future__ import annotations

import datetime as dt

import pytest

from shop.counter.models import Job
from shop.frame import clock
from shop.frame.models import Staff
from shop.office import actions
from shop.office.models import Invoice
from shop.office.papers import invoice_sheet
from tests.factories.counter import booked_in
from tests.factories.office import european_shop, issued, item, rules, tax

pytestmark = pytest.mark.django_db
ANYWHERE = {"currency": "EUR", "language": "en-GB"}


def heads(row: Invoice, by: Staff) -> list[str]:
    return [fact.label for fact in invoice_sheet(row, by=by).context["facts"]]  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "country, profile, number, said",
    [
        ("DE", "eu", "DE000000000", True),
        ("AT", "eu", "ATU00000000", True),
        ("GB", "uk", "GB000000000", True),
        ("JP", "general", "T0000000000000", True),
        ("FR", "eu", "FR00000000000", False),
        ("CH", "general", "CHE-000.000.000 MWST", False),
        ("DE", "eu", "", False),
    ],
)
def test_the_day_of_supply_is_said_where_the_country_wants_it(
    owner: Staff, country: str, profile: str, number: str, said: bool
) -> None:
    european_shop(country=country, law_profile=profile, tax_number=number, **ANYWHERE)
    rules()
    tax("19")
    job = booked_in(by=owner)
    row = issued(job, [item(currency="EUR")], by=owner)
    assert ("Work done on" in heads(row, owner)) is said
    assert "Work done on" not in heads(actions.credit(invoice=row, note="wrong", by=owner), owner)


def test_another_day_of_supply_is_said_everywhere(owner: Staff) -> None:
    european_shop(country="FR", tax_number="FR00000000000", **ANYWHERE)
    rules()
    tax("20")
    job = booked_in(by=owner)
    Job.objects.filter(pk=job.pk).update(ready_at=clock.now() - dt.timedelta(days=3))
    assert "Work done on" in heads(issued(job, [item(currency="EUR")], by=owner), owner)
