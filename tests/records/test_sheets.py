"""Lists as CSV that no spreadsheet takes for formulas, and the history published without anything personal."""

from __future__ import annotations

import csv
import datetime as dt
import io
import re

import pytest
from django.db import connection, transaction
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from shop.bench.models import Conclusion
from shop.counter.models import Customer, Job, Kind, Maker, StageMove, Unit, UnitModel
from shop.counter.stages import Stage
from shop.frame.cells import cell
from shop.frame.guards import lifted
from shop.frame.models import JournalEntry, JournalHead, JournalTouch, NumberSeries, ShopProfile
from shop.frame.refusal import Refusal
from shop.handbook import openrepair
from shop.office.models import Payment
from shop.records.bringing_in import batches, kept
from shop.records.searching import upkeep
from shop.records.searching.question import Filters
from shop.records.taking_out.open_repair import open_repair_lines
from shop.records.taking_out.sheets import SHEETS, lines
from shop.stockroom.models import Order, OrderLine, Supplier
from tests.factories.counter import CustomerFactory, MakerFactory, UnitModelFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job

# From the standard's text (v0.3): the fields that every row must have, and the words of the repair status.
REQUIRED = {
    "id",
    "partner_product_category",
    "problem",
    "repair_status",
    "event_date",
    "data_provider",
    "country",
}
STATUSES = {"Unknown", "Fixed", "Repairable", "End of life"}


def read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))


@pytest.mark.parametrize("name", ["=1+1", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "\r=1"])
def test_what_a_spreadsheet_would_reckon_with_gets_an_apostrophe(name: str) -> None:
    """The signs of OWASP's page on CSV injection."""
    assert cell(name) == f"'{name}"


def test_negative_sums_stay_numbers() -> None:
    assert cell("-12.50") == "-12.50"
    assert cell("+7") == "+7"
    assert cell("-12,50") == "-12,50"


@pytest.mark.django_db
def test_where_the_comma_is_the_decimal_mark_spreadsheets_get_semicolons_and_commas(client: Client) -> None:
    shop = ShopProfileFactory(country="DE", currency="EUR", language="de-DE", time_zone="Europe/Berlin")
    job = past_job(complaint="Hum, loud", at=dt.datetime(2026, 3, 2, 23, 30, tzinfo=dt.UTC))
    Payment.objects.create(
        customer=job.customer,
        kind="payment",
        how="cash",
        amount_minor=123450,
        currency="EUR",
        at=job.booked_in_at,
    )
    client.force_login(StaffFactory())

    def sheet(name: str) -> list[dict[str, str]]:
        told = b"".join(client.get(reverse("records:sheet", args=[name])))
        return list(csv.DictReader(io.StringIO(told.decode("utf-8-sig")), delimiter=";"))

    (row,) = sheet("payments")
    assert (row["amount"], row["currency"]) == ("1234,50", shop.currency)
    assert [(row["complaint"], row["came"]) for row in sheet("jobs")] == [("Hum, loud", "2026-03-03")]


@given(rows=st.lists(st.tuples(st.text(), st.text()), max_size=8))
def test_any_text_comes_back_from_the_file_as_it_went_in(rows: list[tuple[str, str]]) -> None:
    text = "".join(lines(("a", "b"), rows))
    back = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")))[1:]
    assert back == [[cell(one), cell(two)] for one, two in rows]


@pytest.mark.django_db
def test_every_list_can_be_taken_out_and_every_row_fits_its_header() -> None:
    past_job(complaint="=HYPERLINK(1) hum", failed="Relay", mode="dirty", hours=1.5)
    booked_in()
    order = Order.objects.create(
        number="O-1", supplier=Supplier.objects.create(name="Kettle"), currency="USD"
    )
    OrderLine.objects.create(
        order=order, description="Relay", quantity_thousandths=2000, unit_cost_ten_thousandths=12500
    )
    for sheet in SHEETS.values():
        rows = list(sheet.rows(Filters()))
        assert all(len(row) == len(sheet.header) for row in rows), sheet.name
    (ordered,) = SHEETS["orders"].rows(Filters())
    assert ordered == ("O-1", "Kettle", "", "", "Relay", "2", "0", "1.25", "USD")
    assert [row[-1] for row in SHEETS["bench-time"].rows(Filters())] == [90]
    jobs = read("".join(lines(SHEETS["jobs"].header, SHEETS["jobs"].rows(Filters()))))
    assert [row["failed"] for row in jobs] == ["Relay", ""]
    assert jobs[0]["complaint"] == "'=HYPERLINK(1) hum"
    assert len(list(SHEETS["jobs"].rows(Filters(stage="open")))) == 1


@pytest.mark.django_db
def test_the_open_repair_file_has_the_standards_fields_and_nothing_personal() -> None:
    owner = CustomerFactory(regular=True, address="3 Tallow Street\nPort Amity, CA 90001")
    model = UnitModelFactory(name="VX-318", kind=Kind.TURNTABLE, built_from=dt.date(1978, 1, 1))
    past_job(
        complaint="Marguerite’s deck hums; ring Osei on 555-555-0117 or marguerite@example.com, 3 Tallow Street",
        failed="Filter capacitor",
        mode="leaky",
        at=dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC),
        owner=owner,
        model=model,
    )
    past_job(complaint="Burnt", outcome="beyond", failed="Transformer", mode="open")
    booked_in(complaint="still here")
    rows = read("".join(open_repair_lines()))
    assert len(rows) == 2
    for row in rows:
        assert tuple(row) == openrepair.FIELDS
        assert all(row[name] for name in REQUIRED)
        assert row["repair_status"] in STATUSES
        assert re.fullmatch(r"\d{4}-\d\d-\d\d", row["event_date"])
        assert row["country"] == "USA"
    first, second = rows
    assert (first["repair_status"], second["repair_status"]) == ("Fixed", "End of life")
    assert (first["product_category_id"], first["product_category"]) == ("13", "Hi-Fi separates")
    assert first["product_age"] == "48"  # 2026-11-25 with 1978: the standard's derived age
    for private in ("Marguerite", "Osei", "0117", "@", "Tallow"):
        assert private not in first["problem"]
    assert "hums" in first["problem"]
    assert "Filter capacitor" in first["problem"]


