"""Photographs and parts at the bench."""

from __future__ import annotations

import json
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from shop.bench import actions
from shop.counter.models import JobPicture
from shop.frame.refusal import Refusal
from shop.stockroom.models import PartFitted
from tests.bench.page_cases import at, jpeg, send
from tests.factories.stockroom import a_part

# --- photographs -----------------------------------------------------------------------------------------


def two_photos(job, by) -> list[JobPicture]:
    uploads = [SimpleUploadedFile(f"{name}.jpg", jpeg(), "image/jpeg") for name in ("before", "after")]
    return actions.add_pictures(job=job, photos=uploads, by=by)


def test_a_photograph_is_described_marked_and_paired(bench, technician, job) -> None:
    before, after = two_photos(job, technician)
    marks = [
        {"shape": "arrow", "x1": 0.1, "y1": 0.1, "x2": 0.52341, "y2": 0.5},
        {"shape": "circle", "x1": 0.5, "y1": 0.5, "x2": 0.6, "y2": 0.5},
    ]
    typed = {
        "caption": "Worn belt",
        "shows": "before",
        "pair": after.pk,
        "in_report": "on",
        "marks": json.dumps(marks),
    }
    assert send(bench, job, "photo", before.pk, **typed).status_code == 303
    before.refresh_from_db()
    after.refresh_from_db()
    before.picture.refresh_from_db()
    assert (before.caption, before.shows, before.pair, after.pair) == ("Worn belt", "before", after, before)
    assert (before.in_report, before.for_customer) == (True, False)
    assert before.picture.marks[0]["x2"] == 0.5234
    page = bench.get(at(job)).content.decode()
    assert "<circle" in page
    assert "<polygon" in page


@pytest.mark.parametrize(
    "marks",
    [
        "[",
        '[{"shape": "star", "x1": 0, "y1": 0, "x2": 1, "y2": 1}]',
        '[{"shape": "arrow", "x1": 2, "y1": 0, "x2": 1, "y2": 1}]',
        '[{"shape": "arrow"}]',
        '"<svg onload=alert(1)>"',
        '[{"shape": "pen", "points": [[0, 0]]}]',
        '[{"shape": "pen", "points": [[0, 0], [0, 1, 2]]}]',
        '[{"shape": "pen", "points": "M0 0"}]',
        '[{"shape": "words", "x1": 0, "y1": 0}]',
        '[{"shape": "words", "x1": 0, "y1": 0, "words": "\\u202e"}]',
        json.dumps([{"shape": "words", "x1": 0, "y1": 0, "words": "x" * 61}]),
        json.dumps([{"shape": "pen", "points": [[0, 0], [1, 1]] * 1500}] * 2),
        "[" * 50_000,
        '[{"shape": "line", "x1": NaN, "y1": 0, "x2": 1, "y2": 1}]',
        json.dumps([{"shape": "arrow", "x1": 0, "y1": 0, "x2": 1, "y2": 1}] * 61),
    ],
)
def test_marks_that_are_none_are_refused(bench, technician, job, marks: str) -> None:
    photo, _ = two_photos(job, technician)
    answer = send(bench, job, "photo", photo.pk, shows="bench", marks=marks)
    assert answer.status_code == 422
    photo.picture.refresh_from_db()
    assert photo.picture.marks == []


def test_a_sketch_begins_on_an_empty_sheet_and_is_found_by_the_words_on_it(bench, technician, job) -> None:
    begun = send(bench, job, "sketch")
    sketch = JobPicture.objects.get()
    assert begun.status_code == 303
    assert begun["Location"] == reverse("bench:photo", args=[job.number, sketch.pk])
    drawn = [
        {"shape": "pen", "points": [[0.1, 0.1], [0.2, 0.15], [0.3, 0.1]]},
        {"shape": "box", "x1": 0.4, "y1": 0.4, "x2": 0.6, "y2": 0.5},
        {"shape": "line", "x1": 0.6, "y1": 0.45, "x2": 0.9, "y2": 0.45},
        {"shape": "words", "x1": 0.42, "y1": 0.46, "words": "T701 <bias>"},
    ]
    typed = {"caption": "Bias board", "shows": "bench", "marks": json.dumps(drawn)}
    assert send(bench, job, "photo", sketch.pk, **typed).status_code == 303
    sketch.picture.refresh_from_db()
    assert sketch.picture.marks == drawn
    page = bench.get(at(job)).content.decode()
    assert "T701 &lt;bias&gt;</text>" in page
    assert "H960.0V600.0" in page  # the box's far corner: 0.6 of 1600 pixels, 0.5 of 1200


def test_a_sheet_asked_for_twice_with_one_key_is_one_sheet(bench, job) -> None:
    key = {"once": str(uuid.uuid4())}
    first, second = (send(bench, job, "sketch", **key) for _ in range(2))
    assert first["Location"] == second["Location"]
    assert JobPicture.objects.count() == 1


def test_a_photograph_is_taken_out_of_the_record_but_not_destroyed(bench, technician, job) -> None:
    photo, other = two_photos(job, technician)
    bench.post(at(job, "set_photo_aside", photo.pk), {})
    assert list(JobPicture.objects.filter(job=job, struck_at=None)) == [other]
    assert bench.get(at(job, "photo", photo.pk)).status_code == 404
    assert photo.picture.file.storage.exists(photo.picture.file.name)


# --- parts -----------------------------------------------------------------------------------------------


def test_one_match_is_taken_several_are_offered_and_none_is_taken_in_words(bench, technician, job) -> None:
    a_part(technician, number="B-71", description="Belt, flat, 71 mm", drawer="14", there=5)
    square = a_part(technician, number="B-80", description="Belt, square, 80 mm", drawer="14", there=5)
    answer = send(bench, job, "part", drawer="belt")
    assert answer.status_code == 422
    assert "Several parts match" in answer.content.decode()
    send(bench, job, "part", drawer="belt", part=square.pk)
    send(bench, job, "part", drawer="71 mm", position="Capstan")
    send(bench, job, "part", drawer="Felt pad cut to size")
    fitted = PartFitted.objects.order_by("id")
    assert [(one.part.number if one.part else "", one.description) for one in fitted] == [
        ("B-80", "Belt, square, 80 mm"),
        ("B-71", "Belt, flat, 71 mm"),
        ("", "Felt pad cut to size"),
    ]
    page = bench.get(at(job)).context["page"]
    assert [part.number for part in page.likely_parts] == ["B-71", "B-80"]


def test_more_than_the_drawer_holds_is_refused_at_the_quantity(bench, technician, job) -> None:
    a_part(technician, number="B-71", description="Belt, flat, 71 mm", drawer="14", there=1)
    answer = send(bench, job, "part", drawer="B-71", quantity="2")
    assert answer.status_code == 422
    assert "not that much of B-71" in answer.content.decode()


def test_parts_are_offered_while_one_types(bench, technician, job) -> None:
    a_part(technician, number="B-71", description="Belt, flat, 71 mm", drawer="14", there=5)
    assert "B-71" in bench.get(at(job, "offer_parts"), {"drawer": "belt"}).content.decode()
    assert "B-71" not in bench.get(at(job, "offer_parts"), {"drawer": "capacitor"}).content.decode()


def test_an_action_says_itself_what_it_refuses(technician, job) -> None:
    with pytest.raises(Refusal, match="Say what was found"):
        actions.add_finding(job=job, text=" ", by=technician)
    with pytest.raises(Refusal, match="clock does not run"):
        actions.stop_running_stint(job=job, by=technician)
