"""A person forgotten while books and technical history stay, and nothing of them is left over."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.db.models import CharField, FileField, JSONField, TextField
from django.test import Client
from django.urls import reverse
from PIL import Image

from shop.bench.models import Conclusion, Finding
from shop.counter.keys import phone_key
from shop.counter.models import Customer, Job, Unit, UnitModel
from shop.counter.queries import find_customers
from shop.dispatch.models import Collection
from shop.frame.journal import verify
from shop.frame.models import ShopProfile, Staff
from shop.frame.refusal import Refusal
from shop.keeping.models import IssuedPaper, Message, Picture
from shop.keeping.pictures import take_picture
from shop.office.models import Authorisation, Invoice, Payment
from shop.records import forgetting, naming, personal
from shop.records.bringing_in import batches, kept
from shop.records.models import Batch, SavedSearch
from shop.records.searching import upkeep
from shop.records.searching.answering import Asking, ask
from shop.records.taking_out.rows import tables
from shop.window.models import WindowKey, Word
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = pytest.mark.django_db


def everything_said_about(named_job: Job) -> str:
    """All that the tables which may change hold of a customer."""
    parts: list[object] = []
    for model, rows in personal.held_on(named_job.customer):
        if model not in {Invoice, Authorisation, IssuedPaper}:
            parts += [personal._plain(row) for row in rows]
    return " ".join(map(str, parts))


def test_forgetting_takes_the_person_away_and_leaves_books_and_history(named_job: Job) -> None:
    customer, name = named_job.customer, named_job.customer.name
    sums = (
        list(Invoice.objects.values_list("number", "total_minor", "facts")),
        list(Payment.objects.values_list("amount_minor")),
        list(IssuedPaper.objects.values_list("sha256", "file")),
        list(Conclusion.objects.values_list("failed", "remedy")),
    )
    forgetting.forget(customer=customer, by=Staff.objects.get())
    said = everything_said_about(named_job)
    for private in (
        *name.split(),
        "odalys",
        "Knocks",
        "mill",
        "0188",
        (customer.address or "nowhere").splitlines()[0],
    ):
        assert private not in said, private
    named_job.refresh_from_db()
    assert "drifts" in named_job.complaint
    assert "C101 leaky" in Finding.objects.get(text__contains="C101").text
    assert not Word.objects.exists()
    assert not WindowKey.objects.exists()
    assert not Message.objects.filter(to__iexact="odalys@example.com").exists()
    assert find_customers(name) == []
    assert sums == (
        list(Invoice.objects.values_list("number", "total_minor", "facts")),
        list(Payment.objects.values_list("amount_minor")),
        list(IssuedPaper.objects.values_list("sha256", "file")),
        list(Conclusion.objects.values_list("failed", "remedy")),
    )
    assert verify() == []
    assert [hit.job for hit in ask(Asking(text="drifts")).hits] == [named_job]
    assert not ask(Asking(text=name.split()[-1], exactly=True)).hits


def test_a_signature_drawn_at_the_counter_goes_with_its_name(named_job: Job) -> None:
    photo = io.BytesIO()
    Image.new("L", (90, 26), 255).save(photo, "PNG")
    by = Staff.objects.get()
    drawing = take_picture(ContentFile(photo.getvalue(), name="signature.png"), by=by)
    Collection.objects.create(
        customer=named_job.customer, collected_by="Odalys", shown="known", drawing=drawing, by=by
    )
    forgetting.forget(customer=named_job.customer, by=by)
    collection = Collection.objects.get()
    assert (collection.collected_by, collection.drawing) == (forgetting.FORGOTTEN, None)
    assert not Picture.objects.filter(pk=drawing.pk).exists()


def test_whoever_has_something_here_owes_something_or_is_the_shop_is_not_forgotten(named_job: Job) -> None:
    here = booked_in()
    with pytest.raises(Refusal, match="still open"):
        forgetting.forget(customer=here.customer, by=here.accepted_by)
    shop = CustomerFactory(is_shop=True)
    with pytest.raises(Refusal, match="shop itself"):
        forgetting.forget(customer=shop, by=here.accepted_by)
    forgetting.forget(customer=named_job.customer, by=Staff.objects.first())
    with pytest.raises(Refusal, match="already"):
        forgetting.forget(customer=named_job.customer, by=Staff.objects.first())


def test_the_rows_of_a_list_that_was_brought_in_are_emptied_and_others_stay() -> None:
    ShopProfileFactory()
    data = b"Date,Fault,Customer\n2019-03-14,Hum,Petra Vann\n2019-03-15,Dead,Ivo Lindqvist\n"
    batch = kept.start_batch(name="old.csv", file=io.BytesIO(data), by=None)
    batches.bring_all_in(batch=batches.match_columns(batch=batch, columns=batch.columns, by=None), by=None)
    forgetting.forget(customer=Customer.objects.get(name="Petra Vann"), by=StaffFactory())
    assert list(kept.kept_rows(Batch.objects.get())) == [
        (2, ["", "", ""]),
        (3, ["2019-03-15", "Dead", "Ivo Lindqvist"]),
    ]


def test_the_owner_types_the_name_before_anything_goes(client: Client, named_job: Job) -> None:
    client.force_login(Staff.objects.get())
    address = reverse("records:forget_customer", args=[named_job.customer_id])
    assert "What stays" in client.get(address).content.decode()
    wrong = client.post(address, {"typed": "somebody else"})
    assert wrong.status_code == 422
    assert "That is not the name" in wrong.content.decode()
    named_job.customer.refresh_from_db()
    assert named_job.customer.forgotten_at is None
    assert client.post(address, {"typed": named_job.customer.name.upper()}).status_code == 303
    named_job.customer.refresh_from_db()
    assert named_job.customer.forgotten_at is not None


def test_the_name_in_others_texts_is_shown_with_its_places_and_goes_where_it_is_said(client: Client) -> None:
    """A brother's complaint, a note on a model, another list: nothing leads there but the name."""
    ShopProfileFactory()
    petra = CustomerFactory(name="Petra Vann", phone="+1 555 555 0143", email="petra@example.com")
    brother = past_job(complaint="Hum. Petra Vann will fetch it, ring 555-555-0143")
    other = past_job(complaint="Ask Petra about the vane", findings=["Belt by VANN"])
    UnitModel.objects.filter(pk=other.unit.model_id).update(notes="Petra Vann has the manual")
    data = "Date,Fault,Customer\n2019-03-14,Dead since Petra Vann had it,Ivo Lindqvist\n2019-03-15,Hum,Ivo\n"
    batch = kept.start_batch(name="old.csv", file=io.BytesIO(data.encode()), by=None)
    batches.bring_all_in(batch=batches.match_columns(batch=batch, columns=batch.columns, by=None), by=None)
    places = forgetting.named_in_other_texts(petra)
    brought = Job.objects.get(complaint__startswith="Dead since")
    assert {(place.where.split(" of ")[0], place.sure) for place in places} == {
        ("Complaint", True),
        ("Complaint", False),
        ("Finding", False),
        (f"Note on {other.unit.model}", True),
        ("Row 2", True),
    }
    client.force_login(StaffFactory(roles=["owner"]))
    address = reverse("records:forget_customer", args=[petra.pk])
    page = words_on(client.get(address))
    assert "Ask Petra about the vane" in page
    assert f"Complaint of {brother.number}: Hum. Petra Vann will fetch it" in page
    sure = [place.key for place in places if place.sure]
    assert (
        client.post(address, {"typed": "Petra Vann", "elsewhere": [*sure, "counter.job:1:x"]}).status_code
        == 422
    )
    assert client.post(address, {"typed": "Petra Vann", "elsewhere": sure}).status_code == 303
    for job in (brother, brought, other):
        job.refresh_from_db()
    assert brother.complaint == "Hum. [left out] will fetch it, ring [left out]"
    assert brought.complaint == "Dead since [left out] had it"
    assert other.complaint == "Ask Petra about the vane"
    assert Finding.objects.get().text == "Belt by VANN"
    assert next(iter(kept.kept_rows(Batch.objects.get())))[1][1] == "Dead since [left out] had it"
    assert [hit.job for hit in ask(Asking(text="petra", exactly=True)).hits] == [other]


