"""The frame of every page in a browser: readable by machines for people, big enough to touch, usable by keys."""

from __future__ import annotations

from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.factories.premises import StaffFactory

pytestmark = pytest.mark.django_db(transaction=True)

# W3C, WCAG 2.2 levels A and AA as axe-core tests them, and axe's own list of good practice.
RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}

# Links in running text may be as high as the text (WCAG 2.2, 2.5.8, exception "inline").
SMALL_TARGETS = """() => {
  const wanted = 'body :is(a[href], button, summary, select, input:not([type=hidden]), textarea, label.tile)';
  const inText = (one) => one.matches('.skip, p a, .job-whose a, dd a, .job-no a, .photo a, [data-typeahead-list] a');
  const inTile = (one) => one.closest('label') && !one.matches('label');
  return [...document.querySelectorAll(wanted)]
    .filter((one) => !inText(one) && !inTile(one) && one.getClientRects().length)
    .filter((one) => !one.closest('.pattern-html'))
    .filter((one) => one.getBoundingClientRect().height < 47.99)
    .map((one) => `${one.tagName} ${one.className} ${Math.round(one.getBoundingClientRect().height)}`);
}"""


def violations(page: Any) -> list[str]:
    found = Axe().run(page, options=RULES).response["violations"]
    return [f"{one['id']}: {node['html'][:120]}" for one in found for node in one["nodes"]]


def spills(page: Any) -> int:
    """Return by how many pixels the page is wider than its window."""
    return page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("query, width, height", [("", 1280, 800), ("?bench", 820, 1180), ("", 390, 844)])
def test_every_part_of_the_look_passes_axe_and_fits_its_screen(
    browse: Any, scheme: str, query: str, width: int, height: int
) -> None:
    page = browse(StaffFactory(), width=width, height=height, touch=width < 1000, color_scheme=scheme)
    page.goto(reverse("premises:house") + query)
    assert violations(page) == []
    assert spills(page) == 0


def test_what_is_touched_on_the_bench_is_48_pixels_high(browse: Any) -> None:
    page = browse(StaffFactory(), width=820, height=1180, touch=True)
    page.goto(reverse("premises:house") + "?bench")
    assert page.evaluate(SMALL_TARGETS) == []


def test_arrow_keys_go_through_the_answers_and_escape_comes_back(browse: Any) -> None:
    page = browse(StaffFactory())
    page.goto(reverse("premises:house"))
    box = page.get_by_label("Customer", exact=True)
    box.focus()

    def here() -> str:
        return page.evaluate("document.activeElement.textContent.trim()")

    page.keyboard.press("ArrowDown")
    assert here().startswith("Odalys Fennimore")
    page.keyboard.press("ArrowDown")
    assert here().startswith("Tobiah Fenn")
    page.keyboard.press("End")
    assert here().startswith("Someone new")
    page.keyboard.press("Escape")
    assert box.evaluate("one => one === document.activeElement")
    page.keyboard.press("ArrowDown")
    page.keyboard.type("i")
    assert box.input_value() == "fenni"


@pytest.mark.parametrize("scripts", [True, False])
def test_night_is_worn_at_once_and_still_after_the_next_page(browse: Any, scripts: bool) -> None:
    page = browse(StaffFactory(), scripts=scripts)
    page.goto(reverse("premises:house"))
    page.get_by_role("button", name="Night").click()
    night = 'html[data-theme="dark"]'
    page.wait_for_selector(night)
    page.goto(reverse("premises:house") + "?bench")
    assert page.locator(night).count() == 1
    assert page.get_by_role("button", name="Night").get_attribute("aria-pressed") == "true"


def test_a_form_is_sent_once_however_often_it_is_pressed(browse: Any) -> None:
    page = browse(StaffFactory())
    sent: list[str] = []

    def no_content(route: Any) -> None:
        sent.append(route.request.post_data or "")
        route.fulfill(status=204)  # the page stays, as it does while a slow answer is awaited

    page.goto(reverse("premises:house"))
    page.route("**/slow", no_content)
    page.evaluate("""() => document.querySelector('main').insertAdjacentHTML('afterbegin',
        '<form method="post" action="/slow"><button class="button" name="act" value="go">Send it</button></form>')""")
    button = page.get_by_role("button", name="Send it")
    button.evaluate(
        "one => { one.click(); setTimeout(() => one.click(), 50); setTimeout(() => one.click(), 150); }"
    )
    page.wait_for_timeout(400)
    assert sent == ["act=go"]
    assert button.is_disabled()


HTMX_FORM = """() => {
  document.querySelector('main').insertAdjacentHTML('afterbegin',
    '<form id="note" method="post" action="/note" hx-post="/note" hx-swap="outerHTML">'
    + '<input name="volts" value="4k7x"><button class="button">Send</button></form>');
  htmx.process(document.getElementById('note'));
}"""


def test_a_refused_form_comes_back_in_place_with_the_first_mistake_in_focus(browse: Any) -> None:
    page = browse(StaffFactory())
    page.goto(reverse("premises:house"))
    headers: list[dict[str, str]] = []

    def refuse(route: Any) -> None:
        headers.append(route.request.headers)
        body = (
            '<form id="note" method="post" action="/note" hx-post="/note"><input name="where" value="TP4">'
            '<input name="volts" value="4k7x" aria-invalid="true"><input name="range" aria-invalid="true"></form>'
        )
        route.fulfill(status=422, content_type="text/html", body=body)

    page.route("**/note", refuse)
    page.evaluate(HTMX_FORM)
    page.locator("#note button").click()
    page.wait_for_selector("#note [aria-invalid]")
    page.wait_for_timeout(100)
    assert page.evaluate("document.activeElement.name") == "volts"
    assert page.evaluate("document.activeElement.value") == "4k7x"
    assert headers[0]["x-csrftoken"]


def test_a_form_that_reached_nobody_keeps_its_words_and_says_so(browse: Any) -> None:
    page = browse(StaffFactory())
    page.goto(reverse("premises:house"))
    page.route("**/note", lambda route: route.abort())
    page.evaluate(HTMX_FORM)
    page.locator("#note button").click()
    page.get_by_role("alert").filter(has_text="did not reach").wait_for()
    assert page.locator("#note [name=volts]").input_value() == "4k7x"
    assert page.locator("#note button").is_enabled()
    browse.complaints.clear()  # the browser's own word for the lost request


def test_the_clock_of_a_stint_goes_on_counting(browse: Any) -> None:
    page = browse(StaffFactory())
    page.goto(reverse("premises:house"))
    clock = page.locator("[data-clock]").first
    before = clock.text_content()
    page.wait_for_timeout(2100)
    assert before < clock.text_content() < "0:43:00"


def test_the_page_weighs_little(browse: Any) -> None:
    page = browse(StaffFactory())
    bodies: dict[str, int] = {}
    page.on("response", lambda answer: bodies.update({answer.url: len(answer.body())}))
    page.goto(reverse("premises:house"))
    page.wait_for_load_state("networkidle")
    ours = sum(
        size for address, size in bodies.items() if "/static/css/" in address or "/static/js/" in address
    )
    # Before compression; the bench page may weigh 150 kB compressed with everything.
    assert ours < 120_000
