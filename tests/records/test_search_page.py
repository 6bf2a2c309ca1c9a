"""What the search page shows: why a job was found, pieces while typing, kept searches, the shop's own words."""

from __future__ import annotations

import csv
import io

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from shop.bench.models import LeftOff, Temporary
from shop.counter.models import Job, JobPicture, ModelNote, UnitModel
from shop.frame.models import Staff
from shop.keeping.models import Picture
from shop.records.models import SavedSearch, SearchRow, SearchWords, Synonym
from shop.records.searching import upkeep
from shop.records.searching.answering import BEST, NEWEST, Asking, ask
from shop.records.searching.rows import BETWEEN
from shop.records.searching.upkeep import refresh
from shop.stockroom.models import Part, PartFitted
from tests.factories.counter import UnitFactory
from tests.factories.premises import StaffFactory
from tests.factories.records import day, past_job
from tests.pages import words_on

pytestmark = [pytest.mark.django_db, pytest.mark.postgres]


def test_each_hit_shows_the_words_that_matched(history: dict[str, Job]) -> None:
    (hit,) = ask(Asking(text="black")).hits
    assert [(reason.where, str(reason.text)) for reason in hit.texts.reasons] == [
        ("Finding", "RY701 contacts <mark>black</mark>")
    ]


def test_a_book_whose_rows_are_of_an_older_program_finds_its_jobs_without_filters(
    history: dict[str, Job],
) -> None:
    SearchRow.objects.update(facets="")
    for row in SearchWords.objects.all():
        row.words = BETWEEN + row.words.partition(BETWEEN)[2]
        row.save(update_fields=["words"])
    for order in (NEWEST, BEST):
        answer = ask(Asking(text="black", order=order))
        assert [hit.job for hit in answer.hits] == [history["relay"]]
        assert answer.facets == []


def test_parts_are_looked_through_only_for_words_that_the_findings_do_not_say() -> None:
    past_job(complaint="Dead", findings=["Relay welded"], parts=["Relay bracket"], failed="Coil")
    (relay,) = ask(Asking(text="relay")).hits
    assert [reason.where for reason in relay.texts.reasons] == ["Finding"]
    (both,) = ask(Asking(text="relay bracket")).hits
    assert [reason.where for reason in both.texts.reasons] == ["Finding", "Part"]


def test_a_reason_marks_all_that_was_asked_without_the_full_stop_and_says_nothing_twice() -> None:
    job = past_job(
        complaint="Crackles.",
        findings=["Coupling capacitor leaks."],
        parts=["Transistor 2SC1815"],
        failed="x",
    )
    part = Part.objects.create(number="P1", description="Transistor 2SC1815", designation="2SC1815")
    PartFitted.objects.filter(job=job).update(part=part, position="Q3")
    upkeep.refresh([job.pk])
    (hit,) = ask(Asking(text="capacitor leaky crackles")).hits
    assert hit.texts.complaint == "<mark>Crackles</mark>."
    assert [str(reason.text) for reason in hit.texts.reasons] == [
        "Coupling <mark>capacitor</mark> <mark>leaks</mark>."
    ]
    (hit,) = ask(Asking(text="2sc1815")).hits
    assert [str(reason.text) for reason in hit.texts.reasons] == ["Transistor <mark>2SC1815</mark> Q3"]


def test_what_a_customer_wrote_is_never_taken_for_html() -> None:
    past_job(complaint="<script>alert(1)</script> hum & <b>buzz</b>")
    (hit,) = ask(Asking(text="hum")).hits
    assert "<script>" not in hit.texts.complaint
    assert "&lt;script&gt;" in hit.texts.complaint
    assert "<mark>hum</mark>" in hit.texts.complaint


# --- the page ----------------------------------------------------------------------------------------------------


def test_the_page_asks_the_same_number_of_queries_for_one_hit_and_for_a_full_page(
    client: Client,
) -> None:
    client.force_login(StaffFactory())
    past_job(complaint="Hum one", findings=["Hum"], parts=["Hum"], marking="hum", failed="Hum")
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as one:
            page = client.get(reverse("records:search"), {"q": "hum"})
        assert page.status_code == 200
        counts.append(len(one))
        for at in range(24):
            past_job(
                complaint="Hum many", findings=["Hum"], at=day(1 + at), marking="hum", unit=UnitFactory()
            )
    assert counts[0] == counts[1] < 25


def test_what_holds_no_word_is_said_to_hold_none(client: Client, history: dict[str, Job]) -> None:
    client.force_login(StaffFactory())
    assert "neither a word nor a number in “🔥🎸”" in words_on(
        client.get(reverse("records:search"), {"q": "🔥🎸"})
    )
    assert "neither a word" not in words_on(client.get(reverse("records:search")))


