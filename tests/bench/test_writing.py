"""What is written at the bench, by a browser without script and by a tablet's outbox."""

from __future__ import annotations

import datetime as dt
import re
import uuid
from typing import Any
from urllib.parse import unquote

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shop.bench import models
from shop.bench.panels import PANELS
from shop.counter.actions import Intake, announce
from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import clock
from shop.frame.journal import verify
from shop.stockroom.models import PartFitted, PartWanted
from tests.bench.page_cases import at, jpeg, post
from tests.factories.counter import UnitFactory

# --- writing ---------------------------------------------------------------------------------------------

BELT = {"drawer": "Belt, flat, 71 mm", "quantity": "1", "unit_price": "6.50"}


def test_what_is_found_measured_and_done_is_written_down_with_its_moment_and_its_person(
    bench, technician, job
) -> None:
    point = job.unit.model.test_points.get(name="TP4")
    post(bench, job, "finding", text="Belt shiny and 1 mm too long.")
    post(bench, job, "reading", test_point=point.pk, typed="10.2 V")
    post(bench, job, "evidence", kind="date_code", where="Q702", marking="9148")
    post(bench, job, "part", **BELT)
    reading = models.Reading.objects.get()
    assert (reading.verdict, reading.where, reading.expected, reading.role) == (
        "low",
        point.where,
        point.expected,
        "rail",
    )
    trace = models.Evidence.objects.get()
    assert (trace.judgement, trace.by) == ("later", technician)
    assert "fitted later" in trace.argument
    assert PartFitted.objects.get().unit_price_ten_thousandths == 65_000
    page = bench.get(at(job)).content.decode()
    for words in ("Belt shiny", "10.2 V", "9148", "Belt, flat", "fitted later"):
        assert words in page
    assert verify() == []


@pytest.mark.parametrize(
    "door, typed, sentence",
    [
        ("finding", {"text": "   "}, "Say what was found."),
        ("finding", {"text": "x" * 8001}, "characters"),
        ("reading", {"typed": "4k7x", "quantity": "resistance", "where": "R1"}, "can&#x27;t be read"),
        ("reading", {"typed": "1e309", "quantity": "voltage_dc", "where": "R1"}, "field-error"),
        ("reading", {"typed": "12 V", "quantity": "voltage_dc"}, "Say where it was measured"),
        ("reading", {"typed": "12 V", "where": "TP4"}, "Choose what was measured."),
        (
            "reading",
            {"typed": "12 V", "quantity": "voltage_dc", "where": "TP4", "expected": "12"},
            "How far off",
        ),
        (
            "reading",
            {"typed": "12 V", "quantity": "weight", "where": "TP4"},
            "Choose one of those that are offered",
        ),
        ("evidence", {"kind": "date_code", "where": "Q1", "marking": "9960"}, "can&#x27;t be read as a date"),
        ("evidence", {"kind": "date_code", "marking": "9148"}, "Say where it was found."),
        ("evidence", {"kind": "rework", "where": "Power board"}, "Copy the marking, or say what was seen."),
        ("part", {"quantity": "1"}, "Say which part"),
        ("part", {"drawer": "Belt", "quantity": "-2"}, "quantity"),
        ("part", {"drawer": "Belt", "unit_price": "-1"}, "be negative"),
        ("want", {}, "Say which part"),
        (
            "conclusion",
            {"mode": "worn", "remedy": "New motor", "outcome": "repaired"},
            "Say what had failed.",
        ),
        ("conclusion", {"failed": "Motor", "mode": "worn", "outcome": "repaired"}, "Say what fixed it"),
        ("photos", {}, "Take or choose a photograph first."),
        ("soak", {"hours": "0", "check_every": "30"}, "six minutes at least"),
        ("soak", {"hours": "4", "check_every": "30"}, "State first what had failed"),
        ("ready", {}, "Write the conclusion first"),
    ],
)
def test_a_wrong_form_gets_one_sentence_keeps_what_was_typed_and_writes_nothing(
    bench, job, door: str, typed: dict[str, str], sentence: str
) -> None:
    before = everything_written(job)
    answer = post(bench, job, door, **typed)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert sentence in page
    assert everything_written(job) == before
    for value in typed.values():
        if value.strip() and len(value) < 100 and value != "weight":
            assert value in page


def everything_written(job) -> list[int]:
    job.refresh_from_db()
    tables: list[Any] = [*models.Written.__subclasses__(), PartFitted, PartWanted]
    return [job.stage, *(table.objects.count() for table in tables)]


def test_a_file_that_is_no_picture_is_refused_in_one_sentence(bench, job) -> None:
    upload = SimpleUploadedFile("belt.jpg", b"no picture at all", "image/jpeg")
    answer = bench.post(at(job, "photos"), {"photos": upload, "caption": "The belt"})
    assert answer.status_code == 422
    assert "is not a picture" in answer.content.decode()
    assert "The belt" in answer.content.decode()
    assert job.pictures.count() == 0


def test_a_form_that_is_sent_twice_is_taken_once(bench, job) -> None:
    once = str(uuid.uuid4())
    for _ in range(3):
        assert bench.post(at(job, "finding"), {"once": once, "text": "Dry joint at R312."}).status_code == 303
    assert models.Finding.objects.count() == 1


