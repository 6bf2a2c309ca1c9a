"""Booking in from the keyboard alone: beyond the words themselves, few keys."""

from __future__ import annotations

from typing import Any

import pytest

from shop.counter.models import Job
from tests.factories.counter import CustomerFactory, booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MOST_KEYS = 15


class Hands:
    """Two hands on a keyboard; every key is counted but those of the words themselves."""

    def __init__(self, page: Any) -> None:
        self.page, self.keys = page, 0

    def say(self, words: str) -> None:
        """Type words."""
        self.page.keyboard.type(words)

    def press(self, *keys: str) -> None:
        """Press keys that are no words."""
        for key in keys:
            self.keys += 1
            self.page.keyboard.press(key)

    def stands_at(self, name: str) -> bool:
        """Whether the focus is on the control whose name ends so."""
        return str(self.page.evaluate("document.activeElement.name ?? ''")).endswith(name)

    def tab_to(self, name: str) -> None:
        """Tab on until the focus is there."""
        for _ in range(MOST_KEYS):
            if self.stands_at(name):
                return
            self.press("Tab")
        raise AssertionError(f"{name} can't be reached")


@pytest.fixture
def hands(browse: Any) -> Hands:
    ShopProfileFactory()
    page = browse(StaffFactory(username="ottoline"))
    page.goto("/counter/")
    return Hands(page)


def pick_the_customer(hands: Hands, words: str) -> None:
    hands.say(words)
    hands.page.locator("#who-list a").first.wait_for()
    hands.press("ArrowDown", "Enter")
    hands.page.wait_for_url("**/book-in/")


def test_a_known_customers_new_unit_takes_fifteen_keys_at_most(hands: Hands) -> None:
    CustomerFactory(regular=True)
    pick_the_customer(hands, "Marguerite")
    assert hands.stands_at("maker")
    hands.say("Tarnbeck")
    hands.tab_to("model")
    hands.say("Lumen 6")
    hands.tab_to("serial")
    hands.say("201147")
    hands.tab_to("kind")
    hands.say("Syn")
    hands.tab_to("complaint")
    hands.say("Goes sharp while it warms up.")
    hands.tab_to("accessories")
    hands.say("cord, pedal")
    hands.tab_to("shelf")
    hands.say("B3")
    hands.press("Enter")
    hands.page.get_by_role("heading", name="Booked in").wait_for()
    assert hands.keys <= MOST_KEYS
    job = Job.objects.get()
    assert (job.customer.name, job.unit.serial, job.shelf) == ("Marguerite Osei", "201147", "B3")
    assert sorted(job.accessories.values_list("name", flat=True)) == ["cord", "pedal"]


def test_a_known_customers_known_unit_takes_fewer_still(hands: Hands) -> None:
    before = booked_in(customer=CustomerFactory(regular=True))
    pick_the_customer(hands, "555-0117")
    assert hands.stands_at("known")
    hands.press("Space")
    hands.tab_to("complaint")
    hands.say("Left channel again.")
    hands.tab_to("accessories")
    hands.say("cord")
    hands.tab_to("shelf")
    hands.say("B4")
    hands.press("Enter")
    hands.page.get_by_role("heading", name="Booked in").wait_for()
    assert hands.keys <= 10
    job = Job.objects.exclude(pk=before.pk).get()
    assert (job.unit_id, job.complaint, job.shelf) == (before.unit_id, "Left channel again.", "B4")
