"""The demo shop, loaded once and looked at everywhere: every page answers quickly, can be used by everybody, and fits a phone.

Accessibility is judged by axe-core (rules of WCAG 2.0 to 2.2, levels A and AA) in a real browser. The budget of 25
queries a page is the house's own.
"""

from __future__ import annotations

import html
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.db import connection, reset_queries
from django.test import Client
from django.test.utils import CaptureQueriesContext, override_settings
from django.urls import Resolver404, resolve
from playwright.sync_api import Browser, Page
from pytest_django.live_server_helper import LiveServer

from shop.counter.models import Job
from shop.counter.stages import Stage
from shop.frame import news
from shop.frame.journal import verify
from shop.frame.models import JournalEntry, Staff
from shop.frame.wording import sentence_of
from tests.conftest import Browsing, FirstPages
from tests.house.demo_book import write_demo_book
from tests.house.demo_pages import (
    ELSEWHERE,
    FILES,
    PAGES,
    PIECES,
    DemoShop,
    at,
    every_door,
    lay_out,
    some_address,
)
from tests.house.slips import slips_in, slips_on
from tests.house.words_not_said import not_said

pytestmark = [pytest.mark.xdist_group("the demo shop"), pytest.mark.django_db]

MOST_QUERIES = 25
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
SIGNED_OUT = {"premises:sign_in", "window:open", "window:paper", "window:picture"}
SAYS_IT_ALL = {"records:synonyms", "premises:house"}
"""Pages that show what may be typed, British words among it, and the names of fields in HTML."""
PAPERS = {
    "premises:paper",
    "counter:tag",
    "stockroom:print_labels",
    "stockroom:print_outlines",
    "office:preview_estimate",
    "office:preview_invoice",
    "office:preview_report",
    "dispatch:label",
    "window:paper",
}
"""Doors behind which a PDF is."""
PER_JOB = sorted(
    name
    for name in PAGES
    if name in {"records:job_card", "counter:job", "bench:job", "office:job", "dispatch:job"}
)


@pytest.fixture(autouse=True)
def _django_db_marker() -> None:
    """Give no test a transaction of its own: the mark asks for the database, and `shop` keeps it open for them all."""


@pytest.fixture(scope="module")
def shop(django_db_setup: FirstPages, django_db_blocker: Any) -> Iterator[DemoShop]:
    """The demo shop as the demo command makes it; the book stays open for this module and forgets afterwards."""
    with django_db_blocker.unblock():
        try:
            write_demo_book()
            yield lay_out(Staff.objects.get(username="ottoline"))
        finally:
            django_db_setup.restore()


@pytest.fixture(scope="module")
def owner(shop: DemoShop) -> Client:
    """The owner's browser, signed in."""
    client = Client()
    client.force_login(shop.owner)
    return client


@pytest.fixture(scope="module")
def address(shop: DemoShop) -> Iterator[str]:
    """Where the demo shop is served for this module."""
    with override_settings(ALLOWED_HOSTS=["localhost", "testserver"]):
        server = LiveServer("localhost")
        yield server.url
        server.stop()


@dataclass
class Windows:
    """Opens each kind of window once."""

    browsing: Browsing
    opened: dict[str, Page] = field(default_factory=dict)

    def __call__(self, staff: Staff | None, **kind: Any) -> Page:
        """Return the page of this person in a window of this kind; its complaints so far are forgotten."""
        self.browsing.complaints.clear()
        name = repr((staff and staff.pk, sorted(kind.items())))
        if name not in self.opened:
            # what the bench keeps for later would be fetched in the background
            self.opened[name] = self.browsing(staff, service_workers="block", **kind)
        return self.opened[name]

    def close(self) -> None:
        """Close them all."""
        for page in self.opened.values():
            page.context.close()


@pytest.fixture(scope="module")
def windows(browser: Browser, address: str) -> Iterator[Windows]:
    """Windows that stay open for this module: what all pages share is fetched once."""
    windows = Windows(Browsing(browser.new_context, address))
    yield windows
    windows.close()


def visitor(name: str, owner: Client) -> Client:
    """Whoever such a page is for."""
    return Client() if name in SIGNED_OUT else owner


def test_every_stage_is_occupied(shop: DemoShop) -> None:
    assert set(Job.objects.values_list("stage", flat=True)) == set(Stage)


def test_the_demo_is_a_real_shops_book(shop: DemoShop) -> None:
    """Some sixty jobs over six years, comebacks among them, and a box that arrived damaged."""
    jobs = Job.objects.all()
    assert jobs.count() >= 60
    assert len(set(jobs.values_list("year", flat=True))) >= 6
    assert jobs.filter(comeback_of__isnull=False).exists()
    assert jobs.filter(inbound__packing_state="damaged").exists()
    assert jobs.filter(outcome="unclaimed").exists() or jobs.filter(stage=Stage.KEPT_HERE).exists()


def test_the_journals_chain_holds_over_the_whole_demo(shop: DemoShop) -> None:
    assert JournalEntry.objects.count() > 1_000
    assert verify() == []