def test_while_typing_only_the_results_are_sent(client: Client, history: dict[str, Job]) -> None:
    client.force_login(StaffFactory())
    page = client.get(
        reverse("records:search"), {"q": "rel"}, headers={"HX-Request": "true", "HX-Target": "search-results"}
    )
    assert page.content.lstrip().startswith(b'<div class="stack" id="search-results">')
    assert history["relay"].number.encode() in page.content


def test_a_search_is_kept_under_a_name_and_let_go_again(client: Client, history: dict[str, Job]) -> None:
    staff = StaffFactory()
    client.force_login(staff)
    kept = client.post(reverse("records:save_search"), {"name": "Relays", "query": "q=relay&kind=receiver"})
    assert kept.status_code == 303
    assert kept["Location"].endswith("?q=relay&kind=receiver")
    assert b"Relays" in client.get(reverse("records:search")).content
    nameless = client.post(reverse("records:save_search"), {"name": "", "query": "q=relay"})
    assert nameless.status_code == 422
    other = Client()
    other.force_login(StaffFactory())
    assert other.post(reverse("records:forget_search", args=[staff_search(staff)])).status_code == 404
    assert client.post(reverse("records:forget_search", args=[staff_search(staff)])).status_code == 302


def staff_search(staff: Staff) -> int:
    return SavedSearch.objects.get(staff=staff).pk


def test_a_row_of_words_needs_two_that_differ(client: Client) -> None:
    client.force_login(StaffFactory())
    bad = client.post(reverse("records:synonyms"), {"words": "buzz, Buzz"})
    assert bad.status_code == 422
    assert "Type two words or more that differ" in bad.content.decode()
    assert not Synonym.objects.exists()
    assert client.post(reverse("records:synonyms"), {"words": "wibbly, wavers"}).status_code == 303
    row = Synonym.objects.get()
    assert client.post(reverse("records:change_synonym", args=[row.pk]), {"words": ""}).status_code == 422
    client.post(reverse("records:change_synonym", args=[row.pk]), {"words": "wibbly, wobbly"})
    row.refresh_from_db()
    assert row.words == "wibbly, wobbly"
    client.post(reverse("records:change_synonym", args=[row.pk]), {"drop": "1"})
    assert not Synonym.objects.exists()


def test_all_that_was_found_can_be_taken_along_as_a_list(client: Client, history: dict[str, Job]) -> None:
    client.force_login(StaffFactory())
    page = client.get(reverse("records:search"), {"q": "VX-318"})
    address = f"{reverse('records:found')}?q=VX-318"
    assert address in page.content.decode()
    told = b"".join(client.get(address)).decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(told)))
    assert [row["job"] for row in rows] == [history[name].number for name in ("stamp", "caps", "relay")]
    assert rows[2]["customer"] == history["relay"].customer.name
    client.force_login(StaffFactory(roles=["bench"]))
    assert "found.csv" not in client.get(reverse("records:search"), {"q": "VX-318"}).content.decode()
    assert client.get(address).status_code == 403


def test_captions_notes_on_the_bench_and_notes_on_models_are_found(client: Client) -> None:
    job = past_job(complaint="Hum")
    by = job.accepted_by
    picture = Picture.objects.create(file="p.jpg", sha256="0" * 64, width=9, height=9)
    JobPicture.objects.create(job=job, picture=picture, caption="Scorched bridge rectifier")
    Temporary.objects.create(job=job, what="Bulb limiter lead", where="in the fuse holder", by=by)
    LeftOff.objects.create(job=job, text="Screws lie in the yellow tray", by=by)
    refresh([job.pk])
    for typed in ("scorched rectifier", "limiter lead", "yellow tray"):
        assert [hit.job for hit in ask(Asking(text=typed)).hits] == [job], typed
    LeftOff.objects.update(struck_at=job.stage_since, struck_reason="done")
    refresh([job.pk])
    assert ask(Asking(text="yellow", exactly=True)).hits == []
    model = job.unit.model
    UnitModel.objects.filter(pk=model.pk).update(notes="Thermal fuse hides in the windings")
    ModelNote.objects.create(model=model, text="Idler relays are sticky in winter", by=by)
    client.force_login(by)
    page = words_on(client.get(reverse("records:search"), {"q": "thermal fuses windings"}))
    assert "In model files" in page
    assert "hides in the" in page
    assert "sticky</mark> in winter" in words_on(client.get(reverse("records:search"), {"q": "relay sticky"}))
    assert "In model files" not in words_on(client.get(reverse("records:search"), {"q": "thermal relay"}))
    assert "Photograph:" in words_on(client.get(reverse("records:search"), {"q": "scorched"}))
