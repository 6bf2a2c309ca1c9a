"""A sketch with the finger: on an empty sheet by day, lines, boxes and words where the finger was."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from shop.bench import actions
from shop.counter.models import Job, JobPicture
from tests.premises.test_house_browser import SMALL_TARGETS, spills, violations

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_circuit_is_sketched_and_stands_so_when_one_comes_back(
    browse: Any, technician: Any, job: Job
) -> None:
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(reverse("bench:job", args=[job.number]))
    page.locator("#dock-photos, [data-opens='photos'], a[href$='#panel-photos']").first.click()
    page.get_by_role("button", name="Sketch on an empty sheet").click()
    page.locator("[data-board] img").wait_for()

    def at(x: float, y: float) -> tuple[float, float]:
        page.locator("[data-board]").scroll_into_view_if_needed()
        box = page.locator("[data-board] img").bounding_box()
        return box["x"] + x * box["width"], box["y"] + y * box["height"]

    def stroke(shape: str, *points: tuple[float, float]) -> None:
        page.locator(f'[data-shape="{shape}"]').click()
        page.mouse.move(*at(*points[0]))
        page.mouse.down()
        for point in points[1:]:
            page.mouse.move(*at(*point), steps=4)
        page.mouse.up()

    stroke("pen", (0.1, 0.1), (0.2, 0.2), (0.3, 0.1))
    stroke("box", (0.4, 0.4), (0.6, 0.5))
    stroke("line", (0.6, 0.45), (0.9, 0.45))
    page.locator('[data-shape="words"]').click()
    page.locator("#mark-words").fill("T701")
    page.mouse.click(*at(0.45, 0.46))
    stroke("arrow", (0.1, 0.9), (0.3, 0.7))
    page.locator("[data-undo]").click()
    assert violations(page) == []
    assert page.evaluate(SMALL_TARGETS) == []
    assert spills(page) == 0
    page.get_by_role("button", name="Save the photo").click()
    page.locator("#record-photos .marks text").wait_for()

    kept = JobPicture.objects.select_related("picture").get().picture.marks
    assert [one["shape"] for one in kept] == ["pen", "box", "line", "words"]
    assert kept[1] == pytest.approx({"shape": "box", "x1": 0.4, "y1": 0.4, "x2": 0.6, "y2": 0.5}, abs=0.01)
    assert kept[3]["words"] == "T701"
    assert len(kept[0]["points"]) >= 5


def test_a_sketch_kept_without_network_is_taken_once_it_is_there_again(
    browse: Any, technician: Any, job: Job
) -> None:
    sketch = actions.begin_sketch(job=job, by=technician)
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(reverse("bench:photo", args=[job.number, sketch.pk]))
    page.locator("[data-board].is-drawable img").wait_for()
    page.context.set_offline(True)
    page.locator('[data-shape="line"]').click()
    box = page.locator("[data-board] img").bounding_box()
    page.mouse.move(box["x"] + 40, box["y"] + 40)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 200, steps=3)
    page.mouse.up()
    page.get_by_role("button", name="Save the photo").click()
    page.locator("#outbox").get_by_text("1 note not sent yet").wait_for()
    context = page.context
    page.close()
    context.set_offline(False)
    page = context.new_page()
    page.goto(reverse("bench:job", args=[job.number]))
    page.locator("body:not(:has(#bench-unsent))").wait_for()
    page.reload()
    page.locator("#record-photos .marks path").wait_for()
    browse.complaints.clear()  # the browser's own words for the lost network
    sketch.picture.refresh_from_db()
    assert [one["shape"] for one in sketch.picture.marks] == ["line"]
