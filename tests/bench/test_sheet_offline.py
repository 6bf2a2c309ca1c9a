"""The sheet without network: every cell is kept, and is written once, whatever happens to the page meanwhile."""

from __future__ import annotations

from typing import Any

import pytest

from shop.bench.models import Reading
from shop.counter.models import Job
from tests.bench.test_sheet_pages import noted, sheet_of

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_forty_cells_typed_without_network_are_written_once_each(
    browse: Any, technician: Any, job: Job
) -> None:
    page = sheet_of(browse, technician, job, touch=False)
    page.locator('[data-fills="columns"] [data-value="pin 1-8"]').click()
    page.context.set_offline(True)
    for row in range(5):
        page.keyboard.type(f"IC{row}")
        page.keyboard.press("Enter")
        for pin in range(8):
            page.keyboard.type(f"{row}.{pin}")
            page.keyboard.press("Enter")
    page.locator(".sheet-cell.is-waiting").nth(39).wait_for()
    page.locator("#outbox").get_by_text("40 notes not sent yet").wait_for()
    assert not Reading.objects.exists()
    # the tablet is put away, and taken up again where there is network
    context = page.context
    page.close()
    context.set_offline(False)
    page = context.new_page()
    page.goto(f"/bench/{job.number}/")
    page.locator(".sheet.has-script").wait_for()
    noted(page)
    browse.complaints.clear()  # the browser's own words for the lost network
    assert Reading.objects.count() == 40
    assert set(Reading.objects.values_list("typed", flat=True)) == {
        f"{row}.{pin} V" for row in range(5) for pin in range(8)
    }


def test_what_waits_stands_in_its_cell_again_after_the_page_was_closed(
    browse: Any, technician: Any, job: Job
) -> None:
    page = sheet_of(browse, technician, job, touch=False)
    page.route("**/cell/", lambda route: route.abort())
    page.keyboard.press("Tab")
    page.locator(".sheet-input").first.click()
    page.keyboard.type("11.9")
    page.keyboard.press("Enter")
    page.locator('[name="new-0-place"]').click()
    page.keyboard.type("Base of Q707")
    page.keyboard.press("Enter")
    page.keyboard.type("23.5")
    page.keyboard.press("Enter")
    page.locator("#outbox").get_by_text("2 notes not sent yet").wait_for()
    page.reload()
    page.locator(".sheet-cell.is-waiting").nth(1).wait_for()
    assert page.locator(".sheet-input").first.input_value() == "11.9"
    assert page.locator(".sheet-row").last.locator(".sheet-input").input_value() == "23.5"
    page.unroute("**/cell/")
    page.locator("[data-send]").click()
    noted(page)
    browse.complaints.clear()
    assert sorted(Reading.objects.values_list("where", "typed")) == [
        ("Base of Q707", "23.5 V"),
        (Reading.objects.get(typed="11.9 V").where, "11.9 V"),
    ]