def test_no_page_of_the_house_is_without_a_case_here(owner: Client) -> None:
    """A door that answers a GET stands in one of the tables of demo_pages; the others are forms' addresses (405)."""
    cases = {*PAGES, *PIECES, *FILES, *ELSEWHERE}
    missing = [
        name
        for name, _door in every_door()
        if name not in cases and owner.get(some_address(name)).status_code != 405
    ]
    assert missing == []
    assert cases - {name for name, _door in every_door()} == set()


@pytest.mark.parametrize("name", [*PAGES, *PIECES, *FILES])
def test_a_page_answers_with_few_queries(name: str, shop: DemoShop, owner: Client) -> None:
    addresses = (PAGES | PIECES | FILES)[name](shop)
    assert addresses, "the demo has nothing to show here"
    assert_quick(name, addresses, owner)


@pytest.mark.parametrize("name", PER_JOB)
def test_every_single_job_can_be_looked_at_with_few_queries(name: str, owner: Client) -> None:
    assert_quick(name, [at(name, number) for number in Job.objects.values_list("number", flat=True)], owner)


def assert_quick(name: str, addresses: list[str], owner: Client) -> None:
    wrong = {}
    for address in addresses:
        reset_queries()  # what is logged is kept over all these tests, up to a limit
        with CaptureQueriesContext(connection) as asked:
            answer = visitor(name, owner).get(address)
        said = not_said(shown_on(answer)) if name not in SAYS_IT_ALL else []
        slips = (
            [*slips_on(shown := page_of(answer)), *instead_of_the_page(shown)]
            if name not in SAYS_IT_ALL
            else []
        )
        answer.close()
        if answer.status_code != 200 or len(asked) > MOST_QUERIES or said or slips:
            wrong[address] = (answer.status_code, len(asked), said, slips)
    assert wrong == {}


def page_of(answer: Any) -> str:
    """The HTML of a page; nothing of a file or a picture."""
    if answer.streaming or not answer["Content-Type"].startswith("text/html"):
        return ""
    return str(answer.content.decode())


def shown_on(answer: Any) -> str:
    """The text of a page without its marks."""
    page = re.sub(r"<(script|style|template)\b.*?</\1>", " ", page_of(answer), flags=re.DOTALL)
    return html.unescape(re.sub(r"<[^>]*>", " ", page))


def instead_of_the_page(page: str) -> list[str]:
    """Links that open a paper instead of the page they stand on, or let the paper reach back to it."""
    return [
        link
        for link in re.findall(r"<a\b[^>]*>", page)
        if (address := re.search(r'href="(/[^"?#]*)', link))
        and leads_to_a_paper(address[1])
        and not ('target="_blank"' in link and re.search(r'rel="[^"]*\b(noopener|noreferrer)\b', link))
    ]


@cache
def leads_to_a_paper(address: str) -> bool:
    """Whether a PDF is behind this address."""
    try:
        return resolve(address).view_name in PAPERS
    except Resolver404:
        return False


def test_a_door_that_answers_with_a_paper_is_known_as_one(shop: DemoShop, owner: Client) -> None:
    papers = set()
    for name in FILES:
        answer = visitor(name, owner).get(FILES[name](shop)[0])
        if answer["Content-Type"] == "application/pdf":
            papers.add(name)
        answer.close()
    assert papers == PAPERS


def test_a_link_that_loses_the_page_is_found() -> None:
    beside = '<a href="/premises/papers/4/" target="_blank" rel="noopener">'
    lost = ['<a href="/premises/papers/4/">', '<a target="_blank" href="/premises/papers/5/">']
    assert instead_of_the_page(f'{beside}{"".join(lost)}<a href="/jobs/">') == lost


def test_the_journal_says_whole_sentences_without_codes(shop: DemoShop) -> None:
    """No sentence ends where a fact should stand, and none shows a fact as the program spells it (`mains-cover`)."""
    entries = list(JournalEntry.objects.order_by("sequence"))
    wrong: dict[str, str] = {}
    for entry in entries:
        said = sentence_of(entry)
        codes = {one for one in entry.data.values() if isinstance(one, str) and CODE.fullmatch(one)}
        if UNFINISHED.search(said) or slips_in(said) or any(code in said for code in codes):
            wrong.setdefault(entry.verb, said)
    assert len({entry.verb for entry in entries}) > 50
    assert wrong == {}


CODE = re.compile(r"[a-z]+(?:[-_][a-z]+)+")
UNFINISHED = re.compile(
    r"[:,;]$|\b(?:a|an|at|by|for|from|of|on|over|the|to|until|with|(?<!booked )(?<!carried )in)$| [,.;:]|  |[a-z]\.[a-z]"
)


@pytest.mark.parametrize(
    "said, slips",
    [
        ("1 1 open", {"a number twice"}),
        ("One letter wait to be sent.", {"one of which more is said"}),
        ("Keep the old parts for me..", {"two marks"}),
        ("Opened an order of 1 lines", {"a plural of one"}),
        ("3 job wait for the the bench", {"a singular of many", "a word twice"}),
        ("Moved it to on_the_bench by None", {"a fact of the program"}),
        ("One job waits; 2 jobs, a chassis and a series lamp… None yet.", set()),
    ],
)
def test_slips_of_sentences_are_found_and_nothing_else(said: str, slips: set[str]) -> None:
    assert {what for what, _ in slips_in(said)} == slips


