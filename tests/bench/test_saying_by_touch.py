"""Saying it on a tablet: cards while the words arrive, three touches for a sentence, and nothing lost without network."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from shop.bench import actions
from shop.bench.models import Finding, Reading, Said
from shop.counter.models import Job
from shop.frame.models import Staff
from tests.premises.test_house_browser import SMALL_TARGETS, spills, violations

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WORDS = (
    "Relay coil reads open, should be about 650 ohms. Cleaned the volume pot. "
    "Sticker inside the lid says serviced 4/11/88. Replaced C12 with 47u 63V. Spent twenty minutes on it."
)


@pytest.fixture
def page(browse: Any, technician: Staff, job: Job) -> Any:
    actions.read_cautions(job=job, keys=["mains-cover", "charged-capacitors", "series-lamp"], by=technician)
    page = browse(technician, width=820, height=1180, touch=True)
    page.goto(reverse("bench:job", args=[job.number]))
    return page


def dictate(page: Any, words: str) -> None:
    """Open the box by its one key, and let the words arrive."""
    page.keyboard.press("v")
    page.locator("#say-text").fill(words)


def test_cards_appear_while_the_words_arrive_and_one_touch_takes_what_is_sure(page: Any, job: Job) -> None:
    dictate(page, WORDS)
    expect(page.locator("[data-card]")).to_have_count(5)
    button = page.locator("#say .button-big")
    expect(button).to_have_text("Take 2, 3 later")
    button.tap()
    expect(page.locator("#record-said")).to_contain_text("3 to confirm")
    assert Reading.objects.get().typed == "OL"
    assert Finding.objects.get().text == "Cleaned the volume pot."
    expect(page.locator("#say-text")).to_have_value("")
    page.locator("#record-said").get_by_role("button", name="Take it back").tap()
    expect(page.locator("#record-readings")).to_contain_text("taken back")


def test_a_card_that_is_changed_by_hand_is_meant_to_be_taken(page: Any) -> None:
    dictate(page, "C8 ESR 0.4.")
    page.locator("#card-h0-typed").fill("0.4 ohm")
    page.locator("#card-h0-quantity").select_option("esr")
    page.locator("#say .button-big").tap()
    expect(page.locator("#record-readings")).to_contain_text("0.4 ohm")


def test_without_network_the_words_wait_whole_and_are_decided_later(page: Any, browse: Any) -> None:
    page.context.set_offline(True)
    dictate(page, WORDS)
    page.wait_for_timeout(500)
    page.locator("#say .button-big").tap()
    expect(page.locator("#outbox")).to_contain_text("1 note not sent yet")
    assert not Said.objects.exists()
    page.context.set_offline(False)
    page.evaluate("window.dispatchEvent(new Event('online'))")
    expect(page.locator("#record-said")).to_contain_text("5 to confirm")
    assert Said.objects.get().text == WORDS
    assert not Reading.objects.exists()
    browse.complaints.clear()  # the browser's own words for the lost network


@pytest.mark.parametrize("width, scheme", [(820, "light"), (390, "dark")])
def test_the_cards_are_for_a_knuckle_and_for_everybody(
    browse: Any, technician: Staff, job: Job, width: int, scheme: str
) -> None:
    # so high that no card lies under the dock
    page = browse(technician, width=width, height=3600, touch=True, color_scheme=scheme)
    page.goto(reverse("bench:job", args=[job.number]) + "#say")
    page.locator("#say-text").fill(WORDS)
    expect(page.locator("[data-card]")).to_have_count(5)
    assert violations(page) == []
    assert page.evaluate(SMALL_TARGETS) == []
    assert spills(page) == 0


def test_without_script_the_words_lead_to_a_page_on_which_they_are_taken(
    browse: Any, technician: Staff, job: Job
) -> None:
    page = browse(technician, scripts=False)
    page.goto(reverse("bench:job", args=[job.number]) + "#say")
    page.locator("#say-text").fill(WORDS)
    page.get_by_role("button", name="Turn into entries").click()
    page.get_by_role("heading", name="What was said").wait_for()
    assert not Reading.objects.exists()
    page.get_by_role("button", name="Take what is chosen").click()
    expect(page.locator("#record-said")).to_contain_text("3 to confirm")
    assert Reading.objects.count() == 1
