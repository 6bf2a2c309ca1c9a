"""Others' records kept apart: found beside the shop's own with their source, in no figure and no advice, replaced as a whole."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from shop.counter.models import Job
from shop.frame.refusal import Refusal
from shop.records.library import taking_in
from shop.records.library.elsewhere import elsewhere
from shop.records.models import Library, Passage, Term
from shop.records.remedies import advice_for
from shop.records.searching.answering import BEST, Asking, ask
from tests.factories.counter import UnitModelFactory
from tests.factories.premises import ShopProfileFactory, StaffFactory
from tests.factories.records import past_job
from tests.pages import words_on
from tests.working import do_all

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]

HEAD = (
    "id,data_provider,country,partner_product_category,product_category,product_category_id,brand,year_of_manufacture,"
    "product_age,repair_status,repair_barrier_if_end_of_life,group_identifier,event_date,problem\n"
)
ROWS = (
    "x_1,Menders,BEL,Vinyl deck,Hi-Fi separates,13,Quillhaven,1978,41,Fixed,,Amity,2019-03-14,Turntable belt perished\n"
    "x_2,Menders,BEL,Radio,Portable radio,23,Fenwick,,,End of life,Spare parts too expensive,Amity,2019-03-15,Dead zyxophone\n"
    "x_3,Menders,BEL,Toaster,Toaster,31,Unknown,,,Repairable,,Amity,2019-03-16,Belt? No belt in a toaster\n"
    "x_4,Menders,BEL,Radio,Portable radio,23,Fenwick,,,Unknown,,Amity,no day,Belt of a radio\n"
    "x_5,Menders,BEL,Radio,Portable radio,23,Fenwick,,,Unknown,,Amity,2019-03-16,\n"
)
"""Rows as the standard has them (Open Repair Data Standard v0.3); what they say is invented."""


@pytest.fixture(autouse=True)
def shop() -> None:
    ShopProfileFactory()


def taken_in(
    rows: str = ROWS, *, categories: tuple[str, ...] = ("Hi-Fi separates", "Portable radio")
) -> Library:
    library = taking_in.start_library(
        name="theirs.csv",
        file=io.BytesIO((HEAD + rows).encode()),
        by=None,
        attribution="Menders, CC BY-SA 4.0",
    )
    library = taking_in.choose_categories(library=library, categories=categories, by=None, begin=False)
    return taking_in.read_all(library=library)


def numbers(text: str) -> list[str]:
    return [one.passage.number for one in elsewhere(ask(Asking(text=text, order=BEST))).records]


def test_others_records_stand_beside_the_shops_own_and_in_no_figure() -> None:
    own = past_job(complaint="Belt slips", model=UnitModelFactory(name="TT-9"))
    before = (Job.objects.count(), Term.objects.count())
    library = taken_in()
    assert (library.state, library.rows, library.kept) == (Library.State.READY, 5, 2)
    assert (Job.objects.count(), Term.objects.count()) == before
    answer = ask(Asking(text="belt", order=BEST))
    assert [hit.job for hit in answer.hits] == [own]
    found = elsewhere(answer)
    assert (found.count, found.lacks_one) == (1, False)
    (one,) = found.records
    assert one.passage.library.attribution == "Menders, CC BY-SA 4.0"
    assert "<mark>belt</mark>" in one.text
    assert advice_for(UnitModelFactory(name="TT-10"), "belt perished").remedies == ()


def test_a_word_that_stands_in_no_job_is_asked_elsewhere_as_it_was_typed() -> None:
    past_job(complaint="Zylophone chip broken")
    taken_in()
    answer = ask(Asking(text="zyxophone", order=BEST))
    assert [miss.meant for miss in answer.near_misses] == ["zylophone"]
    assert numbers("zyxophone") == ["x_2"]
    assert numbers("dead zyxophone kettle") == ["x_2"]
    assert elsewhere(ask(Asking(text="dead zyxophone kettle"))).lacks_one
    assert numbers("toaster") == []
    assert numbers("dry joint") == []
    assert not elsewhere(ask(Asking(text="")))


def test_a_newer_edition_takes_the_place_of_the_whole_of_an_older_one() -> None:
    taken_in()
    half = taking_in.start_library(
        name="newer.csv",
        file=io.BytesIO((HEAD + ROWS.replace("x_", "y_") * 2).encode()),
        by=None,
    )
    half = taking_in.choose_categories(library=half, categories=["Hi-Fi separates"], by=None, begin=False)
    half = taking_in.go_on(library=half, at_once=3)
    assert numbers("belt") == ["x_1"]
    taking_in.read_all(library=half)
    assert numbers("belt") == ["y_1", "y_1"]
    assert Passage.objects.earliest("pk").told == "Fixed"
    assert numbers("zyxophone") == []
    assert Library.objects.count() == 1
    taking_in.throw_away(library=Library.objects.get(), by=None)
    assert numbers("belt") == []
    assert not Passage.objects.exists()


def test_the_owner_takes_others_records_in_by_forms_alone(client: Client) -> None:
    client.force_login(StaffFactory())
    past_job(complaint="Belt slips")
    file = SimpleUploadedFile("theirs.csv", (HEAD + ROWS).encode())
    answer = client.post(reverse("records:start_library"), {"file": file})
    library = Library.objects.get()
    page = words_on(client.get(answer["Location"]))
    assert "Portable radio (3)" in page
    address = reverse("records:choose_library", args=[library.pk])
    assert client.post(address, {"attribution": "Menders"}).status_code == 422
    assert (
        client.post(address, {"attribution": "Menders, CC BY-SA", "categories": ["Kettle"]}).status_code
        == 422
    )
    sent = {"attribution": "Menders, CC BY-SA", "categories": ["Hi-Fi separates", "Portable radio"]}
    assert client.post(address, sent).status_code == 303
    do_all()
    page = words_on(client.get(reverse("records:library", args=[library.pk])))
    assert "2 records of 2 categories" in page
    page = words_on(client.get(reverse("records:search"), {"q": "belt"}))
    assert "In the shop 1, elsewhere 1" in page
    assert "Menders, CC BY-SA · x_1" in page
    assert "Menders" in words_on(client.get(reverse("records:books")))
    refused = client.post(
        reverse("records:start_library"), {"file": SimpleUploadedFile("x.csv", b"a,b\n1,2\n")}
    )
    assert refused.status_code == 422
    assert "A library needs a day" in words_on(refused)
    client.post(reverse("records:throw_library_away", args=[library.pk]))
    assert not Library.objects.exists()


def test_the_command_keeps_others_records_apart(tmp_path: Path) -> None:
    path = tmp_path / "theirs.csv"
    path.write_text(HEAD + ROWS)
    out = io.StringIO()
    call_command("import_jobs", str(path), "--as", "community", stdout=out, stderr=io.StringIO())
    assert "2 of 5 records of Menders can be asked" in out.getvalue()
    call_command(
        "import_jobs",
        str(path),
        "--as",
        "community",
        "--category",
        "Toaster",
        stdout=out,
        stderr=io.StringIO(),
    )
    assert numbers("belt") == ["x_3"]
    with pytest.raises(CommandError, match="Kettle"):
        call_command(
            "import_jobs", str(path), "--as", "community", "--category", "Kettle", stderr=io.StringIO()
        )
    assert Library.objects.count() == 1
    assert not Job.objects.exists()


def test_a_list_that_is_being_read_is_not_chosen_anew() -> None:
    library = taken_in()
    with pytest.raises(Refusal, match="already"):
        taking_in.choose_categories(library=library, categories=["Toaster"], by=None)