# --- nothing is left over -----------------------------------------------------------------------------------------

CODES = {
    "reminded": "kind",
    "unit": "serial serial_folded",
    "inboundparcel": "carrier tracking",
    "job": "number shelf currency",
    "stagemove": "from_stage to_stage",
    "ledgerentry": "note",  # the ledger is never changed
    "partfitted": "currency",
    "partsentback": "currency credit_reference",  # the supplier's number
    "matcheddevice": "label group date_lot hfe vbe_volts test_current celsius",
    "evidence": "candidates judgement argument",
    "soakcheck": "temperature dc_offset",
    "reading": "quantity value unit role channel adjuster expected expected_low expected_high",
    "ticked": "checklist step",
    "heard": "kind line_kind",
    "safetycheck": "protection_class summary",
    "safetytest": "key label typed value limit outcome sentence",
    "cautionread": "key",
    "overruled": "rule",
    "parcel": "address country tracking currency customs_description customs_origin customs_hs_code lithium",
    "collection": "collected_by",
    "damagereport": "currency",
    "broughtrow": "digest sentence category country",
    "windowkey": "digest",
    "word": "text",
}
"""Columns that hold codes and values, or that forgetting empties by itself."""

BOOKS = {"office"}
"""Rooms whose rows the law on books asks to keep as they were written."""