NOT_IN_A_DEMO = {
    "backup:": "a shop that nobody backs up looks neglected; whoever opens a new demo is told so all the same",
    "backup-key": "the demo has no key that somebody could keep in another house",
    "chore:": "a chore that failed looks like a broken program",
}
"""Kinds of news without an example of the demo's own, each with the reason."""


def kinds_of_news() -> dict[str, re.Pattern[str]]:
    """Every kind of news that the code tells, by its key as it is written there, and what such a key looks like."""
    modules = {inspect.getmodule(teller) for teller in news._tellers}
    spelled = {key for one in modules for key in re.findall(r'key=f?"([^"]+)"', inspect.getsource(one))}
    return {key: re.compile(re.sub(r"\\{.*?\\}", ".*", re.escape(key))) for key in spelled}


def test_the_demo_holds_an_example_of_each_kind_of_news(shop: DemoShop) -> None:
    told = [piece.key for piece in news.unseen(Staff.objects.get(pk=shop.owner.pk))]
    kinds = kinds_of_news()
    assert len(kinds) >= 14
    missing = [kind for kind, looks in kinds.items() if not any(map(looks.fullmatch, told))]
    assert [kind for kind in missing if not kind.startswith((*NOT_IN_A_DEMO,))] == []
    assert all(any(kind.startswith(one) for kind in kinds) for one in NOT_IN_A_DEMO)


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_door_that_leads_on(name: str, shop: DemoShop, owner: Client) -> None:
    addresses, status = ELSEWHERE[name]
    assert [owner.get(address).status_code for address in addresses(shop)] == [status]


def wide_and_narrow(page: Any, address: str) -> dict[str, Any]:
    """What is wrong with a page at its own width, and on a phone of 390 px."""
    page.goto(address)
    wrong: dict[str, Any] = {}
    page.evaluate(LAY_DOWN)
    found = judged(page)
    if found:
        wrong["axe"] = [(one["id"], [node["html"][:160] for node in one["nodes"][:4]]) for one in found]
    size = page.viewport_size
    page.set_viewport_size({"width": 390, "height": 844})
    width = page.evaluate("document.documentElement.scrollWidth")
    if width > 390:
        wrong["sideways"] = (width, page.evaluate(STICKING_OUT))
    page.set_viewport_size(size)
    return wrong


def judged(page: Page) -> list[dict[str, Any]]:
    """What axe-core finds wrong with the page as it stands."""
    options = {"runOnly": {"type": "tag", "values": RULES}, "resultTypes": ["violations"]}
    found: list[dict[str, Any]] = Axe().run(page, options=options).response["violations"]
    return found


# Targets are judged as they lie in the page: what sticks to the window lies over this one or that by chance of the scroll.
# That nothing stays under it is tried in tests/bench/test_bell.py.
LAY_DOWN = """() => { for (const one of document.querySelectorAll(".bell, .bench-dock")) one.style.position = "static"; }"""
STICKING_OUT = """() => Array.from(document.querySelectorAll("body *"))
  .filter((node) => node.getBoundingClientRect().right > 391)
  .slice(-3).map((node) => node.outerHTML.slice(0, 160))"""


def width_of(name: str) -> dict[str, Any]:
    """The bench stands on a tablet, the customer holds a phone, everybody else sits at a desk."""
    if name.startswith("bench:"):
        return {"width": 820, "height": 1180, "touch": True}
    return {"width": 390, "height": 844, "touch": True} if name.startswith("window:") else {}


@pytest.mark.browser
@pytest.mark.parametrize("name", PAGES)
def test_everybody_can_use_the_page_and_it_fits_a_phone(name: str, shop: DemoShop, windows: Windows) -> None:
    page = windows(None if name in SIGNED_OUT else shop.owner, **width_of(name))
    wrong = {address: found for address in PAGES[name](shop) if (found := wide_and_narrow(page, address))}
    assert (wrong, windows.browsing.complaints) == ({}, [])


@pytest.mark.browser
@pytest.mark.parametrize("name", ["records:first_screen", "bench:job", "office:invoice"])
def test_everybody_can_use_the_page_at_night(name: str, shop: DemoShop, windows: Windows) -> None:
    page = windows(shop.owner, **width_of(name), color_scheme="dark")
    wrong = {address: found for address in PAGES[name](shop)[:3] if (found := wide_and_narrow(page, address))}
    assert (wrong, windows.browsing.complaints) == ({}, [])


@pytest.mark.browser
def test_the_judge_of_accessibility_finds_what_is_wrong(windows: Windows, shop: DemoShop) -> None:
    """A picture without words and grey letters on grey must be found, else the tests above prove nothing."""
    page = windows(shop.owner)
    page.goto("/")
    page.evaluate(
        "document.querySelector('main').replaceChildren(document.createElement('img'), document.createElement('input'))"
    )
    found = judged(page)
    assert {"image-alt", "label"} <= {one["id"] for one in found}
