"""A repair that was talked through: read beside the pages, taken with its moments, timed as bench time, told in chapters."""

from __future__ import annotations

import datetime as dt
import time
import uuid
from typing import Any

import pytest
import webvtt
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shop.bench.models import Finding, Heard, Reading, Said, Stint, Taking
from shop.counter.models import Job
from shop.frame import clock
from shop.keeping.models import Task
from tests.bench.test_saying import as_drawn, at
from tests.standards.spoken_tables import REPAIRS, repair
from tests.working import do_all

pytestmark = pytest.mark.django_db


def bring(bench: Any, job: Job, text: str = "", **more: object) -> Any:
    return bench.post(at(job, "talks"), {"text": text, "once": str(uuid.uuid4()), **more})


def brought(bench: Any, job: Job, text: str, **more: object) -> Said:
    bring(bench, job, text, **more)
    do_all()
    return Said.objects.get(timed=True)


RECEIVER = repair(REPAIRS[0])[0]


def test_a_talk_is_read_beside_the_pages_and_nothing_of_it_is_in_the_record(bench: Any, job: Job) -> None:
    bring(bench, job, RECEIVER, clip="receiver, take 1")
    said = Said.objects.get()
    assert Task.objects.get(kind="bench.read_talk").state == Task.State.WAITING
    assert b"It is being read" in bench.get(at(job, "said", said.pk)).content
    do_all()
    said.refresh_from_db()
    assert said.read_at is not None
    assert said.heard.count() >= 40
    assert not Reading.objects.exists()
    do_all()


def test_a_line_taken_from_a_talk_knows_its_clip_and_its_moment(bench: Any, job: Job) -> None:
    said = brought(bench, job, RECEIVER, clip="receiver, take 1")
    drawn = as_drawn(bench.get(at(job, "said", said.pk)).content.decode())
    bench.post(at(job, "said", said.pk), drawn)
    offset = Heard.objects.get(line_kind="reading", line=Reading.objects.get(where="offset", channel="L").pk)
    # the receiver's record of tests/standards/spoken/repairs: “1:52 left offset twelve millivolts”
    assert (offset.seconds, offset.said.clip) == (112, "receiver, take 1")
    page = bench.get(at(job, "job")).content.decode()
    assert "receiver, take 1 at 1:52" in " ".join(page.split())
    assert "For the report" in bench.get(at(job, "said", said.pk)).content.decode()


def test_mere_talk_waits_and_what_is_meant_stands_by_kind_before_it(bench: Any, job: Job) -> None:
    said = brought(
        bench,
        job,
        "0:01 let me get the meter\n0:05 left offset twelve millivolts\n0:20 cleaned the volume pot",
    )
    page = bench.get(at(job, "said", said.pk)).content.decode()
    heads = [page.index(f"<h3>{kind} <") for kind in ("Reading", "Work done", "Finding")]
    assert heads == sorted(heads)
    bench.post(at(job, "said", said.pk), as_drawn(page))
    assert [one.kind for one in said.heard.filter(taking=None)] == ["finding"]
    assert Finding.objects.get().text == "cleaned the volume pot"


def test_the_report_tells_what_stands_in_the_record_and_nothing_that_was_struck(bench: Any, job: Job) -> None:
    said = brought(
        bench, job, "0:05 left offset twelve millivolts should be under thirty\n0:20 cleaned the volume pot"
    )
    address = at(job, "said", said.pk)
    bench.post(address, as_drawn(bench.get(address).content.decode()))

    def report() -> str:
        return " ".join(
            bench.get(address).content.decode().split("For the report")[1].split("Chapters")[0].split()
        )

    assert "offset L: 12 mV, should be at most 30 mV" in report()
    assert "cleaned the volume pot" in report()
    Reading.objects.update(struck_at=clock.now(), struck_by=said.by, struck_reason="Wrong place")
    assert "offset" not in report()
    assert "cleaned the volume pot" in report()


def test_times_that_run_backwards_are_read_and_stand_in_their_order(bench: Any, job: Job) -> None:
    text = "5:00 cleaned the volume pot\n0:40 left offset twelve millivolts\n3:00 ran it for two hours no dropouts"
    said = brought(bench, job, text)
    plain = bench.get(at(job, "chapters", said.pk)).content.decode()
    assert plain == "0:00 Beginning\n0:40 Measuring: offset\n3:00 Testing\n5:00 Work: volume pot\n"
    read = webvtt.from_string(bench.get(at(job, "chapters_vtt", said.pk)).content.decode()).captions
    assert all(one.start < one.end for one in read)
    assert "0:40 to 5:0" in bench.get(at(job, "said", said.pk)).content.decode()


def test_what_is_left_of_a_talk_is_dropped_with_one_touch(bench: Any, job: Job) -> None:
    said = brought(
        bench, job, "0:05 left offset twelve millivolts\n0:30 so it was the relay coil measured open"
    )
    drawn = as_drawn(bench.get(at(job, "said", said.pk)).content.decode())
    bench.post(at(job, "said", said.pk), drawn | {"rest": "drop"})
    assert [(one.kind, one.dropped_at is not None) for one in said.heard.all()] == [
        ("reading", False),
        ("conclusion", True),
    ]