def test_what_a_tablet_sends_late_keeps_the_moment_at_which_it_was_noted(bench, job) -> None:
    Job.objects.filter(pk=job.pk).update(booked_in_at=clock.now() - dt.timedelta(days=2))
    entry = str(uuid.uuid4())
    answer = post(
        bench, job, "finding", entry=entry, text="Noted in the cellar.", noted=milliseconds(hours=-1)
    )
    assert (answer.status_code, answer["X-Bench-Entry"]) == (200, entry)
    noted = models.Finding.objects.get()
    assert dt.timedelta(minutes=59) < clock.now() - noted.at < dt.timedelta(minutes=61)
    assert str(noted.entry) == entry


def test_a_note_is_never_older_than_its_job(bench, job) -> None:
    job.refresh_from_db()
    post(bench, job, "finding", text="A device with a wrong sense of time.", noted="1000")
    post(bench, job, "finding", text="And one that is ahead.", noted=milliseconds(hours=5))
    for one in models.Finding.objects.all():
        assert job.booked_in_at <= one.at <= clock.now()
    assert post(bench, job, "finding", text="When?", noted="9" * 30).status_code == 422


def milliseconds(**away: int) -> str:
    """A moment that far from now, as a tablet sends it."""
    return str(int((clock.now() + dt.timedelta(**away)).timestamp() * 1000))


def test_a_tablet_gets_the_changed_pieces_and_they_agree_with_the_whole_page(bench, job) -> None:
    point = job.unit.model.test_points.first().pk
    notes = {
        "say": {"text": "Belt is tar. Replaced the belt."},
        "reading": {"typed": "12.1 V", "test_point": point},
        "finding": {"text": "Belt shiny."},
        "evidence": {"kind": "date_code", "where": "C12", "marking": "8012"},
        "part": {"drawer": "Belt, flat", "free": "on", "quantity": "1"},
        "photos": {"photos": SimpleUploadedFile("belt.jpg", jpeg(), "image/jpeg")},
        "list": {"text": "belt: Belt 71 mm @3"},
        "temporary": {"what": "Lamp in series", "where": "line cord"},
        "checklist": {"all": "goes-home"},
    }
    sections = {panel.name: panel.sections for panel in PANELS if panel.stays}
    assert notes.keys() == sections.keys()
    for panel, fields in notes.items():
        answer = post(bench, job, panel, entry=str(uuid.uuid4()), **fields)
        assert answer.status_code == 200
        html, whole = answer.content.decode(), bench.get(at(job)).content.decode()
        assert "<html" not in html
        written = re.findall(r'id="(record-\w+)"', html)
        assert written == [f"record-{section}" for section in sections[panel]]
        for name in ("bench-next", *written):
            assert piece(html, name) == piece(whole, name), (panel, name)
        assert f'id="{panel}"' in html


def piece(html: str, name: str) -> str:
    """The piece of that id, without what differs in every answer."""
    part = html[html.index(f'id="{name}"') :]
    part = part[: part.index("</div>" if name == "bench-next" else "</section>")]
    part = re.sub(r'name="(once|csrfmiddlewaretoken)" value="[^"]*"', "", part)
    return re.sub(r"\s+", " ", part)


def test_a_refused_entry_comes_back_with_its_reason_for_the_tablet_to_keep(bench, job) -> None:
    entry = str(uuid.uuid4())
    answer = post(bench, job, "reading", entry=entry, typed="4k7x", quantity="resistance", where="R118")
    assert (answer.status_code, answer["X-Bench-Entry"]) == (422, entry)
    assert "can't be read" in unquote(answer["X-Bench-Reason"])
    assert "4k7x" in answer.content.decode()
    assert "<html" not in answer.content.decode()


def test_a_page_to_sign_in_is_never_taken_for_an_answer_to_an_entry(client, job) -> None:
    answer = post(client, job, "finding", entry=str(uuid.uuid4()), text="Signed out meanwhile.")
    assert answer.status_code == 302
    assert "X-Bench-Entry" not in answer


def test_an_ended_job_takes_no_more_lines(bench, technician, job) -> None:
    Job.objects.filter(pk=job.pk).update(
        stage=Stage.KEPT_HERE, outcome="unclaimed", ended_at=clock.now(), whose_move="nobody"
    )
    answer = post(bench, job, "finding", text="Too late.")
    assert answer.status_code == 422
    assert "has ended" in answer.content.decode()
    assert models.Finding.objects.count() == 0


def test_a_job_that_is_still_expected_is_booked_in_before_anything_is_noted(bench, technician) -> None:
    unit = UnitFactory()
    (job,) = announce(
        customer=unit.owner, intakes=[Intake(unit=unit, complaint="No sound.")], by=technician, carrier="Rail"
    )
    page = bench.get(at(job)).content.decode()
    assert "It has not come yet." in page
    assert reverse("counter:receive", args=[job.number]) in page
    for control in ("bench-dock", "data-clock-box", 'id="reading"', "Take it to the bench", "None yet"):
        assert control not in page, control
    for door, typed in (("start", {}), ("finding", {"text": "Too early."})):
        answer = post(bench, job, door, **typed)
        assert answer.status_code == 422
        assert "has not come yet" in answer.content.decode()
    assert not models.Stint.objects.exists()
    assert not models.Finding.objects.exists()
