"""Everything held on one person, handed out as one file."""

from __future__ import annotations

import io
import json
import zipfile

import pytest
from django.core.files.base import ContentFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from shop.counter.models import Customer, Job, JobPicture
from shop.dispatch.models import Collection
from shop.frame.journal import verify
from shop.frame.models import Role, Staff
from shop.keeping.models import IssuedPaper, Picture
from shop.keeping.pictures import take_picture
from shop.records import personal
from shop.records.bringing_in import batches, kept
from tests.factories.counter import CustomerFactory
from tests.factories.premises import StaffFactory
from tests.factories.records import past_job

pytestmark = pytest.mark.django_db


def test_the_file_holds_every_table_that_says_something_of_them(named_job: Job) -> None:
    with (
        personal.data_file(customer=named_job.customer, by=Staff.objects.get()) as file,
        zipfile.ZipFile(file) as inside,
    ):
        data = json.loads(inside.read("data.json"))
        papers = [name for name in inside.namelist() if name.startswith("issued-papers/")]
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


def test_the_file_names_their_units_and_tells_what_old_lists_say_of_them(named_job: Job) -> None:
    by = Staff.objects.get()
    rows = (
        "Date,Fault,Maker,Model,Client,Price\n"
        "2019-03-14,Hum,Wexholm,TT-1,Ilse Rehm,45.00\n"
        "2019-03-15,Dead,Wexholm,TT-2,Max Ebb,9.00\n"
    )
    batch = kept.start_batch(name="old.csv", file=io.BytesIO(rows.encode()), by=by)
    batches.bring_all_in(
        batch=batches.match_columns(batch=batch, columns=batch.columns, by=by),
        by=by,
    )
    with (
        personal.data_file(customer=Customer.objects.get(name="Ilse Rehm"), by=by) as file,
        zipfile.ZipFile(file) as inside,
    ):
        data = json.loads(inside.read("data.json"))
    assert [(one["maker"], one["name"]) for one in data["models"]] == [("Wexholm", "TT-1")]
    (row,) = data["rows of old lists"]
    assert (row["list"], dict(row["cells"])["Price"]) == ("old.csv", "45.00")


def test_the_file_holds_the_pictures_of_their_units_and_their_signature(named_job: Job) -> None:
    by = Staff.objects.get()
    photo, drawing = (take_picture(a_photo(name), by=by) for name in ("front.png", "signature.png"))
    JobPicture.objects.create(job=named_job, picture=photo)
    Collection.objects.create(
        customer=named_job.customer, collected_by="Odalys", shown="known", drawing=drawing, by=by
    )
    take_picture(a_photo("of somebody else.png"), by=by)
    with (
        personal.data_file(customer=named_job.customer, by=by) as file,
        zipfile.ZipFile(file) as inside,
    ):
        pictures = {name for name in inside.namelist() if name.startswith("pictures/")}
        held = inside.read(f"pictures/{photo.pk}.jpg")
    assert {f"pictures/{photo.pk}.jpg", f"pictures/{drawing.pk}.jpg"} <= pictures
    assert len(pictures) == Picture.objects.count() - 1
    with photo.file.open() as kept:
        assert held == kept.read()


def a_photo(name: str) -> ContentFile[bytes]:
    """A small picture, another one for each name."""
    into = io.BytesIO()
    Image.new("L", (90, 20 + len(name)), 255).save(into, "PNG")
    return ContentFile(into.getvalue(), name=name)


def test_the_file_holds_nobody_else(named_job: Job) -> None:
    other = past_job(complaint="Secret hum", owner=CustomerFactory(stranger=True))
    with (
        personal.data_file(customer=named_job.customer, by=StaffFactory()) as file,
        zipfile.ZipFile(file) as inside,
    ):
        text = inside.read("data.json").decode()
    for private in ("Dashiell", "Secret hum", other.number, other.customer.phone):
        assert private not in text


def test_only_the_owner_hands_out_forgets_and_merges(client: Client, named_job: Job) -> None:
    client.force_login(StaffFactory(roles=[Role.COUNTER, Role.BENCH]))
    pk = named_job.customer_id
    assert client.post(reverse("records:customer_data", args=[pk])).status_code == 403
    assert client.get(reverse("records:forget_customer", args=[pk])).status_code == 403
    assert client.get(reverse("records:merge", args=["customer", pk])).status_code == 403
    assert "Forget" not in client.get(reverse("counter:customer", args=[pk])).content.decode()