def test_runs_of_talk_become_bench_time_once(bench: Any, job: Job) -> None:
    began = clock.now().replace(microsecond=0) - dt.timedelta(hours=3)
    Job.objects.filter(pk=job.pk).update(booked_in_at=began - dt.timedelta(days=1))
    text = (
        "0:00 lid is off\n4:00 still looking\n8:30 found it\n40:00 back again\n45:00 done with that for today"
    )
    said = brought(bench, job, text)
    Said.objects.filter(pk=said.pk).update(began_at=began)
    page = bench.get(at(job, "said", said.pk)).content.decode()
    assert "0:00 to 8:30, 9 min" in page
    assert "40:00 to 45:02, 5 min" in page
    for _ in range(2):
        bench.post(at(job, "talk_stint", said.pk), {"run": 1, "once": str(uuid.uuid4())})
    stint = Stint.objects.get()
    assert (stint.started_at - began, stint.seconds) == (dt.timedelta(minutes=40), 300)


def test_chapters_go_out_without_names_and_serial_numbers(bench: Any, job: Job) -> None:
    text = (
        "0:00 this is mister brown's set serial 88123\n0:40 left offset twelve millivolts\n"
        "1:30 cleaned mister brown's volume pot\n3:00 ran it for two hours no dropouts"
    )
    said = brought(bench, job, text)
    plain = bench.get(at(job, "chapters", said.pk)).content.decode()
    assert plain == "0:00 Beginning\n0:40 Measuring: offset\n1:30 Work: volume pot\n3:00 Testing\n"
    answer = bench.get(at(job, "chapters_vtt", said.pk))
    # read by webvtt-py
    read = webvtt.from_string(answer.content.decode()).captions
    assert [(one.start, one.text) for one in read][1] == ("00:00:40.000", "Measuring: offset")
    assert [one.end for one in read][:3] == [one.start for one in read][1:]


@pytest.mark.parametrize(
    "text, says",
    [
        ("", "Choose a file, or paste its text."),
        ("just words", "No line begins with a time"),
        ("0:01 a lot\n" * 1_000_000, "The text is longer than 10 MB"),
        ("WEBVTTX\n\n00:01.000 --> 00:02.000\nhello", "begins with the line WEBVTT"),
        ("WEBVTT\n\n00:05.000 --> 00:02.000\nbackwards", "Nothing in it could be read"),
    ],
)
def test_bad_text_is_refused_in_one_sentence_and_nothing_is_kept(
    bench: Any, job: Job, text: str, says: str
) -> None:
    answer = bring(bench, job, text)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert not Said.objects.exists()
    assert not Task.objects.filter(kind="bench.read_talk").exists()


def test_odd_files_are_refused_or_read_as_text(bench: Any, job: Job) -> None:
    def file(data: bytes) -> Any:
        return bring(bench, job, file=SimpleUploadedFile("talk.vtt", data, content_type="text/vtt"))

    assert "larger than 10 MB" in file(b"0:01 a\n" * 1_600_000).content.decode()
    assert "no text in UTF-8" in file(b"\xff\xfe0\x00").content.decode()
    answer = file(
        b"WEBVTT\n\n00:01.000 --> 00:02.000\n<script>alert(1)</script> nul \x00 here\n\nbad --> cue\nx\n"
    )
    assert answer.status_code == 303
    do_all()
    page = bench.get(answer["Location"]).content.decode()
    assert "<script>alert" not in page
    assert "Not read: line 6" in " ".join(page.split())


def test_an_hour_of_talk_is_read_in_three_seconds(bench: Any, job: Job) -> None:
    lines = [
        line.split(" ", 1)[1] for path in REPAIRS for line in repair(path)[0].splitlines() if line.strip()
    ]
    told = [f"{at // 60}:{at % 60:02d} {lines[at // 2 % len(lines)]}" for at in range(0, 3600, 2)]
    text = "\n".join(told)
    assert len(text.split()) - len(told) > 10_000
    bring(bench, job, text)
    began = time.process_time()
    do_all()
    assert time.process_time() - began < 3
    said = Said.objects.get()
    page = bench.get(at(job, "said", said.pk))
    assert page.status_code == 200
    assert page.content.count(b"data-card") == 40


def test_a_talk_taken_back_strikes_that_taking_alone(bench: Any, job: Job) -> None:
    said = brought(bench, job, "0:05 left offset twelve millivolts\n0:30 cleaned the volume pot")
    for kind in ("reading", "work"):
        number = said.heard.get(kind=kind).number
        drawn = as_drawn(bench.get(at(job, "said", said.pk)).content.decode())
        later = {name: "later" for name in drawn if name.endswith("-choice")}
        bench.post(at(job, "said", said.pk), drawn | later | {f"h{number}-choice": "take"})
    second = Taking.objects.order_by("-pk")[0]
    bench.post(at(job, "take_words_back"), {"taking": second.pk, "once": str(uuid.uuid4())})
    assert Reading.objects.get().struck_at is None
    assert Finding.objects.get().struck_at is not None


def test_the_door_to_a_talk_stands_on_the_bench_page(bench: Any, job: Job) -> None:
    assert reverse("bench:talks", args=[job.number]) in bench.get(at(job, "job")).content.decode()


def test_search_finds_what_was_said_and_a_hit_shows_its_moment(
    client: Any, bench: Any, job: Job, technician: Any
) -> None:
    brought(bench, job, "0:05 lid is off\n12:04 smells of burnt varnish near the transformer", clip="take 1")
    page = bench.get(reverse("records:search"), {"q": "varnish"}).content.decode()
    assert job.number in page
    assert "take 1 12:04 smells of burnt <mark>varnish</mark>" in page
    said = Said.objects.get()
    Said.objects.filter(pk=said.pk).update(struck_at=clock.now(), struck_reason="Another set.")
    bench.post(at(job, "finding"), {"text": "Belt shiny.", "once": str(uuid.uuid4())})
    assert job.number not in bench.get(reverse("records:search"), {"q": "varnish"}).content.decode()
