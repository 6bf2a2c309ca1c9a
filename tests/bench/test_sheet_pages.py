"""The sheet of readings by hand on the tablet: digits, Enter, and on; and the same without script."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from shop.bench.models import Reading
from shop.counter.models import Job
from tests.settling import Settling

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TABLET = {"width": 820, "height": 1180, "touch": True}


def at(job: Job, name: str = "job", *args: Any) -> str:
    return reverse(f"bench:{name}", args=[job.number, *args])


def sheet_of(browse: Any, technician: Any, job: Job, **how: Any) -> Any:
    page = browse(technician, **(TABLET | how))
    page.goto(at(job))
    page.locator(".sheet.has-script").wait_for()
    return page


def test_eighteen_pins_cost_a_touch_each_and_four_more(browse: Any, technician: Any, job: Job) -> None:
    page = sheet_of(browse, technician, job)
    touches = 0

    def tap(target: str) -> None:
        nonlocal touches
        page.locator(target).first.tap()
        touches += 1

    tap('[data-fills="columns"] [data-value="pin 1-9"]')
    for tube in ("V1", "V2"):
        page.locator('[name="new-0-place"]:focus').wait_for()
        page.keyboard.type(tube)
        page.keyboard.press("Enter")
        touches += 1
        for pin in range(1, 10):
            for digit in f"{9 + 13 * pin}":
                page.locator(f'#pad [data-key="{digit}"]').tap()
            tap('#pad [data-key="next"]')
    noted(page)
    assert Reading.objects.count() == 18
    assert touches <= 22


def noted(page: Any) -> None:
    """Everything that was typed stands in the book."""
    Settling(page).wait()
    page.locator("body:not(:has(#bench-unsent)):not(:has(.sheet-cell.is-waiting))").wait_for()


def test_a_cell_that_is_refused_waits_alone_and_is_typed_anew(browse: Any, technician: Any, job: Job) -> None:
    page = sheet_of(browse, technician, job, touch=False)
    cells = page.locator(".sheet-input")
    cells.nth(0).click()
    page.keyboard.type("1x")
    page.keyboard.press("Enter")
    page.keyboard.type("2.9")
    page.keyboard.press("Enter")
    page.locator(".sheet-cell.is-wrong").get_by_text("can't be read").wait_for()
    page.locator(".sheet-cell.is-noted").wait_for()
    assert [one.typed for one in Reading.objects.all()] == ["2.9 V"]
    cells.nth(0).click()
    page.keyboard.type("11.9")
    page.keyboard.press("Enter")
    noted(page)
    assert not page.locator("#outbox").is_visible()
    cells.nth(0).click()
    page.keyboard.type("12.1")
    page.keyboard.press("Enter")
    noted(page)
    assert sorted(Reading.objects.values_list("typed", "struck_reason")) == [
        ("11.9 V", "Typed anew in its cell"),
        ("12.1 V", ""),
        ("2.9 V", ""),
    ]


def test_a_unit_stays_for_the_next_cell_and_the_value_before_is_one_key(
    browse: Any, technician: Any, job: Job
) -> None:
    page = sheet_of(browse, technician, job)
    page.locator('[data-fills="columns"] [data-value="L R"]').tap()
    page.keyboard.type("Base of Q707")
    page.keyboard.press("Enter")
    page.locator('#pad [data-key="6"]').tap()
    page.locator("#pad [data-unit-key]", has_text="mV").tap()
    page.locator('#pad [data-key="next"]').tap()
    page.locator('#pad [data-key="same"]').tap()
    noted(page)
    assert list(Reading.objects.values_list("where", "channel", "typed")) == [
        ("Base of Q707", "L", "6 mV"),
        ("Base of Q707", "R", "6 mV"),
    ]
