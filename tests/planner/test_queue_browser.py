"""The queue in a browser: a row is dragged to another place, and the others' dates are told anew."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from shop.planner import queries
from shop.planner.reckoning import reckon
from tests.factories.counter import booked_in
from tests.factories.premises import ShopProfileFactory, StaffFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def queue() -> list[str]:
    return [row.job.number for row in queries.rows()]


def carry(page: Any, grip: Any, onto: Any, *, beyond: float) -> None:
    page.locator("[data-queue]").evaluate("list => list.scrollIntoView({ block: 'center' })")
    start, end = grip.bounding_box(), onto.bounding_box()
    page.mouse.move(start["x"] + 8, start["y"] + start["height"] / 2)
    page.mouse.down()
    page.mouse.move(start["x"] + 8, end["y"] + end["height"] * beyond, steps=8)


def test_a_job_is_dragged_to_another_place_of_the_queue(browse: Any) -> None:
    ShopProfileFactory()
    for _ in range(4):
        booked_in()
    reckon()
    first, second, third, fourth = queue()
    page = browse(StaffFactory(), width=820, height=1180)
    page.goto(reverse("planner:evening"))
    rows = page.locator("[data-queue] tr")
    carry(page, rows.nth(3).locator("[data-grip]"), rows.nth(0), beyond=0.2)
    page.mouse.up()
    page.get_by_text("queue is in its new order").or_(page.get_by_text("moves from")).first.wait_for()
    assert queue() == [fourth, first, second, third]
    # let go where it was, or put back by Escape: nothing is sent
    carry(page, rows.nth(0).locator("[data-grip]"), rows.nth(2), beyond=0.9)
    page.keyboard.press("Escape")
    page.mouse.up()
    assert rows.nth(0).get_by_text(fourth).count() == 1
    page.reload()
    assert queue() == [fourth, first, second, third]


def test_without_scripts_the_place_is_typed(browse: Any) -> None:
    ShopProfileFactory()
    for _ in range(2):
        booked_in()
    reckon()
    first, second = queue()
    page = browse(StaffFactory(), scripts=False)
    page.goto(reverse("planner:evening"))
    assert not page.locator("[data-grip]").first.is_visible()
    page.get_by_label(f"Place of {second}").fill("1")
    page.locator(f"form[action*='{second}'] button").click()
    assert queue() == [second, first]