def test_every_text_that_may_name_a_person_is_known_to_forgetting() -> None:
    unknown = [
        f"{model._meta.label_lower}.{f.name}"
        for model in tables()
        if model not in {Customer, IssuedPaper} and model._meta.app_label not in BOOKS
        if model is Unit or any(personal._paths(model))
        for f in model._meta.concrete_fields
        if isinstance(f, CharField | TextField | JSONField | FileField) and not f.choices
        if f.name not in naming.TEXTS.get(model, ())
        if f.name not in CODES.get(model._meta.model_name or "", "").split()
    ]
    assert unknown == []


def _longest(table: Any, column: str) -> int | None:
    return table._meta.get_field(column).max_length


@pytest.mark.postgres
def test_no_table_but_the_books_says_who_it_was(named_job: Job, settings: Any) -> None:
    customer, by = named_job.customer, Staff.objects.get()
    name, phone = customer.name, customer.phone
    surname = name.split()[-1]
    said = f"{surname} {phone} odalys@example.com"
    for table, columns in naming.TEXTS.items():
        rows = personal.rows_about(table, [customer])
        table._default_manager.filter(pk__in=list(rows.values_list("pk", flat=True))).update(
            **{column: f"leaky {said}"[: _longest(table, column)] for column in columns}
        )
    upkeep.refresh([named_job.pk])
    Message.objects.create(to="old@example.com", subject="Ready", body=f"Dear {customer.name},\n\nit is.")
    for title, query in ((surname, "q=hum"), ("Theirs", f"customer={customer.pk}"), ("Call", f"q={surname}")):
        SavedSearch.objects.create(name=title, query=query, staff=by)
    about_hum = SavedSearch.objects.create(name="Hum", query="q=hum", staff=by)
    data = f"Date,Fault,Customer,Phone\nno day,Hum,{customer.name},{customer.phone}\n2019-03-15,Dead,Ivo,1\n"
    batch = kept.start_batch(name="old.csv", file=io.BytesIO(data.encode()), by=None)
    assert surname.lower() in everything_but_the_books()

    forgetting.forget(customer=customer, by=by)

    left = everything_but_the_books()
    for private in (*name.lower().split(), "odalys@", phone, phone_key(phone)):
        assert private not in left, private
    assert "leaky" in left
    assert list(SavedSearch.objects.all()) == [about_hum]
    assert [row for _, row in kept.kept_rows(Batch.objects.get(pk=batch.pk))] == [
        ["", "", "", ""],
        ["2019-03-15", "Dead", "Ivo", "1"],
    ]


def everything_but_the_books() -> str:
    """All rows of all tables, those of the search as well, in small letters; without what is kept as it was written."""
    names = ("SearchRow", "SearchWords", "SearchTexts", "Term", "KnownSerial")
    search = [apps.get_model("records", name) for name in names]
    models = [
        model
        for model in [*tables(), *search]
        if model._meta.app_label not in BOOKS and model not in {IssuedPaper, Staff, ShopProfile}
    ]
    return " ".join(
        json.dumps(row, default=str, ensure_ascii=False).lower()
        for model in models
        for row in model._base_manager.values()
    )


@pytest.mark.parametrize(
    "text, left",
    [
        ("Ray Short’s amp: C101 short", "[left out]’s amp: C101 short"),
        ("Ask Ray. Output short.", "Ask [left out]. Output short."),
        ("ray short, 12 Mill Lane: hum like a mill", "[left out], [left out]: hum like a mill"),
        ("Ring (555) 555 0188 or 5550188", "Ring [left out] or [left out]"),
        ("ray@mill.example wrote", "[left out] wrote"),
        ("Stamp 220-6738, 47k, 555-0187", "Stamp 220-6738, 47k, 555-0187"),
    ],
)
def test_the_fault_stays_where_a_name_is_a_word_of_the_trade(text: str, left: str) -> None:
    ray = Customer(
        name="Ray Short",
        address="12 Mill Lane\nPort Ellis",
        phone="+1 555 555-0188",
        email="ray@mill.example",
    )
    assert naming.without_person([ray])(text) == left
