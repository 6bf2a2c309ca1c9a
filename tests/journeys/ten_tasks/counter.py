"""Counts what a task costs a person: pages, clicks and fields.

A page is a document loaded, or a panel opened that hides what was there. A click is a press, tap or key that chooses or
sends. A field is a box that is typed into or set, a list that is chosen from, a file that is attached. The first screen, on
which a task begins, doesn't count. A paper that opens instead of the page that asked for it is a page, and costs a click and
a page more where the task goes on after it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.settling import Settling

TABLE = Path(__file__).with_name("RESULTS.md")
PDF = "application/pdf"


def counted_before(task: str) -> tuple[int, int, int]:
    """Pages, clicks and fields of the task in the table beside this file."""
    row = re.search(
        rf"^\| {re.escape(task)} \| (\d+) \| (\d+) \| (\d+) \|", TABLE.read_text("utf-8"), re.MULTILINE
    )
    assert row is not None, f"{TABLE.name} has no row for {task}"
    pages, clicks, fields = map(int, row.groups())
    return pages, clicks, fields


@dataclass
class Count:
    """What one task costs, at however many screens it is done, and what was known where it was asked for."""

    task: str
    pages: int = 0
    clicks: int = 0
    fields: int = 0
    known: dict[str, bool] = field(default_factory=dict)

    @property
    def all(self) -> tuple[int, int, int]:
        return self.pages, self.clicks, self.fields

    def told(self) -> None:
        """Print the row of the table."""
        remarks = "; ".join(f"{what}: {'yes' if yes else 'no'}" for what, yes in self.known.items())
        print(f"\n| {self.task} | {self.pages} | {self.clicks} | {self.fields} | {remarks} |")  # noqa: T201


class Screen:
    """A person before one screen. What they do there is counted."""

    def __init__(self, page: Any, count: Count, begins: str = "/") -> None:
        self.page, self.count = page, count
        self.papers: set[str] = set()
        self.settling = Settling(page)
        page.goto(begins)
        self.settle()
        page.on("response", self._answered)
        page.on("domcontentloaded", self._loaded)

    def _answered(self, response: Any) -> None:
        if response.request.is_navigation_request() and response.headers.get("content-type") == PDF:
            self.papers.add(response.url)
            self.count.pages += 1

    def _loaded(self, page: Any) -> None:
        if page.url not in self.papers and page.url != "about:blank":
            self.count.pages += 1

    def settle(self) -> None:
        """Wait until the page stands, and asks for nothing more."""
        self.settling.wait(60)

    # --- what a person does ---------------------------------------------------------------------------------

    def click(self, target: Any) -> None:
        """Press a button, follow a link, choose a tile, tick a box."""
        place = (self.page.locator(target) if isinstance(target, str) else target).first
        if self.page.viewport_size["width"] < 1000:
            place.tap()
        else:
            place.click(no_wait_after=True)
        self.count.clicks += 1
        self.settle()

    def button(self, name: str) -> None:
        """Press the button of that name."""
        self.click(self.page.locator("main").get_by_role("button", name=name))

    def link(self, name: str | re.Pattern[str], *, within: str = "body") -> None:
        """Follow the link of that name."""
        self.click(self.page.locator(within).get_by_role("link", name=name))

    def choose(self, name: str, value: str) -> None:
        """Choose a tile: the radio button or box of that field and value."""
        self.click(self.page.locator(f'label:has(input[name$="{name}"][value="{value}"]):visible'))

    def fill(self, **typed: str) -> None:
        """Type into boxes, or set them, by the end of their names."""
        for name, value in typed.items():
            box = self.page.locator(f'main [name="{name}"]:visible, main [name$="-{name}"]:visible').first
            if box.evaluate("one => one.localName") == "select":
                box.select_option(value)
            else:
                box.fill(value)
                box.blur()
            self.count.fields += 1
        self.settle()

    def attach(self, target: str, file: Path) -> None:
        """Attach a file."""
        self.page.locator(target).first.set_input_files(file)
        self.count.fields += 1
        self.settle()

    def home(self) -> None:
        """Go to the first screen by the shop's name."""
        self.click(".shop-name")

    def panel(self, door: Any) -> None:
        """Open a panel, which hides the one before."""
        self.click(door)
        self.count.pages += 1

    def paper(self, target: Any, *, go_on: bool = True) -> None:
        """Press what opens a paper. Beside the page it costs a page; instead of it, coming back costs more, to go on."""
        place = (self.page.locator(target) if isinstance(target, str) else target).first
        if place.evaluate("one => (one.target || one.form?.target) === '_blank'"):
            with self.page.context.expect_event(
                "response", lambda answer: answer.headers.get("content-type") == PDF
            ):
                self.click(place)
            self.count.pages += 1
            return
        before, was = self.page.url, len(self.papers)
        self.click(place)
        assert len(self.papers) == was + 1, (
            f"{self.page.url}: no paper opened\n{self.page.inner_text('body')[:800]}"
        )
        if go_on:
            self.count.clicks += 1
            self.page.goto(before)
            self.settle()

    def reads(self, words: str) -> bool:
        """Whether these words stand on the page."""
        return " ".join(words.split()) in " ".join(self.page.inner_text("body").split())
