"""One person's data handed out, a person forgotten while books and technical history stay, and things that are one merged."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from shop.bench.models import Conclusion, Finding
from shop.counter.models import Customer, Job, OriginalPart, Unit, UnitModel
from shop.counter.queries import find_customers
from shop.dispatch.models import Collection
from shop.office.models import Authorisation, Invoice, Payment
from shop.premises.journal import verify
from shop.premises.models import IssuedPaper, Message, Picture, Role, Staff
from shop.premises.pictures import take_picture
from shop.premises.refusal import Refusal
from shop.records import merging, personal
from shop.records.bringing_in import batches
from shop.records.models import Batch, Merge, SearchRow
from shop.records.searching.answering import Asking, ask
from shop.records.searching.question import Filters
from shop.scenes.walkthrough import walk_through
from shop.window import actions as window
from shop.window.models import WindowKey, Word
from tests.factories.counter import CustomerFactory, UnitFactory, UnitModelFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    """A job that went the whole way; its customer wrote, and is named in its texts."""
    job = walk_through().job
    customer = job.customer
    Customer.objects.filter(pk=customer.pk).update(email="odalys@example.com", note="Knocks twice")
    customer.refresh_from_db()
    surname = customer.name.split()[-1]
    Job.objects.filter(pk=job.pk).update(complaint=f"{surname}’s synth drifts, ring 555-555-0166")
    Finding.objects.create(
        job=job, text=f"{surname} says that it was dropped. C101 leaky.", by=job.accepted_by
    )
    Message.objects.create(to="Odalys@example.com", subject="Ready", body="It is ready.")
    window.open_window(job=job, by=None)
    window.say_word(job=job, text="I live behind the mill")
    job.refresh_from_db()
    return job


def everything_said_about(job: Job) -> str:
    """All that the tables which may change hold of a customer."""
    parts: list[object] = []
    for model, rows in personal.held_on(job.customer):
        if model not in {Invoice, Authorisation, IssuedPaper}:
            parts += [personal._plain(row) for row in rows]
    return " ".join(map(str, parts))


# --- handed out -------------------------------------------------------------------------------------------------


def test_the_file_holds_every_table_that_says_something_of_them(job: Job) -> None:
    file = personal.data_file(customer=job.customer, by=Staff.objects.get())
    with zipfile.ZipFile(io.BytesIO(file)) as inside:
        data = json.loads(inside.read("data.json"))
        papers = [name for name in inside.namelist() if name.startswith("papers/")]
    for name in (
        "customers",
        "units",
        "jobs",
        "findings",
        "readings",
        "invoices",
        "payments",
        "words",
        "messages",
        "parcels",
    ):
        assert data[name], name
    assert data["customers"][0]["email"] == "odalys@example.com"
    assert len(papers) == IssuedPaper.objects.filter(deleted_at__isnull=True).count()
    assert verify() == []


def test_the_file_holds_nobody_else(job: Job) -> None:
    other = past_job(complaint="Secret hum", owner=CustomerFactory(stranger=True))
    file = personal.data_file(customer=job.customer, by=Staff.objects.first())
    with zipfile.ZipFile(io.BytesIO(file)) as inside:
        text = inside.read("data.json").decode()
    for private in ("Dashiell", "Secret hum", other.number, other.customer.phone):
        assert private not in text


# --- forgotten ----------------------------------------------------------------------------------------------------


def test_forgetting_takes_the_person_away_and_leaves_books_and_history(job: Job) -> None:
    customer, name = job.customer, job.customer.name
    sums = (
        list(Invoice.objects.values_list("number", "total_minor", "facts")),
        list(Payment.objects.values_list("amount_minor")),
        list(IssuedPaper.objects.values_list("sha256", "file")),
        list(Conclusion.objects.values_list("failed", "remedy")),
    )
    personal.forget(customer=customer, by=Staff.objects.get())
    said = everything_said_about(job)
    for private in (
        *name.split(),
        "odalys",
        "Knocks",
        "mill",
        "0188",
        (customer.address or "nowhere").splitlines()[0],
    ):
        assert private not in said, private
    job.refresh_from_db()
    assert "drifts" in job.complaint
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
    assert [hit.job for hit in ask(Asking(text="drifts")).hits] == [job]
    assert not ask(Asking(text=name.split()[-1], exactly=True)).hits


def test_a_signature_drawn_at_the_counter_goes_with_its_name(job: Job) -> None:
    photo = io.BytesIO()
    Image.new("L", (90, 26), 255).save(photo, "PNG")
    by = Staff.objects.get()
    drawing = take_picture(ContentFile(photo.getvalue(), name="signature.png"), by=by)
    Collection.objects.create(
        customer=job.customer, collected_by="Odalys", shown="known", drawing=drawing, by=by
    )
    personal.forget(customer=job.customer, by=by)
    collection = Collection.objects.get()
    assert (collection.collected_by, collection.drawing) == (personal.FORGOTTEN, None)
    assert not Picture.objects.filter(pk=drawing.pk).exists()


def test_whoever_has_something_here_owes_something_or_is_the_shop_is_not_forgotten(job: Job) -> None:
    here = booked_in()
    with pytest.raises(Refusal, match="still open"):
        personal.forget(customer=here.customer, by=here.accepted_by)
    shop = CustomerFactory(is_shop=True)
    with pytest.raises(Refusal, match="shop itself"):
        personal.forget(customer=shop, by=here.accepted_by)
    personal.forget(customer=job.customer, by=Staff.objects.first())
    with pytest.raises(Refusal, match="already"):
        personal.forget(customer=job.customer, by=Staff.objects.first())


def test_the_rows_of_a_list_that_was_brought_in_are_emptied_and_others_stay() -> None:
    ShopProfileFactory()
    data = b"Date,Fault,Customer\n2019-03-14,Hum,Petra Vann\n2019-03-15,Dead,Ivo Lindqvist\n"
    batch = batches.start_batch(name="old.csv", file=io.BytesIO(data), by=None)
    batches.bring_all_in(batch=batches.match_columns(batch=batch, columns=batch.columns, by=None), by=None)
    personal.forget(customer=Customer.objects.get(name="Petra Vann"), by=StaffFactory())
    with Batch.objects.get().file.open("rb") as kept:
        rows = list(csv.reader(io.TextIOWrapper(kept, encoding="utf-8")))
    assert rows == [["", "", ""], ["2019-03-15", "Dead", "Ivo Lindqvist"]]


def test_the_owner_types_the_name_before_anything_goes(client: Client, job: Job) -> None:
    client.force_login(Staff.objects.get())
    address = reverse("records:forget_customer", args=[job.customer_id])
    assert "What stays" in client.get(address).content.decode()
    wrong = client.post(address, {"typed": "somebody else"})
    assert wrong.status_code == 422
    assert "That is not the name" in wrong.content.decode()
    job.customer.refresh_from_db()
    assert job.customer.forgotten_at is None
    assert client.post(address, {"typed": job.customer.name.upper()}).status_code == 302
    job.customer.refresh_from_db()
    assert job.customer.forgotten_at is not None


def test_only_the_owner_hands_out_forgets_and_merges(client: Client, job: Job) -> None:
    client.force_login(StaffFactory(roles=[Role.COUNTER, Role.BENCH]))
    pk = job.customer_id
    assert client.post(reverse("records:customer_data", args=[pk])).status_code == 403
    assert client.get(reverse("records:forget_customer", args=[pk])).status_code == 403
    assert client.get(reverse("records:merge", args=["customer", pk])).status_code == 403
    assert "Forget" not in client.get(reverse("counter:customer", args=[pk])).content.decode()


# --- merged -----------------------------------------------------------------------------------------------------------


def state() -> list[list[Any]]:
    """Where everything points."""
    return [
        list(Job.objects.order_by("pk").values_list("pk", "customer", "unit")),
        list(Unit.objects.order_by("pk").values_list("pk", "owner", "model", "merged_into")),
        list(UnitModel.objects.order_by("pk").values_list("pk", "merged_into")),
        list(Customer.objects.order_by("pk").values_list("pk", "merged_into")),
        list(SearchRow.objects.order_by("pk").values_list("pk", "job", "model", "facets")),
    ]


def test_two_customers_become_one_and_two_again() -> None:
    kept, gone = CustomerFactory(regular=True), CustomerFactory(name="M. Osei")
    by = StaffFactory()
    jobs = [past_job(complaint="Hum", owner=owner) for owner in (kept, gone)]
    before = state()
    done = merging.merge(kind="customer", gone=gone, kept=kept, by=by)
    assert set(Job.objects.values_list("customer", flat=True)) == {kept.pk}
    assert len(ask(Asking(filters=Filters(customer=kept.pk))).hits) == len(jobs)
    assert gone not in find_customers("M Osei")
    merging.undo_merge(done=done, by=by)
    assert state() == before
    assert len(ask(Asking(filters=Filters(customer=kept.pk))).hits) == 1
    with pytest.raises(Refusal):
        merging.undo_merge(done=done, by=by)
    assert verify() == []


def test_two_models_become_one_with_their_units_and_notes_and_two_again() -> None:
    kept, gone = UnitModelFactory(name="VX-318"), UnitModelFactory(name="VX-318 mk1")
    for model in (kept, gone):
        past_job(complaint="Hum", model=model)
        OriginalPart.objects.create(model=model, position="Q1", designation="2SC1815")
    OriginalPart.objects.create(model=gone, position="Q2", designation="2SA1015")
    before, by = state(), StaffFactory()
    done = merging.merge(kind="model", gone=gone, kept=kept, by=by)
    assert set(Unit.objects.values_list("model", flat=True)) == {kept.pk}
    assert sorted(kept.originals.values_list("position", flat=True)) == ["Q1", "Q2"]
    assert len(ask(Asking(filters=Filters(model=kept.pk))).hits) == 2
    merging.undo_merge(done=done, by=by)
    assert state() == before
    assert sorted(gone.originals.values_list("position", flat=True)) == ["Q1", "Q2"]


def test_two_units_of_one_model_become_one_and_two_again() -> None:
    model = UnitModelFactory()
    kept, gone = UnitFactory(model=model, serial="A1"), UnitFactory(model=model, serial="A-1")
    for unit in (kept, gone):
        past_job(complaint="Hum", unit=unit)
    before, by = state(), StaffFactory()
    done = merging.merge(kind="unit", gone=gone, kept=kept, by=by)
    assert set(Job.objects.values_list("unit", flat=True)) == {kept.pk}
    merging.undo_merge(done=done, by=by)
    assert state() == before
    stranger = UnitFactory(model=UnitModelFactory(name="Other"))
    with pytest.raises(Refusal, match="merge the models first"):
        merging.merge(kind="unit", gone=stranger, kept=kept, by=by)


def test_what_is_merged_already_is_not_merged_again() -> None:
    one, two, three = CustomerFactory(), CustomerFactory(), CustomerFactory()
    by = StaffFactory()
    merging.merge(kind="customer", gone=one, kept=two, by=by)
    for gone, kept in ((two, two), (one, three), (three, one), (two, three)):
        gone.refresh_from_db()
        kept.refresh_from_db()
        with pytest.raises(Refusal):
            merging.merge(kind="customer", gone=gone, kept=kept, by=by)
    assert Merge.objects.count() == 1


def test_what_moved_on_after_a_merging_stays_where_it_is_when_it_is_taken_back() -> None:
    kept, gone, third = CustomerFactory(), CustomerFactory(), CustomerFactory()
    by = StaffFactory()
    job = past_job(complaint="Hum", owner=gone)
    done = merging.merge(kind="customer", gone=gone, kept=kept, by=by)
    Job.objects.filter(pk=job.pk).update(customer=third)
    merging.undo_merge(done=done, by=by)
    job.refresh_from_db()
    assert job.customer == third


def test_the_owner_merges_by_forms_alone_and_takes_it_back(client: Client) -> None:
    kept, gone = CustomerFactory(regular=True), CustomerFactory(name="Marguerite Osey")
    client.force_login(StaffFactory())
    address = reverse("records:merge", args=["customer", kept.pk])
    page = words_on(client.get(address, {"other": "marguerite"}))
    assert "Keep Marguerite Osey" in page
    assert client.post(address, {"other": str(kept.pk), "keep": "this"}).status_code == 422
    assert client.post(address, {"other": str(gone.pk), "keep": "this"}).status_code == 302
    gone.refresh_from_db()
    assert gone.merged_into == kept
    assert client.post(reverse("records:undo_merge", args=[Merge.objects.get().pk])).status_code == 302
    gone.refresh_from_db()
    assert gone.merged_into is None
    for bad in ({"other": "x"}, {"other": "99999999"}, {}):
        assert client.post(address, bad).status_code == 404
    assert client.get("/merge/spoon/1/").status_code == 404
