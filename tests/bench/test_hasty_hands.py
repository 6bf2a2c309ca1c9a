"""What a hand does that doesn't wait for the network: a second touch while the first is still being sent."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from shop.bench import actions, models
from shop.counter.models import Job, JobPicture
from shop.frame.models import Staff
from tests.bench.page_cases import jpeg

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def arrive(page: Any, on_the_way: list[Any]) -> None:
    """Let what was sent reach the shop's computer."""
    for _ in range(100):
        if on_the_way:
            break
        page.wait_for_timeout(50)
    on_the_way.pop().continue_()


def test_a_second_touch_while_the_first_note_is_being_sent_is_answered_in_its_place(
    browse: Any, technician: Staff, job: Job, tmp_path: Path
) -> None:
    shot = tmp_path / "shot.jpg"
    shot.write_bytes(jpeg())
    actions.read_cautions(job=job, keys=["mains-cover", "charged-capacitors", "series-lamp"], by=technician)
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(reverse("bench:job", args=[job.number]) + "#photos")

    on_the_way: list[Any] = []

    def hold(route: Any) -> None:
        on_the_way.append(route)

    page.route("**/photos/", hold)
    page.locator('#photos input[type="file"]').set_input_files(shot)
    # chosen is kept: the button that is still there has nothing to keep
    said = page.locator("#photos [data-said]")
    page.locator("#photos").get_by_role("button", name="Save").tap()
    expect(said).to_contain_text("Take or choose a photograph first.")
    arrive(page, on_the_way)
    expect(said).to_contain_text("Noted: 1 picture")

    page.route("**/finding/", hold)
    page.get_by_role("link", name="Finding").tap()
    note_it = page.locator("#finding").get_by_role("button", name="Note it")
    page.locator("#finding textarea").fill("Belt shiny.")
    note_it.tap()
    expect(page.locator("#finding textarea")).to_have_value("")
    note_it.tap()
    expect(page.locator("#outbox")).to_contain_text("2 notes not sent yet")
    arrive(page, on_the_way)
    arrive(page, on_the_way)
    expect(page.locator("#finding .field-error")).to_be_visible()
    expect(page.locator("#outbox")).to_be_hidden()
    assert JobPicture.objects.filter(job=job).count() == models.Finding.objects.filter(job=job).count() == 1


def test_a_unit_typed_by_hand_stays_until_it_is_said_what_was_measured(
    browse: Any, technician: Staff, job: Job
) -> None:
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(reverse("bench:job", args=[job.number]) + "#reading")
    if page.locator("#reading").get_by_text("Another place").count():
        page.locator("#reading").get_by_text("Another place").tap()
    page.locator("#reading [name=where]").fill("TP9")
    page.locator("#reading [name=typed]").fill("11,9 mV")
    page.locator("#reading .key-done").tap()
    expect(page.locator("#reading .field-error")).to_contain_text("Choose what was measured.")
    expect(page.locator("#reading [name=typed]")).to_have_value("11,9 mV")
    page.locator("#reading").get_by_role("button", name="DC voltage").tap()
    page.locator("#reading .key-done").tap()
    expect(page.locator("#reading [data-said]")).to_contain_text("Noted")
    assert models.Reading.objects.get(job=job).value == Decimal("0.0119")
