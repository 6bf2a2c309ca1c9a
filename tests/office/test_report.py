"""The repair report, read back by pypdf and looked at by PDFium: two libraries that had no part in printing it."""

from __future__ import annotations

import io

import pypdfium2
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from shop.bench import actions as bench
from shop.counter.models import Job
from shop.frame.models import Staff
from shop.keeping.papers import stored_bytes
from shop.office import actions
from tests.office.reading import text_of

pytestmark = pytest.mark.django_db

BLUE = (90, 130, 200)  # no letter and no line of a paper has this colour
ARROW = {"shape": "arrow", "x1": 0.1, "y1": 0.5, "x2": 0.5, "y2": 0.5}
CIRCLE = {"shape": "circle", "x1": 0.75, "y1": 0.5, "x2": 0.85, "y2": 0.5}


def test_the_repair_report_tells_complaint_findings_readings_remedy_and_what_to_watch(
    job: Job, owner: Staff
) -> None:
    bench.add_finding(job=job, text="Left output stage dead", by=owner)
    bench.add_reading(
        job=job, typed="1.2 V", quantity="voltage_dc", where="offset left", expected="<50 mV", by=owner
    )
    bench.add_reading(
        job=job,
        typed="8 mV",
        quantity="voltage_dc",
        where="offset left",
        expected="<50 mV",
        after_repair=True,
        by=owner,
    )
    bench.add_evidence(job=job, kind="rework", where="main board", marking="8132", by=owner)
    bench.conclude(
        job=job,
        failed="output transistor",
        position="Q701",
        mode="short",
        remedy="Matched pair fitted",
        outcome="repaired",
        watch="Keep the vents free",
        by=owner,
    )
    job.refresh_from_db()
    printed = text_of(actions.issue_report(job=job, by=owner))
    for words in (
        "No sound from the left channel",
        "Left output stage dead",
        "Before",
        "1.2 V",
        "After the repair",
        "8 mV",
        "8132",
        "output transistor (Q701)",
        "Matched pair fitted",
        "Keep the vents free",
        "Warranty on the repair",
    ):
        assert words in printed


def test_a_struck_out_finding_is_no_part_of_the_report(job: Job, owner: Staff) -> None:
    finding = bench.add_finding(job=job, text="Transformer hums", by=owner)
    bench.strike(line=finding, reason="was the other unit", by=owner)
    assert "Transformer hums" not in text_of(actions.issue_report(job=job, by=owner))


def photograph() -> SimpleUploadedFile:
    """A picture of one colour, so that whatever else is seen on it was drawn."""
    kept = io.BytesIO()
    Image.new("RGB", (800, 600), BLUE).save(kept, "JPEG")
    return SimpleUploadedFile("board.jpg", kept.getvalue(), content_type="image/jpeg")


def test_arrows_and_circles_on_a_photograph_are_drawn_on_the_report(job: Job, owner: Staff) -> None:
    (kept,) = bench.add_pictures(job=job, photos=[photograph()], by=owner, caption="Burnt resistor")
    bench.describe_picture(
        job=job, kept=kept, caption="Burnt resistor", in_report=True, marks=[ARROW, CIRCLE], by=owner
    )
    paper = actions.issue_report(job=job, by=owner)
    with pypdfium2.PdfDocument(stored_bytes(paper)) as document:
        page = document[0].render(scale=2).to_pil().convert("RGB")
    blue = [
        (x, y)
        for x in range(0, page.width, 3)
        for y in range(0, page.height, 3)
        if max(abs(one - two) for one, two in zip(page.getpixel((x, y)), BLUE, strict=True)) < 12
    ]
    left, top = min(x for x, _ in blue), min(y for _, y in blue)
    width, height = max(x for x, _ in blue) - left, max(y for _, y in blue) - top

    def darkest(x: float, y: float) -> int:
        spot = (left + int(x * width), top + int(y * height))
        return page.convert("L").crop((spot[0] - 3, spot[1] - 3, spot[0] + 4, spot[1] + 4)).getextrema()[0]

    assert darkest(0.3, 0.5) < 40, "the arrow's shaft"
    assert darkest(0.485, 0.5) < 40, "the arrow's head"
    assert darkest(0.85, 0.5) < 40, "the circle's edge"
    assert darkest(0.75, 0.5) > 90, "the circle's middle is left free"
    assert darkest(0.3, 0.2) > 90, "the photograph beside them"