PUBLISHED = (
    "id,data_provider,country,partner_product_category,product_category,product_category_id,brand,year_of_manufacture,"
    "product_age,repair_status,repair_barrier_if_end_of_life,group_identifier,event_date,problem\n"
    "x_1,Menders of Port Amity,BEL,Vinyl deck,Hi-Fi separates,13,Quillhaven,1978,41,Repairable,,Amity,2019-03-14,Belt gone\n"
    "x_2,Menders of Port Amity,GBR,Kettle,Kettle,14,Quillhaven,,,End of life,Spare parts too expensive,Amity,2019-03-15,"
    "Amity kettle leaks\n"
    "x_3,Other Menders,HKG,Hair dryer,Hair dryer,39,Unknown,,,Unknown,,Amity,2019-03-16,Smells\n"
)
"""Rows as the standard has them (Open Repair Data Standard v0.3); what they say is invented."""


@pytest.mark.django_db
def test_records_of_others_go_out_as_theirs_with_category_and_barrier() -> None:
    ShopProfileFactory(name="Fenwick Repairs")
    batch = kept.start_batch(name="theirs.csv", file=io.BytesIO(PUBLISHED.encode()), by=None)
    batches.bring_all_in(batch=batches.match_columns(batch=batch, columns=batch.columns, by=None), by=None)
    past_job(complaint="Our own", at=dt.datetime(2026, 11, 25, 12, tzinfo=dt.UTC))
    out = read("".join(open_repair_lines()))
    assert [row["data_provider"] for row in out].count("Fenwick Repairs") == 1
    assert out[:3] == read(PUBLISHED)


@pytest.mark.django_db
def test_our_own_list_of_jobs_brought_into_an_empty_shop_is_the_same_list() -> None:
    ShopProfileFactory()
    deck = UnitModelFactory(name="TT-9", maker=MakerFactory(name="Kestrel & Vane"))
    owner = CustomerFactory(name="Petra Vann")
    first = past_job(
        complaint="=SUM(1) hum\nand a second line", failed="Relay", mode="dirty", model=deck, owner=owner
    )
    past_job(complaint="Hum again; still", unit=first.unit, at=dt.datetime(2026, 4, 2, 9, tzinfo=dt.UTC))
    past_job(complaint="Dead", home=False)
    past_job(
        complaint="Nothing found", failed="", remedy="ran for hours", outcome="no_fault", mode="none_found"
    )
    past_job(complaint="'quoted", outcome="unknown", serial="")
    past_job(complaint="Burnt", failed="Transformer", mode="open", remedy="", outcome="beyond")
    kept_here = past_job(complaint="Left", outcome="unclaimed")
    Job.objects.filter(pk=kept_here.pk).update(stage=Stage.KEPT_HERE)
    expected = past_job(complaint="On its way", home=False)
    Job.objects.filter(pk=expected.pk).update(
        stage=Stage.EXPECTED, announced_at=expected.booked_in_at, booked_in_at=None
    )
    sheet = SHEETS["jobs"]
    for delimiter in ",;":
        before = "".join(lines(sheet.header, sheet.rows(Filters()), delimiter=delimiter))
        with transaction.atomic():
            empty_of_jobs()
            batch = kept.start_batch(name="jobs.csv", file=io.BytesIO(before.encode()), by=None)
            batch = batches.match_columns(batch=batch, columns=batch.columns, by=None)
            batches.bring_all_in(batch=batch, by=None)
            assert not batch.outcomes.exclude(sentence="").exists()
            assert "".join(lines(sheet.header, sheet.rows(Filters()), delimiter=delimiter)) == before
            transaction.set_rollback(True)


def empty_of_jobs() -> None:
    """The shop as it stands before its first job."""
    upkeep.begin_building()
    told = (JournalTouch, JournalEntry, JournalHead, Conclusion, StageMove, Job, Unit, UnitModel, Maker)
    with lifted(connection):
        for table in (*told, Customer, NumberSeries):
            table._base_manager.all()._raw_delete(connection.alias)


@pytest.mark.django_db
def test_a_country_without_a_code_here_is_refused_and_never_guessed() -> None:
    ShopProfileFactory()
    ShopProfile.objects.update(country="AQ")
    with pytest.raises(Refusal, match="AQ"):
        "".join(open_repair_lines())


@pytest.mark.parametrize(
    "text, wanted",
    [
        ("R101 burnt, C-12 47 µF 63 V, 4k7", "R101 burnt, C-12 47 µF 63 V, 4k7"),
        ("measured 120 V, 3150 Hz", "measured 120 V, 3150 Hz"),
        ("ring +1 (555) 555-0142 please", "ring [left out] please"),
        ("see www.shop.example/x", "see [left out]"),
    ],
)
def test_values_and_positions_stay_while_numbers_to_ring_go(text: str, wanted: str) -> None:
    assert openrepair.without_personal(text, ["Dashiell Crewe"]) == wanted
